package diag

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

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
		case Steers(r):
			return '\uFFFD'
		}
		return r
	}, s)
}

// Steers reports whether a character can move the cursor, colour what follows or
// turn its direction.
func Steers(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }

// Writer is the border to a person's terminal: whatever is written to it comes
// out with nothing that steers one. Line ends and tabs stay.
type Writer struct {
	to   io.Writer
	held []byte // the first part of a character
	json bool
}

// NewWriter returns the border before a stream.
func NewWriter(to io.Writer) *Writer { return &Writer{to: to} }

// JSON tells that JSON is written from here on: what steers a terminal can stand
// only in its strings, and keeps its meaning there as an escape.
func (w *Writer) JSON() { w.json = true }

// Write takes any part of a text.
func (w *Writer) Write(p []byte) (int, error) {
	text := append(w.held, p...)
	whole := len(text)
	for n := 1; n < utf8.UTFMax && n <= len(text); n++ {
		if tail := text[len(text)-n:]; utf8.RuneStart(tail[0]) {
			if !utf8.FullRune(tail) || tail[0] == '\r' {
				whole -= n
			}
			break
		}
	}
	w.held = append([]byte(nil), text[whole:]...)
	if err := w.pass(string(text[:whole])); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Flush passes on what is held: a text that ends in the middle of a character.
func (w *Writer) Flush() error {
	last := string(w.held)
	w.held = nil
	return w.pass(last)
}

func (w *Writer) pass(text string) error {
	if text == "" {
		return nil
	}
	var out strings.Builder
	for at, r := range text {
		switch {
		case r == '\n' || r == '\t' || r == '\r' && strings.HasPrefix(text[at+1:], "\n") || !Steers(r):
			out.WriteRune(r)
		case w.json:
			fmt.Fprintf(&out, `\u%04x`, r)
		default:
			out.WriteRune('\uFFFD')
		}
	}
	_, err := io.WriteString(w.to, out.String())
	return err
}
