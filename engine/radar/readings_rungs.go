package radar

import (
	"slices"
	"strings"

	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// inOrder returns the batches as the ladder goes; throws that are not on it
// follow as the file has them.
func (w *writer) inOrder() []batch {
	out := slices.Clone(w.batches)
	slices.SortStableFunc(out, func(a, b batch) int { return w.rank(a.throw) - w.rank(b.throw) })
	return out
}

func (w *writer) rank(throw string) int {
	if i := slices.Index(w.o.Order, throw); i >= 0 {
		return i
	}
	return len(w.o.Order)
}

// oldLadder adds to the rungs of a ladder that is there.
func (w *writer) oldLadder() {
	rungs := w.node.Get("rungs")
	for _, b := range w.inOrder() {
		i := slices.IndexFunc(rungs.Items(), func(n *source.Node) bool { return n.Get("throw").Text() == b.throw })
		if i < 0 {
			w.newRung(rungs, b)
			continue
		}
		w.addSpeeds(rungs.Items()[i], b)
	}
}

// newRung puts a rung before the first one that comes after it on the ladder.
func (w *writer) newRung(rungs *source.Node, b batch) {
	items := rungs.Items()
	for _, n := range items {
		if w.rank(n.Get("throw").Text()) > w.rank(b.throw) {
			if w.flow(rungs) {
				w.put(n.Start(), n.Start(), rung(b)+", ")
			} else {
				line := n.Start() - w.column(n)
				w.put(line, line, w.before(n)+rung(b)+"\n")
			}
			return
		}
	}
	if len(items) == 0 {
		w.put(rungs.Start()+1, rungs.Start()+1, rung(b))
		return
	}
	last := items[len(items)-1]
	if w.flow(rungs) {
		w.put(w.end(last), w.end(last), ", "+rung(b))
		return
	}
	end := w.lineEnd(w.end(last))
	w.put(end, end, "\n"+w.before(last)+rung(b))
}

// addSpeeds adds readings, and marks where they can be, to a rung that is there.
func (w *writer) addSpeeds(n *source.Node, b batch) {
	r := w.ladder.Rung(b.throw)
	in := r.Unit
	speeds := n.Get("speeds")
	switch {
	case !holds(n, "speeds"):
		text := "speeds: [" + numbers(b.rows, in) + "]"
		if u := b.unitOf(); u != in && u != unit.None && !holds(n, "unit") {
			text = "speeds: [" + numbers(b.rows, u) + "], unit: " + string(u)
		}
		w.addKey(n, text)
	case speeds.Kind() == source.Nothing:
		w.fill(n, "speeds", " ["+numbers(b.rows, in)+"]")
	case speeds.Kind() == source.Scalar:
		w.put(speeds.Start(), speeds.Start(), "[")
		w.put(speeds.End(), speeds.End(), ", "+numbers(b.rows, in)+"]")
	default:
		w.addItems(speeds, strings.Split(numbers(b.rows, in), ", "))
	}
	w.addMarks(n, b)
}

// addMarks keeps marks in step with speeds: they are added where the rung has as
// many marks as speeds, none on either side included.
func (w *writer) addMarks(n *source.Node, b batch) {
	text := marks(b.rows)
	if text == "" {
		return
	}
	held, speeds := n.Get("held"), n.Get("speeds")
	switch {
	case !holds(n, "held") && len(speeds.Items()) == 0 && speeds.Kind() != source.Scalar:
		w.addKey(n, "held: ["+text+"]")
	case held.Kind() == source.List && len(held.Items()) == len(speeds.Items()) && len(held.Items()) > 0:
		w.addItems(held, strings.Split(text, ", "))
	default:
		w.change.Notes = append(w.change.Notes, "marks at "+b.throw+" were not taken: those in the case do not stand throw by throw")
	}
}

func holds(n *source.Node, key string) bool {
	return slices.ContainsFunc(n.Fields(), func(f source.Field) bool { return f.Key.Text() == key })
}

// fill puts a value behind a key that has none.
func (w *writer) fill(n *source.Node, key, text string) {
	for _, f := range n.Fields() {
		if colon := strings.IndexByte(string(w.c.File.Bytes[f.Key.End():]), ':'); f.Key.Text() == key && colon >= 0 {
			w.put(f.Key.End()+colon+1, f.Key.End()+colon+1, text)
		}
	}
}

// addKey adds keys to a rung, after its throw. In block style every key but the
// first of them would need a line of its own.
func (w *writer) addKey(n *source.Node, text string) {
	throw := n.Get("throw")
	if w.flow(n) {
		w.put(throw.End(), throw.End(), ", "+text)
		return
	}
	indent := "\n" + strings.Repeat(" ", w.column(n))
	end := w.lineEnd(throw.End())
	w.put(end, end, indent+strings.Replace(text, "], unit", "]"+indent+"unit", 1))
}

// addItems adds to the end of a list.
func (w *writer) addItems(list *source.Node, items []string) {
	have := list.Items()
	switch {
	case len(have) == 0:
		w.put(list.Start()+1, list.Start()+1, strings.Join(items, ", "))
	case w.flow(list):
		end := have[len(have)-1].End()
		w.put(end, end, ", "+strings.Join(items, ", "))
	default:
		last := have[len(have)-1]
		end := w.lineEnd(last.End())
		w.put(end, end, "\n"+w.before(last)+strings.Join(items, "\n"+w.before(last)))
	}
}
