package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/report"
)

func (a *app) agreeCommand() *cobra.Command {
	var write bool
	var by string
	c := &cobra.Command{Use: "agree FIRST SECOND", Args: cobra.ExactArgs(2)}
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	declare(c.Flags().BoolVar, map[string]*bool{"write": &write})
	declare(c.Flags().StringVar, map[string]*string{"by": &by})
	c.RunE = func(_ *cobra.Command, args []string) error {
		house := a.house
		if write && isFolder(house) && !engine.HasRules(house) { // it is about to get its first file
			a.house = ""
		}
		e, r, err := a.agreement(args)
		if err != nil {
			return err
		}
		if a.house = house; write {
			if err := a.writeAgreement(e, r, args[0], by); err != nil {
				return err
			}
		}
		if err := a.show(shown{record: r}); err != nil || r.Written == "" {
			return err
		}
		a.say("wrote %s: answers by eye are read with %.0f wrong in 100 from now on", r.Written, 100*r.Use)
		return nil
	}
	return a.prints(c, shown{record: (*report.Agreement)(nil)})
}

func (a *app) agreement(args []string) (*engine.Engine, *report.Agreement, error) {
	e, first, err := a.readCase(args[0])
	if err != nil {
		return nil, nil, err
	}
	f, err := casefile.Read(args[1])
	if err != nil {
		return nil, nil, err
	}
	second, ds := e.Case(f)
	if second == nil {
		return nil, nil, &engine.Faults{List: ds}
	}
	r, err := e.Agreement(first, second)
	if err != nil {
		return nil, nil, &engine.Faults{Why: err.Error()}
	}
	return e, r, nil
}

// writeAgreement puts the error into the house rules, and reads them again.
func (a *app) writeAgreement(e *engine.Engine, r *report.Agreement, casePath, by string) error {
	_, dir, err := a.houseFS(casePath)
	switch {
	case err != nil:
		return err
	case by == "":
		return mistake("--write needs to know who answers for it\nhelp: add --by and initials")
	case dir == "":
		return mistake("--write needs a folder of house rules\nhelp: make one and name it with --house")
	case !r.Enough:
		return halted("%d clips are too few to take the place of the default; nothing was written", r.Clips)
	}
	if err := e.WriteAgreement(r, dir, by); err != nil {
		return err
	}
	a.house = dir
	if e, err = a.open(""); err != nil {
		return err
	}
	return e.HoldsAgreement(r)
}
