package cond

import (
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

// grid is every case that some conditions can tell apart, everything known:
// the answers of each fact, and of a number its boundaries and one value
// between each two. A changed fact of a checkpoint with answers follows from
// the other two.
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

// newGrid lays the cases of the conditions out; it fails where a number is
// compared in a way that has no fixed boundaries, and where there are too many
// cases.
func newGrid(cs ...*Condition) (*grid, bool) {
	g := &grid{cat: cs[0].cat}
	var slots []int
	for _, c := range cs {
		if !c.root.boxed(g.cat) {
			return nil, false
		}
		slots = append(slots, c.reads...)
	}
	slots = g.tied(slots)
	cells := 1
	for _, slot := range slots {
		a := axis{slot, g.values(slot, cs)}
		if cells *= len(a.values); cells > mostCells {
			return nil, false
		}
		g.axes = append(g.axes, a)
	}
	return g, true
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
	slices.Sort(out)
	return slices.Compact(out)
}

// values lists the values of a fact that the conditions can tell apart.
func (g *grid) values(slot int, cs []*Condition) []fact.Value {
	f := g.cat.At(slot)
	var numbers []float64
	switch f.Kind {
	case fact.YesNo:
		numbers = []float64{1, 0}
	case fact.Choice:
		for i := range f.Answers {
			numbers = append(numbers, float64(i))
		}
	default:
		var edges []float64
		for _, c := range cs {
			edges = append(edges, c.Boundaries(slot)...)
		}
		numbers = samples(f, edges)
	}
	out := make([]fact.Value, len(numbers))
	for i, n := range numbers {
		out[i] = fact.Num(n)
	}
	return out
}

// samples returns the boundaries of a number that it can reach, and a round
// value in each stretch around them.
func samples(f fact.Fact, edges []float64) []float64 {
	slices.Sort(edges)
	edges = slices.Compact(edges)
	low, high := f.Low, f.High
	if low == high {
		low, high = -100, 100
		if len(edges) > 0 {
			low, high = edges[0]-100, edges[len(edges)-1]+100
		}
	}
	edges = slices.DeleteFunc(edges, func(n float64) bool { return n < low || n > high })
	var out []float64
	for i, at := 0, low; i <= len(edges); i++ {
		next := high
		if i < len(edges) {
			next = edges[i]
		}
		if at < next {
			out = append(out, roundest(at, next))
		}
		if i < len(edges) {
			out = append(out, next)
		}
		at = next
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

// each visits every case until visit says no. The vector is used again.
func (g *grid) each(visit func(fact.Vector) bool) {
	v := g.cat.Vector()
	g.fill(0, v, visit)
}

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
	for slot := range g.cat.Len() {
		if x, ok := set[slot]; ok {
			out = append(out, Setting{slot, x})
		}
	}
	return out
}

// find returns the first case for which the test is true, or nil.
func (g *grid) find(test func(fact.Vector) bool) []Setting {
	var out []Setting
	g.each(func(v fact.Vector) bool {
		if test(v) {
			out = g.example(v)
			return false
		}
		return true
	})
	return out
}
