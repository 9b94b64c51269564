package rulebook

import (
	"bytes"
	"embed"
	"html/template"
	"strings"

	"rungwise/engine/diag"
)

//go:embed book.html
var frame embed.FS

// Markdown writes the book as Markdown.
func (b Book) Markdown() []byte {
	var w bytes.Buffer
	w.WriteString("# " + escape(b.Title) + "\n")
	for _, p := range b.Intro {
		w.WriteString("\n" + escape(p) + "\n")
	}
	for _, c := range b.Chapters {
		if len(c.Entries) == 0 {
			continue
		}
		w.WriteString("\n## " + escape(c.Title) + "\n")
		if c.Intro != "" {
			w.WriteString("\n" + escape(c.Intro) + "\n")
		}
		for _, e := range c.Entries {
			e.markdown(&w)
		}
	}
	return w.Bytes()
}

func (e Entry) markdown(w *bytes.Buffer) {
	w.WriteString("\n### " + escape(e.Title) + "\n\n`" + e.ID + "`")
	if e.Place != "" {
		w.WriteString(" (" + escape(e.Place) + ")")
	}
	w.WriteString("\n")
	for _, p := range e.Text {
		w.WriteString("\n" + escape(p) + "\n")
	}
	if len(e.Facts)+len(e.Changed) > 0 {
		w.WriteString("\n")
	}
	for _, f := range e.Facts {
		text := escape(f.Text)
		if f.Code {
			text = "`" + strings.ReplaceAll(diag.Clean(f.Text), "`", "'") + "`"
		}
		w.WriteString("- " + escape(f.Label) + ": " + text + "\n")
	}
	for _, c := range e.Changed {
		w.WriteString("- **house**: " + escape(c) + "\n")
	}
}

// escape keeps a text from being read as markup.
func escape(s string) string {
	var b strings.Builder
	for _, r := range diag.Clean(s) {
		if strings.ContainsRune("\\`*_[]<>|#", r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// HTML writes the book as one page that needs nothing else: no script, no font,
// no picture, everything escaped.
func (b Book) HTML() ([]byte, error) {
	t, err := template.New("book.html").Funcs(template.FuncMap{"clean": diag.Clean}).ParseFS(frame, "book.html")
	if err != nil {
		return nil, err
	}
	var w bytes.Buffer
	if err := t.Execute(&w, b); err != nil {
		return nil, err
	}
	return w.Bytes(), nil
}
