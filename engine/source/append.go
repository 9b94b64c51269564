package source

import (
	"fmt"
	"slices"
	"strings"
)

// Append returns the file's bytes with text, one line of YAML, added to the list
// at a path of keys. A single value there becomes the first of the list, and
// where nothing stands it becomes the value itself. Everything else, comments
// and spacing included, stays as it is; as with Set, a change that would not
// read back as meant is an error.
func (f *File) Append(path []string, text string) ([]byte, error) {
	root, ds := f.YAML()
	if ds.Errors() > 0 {
		return nil, fmt.Errorf("%s: cannot be changed while it has faults", f.Path)
	}
	at := root.at(path)
	switch {
	case at.Kind() == Nothing:
		return f.Set(path, text)
	case at.Kind() == Map && !at.flow():
		return nil, fmt.Errorf("%s: `%s` stands over several lines: put it in braces first", f.Path, strings.Join(path, "."))
	}
	out := f.splicedList(at, text)
	return out, verifyList(f.Path, out, path, at, text)
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
		end := at.lastEnd()
		return f.cut(end, end, ", "+text)
	}
	last := at.items[len(at.items)-1]
	end := last.close()
	if i := slices.Index(f.Bytes[end:], '\n'); i >= 0 {
		end += i
	} else {
		end = len(f.Bytes)
	}
	return f.cut(end, end, "\n"+strings.Repeat(" ", at.node.Column-1)+"- "+text)
}

// verifyList reads the changed file again: the old values in their order, then
// the new one.
func verifyList(name string, out []byte, path []string, before *Node, text string) error {
	root, ds := New(name, out).YAML()
	wanted, wds := New(name, []byte("x: "+text+"\n")).YAML()
	if ds.Errors() > 0 || wds.Errors() > 0 {
		return fmt.Errorf("%s: the new value could not be placed without breaking the file", name)
	}
	root = root.at(path)
	old := []*Node{before}
	if before.Kind() == List {
		old = before.Items()
	}
	now, ok := root.Items(), len(root.Items()) == len(old)+1
	for i := range old {
		ok = ok && same(now[i], old[i])
	}
	if !ok || !same(now[len(old)], wanted.Get("x")) {
		return fmt.Errorf("%s: the new value of `%s` would not read back as meant", name, strings.Join(path, "."))
	}
	return nil
}
