package render

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	east "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"rungwise/engine/report"
)

// A page is what the template writes. HTML in it comes from our own Markdown and
// drawing alone.
type page struct {
	Title    template.HTML // the text of the heading, escaped
	CSS      template.CSS
	Coach    bool
	Links    []link
	Sections []pageSection
}

// A link jumps to a section.
type link struct {
	To   string
	Text template.HTML
}

type pageSection struct {
	ID, Class string
	Head      template.HTML
	Parts     []pagePart
}

type pagePart struct {
	HTML  template.HTML
	Chart template.HTML
	Cards []card
}

// HTML writes one self-contained page, for the athlete or for the coach: no
// script, nothing fetched, readable at 390 pixels and on paper. The error tells
// of a fault in the package's own templates.
func HTML(r *report.Report, o Options) ([]byte, error) {
	o.Width = 0 // a page is laid out by its reader
	d := planDocument(r, o)
	if o.Page == CoachPage {
		d = coachDocument(r, o)
	}
	p, err := newPage(d, r, o)
	if err != nil {
		return nil, fmt.Errorf("the page cannot be made: %w", err)
	}
	t, err := template.New("page.html").ParseFS(files, "page.html")
	if err != nil {
		return nil, fmt.Errorf("the page cannot be made: %w", err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return nil, fmt.Errorf("the page cannot be made: %w", err)
	}
	return b.Bytes(), nil
}

func newPage(d document, r *report.Report, o Options) (page, error) {
	css, err := files.ReadFile("page.css")
	if err != nil {
		return page{}, err
	}
	m := newMarkdown()
	p := page{CSS: template.CSS(css), Coach: o.Page == CoachPage, Title: m.inline(d.title)}
	for _, s := range d.shown() {
		ps := pageSection{ID: s.id, Class: looks[s.id], Head: m.inline(s.head)}
		week := strings.HasPrefix(s.id, "week_")
		if week {
			ps.Class = "week"
		}
		for _, part := range s.parts {
			ps.Parts = append(ps.Parts, m.part(part, r, o))
		}
		p.Sections = append(p.Sections, ps)
		if s.head != "" && (week || slices.Contains(linked, s.id)) {
			p.Links = append(p.Links, link{To: s.id, Text: ps.Head})
		}
	}
	return p, m.err
}

// looks are the sections that look otherwise than the rest; every week has the
// look of a week.
var looks = map[string]string{"stop": "stop", "health": "stop", "before_anything_else": "stop", "gate_stop": "stop",
	"before": "check", "sources": "small", "limits": "small", "assumed": "small", "cautions": "small"}

// linked are the sections that are looked for again and again, weeks apart.
var linked = []string{"stop", "drills", "throws", "tests", "film", "ladder", "factors", "next", "plan", "limits"}

// markdown turns our Markdown into HTML and keeps the first error.
type markdown struct {
	goldmark.Markdown
	err error
}

func newMarkdown() *markdown {
	return &markdown{Markdown: goldmark.New(goldmark.WithExtensions(extension.Table),
		goldmark.WithParserOptions(parser.WithASTTransformers(util.Prioritized(cells{}, 900))))}
}

func (m *markdown) html(md string) template.HTML {
	var b bytes.Buffer
	if err := m.Convert([]byte(md), &b); err != nil && m.err == nil {
		m.err = err
	}
	return template.HTML(b.String())
}

// inline is one line of Markdown without its paragraph.
func (m *markdown) inline(md string) template.HTML {
	text := strings.TrimSpace(string(m.html(md)))
	return template.HTML(strings.TrimSuffix(strings.TrimPrefix(text, "<p>"), "</p>"))
}

func (m *markdown) part(p part, r *report.Report, o Options) pagePart {
	switch {
	case p.chart:
		return pagePart{Chart: template.HTML(SVG(r, o))}
	case p.cards != nil:
		return pagePart{Cards: p.cards}
	}
	return pagePart{HTML: m.html(p.md)}
}

// cells puts the heading of its column on each cell of a table, so that a row
// can stand as a card on a phone, and the first heading on the table, so that
// the card can have a shape.
type cells struct{}

// Transform is called by the Markdown library once a text is parsed.
func (cells) Transform(doc *ast.Document, reader text.Reader, _ parser.Context) {
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		table, ok := n.(*east.Table)
		if !ok || !entering {
			return ast.WalkContinue, nil
		}
		var heads []string
		for row := table.FirstChild(); row != nil; row = row.NextSibling() {
			i := 0
			for cell := row.FirstChild(); cell != nil; cell = cell.NextSibling() {
				if row.Kind() == east.KindTableHeader {
					heads = append(heads, string(cell.Lines().Value(reader.Source())))
				} else if i < len(heads) {
					cell.SetAttributeString("data-h", []byte(heads[i]))
				}
				i++
			}
		}
		if len(heads) > 0 {
			table.SetAttributeString("class", []byte("by_"+strings.ReplaceAll(strings.ToLower(heads[0]), " ", "_")))
		}
		return ast.WalkSkipChildren, nil
	})
}
