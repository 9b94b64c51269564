package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/testdata/cases"
)

// checkFlags are the flags of rules check.
type checkFlags struct {
	format                   string
	fix, watch, strict, deep bool
	quick                    bool // without judging the house by what it does
}

func (a *app) rulesCheck() *cobra.Command {
	var f checkFlags
	c := &cobra.Command{
		Use:   "check [HOUSE]",
		Short: "every fault of the rules, each at its place, and what weakens them as a whole",
		Long: "Every fault of the rules, each at its place. Where there is none, also what\n" +
			"weakens them as a whole: what can never apply, counts twice, reaches nothing or\n" +
			"is reached by nothing, each with a case to try.\n\n" +
			"A house without faults is then judged by what it does: plans are made under it\n" +
			"for some hundred invented athletes and counted again as the base alone counts.\n" +
			"What is looser than the base is a fault, with the athlete, the day and the change\n" +
			"that did it. --deep does so for some thousand (--watch leaves it out).\n\n" +
			"Ends with 1 where there are faults; warnings and notes alone end with 0.",
		Example: "  rungwise rules check house\n" +
			"  rungwise rules check house --fix\n" +
			"  rungwise rules check house --watch\n" +
			"  rungwise rules check house --deep\n" +
			"  rungwise rules check house --format sarif > rules.sarif",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: folders,
	}
	fl := c.Flags()
	formatFlag(c, &f.format)
	fl.BoolVar(&f.fix, "fix", false, "make the mends that are sure; the files before stay beside with a ~")
	fl.BoolVar(&f.watch, "watch", false, "check again whenever a file of the house is saved, until interrupted")
	fl.BoolVar(&f.strict, "strict", false, "end with 1 on warnings too")
	fl.BoolVar(&f.deep, "deep", false, "judge the house, or the base alone, by thousands of plans")
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := a.knownFormat(&f.format); err != nil {
			return err
		}
		house, path, err := a.houseOf(args)
		if err != nil {
			return err
		}
		if house == nil && (f.fix || f.watch) {
			return status{usage, errors.New("--fix and --watch need a folder of house rules: `rungwise rules check HOUSE --fix`")}
		}
		if f.watch {
			ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt)
			defer stop()
			checker := engine.NewChecker(a.trade, true)
			return a.watch(ctx, path, func() error { return a.check(checker, house, path, f) })
		}
		return a.check(engine.NewChecker(a.trade, false), house, path, f)
	}
	return c
}

// formatFlag adds --format with the forms that other programs read.
func formatFlag(c *cobra.Command, format *string) {
	c.Flags().StringVar(format, "format", "text", "text, json, sarif or junit")
	_ = c.RegisterFlagCompletionFunc("format", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return diag.Formats(), cobra.ShellCompDirectiveNoFileComp
	})
}

// knownFormat refuses a form that there is not; --json stands for one.
func (a *app) knownFormat(format *string) error {
	if a.json && *format == "text" {
		*format = "json"
	}
	for _, f := range diag.Formats() {
		if f == *format {
			return nil
		}
	}
	near, _ := diag.Nearest(*format, diag.Formats())
	return status{usage, fmt.Errorf("there is no form called %s; did you mean %s?", *format, orOne(near, "text"))}
}

// houseOf is the folder of an argument, else that of the flags.
func (a *app) houseOf(args []string) (fs.FS, string, error) {
	if len(args) == 0 {
		return a.houseFS("")
	}
	if info, err := os.Stat(args[0]); err != nil || !info.IsDir() {
		return nil, "", status{failed, fmt.Errorf("%s: there is no such folder of house rules", args[0])}
	}
	return os.DirFS(args[0]), args[0], nil
}

// check checks once, after mending where that is asked.
func (a *app) check(checker *engine.Checker, house fs.FS, path string, f checkFlags) error {
	today, err := a.today()
	if err != nil {
		return err
	}
	k := checker.Check(house, path, today)
	if f.fix {
		n, again, err := mend(checker, house, path, today, k)
		if err != nil {
			return err
		}
		k = again
		fmt.Fprintf(a.err, "mended %d %s\n", n, plural(n, "place"))
	}
	judged := engine.Judgement{}
	if n := f.athletes(house != nil); n > 0 && k.List.Errors() == 0 {
		if judged, err = checker.Judge(k, house, path, today, engine.Athletes{Files: cases.FS, On: cases.Day()}, n); err != nil {
			return status{failed, err}
		}
		k.List = append(k.List, judged.List...).Sorted()
	}
	if f.format != "text" {
		if err := k.Report().Write(a.out, f.format); err != nil {
			return status{failed, err}
		}
		return ended(k.List, f.strict)
	}
	if err := a.checked(k); err != nil {
		return err
	}
	if judged.Athletes > 0 && len(judged.Findings) == 0 {
		fmt.Fprintf(a.out, "judged by what it does: %d plans for %d invented athletes, none looser than the base\n", judged.Planned, judged.Athletes)
	}
	return ended(k.List, f.strict)
}

