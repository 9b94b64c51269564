package source

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Set returns the file's bytes with the value at a path of keys set to text,
// which must be one line of YAML (see Quote). An entry of a list is reached by
// its place, from 0. Everything else, comments and
// spacing included, stays as it is. The result is read again before it is
// returned: a change that would not read back as meant is an error, and the
// file is then left alone.
func (f *File) Set(path []string, text string) ([]byte, error) {
	root, err := f.whole()
	if err != nil {
		return nil, err
	}
	out, err := f.splice(root, path, text)
	if err != nil {
		return nil, err
	}
	return f.verified(out, path, text, same)
}

// Append is Set for one more value of the list at the path. A single value there
// becomes the first of the list, and where nothing stands it becomes the value
// itself.
func (f *File) Append(path []string, text string) ([]byte, error) {
	root, err := f.whole()
	if err != nil {
		return nil, err
	}
	at := root.at(path)
	switch {
	case at.Kind() == Nothing:
		return f.Set(path, text)
	case at.Kind() == Map && !at.flow():
		return nil, fmt.Errorf("%s: `%s` stands over several lines: put it in braces first", f.Path, strings.Join(path, "."))
	}
	return f.verified(f.splicedList(at, text), path, text, func(now, value *Node) bool {
		before := []*Node{at}
		if at.Kind() == List {
			before = at.Items()
		}
		return slices.EqualFunc(now.Items(), append(slices.Clip(before), value), same)
	})
}

// whole reads a file that is to be changed.
func (f *File) whole() (*Node, error) {
	root, ds := f.YAML()
	if ds.Errors() > 0 {
		return nil, fmt.Errorf("%s: cannot be changed while it has faults", f.Path)
	}
	return root, nil
}

// at is the value at a path of keys, or nil.
func (n *Node) at(path []string) *Node {
	for _, step := range path {
		if item := n.item(step); item != nil {
			n = item
		} else {
			n = n.Get(step)
		}
	}
	return n
}

// item is the entry of a list at a place, from 0; nil where there is none.
func (n *Node) item(place string) *Node {
	if i, err := strconv.Atoi(place); err == nil && n.Kind() == List && i >= 0 && i < len(n.Items()) {
		return n.items[i]
	}
	return nil
}

// verified reads a changed file again: what now stands at the path must be as
// meant for the new value.
func (f *File) verified(out []byte, path []string, text string, meant func(now, value *Node) bool) ([]byte, error) {
	root, ds := New(f.Path, out).YAML()
	wanted, wds := New(f.Path, []byte("x: "+text+"\n")).YAML()
	if ds.Errors() > 0 || wds.Errors() > 0 {
		return nil, fmt.Errorf("%s: the new value could not be placed without breaking the file", f.Path)
	}
	if !meant(root.at(path), wanted.Get("x")) {
		return nil, fmt.Errorf("%s: the new value of `%s` would not read back as meant", f.Path, strings.Join(path, "."))
	}
	return out, nil
}

func (f *File) splice(root *Node, path []string, text string) ([]byte, error) {
	if root.Kind() == Nothing {
		before := ""
		if n := len(f.Bytes); n > 0 && f.Bytes[n-1] != '\n' {
			before = "\n"
		}
		return f.cut(len(f.Bytes), len(f.Bytes), before+nest(path, text)), nil
	}
	at, rest := root, path
	for len(rest) > 0 {
		if item := at.item(rest[0]); item != nil && len(rest) > 1 {
			at, rest = item, rest[1:]
			continue
		}
		if at.Kind() != Map {
			return nil, fmt.Errorf("%s: `%s` does not hold named values", f.Path, strings.Join(path[:len(path)-len(rest)], "."))
		}
		i := slices.IndexFunc(at.fields, func(g Field) bool { return g.Key.Text() == rest[0] })
		if i < 0 {
			return f.insert(at, nest(rest, text)), nil
		}
		field := at.fields[i]
		switch {
		case len(rest) == 1:
			return f.replace(field, text), nil
		case field.Value.Kind() == Nothing:
			return f.below(field.Key, field.Key.node.Column+1, nest(rest[1:], text)), nil
		}
		at, rest = field.Value, rest[1:]
	}
	return nil, fmt.Errorf("%s: no place was named to set", f.Path)
}

// replace puts text in the place of a value.
func (f *File) replace(field Field, text string) []byte {
	value := field.Value
	if value.Kind() != Nothing {
		return f.cut(value.start, value.close(), text)
	}
	colon := field.Key.End()
	if i := strings.IndexByte(string(f.Bytes[colon:]), ':'); i >= 0 {
		colon += i + 1
	}
	end := colon // a bare key; else a written `null` or `~` goes
	if value.node.Value != "" {
		end = max(colon, value.close())
	}
	return f.cut(colon, end, " "+text)
}

