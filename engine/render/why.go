package render

import (
	"fmt"
	"math"
	"strings"

	"rungwise/engine/report"
)

// Why writes an explanation as Markdown: the answer, the condition drawn apart
// with the values under it, what would turn it, and where it comes from.
func Why(w *report.Why, o Options) string {
	var b strings.Builder
	title := w.Name
	if w.Title != "" && w.Title != w.Name {
		title = fmt.Sprintf("%s (%s)", w.Title, w.Name)
	}
	fmt.Fprintf(&b, "# %s\n\n%s: %s.\n", esc(title), kindOr(w.Kind), esc(w.Says))
	if w.Clause != nil {
		b.WriteString("\n```\n")
		clause(&b, *w.Clause, "")
		b.WriteString("```\n")
	}
	whyTurn(&b, w)
	for _, l := range w.Lines {
		fmt.Fprintf(&b, "\n- %s", esc(l))
	}
	if len(w.Lines) > 0 {
		b.WriteString("\n")
	}
	whyVersus(&b, w.Versus)
	whyReasons(&b, newSpeaker(&report.Report{}, o), w.Reasons)
	whyPlanned(&b, w.Planned)
	if w.Reason != "" {
		fmt.Fprintf(&b, "\nWhy: %s.\n", esc(strings.TrimSuffix(w.Reason, ".")))
	}
	for _, h := range w.House {
		fmt.Fprintf(&b, "\nHouse rules: %s.\n", esc(h))
	}
	var from []string
	if w.Source != "" {
		from = append(from, fmt.Sprintf("Source: %s.", esc(strings.TrimSuffix(w.Source, "."))))
	}
	if w.Where != "" {
		from = append(from, fmt.Sprintf("Written at %s.", esc(w.Where)))
	}
	if len(from) > 0 {
		fmt.Fprintf(&b, "\n%s\n", strings.Join(from, " "))
	}
	return b.String()
}

func kindOr(kind string) string {
	if kind == "" {
		return "answer"
	}
	return esc(kind)
}

// clause draws a condition as a tree: the outcome in front, the values of a
// comparison behind it, the deciding part marked in words.
func clause(b *strings.Builder, c report.Clause, indent string) {
	mark := ""
	if c.Decided && len(c.Parts) == 0 {
		mark = "   <- this decided"
	}
	if len(c.Parts) == 0 {
		fmt.Fprintf(b, "%s%-9s  %s%s\n", indent, c.Truth, code(c.Text), mark)
		for _, v := range c.Values {
			note := ""
			if v.Note != "" {
				note = " (" + v.Note + ")"
			}
			fmt.Fprintf(b, "%s           %s\n", indent, code(fmt.Sprintf("%s: %s%s", v.Name, v.Value, note)))
		}
		return
	}
	fmt.Fprintf(b, "%s%-9s  %s of:\n", indent, c.Truth, map[string]string{"and": "all", "or": "any", "not": "the opposite"}[c.Join])
	for _, part := range c.Parts {
		clause(b, part, indent+"  ")
	}
}

// whyTurn says what would turn a condition, and how steady it is.
func whyTurn(b *strings.Builder, w *report.Why) {
	var parts, notes []string
	for _, t := range w.Turn {
		parts = append(parts, fmt.Sprintf("%s were %s (it is %s)", t.Fact, strings.TrimSpace(t.To+" "+t.Unit), t.From))
		if t.Note != "" {
			notes = append(notes, t.Note)
		}
	}
	if len(parts) > 0 {
		fmt.Fprintf(b, "\nIt %s if %s.", esc(w.TurnInto), esc(strings.Join(parts, " and ")))
		for _, n := range notes {
			fmt.Fprintf(b, " %s.", esc(capital(n)))
		}
		b.WriteString("\n")
	}
	if w.Steady != nil {
		fmt.Fprintf(b, "\nReading its numbers again within their errors keeps this %s.\n", esc(inTen(*w.Steady)))
	}
}

// inTen tells a share of re-readings.
func inTen(share float64) string {
	switch tenths := math.Round(share * 10); {
	case share >= 0.995:
		return "practically always"
	case tenths >= 10:
		return "in more than 9 of 10"
	case tenths < 1:
		return "in less than 1 of 10"
	default:
		return fmt.Sprintf("in about %.0f of 10", tenths)
	}
}

// whyVersus says what puts one factor before another, and what speaks the other
// way.
func whyVersus(b *strings.Builder, v *report.Versus) {
	if v == nil {
		return
	}
	if v.Tied {
		fmt.Fprintf(b, "\n%s and %s are as good as tied (%s, %s).\n", esc(capital(v.FirstTitle)), esc(v.SecondTitle), esc(v.FirstRange), esc(v.SecondRange))
	} else {
		fmt.Fprintf(b, "\n%s stands before %s (as causes of their own %s against %s).\n", esc(capital(v.FirstTitle)), esc(v.SecondTitle), esc(v.FirstRange), esc(v.SecondRange))
	}
	for _, side := range []struct{ id, title string }{{v.First, v.FirstTitle}, {v.Second, v.SecondTitle}} {
		head := fmt.Sprintf("\nFor %s:\n\n", esc(side.title))
		for _, p := range v.Parts {
			if p.Helps != side.id {
				continue
			}
			b.WriteString(head)
			head = ""
			fmt.Fprintf(b, "- %s (%s)\n", esc(p.Title), esc(strings.TrimSuffix(p.Strength+", "+p.Rule, ", ")))
		}
	}
}

func whyPlanned(b *strings.Builder, lines []string) {
	if len(lines) == 0 {
		return
	}
	b.WriteString("\nIn the plan:\n\n")
	for _, l := range lines {
		fmt.Fprintf(b, "- %s\n", esc(l))
	}
}

func whyReasons(b *strings.Builder, s speaker, reasons []report.Reason) {
	for _, side := range []struct{ says, head string }{{"for", "Speaks for it"}, {"against", "Speaks against it"}} {
		first := true
		for _, r := range reasons {
			if r.Says != side.says {
				continue
			}
			if first {
				fmt.Fprintf(b, "\n%s:\n\n", side.head)
				first = false
			}
			fmt.Fprintf(b, "- %s\n", esc(fmt.Sprintf("%s (%s, %s)", s.reason(r), r.Strength, r.Rule)))
		}
	}
}
