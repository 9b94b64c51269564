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
	root, ds := f.YAML()
	if ds.Errors() > 0 {
		return nil, fmt.Errorf("%s: cannot be changed while it has faults", f.Path)
	}
	out, err := f.splice(root, path, text)
	if err != nil {
		return nil, err
	}
	return out, verify(f.Path, out, path, text)
}

func (f *File) splice(root *Node, path []string, text string) ([]byte, error) {
	if root.Kind() == Nothing {
		return append(f.endLine(f.Bytes), []byte(nest(path, text)+"\n")...), nil
	}
	at, rest := root, path
	for len(rest) > 0 {
		next, key := at.child(rest[0])
		switch {
		case key == nil && at.Kind() != Map:
			return nil, fmt.Errorf("%s: `%s` does not hold named values", f.Path, strings.Join(path[:len(path)-len(rest)], "."))
		case key == nil:
			return f.insert(at, rest, text)
		}
		if next.Kind() == Nothing && len(rest) > 1 {
			return f.fill(key, rest[1:], text), nil
		}
		if len(rest) == 1 {
			return f.replace(key, next, text), nil
		}
		at, rest = next, rest[1:]
	}
	return nil, fmt.Errorf("%s: no place was named to set", f.Path)
}

// child is where one step of a path leads. An entry of a list is its own key.
func (n *Node) child(step string) (value, key *Node) {
	for _, f := range n.Fields() {
		if f.Key.Text() == step {
			return f.Value, f.Key
		}
	}
	if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(n.Items()) && n.Kind() == List {
		return n.items[i], n.items[i]
	}
	return nil, nil
}

// at follows a path from here, to nil where it leads nowhere.
func (n *Node) at(path []string) *Node {
	for _, step := range path {
		n, _ = n.child(step)
	}
	return n
}

// replace puts text in the place of a value.
func (f *File) replace(key, value *Node, text string) []byte {
	if value.Kind() == Nothing {
		colon := key.End()
		if i := strings.IndexByte(string(f.Bytes[colon:]), ':'); i >= 0 {
			colon += i + 1
		}
		return f.cut(colon, max(colon, f.nullEnd(value, colon)), " "+text)
	}
	return f.cut(value.start, value.close(), text)
}

// nullEnd is where a written `null` or `~` ends; nothing is written for a bare
// key.
func (f *File) nullEnd(value *Node, from int) int {
	if value.node.Value == "" {
		return from
	}
	return value.start + len(value.node.Value)
}

// fill gives a bare key its first value, as an indented line.
func (f *File) fill(key *Node, rest []string, text string) []byte {
	line := f.Bytes[key.End():]
	end := key.End()
	if i := slices.Index(line, '\n'); i >= 0 {
		end += i
	} else {
		end = len(f.Bytes)
	}
	return f.cut(end, end, "\n"+strings.Repeat(" ", key.node.Column+1)+nest(rest, text))
}

// insert adds a new key at the end of a map.
func (f *File) insert(at *Node, rest []string, text string) ([]byte, error) {
	entry := nest(rest, text)
	if at.flow() {
		end := at.close() - 1
		for end > at.start+1 && (f.Bytes[end-1] == ' ' || f.Bytes[end-1] == '\n') {
			end--
		}
		if len(at.fields) > 0 {
			entry = ", " + entry
		}
		return f.cut(end, end, entry), nil
	}
	end := at.close()
	if i := slices.Index(f.Bytes[end:], '\n'); i >= 0 {
		end += i
	} else {
		end = len(f.Bytes)
	}
	return f.cut(end, end, "\n"+strings.Repeat(" ", at.fields[0].Key.node.Column-1)+entry), nil
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

func (f *File) cut(from, to int, text string) []byte {
	out := make([]byte, 0, len(f.Bytes)+len(text)+1)
	out = append(out, f.Bytes[:from]...)
	out = append(out, text...)
	out = append(out, f.Bytes[to:]...)
	return f.endLine(out)
}

// endLine makes sure that the text ends a line.
func (f *File) endLine(b []byte) []byte {
	if len(b) > 0 && b[len(b)-1] != '\n' {
		return append(slices.Clone(b), '\n')
	}
	return slices.Clone(b)
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

func verify(name string, out []byte, path []string, text string) error {
	root, ds := New(name, out).YAML()
	wanted, wds := New(name, []byte("x: "+text+"\n")).YAML()
	if ds.Errors() > 0 || wds.Errors() > 0 {
		return fmt.Errorf("%s: the new value could not be placed without breaking the file", name)
	}
	if !same(root.at(path), wanted.Get("x")) {
		return fmt.Errorf("%s: the new value of `%s` would not read back as meant", name, strings.Join(path, "."))
	}
	return nil
}

func same(a, b *Node) bool {
	if a.Kind() != b.Kind() || a.Text() != b.Text() || len(a.Fields()) != len(b.Fields()) || len(a.Items()) != len(b.Items()) {
		return false
	}
	for i, f := range a.Fields() {
		if f.Key.Text() != b.fields[i].Key.Text() || !same(f.Value, b.fields[i].Value) {
			return false
		}
	}
	for i, item := range a.Items() {
		if !same(item, b.items[i]) {
			return false
		}
	}
	return true
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
