package ask

import (
	"bytes"
	"fmt"
	"strings"

	"rungwise/engine/source"
)

// putRung puts the speeds of a throw on the newest ladder: in its rung, as a
// new rung at the end, or on a ladder that is begun with it.
func (f *Flow) putRung(file *source.File, throw, speeds, in string) ([]byte, error) {
	rungs := rungNodes(file)
	if rungNode(rungs, throw) != nil {
		out, err := inRung(file, throw, "speeds", speeds)
		if err != nil {
			return nil, err
		}
		return inRung(source.New(file.Path, out), throw, "unit", in)
	}
	entry := fmt.Sprintf("{throw: %s, speeds: %s, unit: %s}", throw, speeds, in)
	root, _ := file.YAML()
	if !has(root, "ladder") {
		return begin(file, "ladder:\n  rungs:\n    - "+entry+"\n"), nil
	}
	if rungs == nil || len(rungs.Items()) == 0 {
		return file.Set([]string{"ladder", "rungs"}, "["+entry+"]")
	}
	return appendEntry(file, rungs, entry)
}

func has(n *source.Node, key string) bool {
	for _, f := range n.Fields() {
		if f.Key.Text() == key {
			return true
		}
	}
	return false
}

// appendEntry adds one entry to a list that has some, in the way the list is written.
func appendEntry(file *source.File, list *source.Node, entry string) ([]byte, error) {
	items := list.Items()
	last := items[len(items)-1]
	end := closing(file.Bytes, last)
	if lead, block := dash(file, last); block {
		end = lineEnd(file.Bytes, end)
		return splice(file.Bytes, end, end, "\n"+lead+"- "+entry), nil
	}
	return splice(file.Bytes, end, end, ", "+entry), nil
}

// dash reports whether a list's entry stands behind a dash, and the blanks
// before that.
func dash(file *source.File, n *source.Node) (lead string, block bool) {
	p := n.Place()
	before := string([]rune(p.Text)[:p.Col-1])
	lead, rest, found := strings.Cut(before, "-")
	if !found || strings.TrimSpace(lead) != "" || strings.TrimSpace(rest) != "" {
		return "", false
	}
	return lead, true
}

// inRung is the change of one value of a rung of the newest ladder.
func (f *Flow) inRung(throw, key, text string) func(*source.File) ([]byte, error) {
	return func(file *source.File) ([]byte, error) { return inRung(file, throw, key, text) }
}

func inRung(file *source.File, throw, key, text string) ([]byte, error) {
	n := rungNode(rungNodes(file), throw)
	if n == nil {
		return nil, refuse("", "the rung is not in the file any more")
	}
	if v := n.Get(key); v.Kind() != source.Nothing {
		return splice(file.Bytes, v.Start(), closing(file.Bytes, v), text), nil
	}
	name := n.Get("throw")
	entry := key + ": " + text
	if n.Start() < len(file.Bytes) && file.Bytes[n.Start()] == '{' {
		end := closing(file.Bytes, n) - 1
		for end > name.End() && (file.Bytes[end-1] == ' ' || file.Bytes[end-1] == '\n') {
			end--
		}
		return splice(file.Bytes, end, end, ", "+entry), nil
	}
	end := lineEnd(file.Bytes, name.End())
	indent := 0
	for _, field := range n.Fields() {
		if field.Key.Text() == "throw" {
			indent = field.Key.Place().Col - 1
		}
	}
	return splice(file.Bytes, end, end, "\n"+strings.Repeat(" ", indent)+entry), nil
}

// closing is the byte after a value, its closing brackets included.
func closing(b []byte, n *source.Node) int {
	if n.Kind() == source.Scalar || n.Start() >= len(b) || (b[n.Start()] != '{' && b[n.Start()] != '[') {
		end := n.End()
		if items := n.Items(); len(items) > 0 {
			end = max(end, closing(b, items[len(items)-1]))
		}
		if fields := n.Fields(); len(fields) > 0 {
			end = max(end, closing(b, fields[len(fields)-1].Value))
		}
		return end
	}
	at := n.Start() + 1
	for _, item := range n.Items() {
		at = closing(b, item)
	}
	for _, field := range n.Fields() {
		at = max(field.Key.End(), closing(b, field.Value))
	}
	want := byte('}')
	if b[n.Start()] == '[' {
		want = ']'
	}
	for ; at < len(b); at++ {
		switch b[at] {
		case want:
			return at + 1
		case '#':
			i := bytes.IndexByte(b[at:], '\n')
			if i < 0 {
				return len(b)
			}
			at += i
		}
	}
	return len(b)
}

// lineEnd is the end of the line that holds a byte.
func lineEnd(b []byte, at int) int {
	if i := bytes.IndexByte(b[at:], '\n'); i >= 0 {
		return at + i
	}
	return len(b)
}

// splice puts text in the place of a stretch of bytes.
func splice(b []byte, from, to int, text string) []byte {
	out := make([]byte, 0, len(b)+len(text)+1)
	out = append(append(append(out, b[:from]...), text...), b[to:]...)
	if out[len(out)-1] != '\n' {
		out = append(out, '\n')
	}
	return out
}

// rungNodes is the list of rungs of the newest ladder, nil where there is none.
func rungNodes(file *source.File) *source.Node {
	root, _ := file.YAML()
	l := root.Get("ladder")
	if l.Kind() == source.List {
		var newest *source.Node
		for _, item := range l.Items() {
			if newest == nil || item.Get("on").Text() >= newest.Get("on").Text() {
				newest = item
			}
		}
		l = newest
	}
	if rungs := l.Get("rungs"); rungs.Kind() == source.List {
		return rungs
	}
	return nil
}

// rungNode is the rung of a throw, nil where it is not on the ladder.
func rungNode(rungs *source.Node, throw string) *source.Node {
	for _, item := range rungs.Items() {
		if item.Get("throw").Text() == throw {
			return item
		}
	}
	return nil
}
