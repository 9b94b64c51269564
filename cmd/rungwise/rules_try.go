package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/ruletest"
)

// testFlags are the flags of rules test.
type testFlags struct {
	format           string
	only             []string
	coverage, mutate bool
	cases            string
}

func (a *app) rulesTest() *cobra.Command {
	var f testFlags
	c := &cobra.Command{
		Use:   "test [HOUSE]",
		Short: "run the examples and cases that stand beside the rules, and measure how well they hold them",
		Long: "Runs every example and case. With --coverage: how often each condition came out\n" +
			"yes, no and unknown, and on which sides of each number. With --mutate: every\n" +
			"small edit of a condition (a number nudged, a sign swapped, an answer changed, a\n" +
			"clause left out) that no example and no case noticed; --write-cases writes the\n" +
			"cases that would. With a house, only what the house added or changed is measured.",
		Example: "  rungwise rules test house\n" +
			"  rungwise rules test --only shift_late_on_mound\n" +
			"  rungwise rules test house --mutate --write-cases house/edges.yaml",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: folders,
	}
	fl := c.Flags()
	formatFlag(c, &f.format)
	fl.StringSliceVar(&f.only, "only", nil, "only the examples and cases of these signs, gates, cautions, factors or cases")
	fl.BoolVar(&f.coverage, "coverage", false, "which outcomes and which sides of each number were met")
	fl.BoolVar(&f.mutate, "mutate", false, "which small edits of the conditions nobody noticed")
	fl.StringVar(&f.cases, "write-cases", "", "write the cases that would notice them to this file")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := a.knownFormat(&f.format); err != nil {
			return err
		}
		if len(args) > 0 {
			a.house = args[0]
		}
		e, err := a.openWith("", true)
		if err != nil {
			return err
		}
		return a.testRules(e, f)
	}
	return c
}

func (a *app) testRules(e *engine.Engine, f testFlags) error {
	t := e.TestRules(f.only)
	if len(t.Unknown) > 0 {
		help := ""
		if near, ok := diag.Nearest(t.Unknown[0], e.TestNames()); ok {
			help = "; the closest name is " + near
		}
		return status{usage, fmt.Errorf("nothing is called %s%s", t.Unknown[0], help)}
	}
	if f.format != "text" {
		if err := t.Report().Write(a.out, f.format); err != nil {
			return status{failed, err}
		}
	} else {
		if err := t.List.Write(a.out); err != nil {
			return status{failed, err}
		}
		fmt.Fprintf(a.out, "%d examples and %d cases, %d not as they say\n", t.Examples, t.Cases, t.Bad)
	}
	if t.Examples+t.Cases == 0 {
		return status{attention, errors.New("nothing was run: there is no example and no case of what was asked for")}
	}
	prose := a.out
	if f.format != "text" { // what a program reads stands alone
		prose = a.err
	}
	if f.coverage {
		coverage(e, prose)
	}
	missed, err := a.mutate(e, f, prose)
	if err == nil && (t.Failed() || missed) {
		err = status{attention, nil}
	}
	return err
}

// coverage writes the conditions that are not met from every side, and how many
// are.
func coverage(e *engine.Engine, w io.Writer) {
	all, whole := e.Suite().Coverage(), 0
	for _, c := range all {
		if c.Complete() {
			whole++
			continue
		}
		fmt.Fprintf(w, "%s  %s: yes %d, no %d, unknown %d: %s\n", where(c.Place), c.ID, c.Yes, c.No, c.Unknown, c)
	}
	fmt.Fprintf(w, "%d of %d conditions were met as yes, no and unknown and on both sides of every number\n", whole, len(all))
}

// mutate prints the edits that nobody noticed, and writes the cases that would.
func (a *app) mutate(e *engine.Engine, f testFlags, w io.Writer) (missed bool, err error) {
	if !f.mutate && f.cases == "" {
		return false, nil
	}
	s := e.Suite()
	m := s.Mutate(e.Scope())
	for _, x := range m.Missed {
		fmt.Fprintf(w, "%s:%d:%d  %s: nobody notices `%s` with %s\n", x.Place.Path, x.Place.Line, x.Place.Col, x.Rule, strings.Join(strings.Fields(x.Text), " "), x.Edit)
	}
	same := ""
	if m.Same > 0 {
		same = fmt.Sprintf(", %d change nothing", m.Same)
	}
	if m.Unjudged > 0 {
		same += fmt.Sprintf(", %d could not be judged", m.Unjudged)
	}
	fmt.Fprintf(w, "%d edits, %d noticed, %d missed%s: score %.1f %%\n", m.Edits, m.Noticed, len(m.Missed), same, 100*m.Score())
	if f.cases == "" {
		return len(m.Missed) > 0, nil
	}
	return false, a.writeCases(s, m, e.Scope() == ruletest.HouseOnly, f.cases)
}

func (a *app) writeCases(s *ruletest.Suite, m ruletest.Mutation, house bool, path string) error {
	text, n := s.WriteCases(m.Missed, house)
	if n == 0 {
		fmt.Fprintln(a.err, "no case is missing")
		return nil
	}
	if err := casefile.Create(path, text); err != nil {
		return status{failed, err}
	}
	fmt.Fprintf(a.err, "wrote %d %s to %s; read them: they say what the rules do, not what they should\n", n, plural(n, "case"), path)
	return nil
}
