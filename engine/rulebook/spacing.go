package rulebook

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// ErrChanged tells that the file could not be set without changing what it says;
// it is left alone.
var ErrChanged = errors.New("cannot be set without changing what it says")

// Format returns the file's bytes with its spacing set: conditions with one
// space around their signs and `and`, `or`, `not` for &&, || and !; lines
// without blanks at their end; brackets and commas as in [a, b] and {a: b};
// never two blank lines; a space after the # of a comment. A file with faults is not set, and they come back.
func Format(f *source.File) ([]byte, diag.List, error) {
	root, ds := f.YAML()
	if ds.Errors() > 0 || root == nil {
		return nil, ds, nil
	}
	set := f
	for _, step := range []func(*source.File, *source.Node) []byte{conditions, brackets, lines} {
		set = source.New(f.Path, step(set, root))
		if root, ds = set.YAML(); ds.Errors() > 0 || root == nil {
			return nil, nil, fmt.Errorf("%s: %w", f.Path, ErrChanged)
		}
	}
	if !alike(f, set) {
		return nil, nil, fmt.Errorf("%s: %w", f.Path, ErrChanged)
	}
	return set.Bytes, nil, nil
}

// alike reports whether two files say the same: the same values, conditions but
// for their spacing, and the same comments.
func alike(a, b *source.File) bool {
	x, _ := a.YAML()
	y, ds := b.YAML()
	return ds.Errors() == 0 && slices.Equal(values(x), values(y)) && slices.Equal(comments(a.Bytes), comments(b.Bytes))
}

// values lists what stands in a file, in order.
func values(root *source.Node) []string {
	var out []string
	walk(root, "", func(n *source.Node, key string) {
		out = append(out, fmt.Sprint(key, n.Kind(), len(n.Fields()), len(n.Items()), n.Quoted()))
		if key == "when" {
			out = append(out, cond.Marks(n.Text())...)
		} else {
			out = append(out, n.Text())
		}
	})
	return out
}

// comments lists the words of what may be comments, in order: everything behind
// a # that starts a line or follows a blank.
func comments(b []byte) []string {
	var out []string
	for _, line := range bytes.Split(b, []byte("\n")) {
		text := string(line)
		for i := range len(text) {
			if text[i] == '#' && (i == 0 || text[i-1] == ' ' || text[i-1] == '\t') {
				out = append(out, strings.Join(strings.Fields(strings.TrimLeft(text[i:], "#")), " "))
				break
			}
		}
	}
	return out
}

// edit puts text in the place of the bytes from to to.
type edit struct {
	from, to int
	text     string
}

func apply(b []byte, edits []edit) []byte {
	slices.SortFunc(edits, func(x, y edit) int { return cmp.Or(cmp.Compare(x.from, y.from), cmp.Compare(x.to, y.to)) })
	var out []byte
	at := 0
	for _, e := range edits {
		if e.from < at {
			continue // inside what was just replaced
		}
		out = append(append(out, b[at:e.from]...), e.text...)
		at = e.to
	}
	return append(out, b[at:]...)
}

// walk visits every value with the key it stands under.
func walk(n *source.Node, key string, visit func(n *source.Node, key string)) {
	visit(n, key)
	for _, f := range n.Fields() {
		walk(f.Value, f.Key.Text(), visit)
	}
	for _, item := range n.Items() {
		walk(item, key, visit)
	}
}

// conditions sets every condition that stands in the file as it reads.
func conditions(f *source.File, root *source.Node) []byte {
	var edits []edit
	walk(root, "", func(n *source.Node, key string) {
		if key == "when" && n.Kind() == source.Scalar {
			edits = append(edits, condition(f.Bytes, n)...)
		}
	})
	return apply(f.Bytes, edits)
}

func condition(b []byte, n *source.Node) []edit {
	text := n.Text()
	spaced := cond.Spaced(text)
	if spaced == text || n.Start() >= len(b) {
		return nil
	}
	raw := string(b[n.Start():min(n.End(), len(b))])
	switch first := b[n.Start()]; {
	case first == '|':
		return literal(b, n, text, spaced)
	case first == '\'' && raw == "'"+strings.ReplaceAll(text, "'", "''")+"'":
		return []edit{{n.Start(), n.End(), "'" + strings.ReplaceAll(spaced, "'", "''") + "'"}}
	case first == '"' && raw == `"`+strings.ReplaceAll(text, `"`, `\"`)+`"`:
		return []edit{{n.Start(), n.End(), `"` + strings.ReplaceAll(spaced, `"`, `\"`) + `"`}}
	case raw == text:
		return []edit{{n.Start(), n.End(), spaced}}
	}
	return nil // folded, or over several lines: the spaces are YAML's
}

// literal sets a condition of several lines, line by line.
func literal(b []byte, n *source.Node, text, spaced string) []edit {
	was, is := strings.Split(text, "\n"), strings.Split(spaced, "\n")
	if len(was) != len(is) {
		return nil
	}
	var edits []edit
	at := 0
	for i, line := range was {
		if line != is[i] && line != "" {
			start := n.Offset(at)
			if start+len(line) > len(b) || string(b[start:start+len(line)]) != line {
				return nil
			}
			edits = append(edits, edit{start, start + len(line), is[i]})
		}
		at += len([]rune(line)) + 1
	}
	return edits
}
