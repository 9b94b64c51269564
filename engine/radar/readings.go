package radar

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Placing says where readings go.
type Placing struct {
	On    time.Time // the day of readings without a date
	Order []string  // throw ids as the ladder goes, to find a new rung its place
	All   bool      // take readings as new throws even where the same stand in the case already
}

// Change is what an import makes of a case.
type Change struct {
	Data  []byte // the new text; nil where nothing is new
	On    time.Time
	Rows  []Row    // the file's lines, those that stand in the case already left out
	Notes []string // what was done that nobody asked for, in plain words
}

// mark is how an imported file is known again: a comment at the end of the case.
const mark = "# readings of "

// Imported returns the line of the case that says that a file of this hash was
// imported, 0 where there is none.
func Imported(f *source.File, hash string) int {
	for i, line := range strings.Split(string(f.Bytes), "\n") {
		if strings.HasPrefix(line, mark) && strings.Contains(line, "sha256 "+hash) {
			return i + 1
		}
	}
	return 0
}

// Into puts the taken lines of an import into the ladder of their day, which is
// made where the case has none. The vocabulary is the one the case was read with.
func Into(c *casefile.Case, m *Import, v casefile.Vocabulary, o Placing) (Change, error) {
	root, _ := c.File.YAML() // a case that was read has no faults
	w := &writer{c: c, o: o, root: root, edits: c.File.Edits(), change: Change{On: dayOf(c, m, o), Rows: slices.Clone(m.Rows)}}
	if err := w.find(); err != nil {
		return Change{}, err
	}
	w.gather()
	if len(w.batches) == 0 {
		return w.change, nil
	}
	if w.node == nil {
		w.newLadder()
	} else {
		w.oldLadder()
	}
	data := append(w.edits.Bytes(), fmt.Sprintf("%s%s, sha256 %s, taken for %s\n", mark, oneLine(m.Path), m.Hash, w.change.On.Format(time.DateOnly))...)
	if err := w.verify(data, v); err != nil {
		return Change{}, err
	}
	w.change.Data = data
	return w.change, nil
}

