package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/rule"
)

func (a *app) rulesEffective() *cobra.Command {
	c := &cobra.Command{
		Use:   "effective [HOUSE]",
		Short: "the merged rule base with the origin of every value",
		Long: "The merged rule base, value by value, with the file and line each comes from.\n" +
			"A star marks what the house says. `base:` is the fingerprint of the base's\n" +
			"entry: written into a change, it tells when that entry changes under it.",
		Example: "  rungwise rules effective house\n" +
			"  rungwise rules effective house --changed",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: folders,
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
		record := effectiveRecord{Rungwise: "effective/1", Version: e.Base().Version, Entries: []effectiveEntry{}}
		for _, x := range e.Base().Effective() {
			switch {
			case *changed && len(x.Changes) == 0:
			case a.json:
				record.Entries = append(record.Entries, recorded(x))
			default:
				a.effective(x)
			}
		}
		if a.json {
			return render.JSON(a.out, record)
		}
		return nil
	}
	return c
}

// effective prints one entry with the origin of its values.
func (a *app) effective(x rule.EffectiveEntry) {
	off, base := "", ""
	if x.Disabled {
		off = " (switched off)"
	}
	if x.Fingerprint != "" {
		base = "  base: " + x.Fingerprint
	}
	fmt.Fprintf(a.out, "%s %s%s  %s:%d%s\n", x.Concern, x.ID, off, x.Origin.Path, x.Origin.Line, base)
	for _, f := range x.Fields {
		mark := " "
		if f.House {
			mark = "*"
		}
		fmt.Fprintf(a.out, " %s%s: %s  %s:%d\n", mark, f.Key, diag.Clean(f.Text), f.Place.Path, f.Place.Line)
	}
	for _, c := range x.Changes {
		until := ""
		if !c.Until.IsZero() {
			until = ", until " + c.Until.Format("2006-01-02")
		}
		fmt.Fprintf(a.out, "  changed (%s) by %s because %s%s  %s:%d\n", c.Kind, diag.Clean(c.By), diag.Clean(c.Because), until, c.Place.Path, c.Place.Line)
	}
}

// effectiveRecord is the merged base as JSON.
type effectiveRecord struct {
	Rungwise string           `json:"rungwise"`
	Version  string           `json:"version"`
	Entries  []effectiveEntry `json:"entries"`
}

type effectiveEntry struct {
	Concern     string           `json:"concern"`
	ID          string           `json:"id"`
	At          string           `json:"at"` // file:line
	Disabled    bool             `json:"disabled"`
	Fingerprint string           `json:"base,omitempty"`
	Values      []effectiveValue `json:"values"`
	Changes     []effectiveWish  `json:"changes"`
}

type effectiveValue struct {
	Key   string `json:"key"`
	Text  string `json:"text"`
	At    string `json:"at"`
	House bool   `json:"house"`
}

type effectiveWish struct {
	Kind    string `json:"kind"`
	Because string `json:"because"`
	By      string `json:"by"`
	Until   string `json:"until,omitempty"`
	At      string `json:"at"`
}

func recorded(x rule.EffectiveEntry) effectiveEntry {
	out := effectiveEntry{Concern: x.Concern, ID: x.ID, At: where(x.Origin), Disabled: x.Disabled, Fingerprint: x.Fingerprint,
		Values: []effectiveValue{}, Changes: []effectiveWish{}}
	for _, f := range x.Fields {
		out.Values = append(out.Values, effectiveValue{f.Key, f.Text, where(f.Place), f.House})
	}
	for _, c := range x.Changes {
		w := effectiveWish{Kind: c.Kind, Because: c.Because, By: c.By, At: where(c.Place)}
		if !c.Until.IsZero() {
			w.Until = c.Until.Format("2006-01-02")
		}
		out.Changes = append(out.Changes, w)
	}
	return out
}

func where(p diag.Place) string { return fmt.Sprintf("%s:%d", p.Path, p.Line) }
