package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
)

func (a *app) rulesCommand() *cobra.Command {
	c := &cobra.Command{Use: "rules", Short: "check, test and look through the rule base and house rules"}
	c.AddCommand(a.rulesCheck(), a.rulesTest(), a.rulesDiff(), a.rulesList(), a.rulesShow(), a.rulesEffective(),
		a.rulesNew(), a.rulesFmt(), a.rulesSchema(), a.rulesDoc())
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
