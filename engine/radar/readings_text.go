package radar

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// numbers writes speeds as the items of a list; in is the unit that a bare number
// has there.
func numbers(rows []Row, in unit.Unit) []string {
	out := make([]string, len(rows))
	for i, r := range rows {
		q := r.Speed
		if q.Unit == in {
			q.Unit = unit.None
		}
		out[i] = q.String()
	}
	return out
}

// marks writes whether the pattern held as the items of a list; none where no line
// says it.
func marks(rows []Row) []string {
	if !slices.ContainsFunc(rows, func(r Row) bool { return r.Mark != "" }) {
		return nil
	}
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = cmp.Or(r.Mark, casefile.CouldNotSee)
	}
	return out
}

func listed(items []string) string { return "[" + strings.Join(items, ", ") + "]" }

// rung writes a new rung on one line.
func rung(b batch) string {
	in := b.unitOf()
	text := "{throw: " + b.throw + ", speeds: " + listed(numbers(b.rows, in))
	if in != unit.None {
		text += ", unit: " + string(in)
	}
	if m := marks(b.rows); m != nil {
		text += ", held: " + listed(m)
	}
	return text + "}"
}

// newLadder writes a ladder for a day that has none.
func (w *writer) newLadder() {
	at, end := w.root.Get("ladder"), len(w.c.File.Bytes)
	switch {
	case at.Kind() == source.List && len(at.Items()) > 0:
		w.edits.Append(at, w.ladderText(at.Flow(), at.Items()[0].Indent()))
	case at.Kind() == source.List:
		w.edits.Append(at, w.ladderText(true, 0))
	case at.Kind() == source.Map:
		w.edits.Wrap(at, w.ladderText(at.Flow(), at.Indent()))
	case holds(w.root, "ladder"):
		w.edits.Fill(w.root, "ladder", "\n  "+w.ladderText(false, 2))
	case end > 0 && w.c.File.Bytes[end-1] != '\n':
		w.edits.Put(end, end, "\nladder:\n  "+w.ladderText(false, 2))
	default:
		w.edits.Put(end, end, "ladder:\n  "+w.ladderText(false, 2))
	}
}

// ladderText writes a ladder on one line, or over several that are indented but for the first.
func (w *writer) ladderText(flow bool, indent int) string {
	keys, rungs := []string{"on: " + w.change.On.Format(time.DateOnly)}, []string{}
	for _, b := range w.inOrder() {
		if len(b.again) > 0 {
			keys = append(keys, "again: "+listed(numbers(b.again, unit.MPH)))
		}
		rungs = append(rungs, rung(b))
	}
	if flow {
		return "{" + strings.Join(append(keys, "rungs: "+listed(rungs)), ", ") + "}"
	}
	line := "\n" + strings.Repeat(" ", indent)
	return strings.Join(append(keys, "rungs:"+line+"  - "+strings.Join(rungs, line+"  - ")), line)
}

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

// oldLadder adds to the rungs of a ladder that is there, a new one before the first that comes after it.
func (w *writer) oldLadder() {
	rungs := w.node.Get("rungs")
	find := func(is func(throw string) bool) *source.Node {
		for _, n := range rungs.Items() {
			if is(n.Get("throw").Text()) {
				return n
			}
		}
		return nil
	}
	for _, b := range w.inOrder() {
		same := find(func(throw string) bool { return throw == b.throw })
		next := find(func(throw string) bool { return w.rank(throw) > w.rank(b.throw) })
		switch {
		case same != nil:
			w.addSpeeds(same, b)
		case next != nil:
			w.edits.Before(rungs, next, rung(b))
		default:
			w.edits.Append(rungs, rung(b))
		}
	}
}

// addSpeeds adds readings, and marks where they can be, to a rung that is there.
func (w *writer) addSpeeds(n *source.Node, b batch) {
	in := w.ladder.Rung(b.throw).Unit
	speeds, news := n.Get("speeds"), numbers(b.rows, in)
	switch u := b.unitOf(); {
	case !holds(n, "speeds") && u != in && u != unit.None && !holds(n, "unit"):
		w.edits.After(n, n.Get("throw"), "speeds: "+listed(numbers(b.rows, u)), "unit: "+string(u))
	case !holds(n, "speeds"):
		w.edits.After(n, n.Get("throw"), "speeds: "+listed(news))
	case speeds.Kind() == source.Nothing:
		w.edits.Fill(n, "speeds", " "+listed(news))
	case speeds.Kind() == source.Scalar:
		w.edits.Wrap(speeds, news...)
	default:
		w.edits.Append(speeds, news...)
	}
	w.addMarks(n, b)
}

// addMarks keeps marks in step with speeds: they are added where the rung has as
// many marks as speeds, none on either side included.
func (w *writer) addMarks(n *source.Node, b batch) {
	news, held, speeds := marks(b.rows), n.Get("held"), n.Get("speeds")
	switch {
	case news == nil:
	case !holds(n, "held") && len(speeds.Items()) == 0 && speeds.Kind() != source.Scalar:
		w.edits.After(n, n.Get("throw"), "held: "+listed(news))
	case held.Kind() == source.List && len(held.Items()) == len(speeds.Items()) && len(held.Items()) > 0:
		w.edits.Append(held, news...)
	default:
		w.change.Notes = append(w.change.Notes, "marks at "+b.throw+" were not taken: those in the case do not stand throw by throw")
	}
}

func holds(n *source.Node, key string) bool {
	return slices.ContainsFunc(n.Fields(), func(f source.Field) bool { return f.Key.Text() == key })
}
