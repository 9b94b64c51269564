package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/ruletest"
	"rungwise/engine/source"
)

func (a *app) rulesNew() *cobra.Command {
	var s ruletest.Sign
	c := &cobra.Command{
		Use:   "new HOUSE",
		Short: "write a new sign of the house, with its examples and two cases, from a few questions or flags",
		Example: "  rungwise rules new house\n" +
			"  rungwise rules new house --id club_slow_arm --when 'stuck.arm_tempo == \"slow\"' --factor arm_tempo \\\n" +
			"      --strength weak --why 'seen in two winters' --because 'we see it often' --by 'head coach'",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: folders,
	}
	f := c.Flags()
	f.StringVar(&s.ID, "id", "", "id of the sign, such as club_slow_arm")
	f.StringVar(&s.Title, "title", "", "a few words for lists")
	f.StringVar(&s.When, "when", "", "the condition")
	f.StringVar(&s.Factor, "factor", "", "the factor it points to")
	f.StringVar(&s.Strength, "strength", "", "strong, moderate or weak")
	f.StringVar(&s.Why, "why", "", "why it points there")
	f.StringVar(&s.Because, "because", "", "why the house wants it")
	f.StringVar(&s.By, "by", "", "who decided")
	c.RunE = func(_ *cobra.Command, args []string) error { return a.newSign(args[0], s) }
	return c
}

func (a *app) newSign(dir string, s ruletest.Sign) error {
	today, err := a.today()
	if err != nil {
		return err
	}
	var house fs.FS
	if info, err := os.Stat(dir); err == nil && info.IsDir() && len(yamlIn(dir)) > 0 {
		house = os.DirFS(dir)
	}
	e, ds := engine.Open(engine.Options{Trade: a.trade, House: house, HousePath: dir, Today: today})
	if e, err = a.usable(e, ds, dir); err != nil {
		return err
	}
	if err := a.askSign(e, &s); err != nil {
		return err
	}
	text, err := e.DraftSign(s)
	if err != nil {
		return status{usage, err}
	}
	path := filepath.Join(dir, s.ID+".yaml")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return status{failed, fmt.Errorf("%s: the folder could not be made", dir)}
	}
	if err := casefile.Create(path, text); err != nil {
		return status{failed, err}
	}
	if err := a.schemaBeside(e, dir); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "wrote %s; next: `rungwise rules test %s`\n", path, dir)
	return a.check(engine.NewChecker(a.trade, true), os.DirFS(dir), dir, checkFlags{format: "text", quick: true})
}

func yamlIn(dir string) []string {
	out, _ := filepath.Glob(filepath.Join(dir, "*.y*ml")) // the pattern is a good one
	return slices.DeleteFunc(out, func(p string) bool { return !source.IsYAML(p) })
}

// signQuestions are what rules new asks, with what an answer must look like.
func signQuestions(e *engine.Engine, s *ruletest.Sign) []question {
	factors := make([]string, len(e.Base().Factors))
	for i, f := range e.Base().Factors {
		factors[i] = f.ID
	}
	return []question{
		{&s.ID, "Id of the sign, such as club_slow_arm", func(v string) string { return idFault(e, v) }},
		{&s.Title, "A few words for lists", needed},
		{&s.When, "The condition, such as best.hinge == \"holds\" and stuck.hinge == \"none\"", func(v string) string { return conditionFault(e, v) }},
		{&s.Factor, "The factor it points to (" + strings.Join(factors, ", ") + ")", among(factors)},
		{&s.Strength, "How strongly: strong, moderate or weak", among([]string{"strong", "moderate", "weak"})},
		{&s.Why, "Why does it point there?", needed},
		{&s.Because, "Why does the house want it?", needed},
		{&s.By, "Who decided?", needed},
	}
}

// question is one thing to ask; fault says what is wrong with an answer, or "".
type question struct {
	into  *string
	ask   string
	fault func(string) string
}

// askSign asks for what the flags did not say. A wrong answer is told and asked
// again; a wrong flag ends the run.
func (a *app) askSign(e *engine.Engine, s *ruletest.Sign) error {
	lines := bufio.NewScanner(a.in)
	for _, q := range signQuestions(e, s) {
		if *q.into != "" {
			if bad := q.fault(*q.into); bad != "" {
				return status{usage, errors.New(bad)}
			}
			continue
		}
		for {
			fmt.Fprintf(a.err, "%s: ", q.ask)
			if !lines.Scan() {
				fmt.Fprintln(a.err)
				return status{attention, errors.New("not all was answered, so nothing was written")}
			}
			*q.into = strings.TrimSpace(lines.Text())
			bad := q.fault(*q.into)
			if bad == "" {
				break
			}
			fmt.Fprintln(a.err, bad)
		}
	}
	return nil
}

func needed(v string) string {
	if v == "" {
		return "an answer is needed here"
	}
	return ""
}

func among(words []string) func(string) string {
	return func(v string) string {
		if slices.Contains(words, v) {
			return ""
		}
		if near, ok := diag.Nearest(v, words); ok {
			return fmt.Sprintf("there is no %q; did you mean %s?", v, near)
		}
		return fmt.Sprintf("there is no %q; choose one of: %s", v, strings.Join(words, ", "))
	}
}

var goodID = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)

func idFault(e *engine.Engine, v string) string {
	if !goodID.MatchString(v) {
		return fmt.Sprintf("an id cannot be %q: write small letters, digits and underscores", v)
	}
	if _, there := e.Base().Sign(v); there {
		return fmt.Sprintf("there is a sign %s already", v)
	}
	return ""
}

// conditionFault tells every fault of a condition as it would stand in a file.
func conditionFault(e *engine.Engine, v string) string {
	if v == "" {
		return "an answer is needed here"
	}
	var b strings.Builder
	if err := e.Condition(v).Write(&b); err != nil {
		return "the condition could not be read"
	}
	return strings.TrimRight(b.String(), "\n")
}
