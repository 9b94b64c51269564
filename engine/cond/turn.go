package cond

import (
	"math"
	"slices"

	"rungwise/engine/fact"
)

// Change is one observed value that would have to be another.
type Change struct {
	Slot     int
	Name     string
	From, To fact.Value
}

const (
	mostChanges = 3       // facts that a change may touch
	mostTrials  = 200_000 // outcomes looked at before giving up
)

// Turn returns the smallest change of observed values that gives the outcome
// wanted: the fewest facts, and of those the nearest answers and the numbers
// just past a boundary. It is empty when the outcome is there already, and nil
// when no change of up to three facts gives it; unknown is never looked for.
//
// Limits never change. Where a checkpoint has answers, its changed fact
// follows from the best and the stuck one and is not changed by itself. derive
// recomputes every other fact that depends on those changed, in place; a
// change counts only if the outcome holds after it. It may be nil.
func (c *Condition) Turn(v fact.Vector, want fact.Truth, derive func(fact.Vector)) []Change {
	switch {
	case c.eval(v) == want:
		return []Change{}
	case want == fact.Unknown:
		return nil
	}
	t := turner{c: c, v: v, want: want, derive: derive, trial: slices.Clone(v), after: slices.Clone(v)}
	t.movable()
	for n := 1; n <= mostChanges && t.best == nil; n++ {
		t.try(n, 0, nil, 0)
	}
	t.prune()
	return t.best
}

// turner searches for a change.
type turner struct {
	c      *Condition
	v      fact.Vector // as observed
	want   fact.Truth
	derive func(fact.Vector)
	slots  []int       // what may change, in order
	ties   []tie       // changed facts that follow
	trial  fact.Vector // with the changes so far
	after  fact.Vector // the same with what follows from them
	trials int
	best   []Change
	cost   float64
}

// tie is a checkpoint with answers: its changed fact is whether the other two
// differ.
type tie struct{ best, stuck, changed int }

// tieOf returns the tie of a checkpoint's fact, if it has one.
func tieOf(cat *fact.Catalogue, slot int) (tie, bool) {
	id := cat.At(slot).Checkpoint
	best, okBest := cat.Slot(fact.Best + "." + id)
	stuck, okStuck := cat.Slot(fact.Stuck + "." + id)
	changed, okChanged := cat.Slot(fact.Changed + "." + id)
	graded := okBest && okStuck && okChanged && id != "" &&
		cat.At(best).Kind == fact.Choice && cat.At(stuck).Kind == fact.Choice
	return tie{best, stuck, changed}, graded
}

// follow sets the changed fact from the two it follows from, when both are
// known.
func (t tie) follow(v fact.Vector) {
	if a, b := v[t.best], v[t.stuck]; a.Known && b.Known {
		v[t.changed] = fact.Bool(a.N != b.N)
	}
}

// movable lists what may change: what the condition reads, and in place of a
// changed fact the two that it follows from.
func (t *turner) movable() {
	for _, slot := range t.c.reads {
		tied, graded := tieOf(t.c.cat, slot)
		if graded {
			t.ties = append(t.ties, tied)
		}
		if graded && slot == tied.changed {
			t.slots = append(t.slots, tied.best, tied.stuck)
			continue
		}
		t.slots = append(t.slots, slot)
	}
	t.slots = unique(t.slots)
}

// try changes n more facts, the slots before from being settled.
func (t *turner) try(n, from int, made []Change, cost float64) {
	if n == 0 {
		t.judge(made, cost)
		return
	}
	for i := from; i+n <= len(t.slots) && t.trials < mostTrials; i++ {
		slot := t.slots[i]
		old := t.v[slot]
		f := t.c.cat.At(slot)
		for _, x := range t.candidates(slot, f) {
			t.trial[slot] = x
			step := Change{Slot: slot, Name: f.Name, From: old, To: x}
			t.try(n-1, i+1, append(made[:len(made):len(made)], step), cost+far(f, old, x))
		}
		t.trial[slot] = old
	}
}

