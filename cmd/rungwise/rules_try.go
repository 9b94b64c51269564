package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/render"
)

// testFlags are the flags of rules test.
type testFlags struct {
	only             []string
	coverage, mutate bool
	cases            string
}

func (a *app) rulesTest() *cobra.Command {
	var f testFlags
	c := onFolder(&cobra.Command{
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
		Args: cobra.MaximumNArgs(1),
	})
	fl := c.Flags()
	fl.StringSliceVar(&f.only, "only", nil, "only the examples and cases of these signs, gates, cautions, factors or cases")
	fl.BoolVar(&f.coverage, "coverage", false, "which outcomes and which sides of each number were met")
	fl.BoolVar(&f.mutate, "mutate", false, "which small edits of the conditions nobody noticed")
	fl.StringVar(&f.cases, "write-cases", "", "write the cases that would notice them to this file")
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.openHouse(args, true)
		if err != nil {
			return err
		}
		return a.testRules(e, f)
	}
	return a.prints(c, shown{record: engine.Tested{}})
}

func (a *app) testRules(e *engine.Engine, f testFlags) error {
	t, unknown := e.TestRules(f.only)
	if len(unknown) > 0 {
		near, _ := diag.Nearest(unknown[0], e.TestNames())
		if near != "" {
			near = "; the closest name is " + near
		}
		return mistake("nothing is called %s%s", unknown[0], near)
	}
	if err := a.show(shown{record: t}); err != nil {
		return err
	}
	if t.Examples+t.Cases == 0 {
		return halted("nothing was run: there is no example and no case of what was asked for")
	}
	m, written, err := e.MeasureRules(f.coverage, f.mutate, f.cases)
	if told := render.Lines(a.beside(), m); err == nil {
		err = told
	}
	switch {
	case err != nil:
		return err
	case f.cases != "" && written == 0:
		a.say("no case is missing")
	case f.cases != "":
		a.say("wrote %d %s to %s; read them: they say what the rules do, not what they should", written, plural(written, "case"), f.cases)
	case m.Mutation != nil && len(m.Mutation.Missed) > 0:
		return seen()
	}
	if t.Failed() {
		return seen()
	}
	return nil
}
