package ladder

import (
	"errors"
	"fmt"
	"slices"
)

// Throw is one entry of the catalogue as far as building a ladder needs it. Demands holds, for each demand in the
// catalogue's order, the place of the throw's value in that demand's ordered values.
type Throw struct {
	ID       string
	Demands  []int
	Measured bool // this athlete has readings on it
}

// Plan is what to build: a path over Throws from From to To.
type Plan struct {
	Throws   []Throw // in catalogue order
	From, To string
	Pin      []string // throws the ladder must go through, in this order
	Forbid   []string // throws it must not use; From, To and the pinned ones are never forbidden
}

// Change is one demand that a step changes, from one place to another of its values. Away says that the step moves it
// farther from the game, which only happens where the cheapest path needs it.
type Change struct {
	Demand, From, To int
	Away             bool
}

// Step leads from one throw of the ladder to the next.
type Step struct {
	From, To string
	Changes  []Change
	Places   int   // places moved over all demands; more than one has to be told
	Halving  []int // with more than one place: the demands of the throw that would halve the step
	Instead  []string
}

// Built is a ladder: the throws from the reference to the game, and the steps between them, one fewer. Instead of a
// step's throw, those with the same demands would do as well.
type Built struct {
	Throws []string
	Steps  []Step
}

// Build finds the cheapest ladder. A step costs the square of the places it moves, so that many small steps are cheaper
// than one large one; among ladders of one cost it takes the one with fewest moves away from the game, then the fewest
// throws not measured yet, then the earliest in catalogue order. Throws with equal demands are alternatives, of which
// one is used: the pinned one, else a measured one, else the first in the catalogue.
func Build(p Plan) (Built, error) {
	g, err := newGraph(p)
	if err != nil {
		return Built{}, err
	}
	stops := append(append([]int{g.index[p.From]}, g.places(p.Pin)...), g.index[p.To])
	stops = slices.Compact(stops)
	path := []int{stops[0]}
	for i := 1; i < len(stops); i++ {
		path = append(path, g.cheapest(stops[i-1], stops[i], path, stops)[1:]...)
	}
	b := Built{}
	for i, at := range path {
		b.Throws = append(b.Throws, p.Throws[at].ID)
		if i > 0 {
			b.Steps = append(b.Steps, g.step(path[i-1], at))
		}
	}
	return b, nil
}

// graph is the catalogue with a step between any two throws.
type graph struct {
	throws []Throw
	game   []int // demands of the end
	index  map[string]int
	usable []bool // one of each set of alternatives, and nothing forbidden
	sets   [][]int
}

func newGraph(p Plan) (*graph, error) {
	g := &graph{throws: p.Throws, index: map[string]int{}, usable: make([]bool, len(p.Throws)), sets: make([][]int, len(p.Throws))}
	for i, t := range p.Throws {
		if len(t.Demands) != len(p.Throws[0].Demands) {
			return nil, fmt.Errorf("throw %q does not say all its demands", t.ID)
		}
		if _, double := g.index[t.ID]; double {
			return nil, fmt.Errorf("throw %q is in the catalogue twice", t.ID)
		}
		g.index[t.ID] = i
	}
	var faults []error
	for _, id := range append(append([]string{p.From, p.To}, p.Pin...), p.Forbid...) {
		if _, ok := g.index[id]; !ok {
			faults = append(faults, fmt.Errorf("throw %q is not in the catalogue", id))
		}
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	g.game = p.Throws[g.index[p.To]].Demands
	g.choose(p)
	return g, nil
}

// choose marks one of each set of alternatives as usable.
func (g *graph) choose(p Plan) {
	fixed := append(append([]string{p.From}, p.Pin...), p.To)
	rank := func(t Throw) int {
		switch {
		case slices.Contains(fixed, t.ID):
			return 0
		case slices.Contains(p.Forbid, t.ID):
			return 3
		case t.Measured:
			return 1
		}
		return 2
	}
	for i, t := range g.throws {
		best := i
		for j, other := range g.throws {
			if !slices.Equal(other.Demands, t.Demands) {
				continue
			}
			g.sets[i] = append(g.sets[i], j)
			if rank(other) < rank(g.throws[best]) || rank(other) == rank(g.throws[best]) && j < best {
				best = j
			}
		}
		g.usable[i] = rank(t) == 0 || best == i && rank(t) < 3
	}
}

func (g *graph) places(ids []string) []int {
	var at []int
	for _, id := range ids {
		at = append(at, g.index[id])
	}
	return at
}

// label is the best way found so far to one throw.
type label struct {
	cost, away, unmeasured int
	path                   []int
	done                   bool
}

func (a label) better(b label) bool {
	switch {
	case b.path == nil:
		return true
	case a.cost != b.cost:
		return a.cost < b.cost
	case a.away != b.away:
		return a.away < b.away
	case a.unmeasured != b.unmeasured:
		return a.unmeasured < b.unmeasured
	}
	return slices.Compare(a.path, b.path) < 0
}

// cheapest is Dijkstra's search from one throw to another, around those already used and other fixed stops.
func (g *graph) cheapest(from, to int, used, stops []int) []int {
	labels := make([]label, len(g.throws))
	labels[from] = label{path: []int{from}}
	for {
		at := -1
		for i, l := range labels {
			if l.path != nil && !l.done && (at < 0 || l.better(labels[at])) {
				at = i
			}
		}
		if at == to {
			return labels[to].path
		}
		labels[at].done = true
		for next := range g.throws {
			barred := next != to && (slices.Contains(used, next) || slices.Contains(stops, next))
			if !g.usable[next] || labels[next].done || barred {
				continue
			}
			if l := g.extend(labels[at], at, next); l.better(labels[next]) {
				labels[next] = l
			}
		}
	}
}

func (g *graph) extend(l label, from, to int) label {
	places, away := 0, 0
	for _, c := range g.changes(from, to) {
		n := abs(c.To - c.From)
		places += n
		if c.Away {
			away += n
		}
	}
	unmeasured := 1
	if g.throws[to].Measured {
		unmeasured = 0
	}
	return label{l.cost + places*places, l.away + away, l.unmeasured + unmeasured, append(slices.Clone(l.path), to), false}
}

func (g *graph) changes(from, to int) []Change {
	var cs []Change
	for d, a := range g.throws[from].Demands {
		b := g.throws[to].Demands[d]
		if a != b {
			cs = append(cs, Change{d, a, b, abs(b-g.game[d]) > abs(a-g.game[d])})
		}
	}
	return cs
}

// step describes one step, and for a large one the throw that would halve it: the first half of the places moved, those
// toward the game before those away from it.
func (g *graph) step(from, to int) Step {
	s := Step{From: g.throws[from].ID, To: g.throws[to].ID, Changes: g.changes(from, to)}
	for _, c := range s.Changes {
		s.Places += abs(c.To - c.From)
	}
	for _, j := range g.sets[to] {
		if j != to && j != from {
			s.Instead = append(s.Instead, g.throws[j].ID)
		}
	}
	if s.Places < 2 {
		return s
	}
	s.Halving = slices.Clone(g.throws[from].Demands)
	left := s.Places / 2
	for _, away := range []bool{false, true} {
		for _, c := range s.Changes {
			if c.Away == away {
				n := min(left, abs(c.To-c.From))
				s.Halving[c.Demand] += n * sign(c.To-c.From)
				left -= n
			}
		}
	}
	return s
}

func abs(i int) int { return max(i, -i) }

func sign(i int) int {
	if i < 0 {
		return -1
	}
	return 1
}
