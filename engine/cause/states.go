package cause

// states lists every scored combination of active factors in the order of a
// walk that adds one factor at a time, upstream factors first. Two things
// follow: a state's parent (the state without its last factor) stands before
// it, and nothing added later can bring the last factor about, so that what is
// known of it holds for all states below.
//
// State 0 is that of no factor; its prior is 0.
type states struct {
	parent []int32
	last   []uint8   // the factor that was added to the parent
	own    []float64 // chance that the last factor is there by itself, given the state
	prior  []float64 // chance before any evidence, not normalised

	// The arrows to the last factor of state i from its other factors are
	// arrow[arrows[i]:arrows[i+1]].
	arrows []int32
	arrow  []uint16
}

// walker carries the walk that fills the states.
type walker struct {
	states
	factors []Factor
	edges   []edge
	into    [][]int // arrows that point to a factor
	order   []int   // upstream first
	most    int
	set     uint32
	absent  [][]float64 // by number of active factors: chance that each is not there
}

// enumerate lists all states of up to most active factors. A factor is not
// there with chance (1-prior) times (1-weight) of each active factor upstream.
func enumerate(factors []Factor, edges []edge, most int) states {
	w := &walker{factors: factors, edges: edges, most: most, into: make([][]int, len(factors))}
	for i, e := range edges {
		w.into[e.to] = append(w.into[e.to], i)
	}
	w.order = upstreamFirst(factors)
	w.absent = make([][]float64, most+1)
	for k := range w.absent {
		w.absent[k] = make([]float64, len(factors))
	}
	for i, f := range factors {
		w.absent[0][i] = 1 - f.Prior
	}
	w.parent, w.last, w.own, w.prior = []int32{0}, []uint8{0}, []float64{0}, []float64{0}
	w.arrows = []int32{0, 0}
	w.extend(0, 0, 0)
	return w.states
}

// upstreamFirst orders the factors so that causes come before what they cause.
func upstreamFirst(factors []Factor) []int {
	waits := make([]int, len(factors))
	for _, f := range factors {
		for _, l := range f.Causes {
			waits[l.To]++
		}
	}
	var order []int
	for f := range factors {
		if waits[f] == 0 {
			order = append(order, f)
		}
	}
	for k := 0; k < len(order); k++ {
		for _, l := range factors[order[k]].Causes {
			if waits[l.To]--; waits[l.To] == 0 {
				order = append(order, l.To)
			}
		}
	}
	return order
}

// extend adds each factor from place first of the order on to the state at parent.
func (w *walker) extend(parent int32, active, first int) {
	if active == w.most {
		return
	}
	next := w.absent[active+1]
	for k := first; k < len(w.order); k++ {
		f := w.order[k]
		copy(next, w.absent[active])
		for _, l := range w.factors[f].Causes {
			next[l.To] *= 1 - l.Weight
		}
		w.set |= 1 << f
		at := int32(len(w.prior))
		w.add(parent, f, next)
		w.extend(at, active+1, k+1)
		w.set &^= 1 << f
	}
}

// add records the state that is now in set.
func (w *walker) add(parent int32, last int, absent []float64) {
	prior := 1.0
	for f, a := range absent {
		if w.set&(1<<f) != 0 {
			a = 1 - a
		}
		prior *= a
	}
	for _, e := range w.into[last] {
		if w.set&(1<<w.edges[e].from) != 0 {
			w.arrow = append(w.arrow, uint16(e))
		}
	}
	w.parent = append(w.parent, parent)
	w.last = append(w.last, uint8(last))
	w.own = append(w.own, w.factors[last].Prior/(1-absent[last]))
	w.prior = append(w.prior, prior)
	w.arrows = append(w.arrows, int32(len(w.arrow)))
}

// tally adds up the states, and for each factor those in which it is a cause by
// itself; it returns the total. The weights are used up: afterwards each holds
// the sum of its state and all below.
func (s *states) tally(w, root []float64) float64 {
	clear(root)
	parent, last, own := s.parent[:len(w)], s.last[:len(w)], s.own[:len(w)]
	for i := len(w) - 1; i > 0; i-- {
		root[last[i]] += own[i] * w[i]
		w[parent[i]] += w[i]
	}
	return w[0]
}
