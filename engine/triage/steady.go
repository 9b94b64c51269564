package triage

import (
	"math"
	"math/rand/v2"
	"slices"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/measure"
	"rungwise/engine/unit"
)

// redraws is how often the numbers of a case are drawn again, and redrawSeed
// makes the draws the same on every run.
const (
	redraws    = 10_000
	redrawSeed = 20261110
)

// Steady tells of each rule in what share of 10,000 re-readings it keeps its
// outcome, when the numbers of the case are drawn again within their errors. A
// rule that reads no number with an error keeps it always, and what is unknown
// stays unknown. Every fact has draws of its own, so that the answer for one
// rule does not hang on which others are asked.
func (m *Model) Steady(c Case, rules ...*cond.Condition) []float64 {
	out := make([]float64, len(rules))
	d := m.drawing(c)
	var open []int // rules that a draw can turn
	for i, when := range rules {
		out[i] = 1
		if slices.ContainsFunc(when.Reads(), d.moves) && when.Over(d.box) == fact.Unknown {
			open = append(open, i)
			d.need(when.Reads())
		}
	}
	if len(open) == 0 {
		return out
	}
	now, same := make([]fact.Truth, len(rules)), make([]int, len(rules))
	for _, i := range open {
		now[i] = rules[i].Eval(c.Vector)
	}
	for range redraws {
		d.draw()
		for _, i := range open {
			if rules[i].Eval(d.vector) == now[i] {
				same[i]++
			}
		}
	}
	for _, i := range open {
		out[i] = float64(same[i]) / redraws
	}
	return out
}

// ErrorOf is the standard error of a number of the case, in the fact's unit; 0
// where it is counted, worked out from dates, or not known.
func (m *Model) ErrorOf(c Case, slot int) float64 {
	f := m.base.Catalogue.At(slot)
	if f.Kind != fact.Number || f.Constant || !c.Vector[slot].Known {
		return 0
	}
	if e, told := c.Error[slot]; told {
		return e
	}
	return usualError(f)
}

// The errors of numbers that come without one (house defaults). Counts and
// dates have none; a checkpoint has that of a number clicked or timed by hand.
const (
	speedError  = 1.0 // mph, of a gain or a gap between two days
	effortError = 5.0 // points of effort felt
	shareError  = 1.5 // percent, of a mean of a few throws against another
)

func usualError(f fact.Fact) float64 {
	switch {
	case f.Column != "" && f.Checkpoint != "":
		return measure.Stated(unit.Quantity{Unit: unit.Unit(f.Unit)}).SD
	case f.Unit == string(unit.MPH):
		return speedError
	}
	switch f.Name {
	case "rung.effort", "rung.effort_drop":
		return effortError
	case "reference.share_of_best", "ladder.gap_percent":
		return shareError
	}
	return 0
}

// drawing draws the numbers of one case again.
type drawing struct {
	vector fact.Vector
	movers map[int]*mover // by slot
	needed []*mover       // those to draw, in the order of the catalogue
}

// mover draws one fact.
type mover struct {
	slot      int
	rng       *rand.Rand
	at, err   float64 // of a number: its value and error
	chance    float64 // of a measured difference: that the two differ
	two       bool    // a measured difference that follows from two drawn numbers
	best      int     // the slots of the two
	stuck     int
	tolerance float64
}

func (m *Model) drawing(c Case) *drawing {
	d := &drawing{vector: slices.Clone(c.Vector), movers: map[int]*mover{}}
	for slot, v := range c.Vector {
		w := &mover{slot: slot, at: v.N, err: m.ErrorOf(c, slot)}
		lambda, measured := c.Lambda[slot]
		if measured = measured && v.Known; measured {
			w.chance = lambda / (1 + lambda)
			m.numbersBehind(c, w)
		}
		if w.err > 0 || measured {
			w.rng = rand.New(rand.NewPCG(redrawSeed, uint64(slot)))
			d.movers[slot] = w
		}
	}
	return d
}

// numbersBehind finds the two numbers with errors that a measured difference
// follows from.
func (m *Model) numbersBehind(c Case, w *mover) {
	f := m.base.Catalogue.At(w.slot)
	best, ok := m.base.Catalogue.Slot(fact.Best + "." + f.Checkpoint)
	stuck, ok2 := m.base.Catalogue.Slot(fact.Stuck + "." + f.Checkpoint)
	p, ok3 := m.base.Checklist.Checkpoint(f.Checkpoint)
	if !ok || !ok2 || !ok3 || p.Measure == nil || m.ErrorOf(c, best) == 0 || m.ErrorOf(c, stuck) == 0 {
		return
	}
	w.two, w.best, w.stuck, w.tolerance = true, best, stuck, p.Measure.Tolerance
}

func (d *drawing) moves(slot int) bool { return d.movers[slot] != nil }

// farthest is how many errors away from its value no draw comes.
const farthest = 8

// box is everything that a fact can be drawn as.
func (d *drawing) box(slot int) (low, high float64, known bool) {
	v, w := d.vector[slot], d.movers[slot]
	switch {
	case w == nil:
		return v.N, v.N, v.Known
	case w.err > 0 && !w.two:
		return w.at - farthest*w.err, w.at + farthest*w.err, true
	}
	return 0, 1, true
}

// need notes what a rule reads, and the numbers behind it.
func (d *drawing) need(slots []int) {
	for _, slot := range slots {
		w := d.movers[slot]
		if w == nil || slices.Contains(d.needed, w) {
			continue
		}
		d.needed = append(d.needed, w)
		if w.two {
			d.need([]int{w.best, w.stuck})
		}
	}
	slices.SortFunc(d.needed, func(a, b *mover) int { return a.slot - b.slot })
}

// draw makes one re-reading. Best and stuck stand before changed in the
// catalogue, so a difference follows from this draw's numbers.
func (d *drawing) draw() {
	for _, w := range d.needed {
		switch {
		case w.two:
			d.vector[w.slot] = fact.Bool(math.Abs(d.vector[w.best].N-d.vector[w.stuck].N) > w.tolerance)
		case w.err > 0:
			d.vector[w.slot] = fact.Num(w.at + w.err*w.rng.NormFloat64())
		default:
			d.vector[w.slot] = fact.Bool(w.rng.Float64() < w.chance)
		}
	}
}
