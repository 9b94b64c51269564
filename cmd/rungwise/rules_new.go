package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/prompt"
	"rungwise/engine/ruletest"
	"rungwise/engine/source"
)

func (a *app) rulesNew() *cobra.Command {
	var s ruletest.Sign
	c := onFolder(&cobra.Command{Use: "new HOUSE", Args: cobra.ExactArgs(1)})
	f := c.Flags()
	declare(f.StringVar, map[string]*string{
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
	var house fs.FS
	if isFolder(dir) && len(yamlIn(dir)) > 0 {
		house = os.DirFS(dir)
	}
	e, ds := engine.Open(engine.Options{House: house, HousePath: dir, Today: today})
	if e, err = told(a, e, ds, dir+": these rules have faults, so nothing can be compared with them"); err != nil {
		return err
	}
	q := &asker{a: a, c: c}
	if err := q.sign(e); err != nil {
		return q.lost(err, dir, "not all was answered, so nothing was written")
	}
	if s.Factor, err = e.Named("factors", s.Factor); err != nil {
		return err // it was checked a moment ago
	}
	text, err := e.DraftSign(*s)
	if err != nil {
		return q.lost(status{usage, err}, dir, "")
	}
	path := filepath.Join(dir, s.ID+".yaml")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("%s: the folder could not be made", dir)
	}
	if err := casefile.Create(path, text); err != nil {
		return err
	}
	schema := filepath.Join(dir, ruletest.HouseSchema)
	if _, err := os.Stat(schema); err != nil {
		if err := a.schema(e, schema, "house"); err != nil {
			return err
		}
	}
	a.say("wrote %s; next: `rungwise rules test %s`", path, dir)
	return a.check(engine.NewChecker(true), os.DirFS(dir), dir, checkFlags{quick: true})
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

// yamlIn lists the files of rules in a folder.
func yamlIn(dir string) []string {
	out, _ := filepath.Glob(filepath.Join(dir, "*.y*ml")) // the pattern is a good one
	return slices.DeleteFunc(out, func(p string) bool { return !source.IsYAML(p) })
}
