package render

import (
	"fmt"
	"strings"

	"rungwise/engine/report"
)

// Why writes an explanation as Markdown: the answer, the condition drawn apart
// with the values under it, what would turn it, and where it comes from.
func Why(w *report.Why) string {
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
	if len(w.Turn) > 0 {
		var parts []string
		for _, t := range w.Turn {
			parts = append(parts, fmt.Sprintf("%s were %s (it is %s)", t.Fact, t.To, t.From))
		}
		fmt.Fprintf(&b, "\nIt %s if %s.\n", esc(w.TurnInto), esc(strings.Join(parts, " and ")))
	}
	for _, l := range w.Lines {
		fmt.Fprintf(&b, "\n- %s", esc(l))
	}
	if len(w.Lines) > 0 {
		b.WriteString("\n")
	}
	whyReasons(&b, w.Reasons)
	if w.Reason != "" {
		fmt.Fprintf(&b, "\nWhy: %s.\n", esc(strings.TrimSuffix(w.Reason, ".")))
	}
	for _, h := range w.House {
		fmt.Fprintf(&b, "\nHouse rules: %s.\n", esc(h))
	}
	if w.Source != "" {
		fmt.Fprintf(&b, "\nSource: %s.", esc(strings.TrimSuffix(w.Source, ".")))
	}
	if w.Where != "" {
		fmt.Fprintf(&b, " Written at %s.", esc(w.Where))
	}
	if w.Source != "" || w.Where != "" {
		b.WriteString("\n")
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
		var values []string
		for _, v := range c.Values {
			values = append(values, fmt.Sprintf("%s: %s", v.Name, v.Value))
		}
		fmt.Fprintf(b, "%s%-9s  %s%s\n", indent, c.Truth, code(c.Text), mark)
		if len(values) > 0 {
			fmt.Fprintf(b, "%s           %s\n", indent, code(strings.Join(values, ", ")))
		}
		return
	}
	fmt.Fprintf(b, "%s%-9s  %s of:\n", indent, c.Truth, map[string]string{"and": "all", "or": "any", "not": "the opposite"}[c.Join])
	for _, part := range c.Parts {
		clause(b, part, indent+"  ")
	}
}

func whyReasons(b *strings.Builder, reasons []report.Reason) {
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
			fmt.Fprintf(b, "- %s (%s, %s): %s\n", esc(r.Title), esc(r.Strength), esc(r.Rule), esc(r.Why))
		}
	}
}
