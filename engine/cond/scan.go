package cond

import (
	"slices"
	"strings"
	"unicode"
)

// span is a stretch of a condition's text in runes, from inclusive to to
// exclusive.
type span struct{ from, to int }

// kind is what a mark of the text is.
type kind uint8

const (
	name   kind = iota // a fact, a function, or one of the small words
	number             // digits, perhaps with a point
	text               // in quotes
	sign               // an operator or a separator
	open
	shut
	odd // a character with no meaning in a condition
)

// mark is one mark of a condition's text. It is read with more patience than
// the parser has, so that a slip can be named instead of refused.
type mark struct {
	span
	kind  kind
	text  string // as written; of a text, what stands between the quotes
	curly bool   // a text in typographic quotes
	torn  bool   // a text whose closing quote is missing
}

// scan splits the text into marks, whatever it holds.
func scan(runes []rune) []mark {
	var out []mark
	for at := 0; at < len(runes); {
		if unicode.IsSpace(runes[at]) {
			at++
			continue
		}
		m := first(runes[at:])
		m.from, m.to = at, at+m.to
		at = m.to
		out = append(out, m)
	}
	return out
}

// long are the signs of more than one character, and slips for them.
var long = [...]string{"===", "!==", "==", "!=", "<=", ">=", "=>", "=<", "=!", "<>", "><", "&&", "||", "??", "?.", "::", "..", "**", "//", "/*"}

// first reads the mark at the start of what is left.
func first(rest []rune) mark {
	r, ends := rest[0], closing[rest[0]]
	switch {
	case isLetter(r):
		return taken(name, rest, wordEnd(rest))
	case isDigit(r) || r == '.' && len(rest) > 1 && isDigit(rest[1]):
		return taken(number, rest, numberEnd(rest))
	case ends != "":
		return quoted(rest, ends)
	case strings.ContainsRune("([{", r):
		return taken(open, rest, 1)
	case strings.ContainsRune(")]}", r):
		return taken(shut, rest, 1)
	case !strings.ContainsRune("=!<>&|+-*/,;:?.%^#", r):
		return taken(odd, rest, 1)
	}
	ahead := string(rest[:min(3, len(rest))])
	for _, l := range long {
		if strings.HasPrefix(ahead, l) {
			return taken(sign, rest, len(l))
		}
	}
	return taken(sign, rest, 1)
}

func taken(k kind, rest []rune, n int) mark {
	return mark{span: span{0, n}, kind: k, text: string(rest[:n])}
}

// wordEnd ends words that are joined by single dots.
func wordEnd(rest []rune) int {
	for i, r := range rest {
		dot := r == '.' && i+1 < len(rest) && isLetter(rest[i+1])
		if !isLetter(r) && !isDigit(r) && !dot {
			return i
		}
	}
	return len(rest)
}

// numberEnd ends a number; two dots after it are a range and not part of it.
func numberEnd(rest []rune) int {
	point := false
	for i, r := range rest {
		dot := r == '.' && !point && i+1 < len(rest) && isDigit(rest[i+1])
		if !isDigit(r) && !dot {
			return i
		}
		point = point || dot
	}
	return len(rest)
}

// closing are the quotes that close each quote.
var closing = map[rune]string{'"': `"`, '\'': `'`, '“': `”“"`, '”': `”“"`, '„': `”“"`, '‘': `’“"`, '’': `’“"`, '‚': `’“"`, '«': `»“"`}

// quoted reads a text up to its closing quote, or to the end of the line when
// there is none.
func quoted(rest []rune, ends string) mark {
	m := mark{kind: text, curly: len(ends) > 1}
	for i := 1; i < len(rest) && rest[i] != '\n'; i++ {
		switch {
		case rest[i] == '\\' && !m.curly:
			i++
		case strings.ContainsRune(ends, rest[i]):
			m.to, m.text = i+1, string(rest[1:i])
			return m
		}
	}
	m.torn, m.to = true, len(rest)
	if i := slices.Index(rest, '\n'); i >= 0 {
		m.to = i
	}
	m.text = string(rest[1:m.to])
	return m
}

func isLetter(r rune) bool { return r == '_' || r == '$' || unicode.IsLetter(r) }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func (m mark) is(k kind, texts ...string) bool {
	return m.kind == k && (len(texts) == 0 || slices.Contains(texts, m.text))
}

// small lists the words that join and compare.
func (m mark) small() bool { return m.is(name, "and", "or", "not", "in") }

// value reports whether the mark can stand on one side of a comparison.
func (m mark) value() bool {
	return m.is(name) && !m.small() || m.is(number) || m.is(text)
}

// balance widens a stretch until every bracket that opens in it closes in it,
// because the parser gives the place of an operator and not of the brackets
// around its sides.
func balance(marks []mark, s span) span {
	first := slices.IndexFunc(marks, func(m mark) bool { return m.from >= s.from })
	last := first
	left, right := 0, 0
	for i := first; i >= 0 && i < len(marks) && marks[i].to <= s.to; i++ {
		last = i
		switch m := marks[i]; {
		case m.kind == open:
			right++
		case m.kind == shut && right > 0:
			right--
		case m.kind == shut:
			left++
		}
	}
	for i := first - 1; left > 0 && i >= 0; i-- {
		if marks[i].kind == open {
			left, s.from = left-1, marks[i].from
		}
	}
	for i := last + 1; right > 0 && i < len(marks); i++ {
		if marks[i].kind == shut {
			right, s.to = right-1, marks[i].to
		}
	}
	return s
}
