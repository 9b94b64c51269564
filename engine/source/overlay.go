package source

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/diag"
)

// With returns a copy of a map in which the keys of over take the place of
// those of the same name, and new ones follow. Every key and value keeps the
// file and place it came from. Anything but two maps leaves the value as it
// is.
func (n *Node) With(over *Node) *Node {
	if n.Kind() != Map || over.Kind() != Map {
		return n
	}
	out := *n
	out.fields = slices.Clone(n.fields)
	for _, g := range over.fields {
		i := slices.IndexFunc(out.fields, func(f Field) bool { return f.Key.Text() == g.Key.Text() })
		if i < 0 {
			out.fields = append(out.fields, g)
		} else {
			out.fields[i] = g
		}
	}
	return &out
}

// Put returns the map with another value under a key that it has.
func (n *Node) Put(key string, value *Node) *Node {
	out := *n
	out.fields = slices.Clone(n.fields)
	for i, f := range out.fields {
		if f.Key.Text() == key {
			out.fields[i].Value = value
		}
	}
	return &out
}

// WithItems returns the list with other items.
func (n *Node) WithItems(items []*Node) *Node {
	out := *n
	out.items = items
	return &out
}

// OneOf reads a scalar that must be one of a few words. A word that is not
// among them is a fault, told with the nearest one, and reads as "".
func (n *Node) OneOf(ds *diag.List, what string, words []string) string {
	if n.Kind() == Nothing {
		return ""
	}
	text := strings.TrimSpace(n.Text())
	for _, w := range words {
		if n.Kind() == Scalar && w == text {
			return w
		}
	}
	under, help := "not one of: "+strings.Join(words, ", "), "write one of these"
	if near, ok := diag.Nearest(text, words); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	n.Fault(ds, "Y231", fmt.Sprintf("`%s` is never %s", what, n.Describe()), under, help)
	return ""
}

// OneOf reads the word of a key that must be one of a few; a missing key reads
// as "".
func (o *Object) OneOf(key string, words []string) string {
	return o.Get(key).OneOf(o.ds, key, words)
}

// NeedOneOf is OneOf, and a fault when the key is missing.
func (o *Object) NeedOneOf(key string, words []string) string {
	return o.Need(key).OneOf(o.ds, key, words)
}
