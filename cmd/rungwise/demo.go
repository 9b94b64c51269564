package main

import (
	"path/filepath"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/testdata/cases"
)

// The demo's case, and the day after its ladder was thrown, so that the demo is
// the same on every day.
const (
	demoCase = "sm-04.yaml"
	demoDay  = "2026-11-10"
	niceDay  = "2 January 2006" // as people say it
)

func (a *app) demoCommand() *cobra.Command {
	var f planFlags
	c := &cobra.Command{Use: "demo", Args: cobra.NoArgs}
	declare(c.Flags().StringVar, map[string]*string{"out": &f.out})
	c.RunE = func(*cobra.Command, []string) error {
		if a.on == "" {
			a.on = demoDay
		}
		return a.demo(f)
	}
	return a.prints(c, shown{record: (*report.Report)(nil), words: "-"})
}

func (a *app) demo(f planFlags) error {
	e, err := a.open("")
	if err != nil {
		return err
	}
	example, err := source.Open(cases.FS, demoCase, demoCase)
	if err != nil {
		return err
	}
	k, ds := e.Case(example)
	if k, err = told(a, k, ds, ""); err != nil {
		return err
	}
	r, err := e.Plan(k, engine.PlanOptions{})
	if err != nil {
		return err
	}
	opts := a.options(e)
	words := "Invented example: SM-04 of the invented Saltmarsh Throwing Club, as on " + e.Today().Format(niceDay) + ".\n\n" +
		render.Triage(r, opts) + "\n---\n\n" + render.Plan(r, opts)
	if err := a.show(shown{record: r, words: words}); err != nil || f.out == "" {
		return err
	}
	if err := a.write(f.out, file{demoCase, example.Bytes}); err != nil {
		return err
	}
	return a.writePages(e, k, filepath.Join(f.out, demoCase), r, f.out, pageKinds())
}
