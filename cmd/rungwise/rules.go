package main

import (
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
)

func (a *app) rulesCommand() *cobra.Command {
	c := &cobra.Command{Use: "rules", Short: "check, test and look through the rule base and house rules"}
	c.AddCommand(a.rulesCheck(), a.rulesTest(), a.rulesList(), a.rulesShow(), a.rulesEffective())
	return c
}

// houseOf is the folder of an argument, else that of the flags.
func (a *app) houseOf(args []string) (fs.FS, string, error) {
	if len(args) == 0 {
		return a.houseFS("")
	}
	if info, err := os.Stat(args[0]); err != nil || !info.IsDir() {
		return nil, "", status{failed, fmt.Errorf("%s: there is no such folder of house rules", args[0])}
	}
	return os.DirFS(args[0]), args[0], nil
}

func (a *app) rulesCheck() *cobra.Command {
	c := &cobra.Command{
		Use:   "check [HOUSE]",
		Short: "every fault of the rules, each at its place",
		Args:  cobra.MaximumNArgs(1),
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		house, path, err := a.houseOf(args)
		if err != nil {
			return err
		}
		today, err := a.today()
		if err != nil {
			return err
		}
		base, ds := engine.CheckRules(house, path, today)
		return a.checked(base, ds)
	}
	return c
}

// checked prints what a check found and what was checked.
func (a *app) checked(base *rule.Base, ds diag.List) error {
	if err := ds.Write(a.out); err != nil {
		return status{failed, err}
	}
	if len(ds) > 0 {
		fmt.Fprintf(a.out, "\n%s\n", tally(ds))
	}
	if ds.Errors() > 0 {
		return status{attention, nil}
	}
	house := ""
	if base.House != "" {
		house = fmt.Sprintf(", with %d changes of %s", len(base.Changes), base.House)
	}
	fmt.Fprintf(a.out, "rule base %s (%s): %d factors, %d signs, %d throws, %d drills, %d gates, %d cautions%s: no faults\n",
		base.Version, base.Hash, len(base.Factors), len(base.Signs), len(base.Throws), len(base.Drills), len(base.Gates), len(base.Cautions), house)
	return nil
}

// tally counts diagnostics in words.
func tally(ds diag.List) string {
	n := ds.Errors()
	parts := []string{fmt.Sprintf("%d fault%s", n, plural(n))}
	if w := len(ds) - n; w > 0 {
		parts = append(parts, fmt.Sprintf("%d warning%s", w, plural(w)))
	}
	return strings.Join(parts, ", ")
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

func (a *app) rulesTest() *cobra.Command {
	c := &cobra.Command{
		Use:   "test [HOUSE]",
		Short: "run the examples and cases that stand beside the rules",
		Args:  cobra.MaximumNArgs(1),
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			a.house = args[0]
		}
		e, err := a.openWith("", true)
		if err != nil {
			return err
		}
		t := e.TestRules()
		for _, f := range t.BadExamples {
			fmt.Fprintln(a.out, f.Diagnostic.String())
		}
		for _, f := range t.BadCases {
			for _, line := range f.Lines {
				fmt.Fprintf(a.out, "%s:%d  %s: %s\n", f.Case.Origin.Path, f.Case.Origin.Line, f.Case.ID, line)
			}
		}
		bad := len(t.BadExamples) + len(t.BadCases)
		fmt.Fprintf(a.out, "%d examples and %d cases, %d not as they say\n", t.Examples, t.Cases, bad)
		if t.Failed() {
			return status{attention, nil}
		}
		return nil
	}
	return c
}

