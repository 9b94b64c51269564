package main

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/ruletest"
)

func (a *app) rulesDiff() *cobra.Command {
	var against string
	var fresh bool
	c := &cobra.Command{
		Use:   "diff DIR",
		Short: "what the house rules change over a folder of stored cases, and which rule did it",
		Long: "For each case that comes out differently: the old and the new order, and the\n" +
			"rule responsible. The rules in force (--house) are compared with the base, with\n" +
			"another folder (of house rules, or one that holds rules and checklists), or with\n" +
			"the house rules at a git revision. Ends with 1 where a case no longer loads.",
		Example: "  rungwise rules diff athletes --house house\n" +
			"  rungwise rules diff athletes --house house --against git:HEAD\n" +
			"  rungwise rules diff athletes --house house --against last-year",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: folders,
	}
	c.Flags().StringVar(&against, "against", "base", "base, a folder, or git:REVISION of the house rules")
	c.Flags().BoolVar(&fresh, "fresh", false, "read everything anew; what was kept of the last run is left alone")
	c.RunE = func(_ *cobra.Command, args []string) error {
		newer, err := a.open(filepath.Join(args[0], "x"))
		if err != nil {
			return err
		}
		older, err := a.older(against, filepath.Join(args[0], "x"))
		if err != nil {
			return err
		}
		o := engine.DiffOptions{Program: build(), Progress: a.bar()}
		if !fresh {
			o.Cache = cacheDir()
		}
		r, err := engine.DiffRules(older, newer, args[0], o)
		if err != nil {
			return status{failed, err}
		}
		return a.differences(r)
	}
	return c
}

// older opens what the rules in force are compared with.
func (a *app) older(against, casePath string) (*engine.Engine, error) {
	today, err := a.today()
	if err != nil {
		return nil, err
	}
	if against == "base" {
		e, ds := engine.Open(engine.Options{Trade: a.trade, Today: today})
		return a.usable(e, ds, "the embedded rules")
	}
	rev, isGit := strings.CutPrefix(against, "git:")
	if !isGit {
		if info, err := os.Stat(against); err != nil || !info.IsDir() {
			return nil, status{failed, fmt.Errorf("%s: there is no such folder of rules", against)}
		}
		e, ds := engine.OpenFolder(a.trade, os.DirFS(against), against, today)
		return a.usable(e, ds, against)
	}
	house, path, err := a.houseFS(casePath)
	if err != nil {
		return nil, err
	}
	if house == nil {
		return nil, status{usage, errors.New("a git revision is one of house rules: give their folder with --house")}
	}
	before, err := atRevision(path, rev)
	if err != nil {
		return nil, status{failed, err}
	}
	e, ds := engine.OpenFolder(a.trade, before, path+"@"+rev, today)
	return a.usable(e, ds, "the house rules of that revision")
}

func (a *app) usable(e *engine.Engine, ds diag.List, what string) (*engine.Engine, error) {
	if e == nil {
		if err := ds.Write(a.err); err != nil {
			return nil, status{failed, err}
		}
		return nil, status{attention, fmt.Errorf("%s: these rules have faults, so nothing can be compared with them", what)}
	}
	return e, nil
}

// atRevision reads a folder as it was at a git revision.
func atRevision(dir, rev string) (fs.FS, error) {
	if rev == "" || strings.HasPrefix(rev, "-") {
		return nil, fmt.Errorf("%q is no git revision", rev)
	}
	cmd := exec.Command("git", "-C", dir, "archive", "--format=zip", rev, ".")
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("git does not give %s at %s: %s", dir, rev, strings.TrimSpace(said.String()))
	}
	return zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
}

// diffRecord is a comparison as JSON.
type diffRecord struct {
	Rungwise string           `json:"rungwise"`
	Cases    int              `json:"cases"`
	Kept     int              `json:"kept"`
	Unread   int              `json:"unread"`
	Changes  []ruletest.Step  `json:"changes"`
	Deltas   []ruletest.Delta `json:"differences"`
}

// differences prints what a comparison found.
func (a *app) differences(r ruletest.Result) error {
	lost := 0
	for _, d := range r.Deltas {
		if len(d.New.Faults) > 0 {
			lost++
		}
	}
	if a.json {
		record := diffRecord{"rules-diff/1", r.Cases, r.Known, r.Unread, append([]ruletest.Step{}, r.Changes...), append([]ruletest.Delta{}, r.Deltas...)}
		if err := render.JSON(a.out, record); err != nil {
			return status{failed, err}
		}
	} else {
		a.tellDifferences(r)
	}
	if lost > 0 {
		return status{attention, nil}
	}
	return nil
}

func (a *app) tellDifferences(r ruletest.Result) {
	for _, d := range r.Deltas {
		fmt.Fprintf(a.out, "%s\n", d.Case)
		a.tellSides(d)
		label := "by"
		if d.Together {
			label = "no change does it alone; moved by"
		}
		for _, s := range d.By {
			fmt.Fprintf(a.out, "  %s %s %s, %s (%s)\n", label, s.Concern, s.ID, s.What, s.Place)
		}
		fmt.Fprintln(a.out)
	}
	unread := ""
	if r.Unread > 0 {
		unread = fmt.Sprintf(", %d neither can read", r.Unread)
	}
	fmt.Fprintf(a.out, "%d %s, %d of them differ%s; %d %s of the rules\n", r.Cases, plural(r.Cases, "case"), len(r.Deltas), unread,
		len(r.Changes), plural(len(r.Changes), "change"))
}

func (a *app) tellSides(d ruletest.Delta) {
	for _, f := range d.New.Faults {
		fmt.Fprintf(a.out, "  no longer loads: %s\n", diag.Clean(f))
	}
	for _, f := range d.Old.Faults {
		fmt.Fprintf(a.out, "  did not load before: %s\n", diag.Clean(f))
	}
	if len(d.New.Faults)+len(d.Old.Faults) > 0 {
		return
	}
	if d.Old.Gate != d.New.Gate {
		fmt.Fprintf(a.out, "  gate  %s -> %s\n", orOne(d.Old.Gate, "none"), orOne(d.New.Gate, "none"))
	}
	if old, now := d.Old.Order(), d.New.Order(); old != now {
		fmt.Fprintf(a.out, "  old  %s\n  new  %s\n", old, now)
	}
	if old, now := strings.Join(d.Old.Cautions, ", "), strings.Join(d.New.Cautions, ", "); old != now {
		fmt.Fprintf(a.out, "  cautions  %s -> %s\n", orOne(old, "none"), orOne(now, "none"))
	}
}