// athletes is how many are drawn to judge with, 0 for none: a house is always
// judged but while it is watched, the base on request.
func (f checkFlags) athletes(house bool) int {
	switch {
	case f.deep:
		return engine.DeepJudging
	case house && !f.watch && !f.quick:
		return engine.ShortJudging
	}
	return 0
}

// ended is how a check ends.
func ended(ds diag.List, strict bool) error {
	for _, d := range ds {
		if d.Level == diag.Error || strict && d.Level == diag.Warning {
			return status{attention, nil}
		}
	}
	return nil
}

// mostMends bounds the rounds of mending: a mend may uncover the next fault.
const mostMends = 8

// mend makes the sure mends of a house's files until none is left.
func mend(checker *engine.Checker, house fs.FS, path string, today time.Time, k engine.Checked) (int, engine.Checked, error) {
	total := 0
	for range mostMends {
		n, err := mendOnce(k)
		if err != nil || n == 0 {
			return total, k, err
		}
		total += n
		k = checker.Check(house, path, today)
	}
	return total, k, nil
}

func mendOnce(k engine.Checked) (int, error) {
	total := 0
	done := map[string]bool{}
	for _, d := range k.List {
		if d.Fix == nil || done[d.Fix.Path] {
			continue
		}
		done[d.Fix.Path] = true
		before, err := casefile.Read(filepath.FromSlash(d.Fix.Path))
		if err != nil {
			return total, status{failed, err}
		}
		data, n := k.Mend(d.Fix.Path, before.Bytes)
		if err := casefile.Replace(before, data); err != nil {
			return total, status{failed, err}
		}
		total += n
	}
	return total, nil
}

// checked prints what a check found and what was checked.
func (a *app) checked(k engine.Checked) error {
	if err := k.List.Write(a.out); err != nil {
		return status{failed, err}
	}
	if len(k.List) > 0 {
		fmt.Fprintf(a.out, "\n%s\n", tally(k.List))
	}
	if k.List.Errors() > 0 {
		return nil
	}
	b, house := k.Base, ""
	if b.House != "" {
		house = fmt.Sprintf(", with %d %s of %s", len(b.Changes), plural(len(b.Changes), "change"), b.House)
	}
	fmt.Fprintf(a.out, "rule base %s (%s): %d factors, %d signs, %d throws, %d drills, %d gates, %d cautions%s: no faults\n",
		b.Version, b.Hash, len(b.Factors), len(b.Signs), len(b.Throws), len(b.Drills), len(b.Gates), len(b.Cautions), house)
	return nil
}

// tally counts diagnostics in words.
func tally(ds diag.List) string {
	n := map[diag.Level]int{}
	for _, d := range ds {
		n[d.Level]++
	}
	parts := []string{fmt.Sprintf("%d %s", n[diag.Error], plural(n[diag.Error], "fault"))}
	for _, l := range []diag.Level{diag.Warning, diag.Note} {
		if n[l] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[l], plural(n[l], l.String())))
		}
	}
	return strings.Join(parts, ", ")
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

// pollEvery is how often a watched folder is looked at: often enough that an
// answer comes within a tenth of a second of a save.
const pollEvery = 20 * time.Millisecond

// watch runs a check now and whenever a file of the folder was saved, until the
// context ends.
func (a *app) watch(ctx context.Context, dir string, check func() error) error {
	before := ""
	for {
		if now := snapshot(dir); now != before {
			before = now
			var s status
			if err := check(); err != nil && (!errors.As(err, &s) || s.err != nil) {
				return err
			}
			fmt.Fprintln(a.out, "-- waiting for the next save")
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(pollEvery):
		}
	}
}

// snapshot tells the files of a folder apart from what they were: their names,
// sizes and times.
func snapshot(dir string) string {
	var b strings.Builder
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !source.IsYAML(path) {
			return nil // what cannot be read is told by the check
		}
		if info, err := d.Info(); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
		}
		return nil
	})
	return b.String()
}
