package source

import (
	"fmt"

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

// Block reports whether a scalar is written with | or > over the lines below.
func (n *Node) Block() bool {
	return n.Kind() == Scalar && n.node.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0
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

// Offset returns the byte of a character of a scalar's text, counted in runes;
// that behind the last is where the text ends.
func (n *Node) Offset(rune int) int {
	at := n.offsets()
	return at[min(max(rune, 0), len(at)-1)]
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
		last := n.aligner()
		last.at = at[to-1]
		end = max(at[to-1]+last.width(), at[from]+1)
	}
	return n.file.Place(at[from], end)
}

// Fault adds an error at the value.
func (n *Node) Fault(ds *diag.List, code, headline, under, help string) {
	ds.Add(diag.Diagnostic{Place: n.Place(), Code: code, Headline: headline, Under: under, Help: help})
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
