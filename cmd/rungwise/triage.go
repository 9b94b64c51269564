package main

import (
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

func (a *app) triageCommand() *cobra.Command {
	var sets []string
	c := onCase(&cobra.Command{Use: "triage [FILE]", Args: cobra.MaximumNArgs(1)})
	declare(c.Flags().StringArrayVar, map[string]*[]string{"set": &sets})
	c.RunE = func(_ *cobra.Command, args []string) error {
		if len(args) == 0 && len(sets) == 0 {
			return mistake("name a case file, or say with --set what is known")
		}
		e, k, err := a.caseOrWhatIf(args)
		if err != nil {
			return err
		}
		what, err := settings(sets)
		if err != nil {
			return err
		}
		r, err := e.Triage(k, what...)
		if err != nil {
			return err
		}
		if err := a.show(shown{record: r, words: render.Triage(r, a.options(e))}); err != nil {
			return err
		}
		return verdict(r)
	}
	return a.prints(c, shown{record: (*report.Report)(nil), words: "-"})
}

// caseOrWhatIf reads the case file named, or starts a case of which nothing is
// known.
func (a *app) caseOrWhatIf(args []string) (*engine.Engine, *casefile.Case, error) {
	e, k, err := a.maybeCase(args)
	if err == nil && k == nil {
		none, ds := e.Case(engine.WhatIf())
		k, err = told(a, none, ds, "")
	}
	return e, k, err
}

// settings reads FACT=VALUE pairs.
func settings(sets []string) ([]engine.Setting, error) {
	var out []engine.Setting
	for _, s := range sets {
		for _, pair := range strings.Split(s, ",") {
			name, value, ok := strings.Cut(pair, "=")
			if !ok {
				return nil, mistake("--set takes FACT=VALUE, such as stuck.hinge=holds, not %q", pair)
			}
			out = append(out, engine.Setting{Fact: strings.TrimSpace(name), Value: strings.TrimSpace(value)})
		}
	}
	return out, nil
}
