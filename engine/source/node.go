package source

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"rungwise/engine/diag"
)

// Kind returns the shape of the value.
func (n *Node) Kind() Kind {
	if n == nil {
		return Nothing
	}
	return n.kind
}

// Text returns a scalar's text as YAML reads it, and "" for anything else.
func (n *Node) Text() string {
	if n.Kind() != Scalar {
		return ""
	}
	return n.node.Value
}

// Quoted reports whether a scalar stands in quotes, so that it is meant as
// words even where it looks like a number.
func (n *Node) Quoted() bool {
	return n.Kind() == Scalar && n.node.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0
}

// Comment returns the comment that follows the value on its line, with its
// `#`.
func (n *Node) Comment() string {
	if n == nil {
		return ""
	}
	return n.node.LineComment
}

// Fields returns the keys of a map in the order of the file.
func (n *Node) Fields() []Field {
	if n == nil {
		return nil
	}
	return n.fields
}

// Items returns the values of a list in the order of the file.
func (n *Node) Items() []*Node {
	if n == nil {
		return nil
	}
	return n.items
}

// Get returns the value of a key, or nil.
func (n *Node) Get(key string) *Node {
	for _, f := range n.Fields() {
		if f.Key.Text() == key {
			return f.Value
		}
	}
	return nil
}

// File returns the file the value came from.
func (n *Node) File() *File { return n.file }

// Start returns the byte at which the value starts.
func (n *Node) Start() int { return n.start }

// End returns the byte after a scalar's last character, quotes included; for a
// map or a list it is the end of its last value.
func (n *Node) End() int {
	switch {
	case n.Kind() == Scalar:
		end := n.offsets()
		at := end[len(end)-1]
		if n.Quoted() && at < len(n.file.Bytes) {
			at++
		}
		return at
	case len(n.Fields()) > 0:
		last := n.fields[len(n.fields)-1]
		return max(last.Key.End(), last.Value.End())
	case len(n.Items()) > 0:
		return n.items[len(n.items)-1].End()
	}
	return n.start
}

// Place returns where the value stands; for a map or a list, where it starts.
func (n *Node) Place() diag.Place {
	if n.Kind() == Scalar {
		return n.file.Place(n.start, n.End())
	}
	return n.file.Place(n.start, n.start)
}

// PlaceAt returns the place of the characters from (inclusive) to to
// (exclusive) of a scalar's text, counted in runes. It holds in plain, quoted,
// literal and folded scalars.
func (n *Node) PlaceAt(from, to int) diag.Place {
	if n.Kind() != Scalar {
		return n.Place()
	}
	at := n.offsets()
	from = min(max(from, 0), len(at)-1)
	to = min(max(to, from), len(at)-1)
	end := at[to]
	if to > from {
		_, size := utf8.DecodeRune(n.file.Bytes[at[to-1]:])
		end = max(at[to-1]+size, at[from]+1)
	}
	return n.file.Place(at[from], end)
}

// Fault adds an error at the value.
func (n *Node) Fault(ds *diag.List, code, headline, under, help string) {
	ds.Add(diag.Diagnostic{Place: n.Place(), Code: code, Headline: headline, Under: under, Help: help})
}

// offsets maps each rune of the text to its byte in the file; one more entry
// gives the end. The text and the source are walked side by side, skipping
// what YAML folds away.
func (n *Node) offsets() []int {
	a := aligner{src: n.file.Bytes, at: n.start}
	style := n.node.Style
	switch {
	case style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		a.block, a.literal = true, style&yaml.LiteralStyle != 0
		if i := strings.IndexByte(string(a.src[min(a.at, len(a.src)):]), '\n'); i >= 0 {
			a.at += i + 1
		}
		a.skip(" ")
	case style&yaml.SingleQuotedStyle != 0:
		a.quote = '\''
		a.at++
	case style&yaml.DoubleQuotedStyle != 0:
		a.quote = '"'
		a.at++
	}
	return a.align([]rune(n.node.Value))
}

// aligner walks the bytes of a scalar while its text is read.
type aligner struct {
	src     []byte
	at      int
	quote   byte // the quote the scalar stands in, or 0
	block   bool // literal or folded
	literal bool // line ends stand for themselves
}

func (a *aligner) align(text []rune) []int {
	out := make([]int, 0, len(text)+1)
	for i, r := range text {
		out = append(out, min(a.at, len(a.src)))
		switch {
		case a.foldedBlank(r):
			a.skip(" \t\r\n")
		case a.foldedLines(r):
			if i+1 < len(text) && text[i+1] != '\n' {
				a.skip(" \t\r\n")
			}
		default:
			a.at = min(a.at+a.width(r), len(a.src))
			if r == '\n' && a.block {
				a.skip(" ")
			}
		}
	}
	return append(out, min(a.at, len(a.src)))
}

// foldedBlank reports whether a space stands for a line end and the
// indentation after it.
func (a *aligner) foldedBlank(r rune) bool {
	if r != ' ' || a.literal {
		return false
	}
	c := a.peek()
	return c == '\n' || c == '\r' || (!a.block && a.blankToLineEnd())
}

// foldedLines reports whether a line end stands for a run of them.
func (a *aligner) foldedLines(r rune) bool {
	return r == '\n' && !a.literal && a.peek() != '\\'
}

func (a *aligner) peek() byte {
	if a.at < len(a.src) {
		return a.src[a.at]
	}
	return 0
}

func (a *aligner) skip(set string) {
	for a.at < len(a.src) && strings.IndexByte(set, a.src[a.at]) >= 0 {
		a.at++
	}
}

// blankToLineEnd reports whether only blanks are left on the line.
func (a *aligner) blankToLineEnd() bool {
	for i := a.at; i < len(a.src); i++ {
		switch a.src[i] {
		case ' ', '\t', '\r':
		case '\n':
			return true
		default:
			return false
		}
	}
	return false
}

// width returns how many bytes the rune takes in the source, escapes included.
func (a *aligner) width(r rune) int {
	c := a.peek()
	switch {
	case a.quote == '\'' && c == '\'':
		return 2
	case a.quote == '"' && c == '\\':
		return a.escape()
	case a.block && r == '\n' && c == '\r':
		return 2
	}
	if a.at < len(a.src) {
		_, size := utf8.DecodeRune(a.src[a.at:])
		return size
	}
	return 0
}

// escape returns the length of a double-quoted escape.
func (a *aligner) escape() int {
	if a.at+1 >= len(a.src) {
		return 1
	}
	switch a.src[a.at+1] {
	case 'x':
		return 4
	case 'u':
		return 6
	case 'U':
		return 10
	}
	return 2
}

// Describe names the shape for a message.
func (n *Node) Describe() string {
	switch n.Kind() {
	case Map:
		return "a group of named values"
	case List:
		return "a list"
	case Scalar:
		return fmt.Sprintf("%q", n.Text())
	}
	return "nothing"
}
