package triage

import (
	"math"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
)

// Look is an observation that was not made, with what it is expected to tell.
type Look struct {
	Fact string  // as conditions write it: "stuck.hinge", or a question's name
	Also string  // the other column, where that was not seen either; else ""
	Bits float64 // expected fall of the doubt
}

// worthLooking is under how many bits an observation is not worth asking for
// (house default).
const worthLooking = 0.005

// NextLook lists what was not seen or is unclear, the most telling first.
func (m *Model) NextLook(c Case) []Look {
	e := m.Evidence(c)
	s := m.network.NewSolver()
	s.Set(e)
	return m.looks(c, e, s)
}

// looks is NextLook for a solver that is set to the case.
func (m *Model) looks(c Case, e cause.Evidence, s *cause.Solver) []Look {
	var out []Look
	for _, p := range m.base.Checklist.Checkpoints {
		if look, ok := m.lookAt(p.ID, c); ok {
			look.Bits = s.Gain(m.patterns(c, e, m.both(p.ID, c)))
			out = append(out, look)
		}
	}
	for slot, v := range c.Vector {
		if f := m.base.Catalogue.At(slot); !v.Known && m.asked(f.Name) && len(m.bySlot[slot]) > 0 {
			out = append(out, Look{Fact: f.Name, Bits: s.Gain(m.patterns(c, e, m.answers(c, slot)))})
		}
	}
	out = slices.DeleteFunc(out, func(l Look) bool { return l.Bits < worthLooking })
	return heaviest(out, func(l Look) float64 { return l.Bits }, nil)
}

// lookAt names what is open about a checkpoint, if anything is.
func (m *Model) lookAt(id string, c Case) (Look, bool) {
	best, ok := m.base.Catalogue.Slot(fact.Best + "." + id)
	stuck, ok2 := m.base.Catalogue.Slot(fact.Stuck + "." + id)
	changed, ok3 := m.base.Catalogue.Slot(fact.Changed + "." + id)
	if !ok || !ok2 || !ok3 {
		return Look{}, false
	}
	switch {
	case !c.Vector[stuck].Known && !c.Vector[best].Known:
		return Look{Fact: fact.Stuck + "." + id, Also: fact.Best + "." + id}, true
	case !c.Vector[stuck].Known:
		return Look{Fact: fact.Stuck + "." + id}, true
	case !c.Vector[best].Known:
		return Look{Fact: fact.Best + "." + id}, true
	case !c.Vector[changed].Known:
		return Look{Fact: fact.Changed + "." + id}, true
	}
	return Look{}, false
}

// both lists the cases in which a look at a checkpoint can end: every pair of
// values of the columns that are open.
func (m *Model) both(id string, c Case) []Case {
	best, _ := m.base.Catalogue.Slot(fact.Best + "." + id)
	stuck, _ := m.base.Catalogue.Slot(fact.Stuck + "." + id)
	changed, _ := m.base.Catalogue.Slot(fact.Changed + "." + id)
	var out []Case
	for _, b := range m.values(c, best, stuck) {
		for _, s := range m.values(c, stuck, best) {
			next := Case{Vector: slices.Clone(c.Vector), Lambda: without(c.Lambda, changed), Unsure: c.Unsure, Break: c.Break}
			next.Vector[best], next.Vector[stuck] = b, s
			next.Vector[changed] = m.differ(id, b, s)
			out = append(out, next)
		}
	}
	return out
}

func without(in map[int]float64, slot int) map[int]float64 {
	if _, ok := in[slot]; !ok {
		return in
	}
	out := map[int]float64{}
	for k, v := range in {
		if k != slot {
			out[k] = v
		}
	}
	return out
}

// differ decides a changed fact from two values.
func (m *Model) differ(id string, b, s fact.Value) fact.Value {
	p, _ := m.base.Checklist.Checkpoint(id)
	if len(p.Answers) == 0 && p.Measure != nil {
		return fact.Bool(math.Abs(b.N-s.N) > p.Measure.Tolerance)
	}
	return fact.Bool(b != s)
}

// values lists what one column can turn out to be: the value it has, every
// answer, or numbers on both sides of what its signs compare it with.
func (m *Model) values(c Case, slot, other int) []fact.Value {
	f := m.base.Catalogue.At(slot)
	if c.Vector[slot].Known {
		return []fact.Value{c.Vector[slot]}
	}
	if f.Kind == fact.Choice {
		out := make([]fact.Value, len(f.Answers))
		for i := range out {
			out[i] = fact.Num(float64(i))
		}
		return out
	}
	p, _ := m.base.Checklist.Checkpoint(f.Checkpoint)
	middle := (f.Low + f.High) / 2
	if c.Vector[other].Known {
		middle = c.Vector[other].N
	}
	numbers := []float64{middle}
	if p.Measure != nil {
		numbers = append(numbers, middle-2*p.Measure.Tolerance, middle+2*p.Measure.Tolerance)
	}
	return m.aroundBoundaries(slot, numbers)
}

// aroundBoundaries adds a number on each side of whatever the signs compare a
// fact with, inside its range.
func (m *Model) aroundBoundaries(slot int, numbers []float64) []fact.Value {
	f := m.base.Catalogue.At(slot)
	for _, i := range m.bySlot[slot] {
		for _, b := range m.base.Signs[i].When.Boundaries(slot) {
			step := math.Max(math.Abs(b)*0.01, 0.5)
			numbers = append(numbers, b-step, b+step)
		}
	}
	var out []fact.Value
	slices.Sort(numbers)
	for _, n := range slices.Compact(numbers) {
		if f.Low == f.High || n >= f.Low && n <= f.High {
			out = append(out, fact.Num(n))
		}
	}
	return out
}

// answers lists the cases in which a question can end.
func (m *Model) answers(c Case, slot int) []Case {
	f := m.base.Catalogue.At(slot)
	var values []fact.Value
	switch f.Kind {
	case fact.YesNo:
		values = []fact.Value{fact.Bool(false), fact.Bool(true)}
	case fact.Choice:
		for i := range f.Answers {
			values = append(values, fact.Num(float64(i)))
		}
	default:
		values = m.aroundBoundaries(slot, nil)
	}
	out := make([]Case, len(values))
	for i, v := range values {
		out[i] = c
		out[i].Vector = slices.Clone(c.Vector)
		out[i].Vector[slot] = v
	}
	return out
}

// patterns turns the ends of a question into what they say about signs, each
// once.
func (m *Model) patterns(c Case, e cause.Evidence, ends []Case) []cause.Pattern {
	var out []cause.Pattern
	for _, end := range ends {
		p := m.pattern(c, e, end)
		if !slices.ContainsFunc(out, func(q cause.Pattern) bool { return slices.Equal(p, q) }) {
			out = append(out, p)
		}
	}
	return out
}