// prune takes out changes that turn out to be spare: a value that only a
// second change made worth trying can be enough by itself.
func (t *turner) prune() {
	for i := 0; i < len(t.best) && len(t.best) > 1; i++ {
		rest := slices.Delete(slices.Clone(t.best), i, i+1)
		copy(t.trial, t.v)
		for _, c := range rest {
			t.trial[c.Slot] = c.To
		}
		if t.outcome() == t.want {
			t.best, i = rest, -1
		}
	}
}

// outcome is the condition's for the changes on trial and what follows.
func (t *turner) outcome() fact.Truth {
	copy(t.after, t.trial)
	for _, tied := range t.ties {
		tied.follow(t.after)
	}
	if t.derive != nil {
		t.derive(t.after)
	}
	return t.c.eval(t.after)
}

// judge keeps the changes made if they give what is wanted and are the nearest
// so far.
func (t *turner) judge(made []Change, cost float64) {
	t.trials++
	if t.best != nil && cost >= t.cost {
		return
	}
	if t.outcome() == t.want {
		t.best, t.cost = slices.Clone(made), cost
	}
}

// candidates lists the values that a fact may change to.
func (t *turner) candidates(slot int, f fact.Fact) []fact.Value {
	var out []fact.Value
	add := func(n float64) {
		x := fact.Num(n)
		if x != t.v[slot] && !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	switch f.Kind {
	case fact.YesNo:
		add(1)
		add(0)
	case fact.Choice:
		for i := range f.Answers {
			add(float64(i))
		}
	case fact.Number:
		for _, n := range t.numbers(slot, f) {
			add(n)
		}
	}
	return out
}

// numbers lists the values at and just past each boundary of a number, and
// those between two; where the boundary hangs on another unknown number, a few
// that span the range.
func (t *turner) numbers(slot int, f fact.Fact) []float64 {
	edges := t.c.root.boundaries(slot, t.trial, nil)
	slices.Sort(edges)
	var out []float64
	keep := func(n float64) {
		if n = tidy(n); f.Low == f.High || n >= f.Low && n <= f.High {
			out = append(out, n)
		}
	}
	for i, b := range edges {
		keep(b)
		keep(b + stepOf(f, b))
		keep(b - stepOf(f, b))
		if i > 0 {
			keep((edges[i-1] + b) / 2)
		}
	}
	if len(edges) == 0 && !t.v[slot].Known {
		keep(math.Round((f.Low + f.High) / 2))
		keep(f.Low)
		keep(f.High)
	}
	return out
}

// tidy takes off the last digits that arithmetic leaves.
func tidy(n float64) float64 { return math.Round(n*1e6)/1e6 + 0 }

// stepOf is the smallest difference that people tell of a fact.
func stepOf(f fact.Fact, near float64) float64 {
	switch {
	case counted(f.Unit):
		return 1
	case f.Low != f.High && f.High-f.Low <= 2:
		return 0.01
	case f.Unit == "mph" || near != math.Trunc(near) || f.Low != f.High && f.High-f.Low <= 20:
		return 0.1
	}
	return 1
}

// far is how far a value lies from the one observed, a whole range or an
// unseen value being 1. Of two changes as near as each other the one on the
// stuck throw is told: the reference drill is what the coach trusts.
func far(f fact.Fact, old, x fact.Value) float64 {
	if f.Column == fact.Best {
		f.Column = ""
		return far(f, old, x) + 1e-6
	}
	d := math.Abs(x.N - old.N)
	switch {
	case !old.Known || f.Kind == fact.YesNo:
		return 1
	case f.Kind == fact.Choice && f.Ordered:
		return d / float64(max(1, len(f.Answers)-1))
	case f.Kind == fact.Choice:
		return 1
	case f.Low != f.High:
		return d / (f.High - f.Low)
	}
	return d / max(1, math.Abs(old.N))
}
