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
	cards []card
}

// A writer puts one record into a document.
type writer struct {
	document
	speaker
	r     *report.Report
	lists bool // lists in place of tables
}

func newWriter(r *report.Report, o Options) *writer {
	return &writer{document: document{title: esc(r.Case)}, speaker: newSpeaker(r, o), r: r, lists: o.width() < narrow}
}

// section begins a section under a heading of the wording, "" = none.
func (w *writer) section(id, head string, pairs ...string) {
	if head != "" {
		head = w.say(head, pairs...)
	}
	w.sections = append(w.sections, section{id: id, head: head})
}

func (w *writer) add(p part) {
	s := &w.sections[len(w.sections)-1]
	s.parts = append(s.parts, p)
}

// para adds a paragraph of the sentences that are not empty.
func (w *writer) para(sentences ...string) {
	if text := join(sentences...); text != "" {
		w.add(part{md: text})
	}
}

// says adds a paragraph of sentences of the wording.
func (w *writer) says(ids ...string) { w.para(w.all(ids)...) }

// bullets adds a list of the items that are not empty.
func (w *writer) bullets(items ...string) {
	if items = filled(items); len(items) > 0 {
		w.add(part{md: "- " + strings.Join(items, "\n- ")})
	}
}

// listed adds a section with a list, where the list has anything in it.
func (w *writer) listed(id, head string, items ...string) {
	if items = filled(items); len(items) > 0 {
		w.section(id, head)
		w.bullets(items...)
	}
}

func (w *writer) subhead(text string) { w.add(part{md: "### " + text}) }

// table adds a table, or where there is no room for one a list that says each
// row in a line: the first cell, then the others with their headings.
func (w *writer) table(heads []string, rows [][]string) {
	switch {
	case len(rows) == 0:
	case w.lists:
		var items []string
		for _, r := range rows {
			var rest []string
			for k, cell := range r[1:] {
				if cell != "" {
					rest = append(rest, strings.ToLower(heads[k+1])+" "+cell)
				}
			}
			items = append(items, bold(r[0])+": "+strings.Join(rest, ", "))
		}
		w.bullets(items...)
	default:
		w.add(part{md: tableText(heads, rows)})
	}
}

func tableText(heads []string, rows [][]string) string {
	line := func(cells []string) string { return "\n| " + strings.Join(cells, " | ") + " |" }
	text := line(heads) + "\n|" + strings.Repeat(" --- |", len(heads))
	for _, r := range rows {
		text += line(r)
	}
	return text[1:]
}

// join joins the sentences that are not empty.
func join(sentences ...string) string { return strings.Join(filled(sentences), " ") }

// filled is the texts that are not empty.
func filled(texts []string) []string {
	var out []string
	for _, s := range texts {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// markdown writes the document as Markdown. Sections with nothing in them are
// left out.
func (d document) markdown(r *report.Report, o Options) string {
	var b strings.Builder
	b.WriteString("# " + d.title + "\n")
	for _, s := range d.shown() {
		if s.head != "" {
			b.WriteString("\n## " + s.head + "\n")
		}
		for _, p := range s.parts {
			switch {
			case p.chart:
				b.WriteString("\n```\n" + TextChart(r, min(o.width(), widest)-6) + "```\n")
			case p.cards != nil:
				for _, c := range p.cards {
					b.WriteString("\n" + c.markdown() + "\n")
				}
			default:
				b.WriteString("\n" + p.md + "\n")
			}
		}
	}
	return b.String()
}

// shown is the sections with something in them.
func (d document) shown() []section {
	var out []section
	for _, s := range d.sections {
		if len(s.parts) > 0 {
			out = append(out, s)
		}
	}
	return out
}
