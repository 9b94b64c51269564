package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/prompt"
)

func (a *app) newCommand() *cobra.Command {
	var s casefile.Start
	c := &cobra.Command{Use: "new FILE", Args: cobra.ExactArgs(1)}
	declare(c.Flags().StringVar, map[string]*string{
		"code": &s.Code, "age": &s.Age, "throws": &s.Throws, "level": &s.Level, "reference": &s.Reference,
	})
	c.RunE = func(c *cobra.Command, args []string) error {
		if _, err := os.Stat(args[0]); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: %w", args[0], casefile.ErrExists)
		}
		e, err := a.open(args[0])
		if err != nil {
			return err
		}
		q := &asker{a: a, c: c}
		if s.Code == "" || a.typed() && e.CheckStart(s) != nil {
			if err := q.start(e, &s); err != nil {
				return q.lost(err, args[0], "nothing was written")
			}
		}
		if err := e.Start(args[0], s); err != nil {
			return q.lost(err, args[0], "nothing was written")
		}
		a.say("wrote %s; next: `rungwise ask %s`", args[0], args[0])
		return nil
	}
	return c
}

// start asks for what the flags did not say, or said wrongly. An empty answer
// leaves a question open, only the code must be given.
func (q *asker) start(e *engine.Engine, s *casefile.Start) error {
	for _, x := range []struct {
		flag, sentence string
		one            func(string) casefile.Start
	}{
		{"code", "ask_code", func(v string) casefile.Start { return casefile.Start{Code: v} }},
		{"age", "ask_age", func(v string) casefile.Start { return casefile.Start{Age: v} }},
		{"throws", "ask_arm", func(v string) casefile.Start { return casefile.Start{Throws: v} }},
		{"level", "ask_level", func(v string) casefile.Start { return casefile.Start{Level: v} }},
		{"reference", "ask_reference", func(v string) casefile.Start { return casefile.Start{Reference: v} }},
	} {
		check := func(v string) error { return e.CheckStart(x.one(v)) }
		if given := q.c.Flags().Lookup(x.flag); given.Changed {
			err := check(given.Value.String())
			if err == nil || !q.a.typed() {
				continue // in a pipe all that is wrong is told together
			}
			q.a.prompter().Complain(err)
		}
		err := q.flag(x.flag, prompt.Question{Ask: e.Sentence(x.sentence), Open: x.flag != "code"}, check)
		if errors.Is(err, prompt.ErrLeft) && x.flag != "code" {
			break // what is left open is left open
		}
		if err != nil && !errors.Is(err, prompt.ErrLeft) {
			return err
		}
		if s.Code == "" {
			return mistake("a case file needs an athlete code: give it with --code")
		}
	}
	return nil
}
