package cause

// states lists every scored combination of active factors, in the order of a
// walk that adds one factor at a time, so that a state's parent (the state
// without its last factor) always stands before it.
type states struct {
	parent []int32   // -1 where the state has one factor
	last   []uint8   // the factor that was added to the parent
	prior  []float64 // chance before any evidence, not normalised

	// The active factors of state i are active[start[i]:start[i+1]]; own is the
	// chance that the factor is there by itself, given the state.
	start  []int32
	active []uint8
	own    []float64

	// The arrows with both ends active in state i are arrow[arrows[i]:arrows[i+1]],
	// with the own of the factor they point to.
	arrows   []int32
	arrow    []uint16
	arrowOwn []float64
}

// walker carries the walk that fills the states.
type walker struct {
	states
	factors []Factor
	into    [][]int // arrows that point to a factor
	edges   []edge
	most    int
	set     uint32
	chosen  []uint8
}

// enumerate lists all states of 1 to most active factors. A factor is not
// there with chance (1-prior) times (1-weight) of each active factor upstream.
func enumerate(factors []Factor, edges []edge, most int) states {
	w := &walker{factors: factors, edges: edges, most: most, into: make([][]int, len(factors))}
	for i, e := range edges {
		w.into[e.to] = append(w.into[e.to], i)
	}
	absent := make([]float64, len(factors))
	for i, f := range factors {
		absent[i] = 1 - f.Prior
	}
	w.start = append(w.start, 0)
	w.arrows = append(w.arrows, 0)
	w.extend(-1, 0, absent)
	return w.states
}

// extend adds each factor from first on to the state at parent.
func (w *walker) extend(parent int32, first int, absent []float64) {
	if len(w.chosen) == w.most {
		return
	}
	next := make([]float64, len(absent))
	for f := first; f < len(w.factors); f++ {
		copy(next, absent)
		for _, l := range w.factors[f].Causes {
			next[l.To] *= 1 - l.Weight
		}
		w.set |= 1 << f
		w.chosen = append(w.chosen, uint8(f))
		at := int32(len(w.prior))
		w.add(parent, uint8(f), next)
		w.extend(at, f+1, next)
		w.chosen = w.chosen[:len(w.chosen)-1]
		w.set &^= 1 << f
	}
}

// add records the state that is now chosen.
func (w *walker) add(parent int32, last uint8, absent []float64) {
	prior := 1.0
	for f, a := range absent {
		if w.set&(1<<f) == 0 {
			prior *= a
			continue
		}
		prior *= 1 - a
		own := w.factors[f].Prior / (1 - a)
		w.active = append(w.active, uint8(f))
		w.own = append(w.own, own)
		for _, e := range w.into[f] {
			if w.set&(1<<w.edges[e].from) != 0 {
				w.arrow = append(w.arrow, uint16(e))
				w.arrowOwn = append(w.arrowOwn, own)
			}
		}
	}
	w.parent = append(w.parent, parent)
	w.last = append(w.last, last)
	w.prior = append(w.prior, prior)
	w.start = append(w.start, int32(len(w.active)))
	w.arrows = append(w.arrows, int32(len(w.arrow)))
}
