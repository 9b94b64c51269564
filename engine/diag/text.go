package diag

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// mostOnALine is how many faults of one line are told before the rest are only
// counted: one slip, over and over, is one thing to mend.
const mostOnALine = 20

// Write draws the diagnostics for a person, sorted, with the line and a caret
// under the place. It returns the first error of the writer.
func (l List) Write(w io.Writer) error {
	var b strings.Builder
	sorted := l.Sorted()
	more := 0 // of the line, beyond those that are told
	for i, d := range sorted {
		first := i - mostOnALine
		if first < 0 || d.Line == 0 || !sameLine(d, sorted[first]) {
			if i > 0 {
				b.WriteString("\n")
			}
			b.WriteString(d.String())
			continue
		}
		if more++; i+1 == len(sorted) || !sameLine(d, sorted[i+1]) {
			fmt.Fprintf(&b, "   note: %d more on this line\n", more)
			more = 0
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func sameLine(a, b Diagnostic) bool { return a.Path == b.Path && a.Line == b.Line }

// String draws one diagnostic: place and headline, the line with its caret,
// why, help and notes, each on a line of its own.
func (d Diagnostic) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s  %s", d.where(), Clean(d.Headline))
	if d.Level != Error {
		fmt.Fprintf(&b, " (%s)", d.Level)
	}
	if d.Code != "" {
		fmt.Fprintf(&b, "  [%s]", d.Code)
	}
	b.WriteString("\n")
	if d.Text != "" {
		d.excerpt(&b)
	}
	line := func(label, text string) {
		if text != "" {
			fmt.Fprintf(&b, "   %s: %s\n", label, strings.ReplaceAll(Clean(text), "\n", "\n      "))
		}
	}
	line("why", d.Why)
	line("help", d.Help)
	for _, n := range d.Notes {
		line("note", n)
	}
	return b.String()
}

func (d Diagnostic) where() string {
	switch {
	case d.Line == 0:
		return d.Path + ":"
	case d.Col == 0:
		return fmt.Sprintf("%s:%d", d.Path, d.Line)
	}
	return fmt.Sprintf("%s:%d:%d", d.Path, d.Line, d.Col)
}

func (d Diagnostic) excerpt(b *strings.Builder) {
	number := fmt.Sprintf("%3d", d.Line)
	text, col := d.Excerpt()
	fmt.Fprintf(b, "%s | %s\n", number, Clean(text))
	if d.Col == 0 {
		return
	}
	width := max(1, min(d.Width, utf8.RuneCountInString(text)-col+1))
	fmt.Fprintf(b, "%s | %s%s", strings.Repeat(" ", len(number)), strings.Repeat(" ", col-1), strings.Repeat("^", width))
	if d.Under != "" {
		b.WriteString(" " + Clean(d.Under))
	}
	b.WriteString("\n")
}

// The longest line that is shown whole, and how much of a longer one stands
// before its place, in characters.
const (
	longest = 400
	lead    = 60
)

// Excerpt is the line, or of a long one the part around the place, with the
// column of the place in it.
func (p Place) Excerpt() (text string, col int) {
	if len(p.Text) <= longest {
		return p.Text, p.Col
	}
	from, after, n := 0, len(p.Text), 0
	for at := range p.Text {
		if n++; n == p.Col-lead {
			from = at
		} else if n == max(p.Col-lead, 1)+longest {
			after = at
			break
		}
	}
	text, col = p.Text[from:after], p.Col
	if from > 0 {
		text, col = "…"+text, lead+2
	}
	if after < len(p.Text) {
		text += "…"
	}
	return text, col
}
