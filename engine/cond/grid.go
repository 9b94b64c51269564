package cond

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"rungwise/engine/fact"
)

// mostCells is how many cases an analysis goes through before it says that it
// cannot tell.
const mostCells = 200_000

// Setting is one value of an example case.
type Setting struct {
	Slot  int
	Value fact.Value
}

// grid is every case that some conditions can tell apart: the answers of each
// fact, and of a number its boundaries and one value between each two. A changed
// fact of a checkpoint with answers follows from the other two.
type grid struct {
	cat  *fact.Catalogue
	axes []axis
	ties []tie
	free []tie // ties of which only the changed fact is read
}

type axis struct {
	slot   int
	values []fact.Value
}

// Box gives the stretch of values that a fact may have, Low and High alike
// where it has one; known is false for a fact that nobody observed.
type Box func(slot int) (low, high float64, known bool)

// newGrid lays the cases of the conditions out, everything known and as far as
// the catalogue believes.
func newGrid(cs ...*Condition) (*grid, bool) {
	g := &grid{cat: cs[0].cat}
	var slots []int
	for _, c := range cs {
		slots = append(slots, c.reads...)
	}
	return g, g.lay(g.tied(slots), cs, func(slot int) (low, high float64, known bool) {
		f := g.cat.At(slot)
		switch {
		case f.Kind != fact.Number:
			return 0, float64(len(f.AnswerIDs()) - 1), true
		case f.Low != f.High:
			return f.Low, f.High, true
		}
		edges := boundaries(slot, cs)
		if len(edges) == 0 {
			edges = []float64{0}
		}
		return edges[0] - 100, edges[len(edges)-1] + 100, true
	})
}

// lay adds an axis for each of the slots; it fails where a number is compared
// in a way that has no fixed boundaries, and where there are too many cases.
func (g *grid) lay(slots []int, cs []*Condition, b Box) bool {
	if slices.ContainsFunc(cs, func(c *Condition) bool { return !c.root.boxed(g.cat) }) {
		return false
	}
	cells := 1
	for _, slot := range slots {
		a := axis{slot, g.values(slot, cs, b)}
		if cells *= len(a.values); cells > mostCells {
			return false
		}
		g.axes = append(g.axes, a)
	}
	return true
}

// boxed reports whether every comparison of a number has fixed boundaries.
func (c *clause) boxed(cat *fact.Catalogue) bool {
	for _, p := range c.parts {
		if !p.boxed(cat) {
			return false
		}
	}
	for _, t := range c.terms {
		for _, slot := range c.slots(nil) {
			if _, ok := t.lines(slot, nil); cat.At(slot).Kind == fact.Number && !ok {
				return false
			}
		}
	}
	return true
}

// tied sorts the slots and settles the changed facts: one that is read beside
// its best or stuck fact follows from both, one read alone is free.
func (g *grid) tied(slots []int) []int {
	var out []int
	for _, slot := range slots {
		t, graded := tieOf(g.cat, slot)
		beside := slices.Contains(slots, t.best) || slices.Contains(slots, t.stuck)
		switch {
		case !graded || slot != t.changed:
			out = append(out, slot)
		case beside:
			out = append(out, t.best, t.stuck)
			g.ties = append(g.ties, t)
		default:
			out = append(out, slot)
			if !slices.Contains(g.free, t) {
				g.free = append(g.free, t)
			}
		}
	}
	return unique(out)
}

// values lists the values of a fact that the conditions can tell apart, yes
// before no.
func (g *grid) values(slot int, cs []*Condition, b Box) []fact.Value {
	low, high, known := b(slot)
	kind := g.cat.At(slot).Kind
	var out []fact.Value
	switch {
	case !known:
		return []fact.Value{{}}
	case low == high:
		return []fact.Value{fact.Num(low)}
	case kind == fact.Number:
		for _, n := range samples(low, high, boundaries(slot, cs)) {
			out = append(out, fact.Num(n))
		}
	default:
		for n := low; n <= high; n++ {
			out = append(out, fact.Num(n))
		}
	}
	if kind == fact.YesNo {
		slices.Reverse(out)
	}
	return out
}

// boundaries lists those of all the conditions, in order and each once.
func boundaries(slot int, cs []*Condition) []float64 {
	var out []float64
	for _, c := range cs {
		out = append(out, c.Boundaries(slot)...)
	}
	return unique(out)
}

// unique sorts a list and leaves each entry once.
func unique[T cmp.Ordered](list []T) []T {
	slices.Sort(list)
	return slices.Compact(list)
}

// samples returns the boundaries that lie in a stretch, and a round value
// before, between and after them.
func samples(low, high float64, edges []float64) []float64 {
	var out []float64
	at := low
	for _, n := range edges {
		if n < low || n > high {
			continue
		}
		if at < n {
			out = append(out, roundest(at, n))
		}
		out = append(out, n)
		at = n
	}
	if at < high {
		out = append(out, roundest(at, high))
	}
	return out
}

// roundest returns the number with the fewest digits inside a stretch, near
// its middle.
func roundest(low, high float64) float64 {
	middle := (low + high) / 2
	for scale := 1.0; scale <= 1e6; scale *= 10 {
		if n := math.Round(middle*scale) / scale; low < n && n < high {
			return n
		}
	}
	return middle
}

// fill gives the facts from the i-th on their values, one after the other,
// until visit says no.
func (g *grid) fill(i int, v fact.Vector, visit func(fact.Vector) bool) bool {
	if i == len(g.axes) {
		for _, t := range g.ties {
			t.follow(v)
		}
		return visit(v)
	}
	for _, x := range g.axes[i].values {
		v[g.axes[i].slot] = x
		if !g.fill(i+1, v, visit) {
			return false
		}
	}
	return true
}

// example writes a case down: every fact that the conditions read, and for a
// changed fact read alone two answers that give it.
func (g *grid) example(v fact.Vector) []Setting {
	set := map[int]fact.Value{}
	for _, a := range g.axes {
		set[a.slot] = v[a.slot]
	}
	for _, t := range g.ties {
		set[t.changed] = v[t.changed]
	}
	for _, t := range g.free {
		set[t.best], set[t.stuck] = fact.Num(0), fact.Num(0)
		if v[t.changed].N != 0 {
			set[t.stuck] = fact.Num(1)
		}
	}
	out := make([]Setting, 0, len(set))
	for _, slot := range slices.Sorted(maps.Keys(set)) {
		out = append(out, Setting{slot, set[slot]})
	}
	return out
}

// find returns the first case for which the test is true, or nil.
func (g *grid) find(test func(fact.Vector) bool) []Setting {
	var out []Setting
	g.fill(0, g.cat.Vector(), func(v fact.Vector) bool {
		if test(v) {
			out = g.example(v)
		}
		return out == nil
	})
	return out
}
