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
	kind   kind
	text   string // as written; of a text, what stands between the quotes
	curly  bool   // a text in typographic quotes
	closed bool   // a text whose closing quote is there
}

func (m mark) is(k kind, texts ...string) bool {
	if m.kind != k {
		return false
	}
	for _, t := range texts {
		if m.text == t {
			return true
		}
	}
	return len(texts) == 0
}

// small lists the words that join and compare.
func (m mark) small() bool { return m.is(name, "and", "or", "not", "in") }

// value reports whether the mark can stand on one side of a comparison.
func (m mark) value() bool {
	return (m.kind == name && !m.small()) || m.kind == number || m.kind == text
}

// scan splits the text into marks, whatever it holds.
func scan(runes []rune) []mark {
	s := scanner{runes: runes}
	for s.at < len(runes) {
		if unicode.IsSpace(runes[s.at]) {
			s.at++
			continue
		}
		s.marks = append(s.marks, s.next())
	}
	return s.marks
}

type scanner struct {
	runes []rune
	at    int
	marks []mark
}

func (s *scanner) next() mark {
	from, r := s.at, s.runes[s.at]
	switch {
	case isLetter(r):
		return s.take(name, s.path())
	case isDigit(r) || r == '.' && isDigit(s.peek(1)):
		return s.take(number, s.digits())
	case closing(r) != 0:
		return s.quoted(closing(r))
	case strings.ContainsRune("([{", r):
		return s.take(open, from+1)
	case strings.ContainsRune(")]}", r):
		return s.take(shut, from+1)
	case strings.ContainsRune("=!<>&|+-*/,;:?.%^#", r):
		return s.take(sign, s.signs())
	}
	return s.take(odd, from+1)
}

func (s *scanner) take(k kind, to int) mark {
	m := mark{span: span{s.at, to}, kind: k, text: string(s.runes[s.at:to]), closed: true}
	s.at = to
	return m
}

func (s *scanner) peek(ahead int) rune {
	if s.at+ahead < len(s.runes) {
		return s.runes[s.at+ahead]
	}
	return 0
}

// path ends a name: words joined by single dots.
func (s *scanner) path() int {
	i := s.at
	for i < len(s.runes) {
		r := s.runes[i]
		dotted := r == '.' && i+1 < len(s.runes) && isLetter(s.runes[i+1])
		if !isLetter(r) && !isDigit(r) && !dotted {
			break
		}
		i++
	}
	return i
}

// digits ends a number; two dots after it are a range and not part of it.
func (s *scanner) digits() int {
	i, point := s.at, false
	for i < len(s.runes) {
		switch r := s.runes[i]; {
		case isDigit(r):
		case r == '.' && !point && i+1 < len(s.runes) && isDigit(s.runes[i+1]):
			point = true
		default:
			return i
		}
		i++
	}
	return i
}

// signs ends a run of the characters that are written together.
func (s *scanner) signs() int {
	for _, long := range long {
		if s.starts(long) {
			return s.at + len(long)
		}
	}
	return s.at + 1
}

// long are the signs of more than one character, and slips for them.
var long = [...]string{"===", "!==", "==", "!=", "<=", ">=", "=>", "=<", "=!", "<>", "><", "&&", "||", "??", "?.", "::", "..", "**", "//", "/*"}

func (s *scanner) starts(with string) bool {
	for i := range len(with) {
		if s.peek(i) != rune(with[i]) {
			return false
		}
	}
	return true
}

// quoted reads a text up to its closing quote, or to the end of the line when
// there is none.
func (s *scanner) quoted(end rune) mark {
	first := s.runes[s.at]
	m := mark{kind: text, curly: first != '"' && first != '\''}
	for i := s.at + 1; i < len(s.runes) && s.runes[i] != '\n'; i++ {
		r := s.runes[i]
		if r == '\\' && !m.curly {
			i++
			continue
		}
		if r == end || m.curly && (r == '“' || r == '"') {
			m.closed = true
			m.span = span{s.at, i + 1}
			m.text = string(s.runes[s.at+1 : i])
			s.at = i + 1
			return m
		}
	}
	to := s.at + 1
	for to < len(s.runes) && s.runes[to] != '\n' {
		to++
	}
	m.span, m.text = span{s.at, to}, string(s.runes[s.at+1:to])
	s.at = to
	return m
}

// closing returns the quote that closes the one given, or 0.
func closing(r rune) rune {
	switch r {
	case '"', '\'':
		return r
	case '“', '”', '„':
		return '”'
	case '‘', '’', '‚':
		return '’'
	case '«':
		return '»'
	}
	return 0
}

func isLetter(r rune) bool { return r == '_' || r == '$' || unicode.IsLetter(r) }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

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
