package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/engine/render"
)

func (a *app) rulesCommand() *cobra.Command {
	c := &cobra.Command{Use: "rules", Short: "check, test and look through the rule base and house rules"}
	c.AddCommand(a.rulesCheck(), a.rulesTest(), a.rulesDiff(), a.rulesList(), a.rulesShow(), a.rulesEffective(),
		a.rulesNew(), a.rulesFmt(), a.rulesSchema(), a.rulesDoc())
	return c
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
		type name struct {
			ID    string `json:"id"`
			Title string `json:"title"`
		}
		all := map[string][]name{}
		for _, l := range e.Lists() {
			for _, x := range l.Entries {
				all[l.Kind] = append(all[l.Kind], name{x.ID, x.Title})
			}
		}
		for c, i := e.Base().Catalogue, 0; i < c.Len(); i++ {
			all["facts"] = append(all["facts"], name{c.At(i).Name, c.At(i).About})
		}
		found := len(args) == 0 || slices.Contains(kinds, args[0])
		switch {
		case !found:
		case a.json && len(args) == 1:
			return render.JSON(a.out, all[args[0]])
		case a.json:
			return render.JSON(a.out, all)
		case len(args) == 1:
			for _, x := range all[args[0]] {
				fmt.Fprintf(a.out, "%-36s %s\n", x.ID, x.Title)
			}
		default:
			for _, kind := range kinds {
				fmt.Fprintf(a.out, "%s (%d)\n", kind, len(all[kind]))
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
