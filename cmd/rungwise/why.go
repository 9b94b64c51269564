package main

import (
	"errors"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/render"
)

func (a *app) whyCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "why FILE NAME",
		Short: "explain a factor, rule, gate, caution, limit, drill or throw for a case",
		Example: "  rungwise why sm-04.yaml weight_shift\n" +
			"  rungwise why sm-04.yaml shift_late_only_when_stuck\n" +
			"  rungwise why sm-04.yaml weekly_growth",
		Args: cobra.ExactArgs(2),
	}
	c.ValidArgsFunction = func(c *cobra.Command, args []string, part string) ([]string, cobra.ShellCompDirective) {
		if len(args) != 1 {
			return caseFiles(c, args, part)
		}
		e, err := a.open(args[0])
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return e.Names(), cobra.ShellCompDirectiveNoFileComp
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, k, err := a.readCase(args[0])
		if err != nil {
			return err
		}
		w, err := e.Why(k, args[1])
		var unnamed *engine.Unnamed
		if errors.As(err, &unnamed) {
			return status{usage, err}
		}
		if err != nil {
			return err
		}
		if a.json {
			return render.JSON(a.out, w)
		}
		return a.print(render.Why(w, a.options(e)))
	}
	return c
}
