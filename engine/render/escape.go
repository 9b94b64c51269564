package render

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"rungwise/engine/diag"
)

// plain is a value as one line of text: blanks and line ends joined, control
// and direction characters replaced.
func plain(s string) string { return diag.Clean(strings.Join(strings.Fields(s), " ")) }

// esc writes a value so that Markdown shows it as it stands, wherever it is put:
// in a sentence, at the start of a line, in a cell. The Markdown library has no
// such function. Only what could mean something is escaped, so that the text
// stays readable where nobody renders it.
func esc(s string) string {
	s = plain(s)
	var b strings.Builder
	lead := leading(s)
	for i, c := range s {
		if i == lead || special(s[:i], c, s[i+utf8.RuneLen(c):]) {
			b.WriteByte('\\')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// special reports whether a character may mean something in the middle of a
// line. An underscore inside a word never does.
func special(before string, c rune, after string) bool {
	next, _ := utf8.DecodeRuneInString(after)
	switch c {
	case '\\', '`', '*', '[', ']', '<', '|', '~', '@', '#', '^':
		return true
	case '_':
		last, _ := utf8.DecodeLastRuneInString(before)
		return !word(last) || !word(next)
	case '&':
		return next == '#' || unicode.IsLetter(next)
	case ':': // bare addresses are made into links by some readers
		return next == '/'
	case '.':
		return len(before) > 2 && strings.EqualFold(before[len(before)-3:], "www")
	}
	return false
}

func word(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) }

// leading is the place of the character that would make a list, a quote, a
// heading underline or a definition of the whole line, or -1.
func leading(s string) int {
	if s == "" {
		return -1
	}
	if strings.ContainsRune("-+=>:", rune(s[0])) {
		return 0
	}
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	if digits > 0 && digits < len(s) && (s[digits] == '.' || s[digits] == ')') && (digits+1 == len(s) || s[digits+1] == ' ') {
		return digits
	}
	return -1
}

// code is a value for a block of fixed text: nothing in it can end the block.
func code(s string) string { return strings.ReplaceAll(plain(s), "`", "'") }