// dayOf is the ladder's day: the readings' own, else the newest ladder's, else as
// the caller says.
func dayOf(c *casefile.Case, m *Import, o Placing) time.Time {
	if !m.On.IsZero() {
		return m.On
	}
	if l := c.Ladder(); l != nil && !l.On.IsZero() {
		return l.On
	}
	return o.On
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// batch is the new readings of one throw.
type batch struct {
	throw string
	rows  []Row
	again []Row // of the reference: thrown once more after other throws
}

// writer makes one change.
type writer struct {
	c       *casefile.Case
	o       Placing
	root    *source.Node
	node    *source.Node     // of the day's ladder, nil = there is none
	ladder  *casefile.Ladder // the same, as read
	batches []batch
	edits   *source.Edits
	change  Change
}

// find looks up the ladder of the day.
func (w *writer) find() error {
	at := w.root.Get("ladder")
	nodes := []*source.Node{at}
	if at.Kind() == source.List {
		nodes = at.Items()
	}
	for _, n := range nodes {
		if n.Kind() != source.Map {
			continue
		}
		on := n.Get("on").Text()
		if on == "" {
			return fmt.Errorf("%s: the ladder on line %d has no day: give it `on:` first, so that readings of two days do not mix", w.c.File.Path, n.Place().Line)
		}
		if on == w.change.On.Format(time.DateOnly) {
			w.node = n
		}
	}
	for i := range w.c.Ladders {
		if w.c.Ladders[i].On.Equal(w.change.On) {
			w.ladder = &w.c.Ladders[i]
		}
	}
	return nil
}

// gather sorts the taken lines by throw, leaving out what the case holds
// already.
func (w *writer) gather() {
	var order []string
	by := map[string][]int{}
	for i, r := range w.change.Rows {
		if r.Status != Taken {
			continue
		}
		if by[r.Throw] == nil {
			order = append(order, r.Throw)
		}
		by[r.Throw] = append(by[r.Throw], i)
	}
	for _, id := range order {
		b := batch{throw: id}
		known := w.known(id, by[id])
		for n, i := range by[id] {
			r := &w.change.Rows[i]
			switch {
			case n < known:
				r.Status, r.Why = Skipped, "it stands in the case already"
			case w.node == nil && id == w.c.Reference.Throw && n > 0 && i-by[id][0] > n && w.othersBetween(by[id][0], i):
				b.again = append(b.again, *r)
			default:
				b.rows = append(b.rows, *r)
			}
		}
		if len(b.again) > 0 {
			w.change.Notes = append(w.change.Notes, "the reference drill thrown once more after other throws is kept apart, as `again`")
		}
		if len(b.rows) > 0 {
			w.batches = append(w.batches, b)
		}
	}
}

// othersBetween reports whether other throws were read between two lines.
func (w *writer) othersBetween(from, to int) bool {
	return slices.ContainsFunc(w.change.Rows[from:to], func(r Row) bool {
		return r.Status == Taken && r.Throw != w.c.Reference.Throw
	})
}

// leastKnown is how many readings in a row must be the same before they are taken
// for the same throws. Source: house default.
const leastKnown = 2

// known is how many of a throw's lines, from the first, stand in the case: all of them where the case holds them in this
// order, as many as the case holds where the file goes on from there.
func (w *writer) known(throw string, rows []int) int {
	if w.ladder == nil || w.o.All || w.ladder.Rung(throw) == nil {
		return 0
	}
	news := make([]float64, len(rows))
	for n, i := range rows {
		news[n] = w.change.Rows[i].MPH()
	}
	old := w.ladder.Rung(throw).Speeds
	switch {
	case len(news) >= leastKnown && contains(old, news):
		return len(news)
	case len(old) >= leastKnown && len(old) < len(news) && contains(news[:len(old)], old):
		return len(old)
	}
	return 0
}

// contains reports whether part stands in all, in one piece.
func contains(all, part []float64) bool {
	for i := 0; i+len(part) <= len(all); i++ {
		if slices.EqualFunc(all[i:i+len(part)], part, equal) {
			return true
		}
	}
	return false
}

// equal compares speeds that went through a conversion of units.
func equal(a, b float64) bool { return a-b < .002 && b-a < .002 }

// verify reads the new text and compares it with what it should hold.
func (w *writer) verify(data []byte, v casefile.Vocabulary) error {
	now, ds := casefile.Parse(source.New(w.c.File.Path, data), v)
	want := speeds(w.c)
	day := w.change.On.Format(time.DateOnly)
	for _, b := range w.batches {
		add(want, day+" "+b.throw, b.rows)
		add(want, day+again, b.again)
	}
	if now == nil || ds.Errors() > 0 || len(now.Answers) != len(w.c.Answers) || len(now.Seen) != len(w.c.Seen) ||
		!maps.EqualFunc(want, speeds(now), func(a, b []float64) bool { return slices.EqualFunc(a, b, equal) }) {
		return fmt.Errorf("%s: the readings could not be placed without changing something else; write the ladder as a list of rungs and try again", w.c.File.Path)
	}
	return nil
}

// again stands for the throw of the reference at the end of a ladder.
const again = " again"

// speeds is every speed on the ladders of a case, by day and throw.
func speeds(c *casefile.Case) map[string][]float64 {
	out := map[string][]float64{}
	for _, l := range c.Ladders {
		day := l.On.Format(time.DateOnly)
		out[day+again] = append(out[day+again], l.Again...)
		for _, r := range l.Rungs {
			out[day+" "+r.Throw] = append(out[day+" "+r.Throw], r.Speeds...)
		}
	}
	return out
}

func add(to map[string][]float64, key string, rows []Row) {
	all := to[key]
	for _, r := range rows {
		all = append(all, r.MPH())
	}
	to[key] = all
}

// unitOf is the one unit of a batch, or none where its lines have several.
func (b batch) unitOf() unit.Unit {
	u := b.rows[0].Speed.Unit
	for _, r := range append(slices.Clone(b.rows), b.again...) {
		if r.Speed.Unit != u {
			return unit.None
		}
	}
	return u
}