// lists are what rules list and rules show know, by the name a coach types.
func lists(b *rule.Base) []struct {
	name    string
	entries []rule.Entry
} {
	type list = struct {
		name    string
		entries []rule.Entry
	}
	return []list{
		{"factors", entries(b.Factors, func(x rule.Factor) rule.Entry { return x.Entry })},
		{"signs", entries(b.Signs, func(x rule.Sign) rule.Entry { return x.Entry })},
		{"throws", entries(b.Throws, func(x rule.Throw) rule.Entry { return x.Entry })},
		{"drills", entries(b.Drills, func(x rule.Drill) rule.Entry { return x.Entry })},
		{"gates", entries(b.Gates, func(x rule.Gate) rule.Entry { return x.Entry })},
		{"cautions", entries(b.Cautions, func(x rule.Caution) rule.Entry { return x.Entry })},
		{"limits", append(entries(b.Limits, func(x rule.Number) rule.Entry { return x.Entry }),
			entries(b.ByAge, func(x rule.AgeNumber) rule.Entry { return x.Entry })...)},
		{"sources", entries(b.Sources, func(x rule.Citation) rule.Entry { return x.Entry })},
	}
}

func entries[T any](list []T, of func(T) rule.Entry) []rule.Entry {
	out := make([]rule.Entry, len(list))
	for i, x := range list {
		out[i] = of(x)
	}
	return out
}

func (a *app) rulesList() *cobra.Command {
	kinds := []string{"factors", "signs", "throws", "drills", "gates", "cautions", "limits", "sources", "facts"}
	c := &cobra.Command{
		Use:       "list [KIND]",
		Short:     "the names in the rule base: " + strings.Join(kinds, ", "),
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: kinds,
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open("")
		if err != nil {
			return err
		}
		b := e.Base()
		if len(args) == 1 && args[0] == "facts" {
			for i := range b.Catalogue.Len() {
				f := b.Catalogue.At(i)
				fmt.Fprintf(a.out, "%-36s %s\n", f.Name, f.About)
			}
			return nil
		}
		found := len(args) == 0
		for _, l := range lists(b) {
			if len(args) == 1 && args[0] != l.name {
				continue
			}
			found = true
			if len(args) == 0 {
				fmt.Fprintf(a.out, "%s (%d)\n", l.name, len(l.entries))
				continue
			}
			for _, x := range l.entries {
				fmt.Fprintf(a.out, "%-36s %s\n", x.ID, x.Title)
			}
		}
		if !found {
			near, _ := diag.Nearest(args[0], kinds)
			return status{usage, fmt.Errorf("there is no list of %s; did you mean %s?", args[0], orOne(near, kinds[0]))}
		}
		return nil
	}
	return c
}

func orOne(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func (a *app) rulesShow() *cobra.Command {
	c := &cobra.Command{
		Use:   "show NAME",
		Short: "one entry of the merged rule base, with where each value comes from",
		Args:  cobra.ExactArgs(1),
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open("")
		if err != nil {
			return err
		}
		found := false
		for _, x := range e.Base().Effective() {
			if x.ID == args[0] {
				a.effective(x)
				found = true
			}
		}
		if !found {
			near, _ := diag.Nearest(args[0], e.Names())
			return status{usage, &engine.Unnamed{Name: args[0], Near: near}}
		}
		return nil
	}
	return c
}

func (a *app) rulesEffective() *cobra.Command {
	c := &cobra.Command{
		Use:   "effective [HOUSE]",
		Short: "the merged rule base with the origin of every value",
		Args:  cobra.MaximumNArgs(1),
	}
	changed := c.Flags().Bool("changed", false, "only what the house changed")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			a.house = args[0]
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		for _, x := range e.Base().Effective() {
			if !*changed || len(x.Changes) > 0 {
				a.effective(x)
			}
		}
		return nil
	}
	return c
}

// effective prints one entry with the origin of its values.
func (a *app) effective(x rule.EffectiveEntry) {
	off := ""
	if x.Disabled {
		off = " (switched off)"
	}
	fmt.Fprintf(a.out, "%s %s%s  %s:%d\n", x.Concern, x.ID, off, x.Origin.Path, x.Origin.Line)
	for _, f := range x.Fields {
		fmt.Fprintf(a.out, "  %s: %s  %s:%d\n", f.Key, diag.Clean(f.Text), f.Place.Path, f.Place.Line)
	}
	for _, c := range x.Changes {
		fmt.Fprintf(a.out, "  changed (%s) by %s because %s\n", c.Kind, c.By, c.Because)
	}
}
