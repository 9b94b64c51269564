package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/source"
)

// agreeFile is the file of house rules that holds the reading error.
const agreeFile = "reading_error.yaml"

func (a *app) agreeCommand() *cobra.Command {
	var write bool
	var by string
	c := &cobra.Command{
		Use:   "agree FIRST SECOND",
		Short: "how far two gradings of the same clips agree, and what error that makes",
		Long: "Two case files of one athlete in which the same clips were graded blind: by one\n" +
			"coach on two days, or by two coaches. For somebody new on the staff, let both\n" +
			"grade twenty clips. With --write the error takes the place of the default in the\n" +
			"house rules, and triage reads answers by eye with it from then on.",
		Example: "  rungwise agree sm-04.yaml sm-04-again.yaml\n" +
			"  rungwise agree sm-04.yaml sm-04-again.yaml --write --house house --by SL",
		Args: cobra.ExactArgs(2),
	}
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	c.Flags().BoolVar(&write, "write", false, "write the error into the house rules")
	c.Flags().StringVar(&by, "by", "", "who answers for it, with --write")
	c.RunE = func(_ *cobra.Command, args []string) error {
		house := a.house
		if write && empty(house) { // it is about to get its first file
			a.house = ""
		}
		r, e, err := a.agreement(args)
		if err != nil {
			return err
		}
		if a.house = house; write {
			if err := a.writeAgreement(e, r, args[0], by); err != nil {
				return err
			}
		}
		return a.showAgreement(r)
	}
	return c
}

// empty reports whether a folder is there and holds no rules yet.
func empty(dir string) bool {
	info, err := os.Stat(dir)
	return err == nil && info.IsDir() && len(yamlIn(dir)) == 0
}

func (a *app) agreement(args []string) (*report.Agreement, *engine.Engine, error) {
	e, first, err := a.readCase(args[0])
	if err != nil {
		return nil, nil, err
	}
	f, err := casefile.Read(args[1])
	if err != nil {
		return nil, nil, status{failed, err}
	}
	second, ds := e.Case(f)
	if second == nil {
		ds.Write(a.err)
		return nil, nil, status{attention, nil}
	}
	r, err := e.Agreement(first, second)
	if err != nil {
		return nil, nil, status{attention, err}
	}
	return r, e, nil
}

// writeAgreement puts the error into the house rules, and reads them again.
func (a *app) writeAgreement(e *engine.Engine, r *report.Agreement, casePath, by string) error {
	_, dir, err := a.houseFS(casePath)
	switch {
	case err != nil:
		return err
	case by == "":
		return status{usage, errors.New("--write needs to know who answers for it\nhelp: add --by and initials")}
	case dir == "":
		return status{usage, errors.New("--write needs a folder of house rules\nhelp: make one and name it with --house")}
	case !r.Enough:
		return status{attention, fmt.Errorf("%d clips are too few to take the place of the default; nothing was written", r.Clips)}
	}
	path := filepath.Join(dir, agreeFile)
	if err := putHouseFile(path, houseReading(r, e.Today(), by)); err != nil {
		return status{failed, err}
	}
	if err := a.checkWritten(path, r); err != nil {
		return err
	}
	r.Written = path
	return nil
}

// houseReading is the whole file, so that it can be written anew each time.
func houseReading(r *report.Agreement, on time.Time, by string) []byte {
	because := fmt.Sprintf("%d clips graded twice by %s, %d alike", r.Clips, on.Format(time.DateOnly), r.Same)
	return []byte("# Written by `rungwise agree --write`; it is written anew each time.\nextends: base\nlimits:\n" +
		fmt.Sprintf("  - id: reading_error_eye\n    set: {value: %.2f}\n    because: %s\n    by: %s\n", r.Use, source.Quote(because), source.Quote(by)))
}

func putHouseFile(path string, data []byte) error {
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return casefile.Create(path, data)
	}
	before, err := casefile.Read(path)
	if err != nil {
		return err
	}
	root, _ := before.YAML()
	if items := root.Get("limits").Items(); len(root.Fields()) != 2 || len(items) != 1 || items[0].Get("id").Text() != "reading_error_eye" {
		return fmt.Errorf("%s holds other rules as well: change reading_error_eye there by hand", path)
	}
	return casefile.Replace(before, data)
}

// checkWritten opens the rules with the new file: another file of the house may
// say something else, and the last one counts.
func (a *app) checkWritten(path string, r *report.Agreement) error {
	a.house = filepath.Dir(path)
	e, err := a.open("")
	if err != nil {
		return err
	}
	l, ok := e.Base().Limit("reading_error_eye")
	if ok && l.Value == r.Use {
		return nil
	}
	where := "another file"
	if ok && len(l.Changes) > 0 {
		where = l.Changes[len(l.Changes)-1].Place.Path
	}
	return status{attention, fmt.Errorf("%s was written, but %s sets reading_error_eye after it", path, where)}
}

func (a *app) showAgreement(r *report.Agreement) error {
	if a.json {
		return render.JSON(a.out, r)
	}
	fmt.Fprintf(a.out, "%s: %s\n", r.Case, diag.Clean(r.Notes[0].Text))
	for _, n := range r.Notes[1:] {
		fmt.Fprintf(a.out, "- %s\n", diag.Clean(n.Text))
	}
	if r.LeftOut > 0 {
		fmt.Fprintf(a.out, "- %d could not be seen one of the times and do not count\n", r.LeftOut)
	}
	fmt.Fprintln(a.out)
	for _, row := range r.By {
		fmt.Fprintf(a.out, "%3d of %-3d  %s\n", row.Same, row.Clips, diag.Clean(row.Title))
	}
	if r.Written != "" {
		fmt.Fprintf(a.err, "wrote %s: answers by eye are read with %.0f wrong in 100 from now on\n", r.Written, 100*r.Use)
	}
	return nil
}
