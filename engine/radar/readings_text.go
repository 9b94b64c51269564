package radar

import (
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// numbers writes speeds as the items of a list; in is the unit that a bare number
// has there.
func numbers(rows []Row, in unit.Unit) string {
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = r.Speed.String()
		if r.Speed.Unit == in {
			out[i] = unit.Quantity{Value: r.Speed.Value}.String()
		}
	}
	return strings.Join(out, ", ")
}

// marks writes whether the pattern held as the items of a list; "" where no line
// says it.
func marks(rows []Row) string {
	out, any := make([]string, len(rows)), false
	for i, r := range rows {
		out[i] = casefile.CouldNotSee
		if r.Mark != "" {
			out[i], any = r.Mark, true
		}
	}
	if !any {
		return ""
	}
	return strings.Join(out, ", ")
}

// rung writes a new rung on one line.
func rung(b batch) string {
	in := b.unitOf()
	text := "{throw: " + b.throw + ", speeds: [" + numbers(b.rows, in) + "]"
	if in != unit.None {
		text += ", unit: " + string(in)
	}
	if m := marks(b.rows); m != "" {
		text += ", held: [" + m + "]"
	}
	return text + "}"
}

// newLadder writes a ladder for a day that has none.
func (w *writer) newLadder() {
	at := w.root.Get("ladder")
	switch {
	case at.Kind() == source.Nothing:
		w.firstLadder()
	case at.Kind() == source.Map && w.flow(at):
		w.put(at.Start(), at.Start(), "[")
		w.put(w.end(at), w.end(at), ", "+w.flowLadder()+"]")
	case at.Kind() == source.Map:
		indent := w.column(at)
		if indent >= 2 {
			w.put(at.Start()-2, at.Start(), "- ") // the one ladder becomes the first of a list
			w.put(w.lineEnd(w.end(at)), w.lineEnd(w.end(at)), "\n"+w.blockLadder(strings.Repeat(" ", indent-2)+"- "))
		}
	case w.flow(at):
		last := at.Items()[len(at.Items())-1]
		w.put(w.end(last), w.end(last), ", "+w.flowLadder())
	default:
		last := at.Items()[len(at.Items())-1]
		w.put(w.lineEnd(w.end(last)), w.lineEnd(w.end(last)), "\n"+w.blockLadder(w.before(last)))
	}
}

// firstLadder writes the ladder of a case that has none: after a bare key, or at
// the end of the file.
func (w *writer) firstLadder() {
	for _, f := range w.root.Fields() {
		if f.Key.Text() == "ladder" {
			end := w.lineEnd(f.Key.End())
			w.put(end, end, "\n"+w.blockLadder("  "))
			return
		}
	}
	text := w.c.File.Bytes
	head := ""
	if n := len(text); n > 0 && text[n-1] != '\n' {
		head = "\n"
	}
	w.put(len(text), len(text), head+"ladder:\n"+w.blockLadder("  ")+"\n")
}

// blockLadder writes a ladder over several lines, the first after prefix and the
// others indented as far.
func (w *writer) blockLadder(prefix string) string {
	indent := strings.Repeat(" ", len(prefix))
	lines := []string{prefix + "on: " + w.change.On.Format(time.DateOnly)}
	for _, b := range w.inOrder() {
		if len(b.again) > 0 {
			lines = append(lines, indent+"again: ["+numbers(b.again, unit.MPH)+"]")
		}
	}
	lines = append(lines, indent+"rungs:")
	for _, b := range w.inOrder() {
		lines = append(lines, indent+"  - "+rung(b))
	}
	return strings.Join(lines, "\n")
}

func (w *writer) flowLadder() string {
	text := "{on: " + w.change.On.Format(time.DateOnly)
	var rungs []string
	for _, b := range w.inOrder() {
		if len(b.again) > 0 {
			text += ", again: [" + numbers(b.again, unit.MPH) + "]"
		}
		rungs = append(rungs, rung(b))
	}
	return text + ", rungs: [" + strings.Join(rungs, ", ") + "]}"
}

// put notes an edit.
func (w *writer) put(from, to int, text string) { w.edits = append(w.edits, edit{from, to, text}) }

// flow reports whether a map or list stands in brackets.
func (w *writer) flow(n *source.Node) bool {
	at := n.Start()
	return at < len(w.c.File.Bytes) && (w.c.File.Bytes[at] == '{' || w.c.File.Bytes[at] == '[')
}

// end is the byte after a value with the brackets that close it.
func (w *writer) end(n *source.Node) int {
	at := n.End()
	switch {
	case n.Kind() == source.Map && len(n.Fields()) > 0:
		last := n.Fields()[len(n.Fields())-1]
		at = max(last.Key.End(), w.end(last.Value))
	case n.Kind() == source.List && len(n.Items()) > 0:
		at = w.end(n.Items()[len(n.Items())-1])
	}
	if n.Kind() != source.Map && n.Kind() != source.List || !w.flow(n) {
		return at
	}
	text := w.c.File.Bytes
	for at = max(at, n.Start()+1); at < len(text); at++ {
		switch text[at] {
		case '}', ']':
			return at + 1
		case '#':
			at = w.lineEnd(at)
		}
	}
	return len(text)
}

// lineEnd is the byte of the line end at or after a byte.
func (w *writer) lineEnd(at int) int {
	if i := strings.IndexByte(string(w.c.File.Bytes[at:]), '\n'); i >= 0 {
		return at + i
	}
	return len(w.c.File.Bytes)
}

// column is how many characters stand before a value on its line.
func (w *writer) column(n *source.Node) int { return len(w.before(n)) }

// before is what stands before a value on its line.
func (w *writer) before(n *source.Node) string {
	text := string(w.c.File.Bytes[:n.Start()])
	return text[strings.LastIndexByte(text, '\n')+1:]
}
