package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine/render"
)

func (a *app) reviewCommand() *cobra.Command {
	c := &cobra.Command{
		Use:               "review DIR",
		Short:             "what became of closed problems, by factor and drill",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: folders,
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open("")
		if err != nil {
			return err
		}
		r, err := e.Review(args[0])
		if err != nil {
			return status{failed, err}
		}
		if a.json {
			return render.JSON(a.out, r)
		}
		return a.print(render.Review(r, a.options(e)))
	}
	return c
}
