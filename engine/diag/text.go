package diag

import (
	"fmt"
	"io"
	"strings"
	"unicode"
)

// Write draws the diagnostics for a person, sorted, with the line and a caret
// under the place. It returns the first error of the writer.
func (l List) Write(w io.Writer) error {
	for i, d := range l.Sorted() {
		if i > 0 {
			if _, err := io.WriteString(w, "\n"); err != nil {
				return err
			}
		}
		if _, err := io.WriteString(w, d.String()); err != nil {
			return err
		}
	}
	return nil
}

// String draws one diagnostic: place and headline, the line with its caret,
// why, help and notes, each on a line of its own.
func (d Diagnostic) String() string {
	var b strings.Builder
	b.WriteString(d.where())
	b.WriteString("  ")
	b.WriteString(Clean(d.Headline))
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
	fmt.Fprintf(b, "%s | %s\n", number, Clean(d.Text))
	if d.Col == 0 {
		return
	}
	width := max(1, min(d.Width, len([]rune(d.Text))-d.Col+1))
	fmt.Fprintf(b, "%s | %s%s", strings.Repeat(" ", len(number)), strings.Repeat(" ", d.Col-1), strings.Repeat("^", width))
	if d.Under != "" {
		b.WriteString(" " + Clean(d.Under))
	}
	b.WriteString("\n")
}

// Clean replaces control and direction characters, so that no file can steer
// the terminal or reorder a message; line ends stay, tabs become one space so
// that carets stay under their place.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return '\uFFFD'
		}
		return r
	}, s)
}
