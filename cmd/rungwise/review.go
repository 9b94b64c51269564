package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

func (a *app) reviewCommand() *cobra.Command {
	c := onFolder(&cobra.Command{Use: "review DIR", Args: cobra.ExactArgs(1)})
	c.RunE = a.withRules(func(e *engine.Engine, args []string) error {
		r, err := e.Review(args[0])
		if err != nil {
			return err
		}
		return a.show(shown{record: r, words: render.Review(r, a.options(e))})
	})
	return a.prints(c, shown{record: (*report.Review)(nil), words: "-"})
}
