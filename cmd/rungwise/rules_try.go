package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/ruletest"
)

// testFlags are the flags of rules test.
type testFlags struct {
	only             []string
	coverage, mutate bool
	cases            string
}

func (a *app) rulesTest() *cobra.Command {
	var f testFlags
	c := onFolder(&cobra.Command{Use: "test [HOUSE]", Args: cobra.MaximumNArgs(1)})
	fl := c.Flags()
	declare(fl.StringSliceVar, map[string]*[]string{"only": &f.only})
	declare(fl.BoolVar, map[string]*bool{"coverage": &f.coverage, "mutate": &f.mutate})
	declare(fl.StringVar, map[string]*string{"write-cases": &f.cases})
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.openHouse(args, true)
		if err != nil {
			return err
		}
		return a.testRules(e, f)
	}
	return a.prints(c, shown{record: ruletest.Tested{}})
}

func (a *app) testRules(e *engine.Engine, f testFlags) error {
	t := e.TestRules(f.only)
	if len(t.Unknown) > 0 {
		near, _ := diag.Nearest(t.Unknown[0], e.TestNames())
		if near != "" {
			near = "; the closest name is " + near
		}
		return mistake("nothing is called %s%s", t.Unknown[0], near)
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