// splicedList adds text after the last item of a list, or makes a list of what
// stands there.
func (f *File) splicedList(at *Node, text string) []byte {
	switch {
	case at.Kind() != List:
		end := at.close()
		return f.cut(at.start, end, "["+string(f.Bytes[at.start:end])+", "+text+"]")
	case at.flow() && len(at.items) == 0:
		return f.cut(at.start, at.close(), "["+text+"]")
	case at.flow():
		return f.cut(at.lastEnd(), at.lastEnd(), ", "+text)
	}
	return f.below(at, at.node.Column-1, "- "+text)
}

// below puts an indented line of its own below a value.
func (f *File) below(n *Node, indent int, text string) []byte {
	end := n.close()
	if i := slices.Index(f.Bytes[end:], '\n'); i >= 0 {
		end += i
	} else {
		end = len(f.Bytes)
	}
	return f.cut(end, end, "\n"+strings.Repeat(" ", indent)+text)
}

// insert adds a new key at the end of a map.
func (f *File) insert(at *Node, entry string) []byte {
	if !at.flow() {
		return f.below(at, at.fields[0].Key.node.Column-1, entry)
	}
	end := at.close() - 1
	for end > at.start+1 && (f.Bytes[end-1] == ' ' || f.Bytes[end-1] == '\n') {
		end--
	}
	if len(at.fields) > 0 {
		entry = ", " + entry
	}
	return f.cut(end, end, entry)
}

func (n *Node) flow() bool { return n.node.Style&yaml.FlowStyle != 0 }

// close returns the byte after the value, closing brackets included.
func (n *Node) close() int {
	if n.Kind() == Scalar || !n.flow() {
		return n.lastEnd()
	}
	closing := byte('}')
	if n.kind == List {
		closing = ']'
	}
	for at := max(n.lastEnd(), n.start+1); at < len(n.file.Bytes); at++ {
		switch n.file.Bytes[at] {
		case closing:
			return at + 1
		case '#':
			for at < len(n.file.Bytes) && n.file.Bytes[at] != '\n' {
				at++
			}
		}
	}
	return len(n.file.Bytes)
}

// lastEnd is End, with the closing brackets of what stands inside.
func (n *Node) lastEnd() int {
	switch {
	case len(n.Fields()) > 0:
		last := n.fields[len(n.fields)-1]
		return max(last.Key.End(), last.Value.close())
	case len(n.Items()) > 0:
		return n.items[len(n.items)-1].close()
	case n.Kind() == Nothing:
		return n.start + len(n.node.Value)
	}
	return n.End()
}

// cut puts text in the place of some bytes and makes sure that the file ends a
// line.
func (f *File) cut(from, to int, text string) []byte {
	return lineEnded(slices.Concat(f.Bytes[:from], []byte(text), f.Bytes[to:]))
}

// lineEnded makes sure that a text ends a line.
func lineEnded(text []byte) []byte {
	if len(text) > 0 && text[len(text)-1] != '\n' {
		return append(text, '\n')
	}
	return text
}

// nest writes keys and a value on one line: a: {b: {c: value}}.
func nest(path []string, text string) string {
	for i := len(path) - 1; i >= 0; i-- {
		text = path[i] + ": " + text
		if i > 0 {
			text = "{" + text + "}"
		}
	}
	return text
}

// same reports whether two values say the same.
func same(a, b *Node) bool {
	return a.Kind() == b.Kind() && a.Text() == b.Text() && slices.EqualFunc(a.Items(), b.Items(), same) &&
		slices.EqualFunc(a.Fields(), b.Fields(), func(f, g Field) bool { return f.Key.Text() == g.Key.Text() && same(f.Value, g.Value) })
}

// Quote writes words as a YAML scalar that fits on one line and reads back as
// the same words, in quotes only where YAML needs them.
func Quote(words string) string {
	if plain(words) {
		return words
	}
	b, err := yaml.Marshal(&yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Style: yaml.DoubleQuotedStyle, Value: words})
	if err != nil {
		return `""`
	}
	return strings.ReplaceAll(strings.TrimSuffix(string(b), "\n"), "\n", "")
}

// plain reports whether words may stand without quotes, inside brackets too.
func plain(words string) bool {
	if words == "" || words != strings.TrimSpace(words) || strings.Contains(words, "  ") {
		return false
	}
	for i, r := range words {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '_'
		digit := r >= '0' && r <= '9'
		if letter || digit || i > 0 && strings.ContainsRune(" .-/@", r) {
			continue
		}
		return false
	}
	switch strings.ToLower(words) {
	case "null", "true", "false":
		return false
	}
	return true
}
