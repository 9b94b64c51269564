package render

import (
	"strings"

	"rungwise/engine/report"
)

// A document is a title and sections; each face writes it in its own way.
type document struct {
	title    string
	sections []section
}

// A section has a heading and parts in order. Everything in it is Markdown with
// its values already escaped.
type section struct {
	id, head string
	parts    []part
}

// A part is a piece of Markdown, or a place for the ladder chart or the cards of
// drills, which each face draws in its own way.
type part struct {
	md    string
	chart bool
	cards []report.Drill
}

// builder collects a document for readers of one width.
type builder struct {
	document
	lists bool // lists in place of tables
}

func (b *builder) section(id, head string) {
	b.sections = append(b.sections, section{id: id, head: head})
}

func (b *builder) add(p part) {
	s := &b.sections[len(b.sections)-1]
	s.parts = append(s.parts, p)
}

// para adds a paragraph of the sentences that are not empty.
func (b *builder) para(sentences ...string) {
	if text := join(sentences...); text != "" {
		b.add(part{md: text})
	}
}

// bullets adds a list of the items that are not empty.
func (b *builder) bullets(items ...string) {
	var lines []string
	for _, i := range items {
		if i != "" {
			lines = append(lines, "- "+i)
		}
	}
	if len(lines) > 0 {
		b.add(part{md: strings.Join(lines, "\n")})
	}
}

func (b *builder) subhead(text string) { b.add(part{md: "### " + text}) }

// table adds a table, or where there is no room for one a list that says each
// row in a line: the first cell, then the others with their headings.
func (b *builder) table(heads []string, rows [][]string) {
	switch {
	case len(rows) == 0:
	case b.lists:
		b.bullets(rowsAsItems(heads, rows)...)
	default:
		b.add(part{md: tableText(heads, rows)})
	}
}

func tableText(heads []string, rows [][]string) string {
	var t strings.Builder
	line := func(cells []string) { t.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	line(heads)
	line(slicesOf("---", len(heads)))
	for _, r := range rows {
		line(r)
	}
	return strings.TrimSuffix(t.String(), "\n")
}

func slicesOf(s string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = s
	}
	return out
}

func rowsAsItems(heads []string, rows [][]string) []string {
	items := make([]string, len(rows))
	for i, r := range rows {
		var rest []string
		for k := 1; k < len(r); k++ {
			if r[k] != "" {
				rest = append(rest, strings.ToLower(heads[k])+" "+r[k])
			}
		}
		items[i] = "**" + r[0] + "**: " + strings.Join(rest, ", ")
	}
	return items
}

// join joins the sentences that are not empty.
func join(sentences ...string) string {
	var out []string
	for _, s := range sentences {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, " ")
}

// markdown writes the document as Markdown. Sections with nothing in them are
// left out.
func (d document) markdown(r *report.Report, o Options) string {
	var b strings.Builder
	b.WriteString("# " + d.title + "\n")
	for _, s := range d.filled() {
		if s.head != "" {
			b.WriteString("\n## " + s.head + "\n")
		}
		for _, p := range s.parts {
			switch {
			case p.chart:
				b.WriteString("\n```\n" + TextChart(r, min(o.width(), widest)-6) + "```\n")
			case p.cards != nil:
				for _, c := range p.cards {
					b.WriteString("\n" + drillText(c) + "\n")
				}
			default:
				b.WriteString("\n" + p.md + "\n")
			}
		}
	}
	return b.String()
}

func (d document) filled() []section {
	var out []section
	for _, s := range d.sections {
		if len(s.parts) > 0 {
			out = append(out, s)
		}
	}
	return out
}
