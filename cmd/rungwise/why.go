package main

import (
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

func (a *app) whyCommand() *cobra.Command {
	c := &cobra.Command{Use: "why FILE NAME", Args: cobra.ExactArgs(2)}
	c.ValidArgsFunction = func(c *cobra.Command, args []string, part string) ([]string, cobra.ShellCompDirective) {
		if len(args) != 1 {
			return caseFiles(c, args, part)
		}
		return a.names((*engine.Engine).Names)(c, args, part)
	}
	c.RunE = a.withCase(func(e *engine.Engine, k *casefile.Case, args []string) error {
		w, err := e.Why(k, args[1])
		if err != nil {
			return err
		}
		return a.show(shown{record: w, words: render.Why(w, a.options(e))})
	})
	return a.prints(c, shown{record: (*report.Why)(nil), words: "-"})
}
