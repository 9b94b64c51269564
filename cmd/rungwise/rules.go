package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/rulebook"
	"rungwise/engine/ruletest"
)

func (a *app) rulesCommand() *cobra.Command {
	c := &cobra.Command{Use: "rules", Short: "check, test and look through the rule base and house rules"}
	c.AddCommand(a.rulesCheck(), a.rulesTest(), a.rulesDiff(), a.rulesList(), a.rulesShow(), a.rulesEffective(),
		a.rulesNew(), a.rulesFmt(), a.rulesSchema(), a.rulesDoc())
	return c
}

func (a *app) rulesList() *cobra.Command {
	kinds := []string{"factors", "signs", "throws", "drills", "gates", "cautions", "limits", "sources", "facts"}
	c := &cobra.Command{Use: "list [KIND]", Args: cobra.MaximumNArgs(1), ValidArgs: kinds}
	c.RunE = a.withRules(func(e *engine.Engine, args []string) error {
		all := map[string][]report.Name{}
		lists := report.Kinds{}
		for _, n := range e.AllNames() {
			if len(args) == 1 && n.Kind == args[0] {
				return a.show(shown{record: n.List, lines: n})
			}
			all[n.Kind] = n.List
			lists.Kinds = append(lists.Kinds, n)
		}
		if len(args) == 0 {
			return a.show(shown{record: all, lines: lists})
		}
		near, _ := diag.Nearest(args[0], kinds)
		return mistake("there is no list of %s; did you mean %s?", args[0], cmp.Or(near, kinds[0]))
	})
	return a.prints(c, shown{record: []report.Name{}})
}

func (a *app) rulesShow() *cobra.Command {
	c := &cobra.Command{Use: "show NAME", Args: cobra.ExactArgs(1)}
	c.RunE = func(_ *cobra.Command, args []string) error { return a.effective(nil, args[0], false) }
	return a.prints(c, shown{record: (*report.Effective)(nil)})
}

func (a *app) rulesEffective() *cobra.Command {
	c := onFolder(&cobra.Command{Use: "effective [HOUSE]", Args: cobra.MaximumNArgs(1)})
	changed := c.Flags().Bool("changed", false, "")
	c.RunE = func(_ *cobra.Command, args []string) error { return a.effective(args, "", *changed) }
	return a.prints(c, shown{record: (*report.Effective)(nil)})
}

// effective shows entries of the merged base.
func (a *app) effective(house []string, name string, changed bool) error {
	e, err := a.openHouse(house, false)
	if err != nil {
		return err
	}
	r, err := e.Effective(name, changed)
	if err != nil {
		return err
	}
	return a.show(shown{record: r})
}

func (a *app) rulesSchema() *cobra.Command {
	c := &cobra.Command{
		Use:       "schema [case|house]",
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: []string{"case", "house"},
	}
	var out string
	declare(c.Flags().StringVar, map[string]*string{"out": &out})
	c.RunE = a.withRules(func(e *engine.Engine, args []string) error {
		if out != "" {
			if err := e.WriteSchema(filepath.Join(out, ruletest.CaseSchema), "case"); err != nil {
				return err
			}
			return e.WriteSchema(filepath.Join(out, ruletest.HouseSchema), "house")
		}
		if len(args) == 0 || !slices.Contains(c.ValidArgs, args[0]) {
			return mistake("say which schema: `rungwise rules schema case` or `rungwise rules schema house`")
		}
		text, err := e.Schema(args[0])
		if err == nil {
			_, err = a.out.Write(text)
		}
		return err
	})
	return c
}

func (a *app) rulesDoc() *cobra.Command {
	var out string
	c := onFolder(&cobra.Command{Use: "doc [HOUSE]", Args: cobra.MaximumNArgs(1)})
	a.spelled(c.Flags(), "html")
	declare(c.Flags().StringVar, map[string]*string{"out": &out})
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.openHouse(args, false)
		if err != nil {
			return err
		}
		book := e.Book()
		s := shown{record: book}
		if out == "" {
			return a.show(s)
		}
		var text strings.Builder
		if err := a.showOn(&text, s); err != nil {
			return err
		}
		if err := os.WriteFile(out, []byte(text.String()), 0o644); err != nil {
			return fmt.Errorf("%s: could not be written", out)
		}
		a.say("wrote %s", out)
		return nil
	}
	return a.prints(c, shown{record: rulebook.Book{}})
}

func (a *app) rulesFmt() *cobra.Command {
	c := &cobra.Command{Use: "fmt PATH...", Args: cobra.MinimumNArgs(1)}
	list := c.Flags().Bool("list", false, "")
	c.RunE = func(_ *cobra.Command, args []string) error {
		set, bad, err := engine.SetSpacing(args, *list)
		if told := bad.Write(a.err); err == nil {
			err = told
		}
		if err == nil {
			err = a.show(shown{record: set})
		}
		if err == nil && (len(bad) > 0 || *list && len(set.Files) > 0) {
			err = seen()
		}
		return err
	}
	return a.prints(c, shown{record: report.Written{}})
}
