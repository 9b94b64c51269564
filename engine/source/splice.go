package source

import (
	"slices"
	"strings"
)

// Edits are changes to the text of a file, made all at once; their places are those of the text before. Everything else
// stays as it is, comments and spacing included. Whoever makes them reads the text again.
type Edits struct {
	file *File
	all  []edit
}

// edit puts text into the place of some bytes.
type edit struct {
	from, to int
	text     string
}

// Edits returns no changes yet.
func (f *File) Edits() *Edits { return &Edits{file: f} }

// Put puts text into the place of some bytes.
func (e *Edits) Put(from, to int, text string) { e.all = append(e.all, edit{from, to, text}) }

// After adds entries after one of a list, or after a value of a group, in the style in which it stands.
func (e *Edits) After(in, at *Node, entries ...string) {
	if in.flow() {
		end := at.close()
		e.Put(end, end, ", "+strings.Join(entries, ", "))
		return
	}
	lead := strings.Repeat(" ", in.Indent())
	if in.kind == List {
		lead = at.before()
	}
	end := e.file.lineEnd(at.close())
	e.Put(end, end, "\n"+lead+strings.Join(entries, "\n"+lead))
}

// Before adds an entry before one of a list, in the style in which it stands.
func (e *Edits) Before(list, at *Node, entry string) {
	if list.flow() {
		e.Put(at.start, at.start, entry+", ")
		return
	}
	line := at.start - len(at.before())
	e.Put(line, line, at.before()+entry+"\n")
}

// Append adds entries at the end of a list.
func (e *Edits) Append(list *Node, entries ...string) {
	if n := len(list.items); n > 0 {
		e.After(list, list.items[n-1], entries...)
		return
	}
	e.Put(list.start+1, list.start+1, strings.Join(entries, ", "))
}

// Wrap makes a list of a single value, with more entries after it.
func (e *Edits) Wrap(n *Node, entries ...string) {
	end, lead := n.close(), n.Indent()-len("- ")
	if n.kind == Scalar || n.flow() {
		e.Put(n.start, n.start, "[")
		e.Put(end, end, ", "+strings.Join(entries, ", ")+"]")
		return
	}
	if lead < 0 {
		return // no room: the text stays as it is
	}
	dash := "\n" + strings.Repeat(" ", lead) + "- "
	end = e.file.lineEnd(end)
	e.Put(n.start-len("- "), n.start, "- ")
	e.Put(end, end, dash+strings.Join(entries, dash))
}

// Fill puts a value behind a key that has none, on lines of its own or on the key's.
func (e *Edits) Fill(in *Node, key, text string) {
	i := slices.IndexFunc(in.fields, func(f Field) bool { return f.Key.Text() == key })
	end := in.fields[i].Key.End()
	if strings.HasPrefix(text, "\n") {
		end = e.file.lineEnd(end)
	} else {
		end += strings.IndexByte(string(e.file.Bytes[end:]), ':') + 1
	}
	e.Put(end, end, text)
}

// Bytes is the new text, with its last line ended.
func (e *Edits) Bytes() []byte {
	slices.SortStableFunc(e.all, func(a, b edit) int { return a.from - b.from })
	var out []byte
	at := 0
	for _, x := range e.all {
		out = append(append(out, e.file.Bytes[at:x.from]...), x.text...)
		at = x.to
	}
	return lineEnded(append(out, e.file.Bytes[at:]...))
}

// Flow reports whether a list or a group stands in brackets.
func (n *Node) Flow() bool { return n.flow() }

// before is what stands before a value on its line.
func (n *Node) before() string {
	text := string(n.file.Bytes[:n.start])
	return text[strings.LastIndexByte(text, '\n')+1:]
}

// Indent is how many bytes stand before a value on its line.
func (n *Node) Indent() int { return len(n.before()) }

// lineEnd is the byte of the line end at or after a byte.
func (f *File) lineEnd(at int) int {
	if i := strings.IndexByte(string(f.Bytes[at:]), '\n'); i >= 0 {
		return at + i
	}
	return len(f.Bytes)
}
