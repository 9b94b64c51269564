package main

import (
	"errors"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/prompt"
	"rungwise/engine/ruletest"
)

func (a *app) rulesNew() *cobra.Command {
	var s ruletest.Sign
	c := onFolder(&cobra.Command{Use: "new HOUSE", Args: cobra.ExactArgs(1)})
	declare(c.Flags().StringVar, map[string]*string{
		"id": &s.ID, "title": &s.Title, "when": &s.When, "factor": &s.Factor, "strength": &s.Strength,
		"why": &s.Why, "because": &s.Because, "by": &s.By,
	})
	c.RunE = func(c *cobra.Command, args []string) error { return a.newSign(c, args[0], &s) }
	return a.prints(c, shown{record: engine.Checked{}})
}

func (a *app) newSign(c *cobra.Command, dir string, s *ruletest.Sign) error {
	today, err := a.today()
	if err != nil {
		return err
	}
	e, ds := engine.OpenNew(a.trade, dir, today)
	if e, err = told(a, e, ds, dir+": these rules have faults, so nothing can be compared with them"); err != nil {
		return err
	}
	q := &asker{a: a, c: c}
	if err := q.sign(e); err != nil {
		return q.lost(err, dir, "not all was answered, so nothing was written")
	}
	path, err := e.WriteSign(dir, *s)
	if err != nil {
		return q.lost(err, dir, "nothing was written")
	}
	a.say("wrote %s; next: `rungwise rules test %s`", path, dir)
	return a.check(engine.NewChecker(a.trade, true), os.DirFS(dir), dir, checkFlags{quick: true})
}

// sign asks for what the flags did not say. A wrong answer is told and asked
// again, and so is a wrong flag at a terminal; else all that is wrong is told.
func (q *asker) sign(e *engine.Engine) error {
	q.again = true
	var wrong []error
	for _, part := range []string{"id", "title", "when", "factor", "strength", "why", "because", "by"} {
		if given := q.c.Flags().Lookup(part); given.Changed {
			err := e.CheckSign(part, given.Value.String())
			if err == nil {
				continue
			}
			if !q.a.typed() {
				wrong = append(wrong, err)
				continue
			}
			q.a.prompter().Complain(err)
		}
		if len(wrong) > 0 {
			continue // there is no use in asking
		}
		ask := e.Sentence("sign_" + part)
		if part == "factor" {
			ask += " (" + strings.Join(e.SignFactors(), ", ") + ")"
		}
		if err := q.flag(part, prompt.Question{Ask: ask}, func(v string) error { return e.CheckSign(part, v) }); err != nil {
			return err
		}
	}
	return errors.Join(wrong...)
}
