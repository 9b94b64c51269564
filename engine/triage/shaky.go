package triage

import (
	"maps"
	"math/rand/v2"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
)

// Shaky is one answer that alone would change the first factor.
type Shaky struct {
	Fact    string // as conditions write it
	Now, If string // the answer, and the one that would change the first
	First   string // the factor that would then be first
}

// rereadings is how often every answer is redrawn within its own error, and
// rereadSeed makes the draws the same on every run.
const (
	rereadings = 200
	rereadSeed = 20261109
)

// shaky finds the pivotal answers. The solver is set to the case.
func (m *Model) shaky(c Case, e cause.Evidence, s *cause.Solver, r *Result) {
	if len(r.Factors) == 0 {
		return
	}
	first := m.first(s.Roots(nil))
	var roots []float64
	for _, slot := range m.answered(c) {
		for _, other := range m.neighbours(slot, c.Vector[slot]) {
			p := m.pattern(c, e, m.flip(c, slot, other))
			if len(p) == 0 {
				continue
			}
			roots = s.With(p, roots)
			if now := m.first(roots); now != first {
				f := m.base.Catalogue.At(slot)
				r.Shaky = append(r.Shaky, Shaky{Fact: f.Name, Now: f.Format(c.Vector[slot]), If: f.Format(other), First: m.base.Factors[now].ID})
				break
			}
		}
	}
}

// answered lists the slots of what somebody observed and could have read
// otherwise: graded checkpoints in both columns, measured differences, and
// questions.
func (m *Model) answered(c Case) []int {
	var out []int
	for slot, v := range c.Vector {
		f := m.base.Catalogue.At(slot)
		if !v.Known || len(m.readers(slot)) == 0 {
			continue
		}
		switch {
		case f.Column == fact.Changed:
			if _, measured := c.Lambda[slot]; measured {
				out = append(out, slot)
			}
		case f.Column != "":
			if f.Kind == fact.Choice && !m.measured(c, f.Checkpoint) {
				out = append(out, slot)
			}
		case m.asked(f.Name) && f.Kind != fact.Number:
			out = append(out, slot)
		}
	}
	return out
}

// readers lists the signs that a fact bears on; a column bears on the signs of
// its changed fact too.
func (m *Model) readers(slot int) []int {
	f := m.base.Catalogue.At(slot)
	out := m.bySlot[slot]
	if f.Column == fact.Best || f.Column == fact.Stuck {
		if changed, ok := m.base.Catalogue.Slot(fact.Changed + "." + f.Checkpoint); ok {
			out = append(slices.Clone(out), m.bySlot[changed]...)
			slices.Sort(out)
			out = slices.Compact(out)
		}
	}
	return out
}

func (m *Model) measured(c Case, checkpoint string) bool {
	slot, ok := m.base.Catalogue.Slot(fact.Changed + "." + checkpoint)
	if !ok {
		return false
	}
	_, measured := c.Lambda[slot]
	return measured
}

// asked reports whether a fact is answered by a person rather than worked out:
// a question, or what is told rung by rung.
func (m *Model) asked(name string) bool {
	if _, ok := m.base.Checklist.Question(name); ok {
		return true
	}
	switch name {
	case "rung.miss", "rung.focus", "rung.net_miss":
		return true
	}
	return false
}

// neighbours lists the values an answer is most easily mistaken for: the next
// grades of an ordered list, any other answer of an unordered one.
func (m *Model) neighbours(slot int, v fact.Value) []fact.Value {
	f := m.base.Catalogue.At(slot)
	if f.Kind == fact.YesNo {
		return []fact.Value{fact.Bool(v.N == 0)}
	}
	var out []fact.Value
	for i := range f.Answers {
		at := fact.Num(float64(i))
		near := !f.Ordered || at.N == v.N-1 || at.N == v.N+1
		if at != v && near {
			out = append(out, at)
		}
	}
	return out
}

// flip returns the case with one answer changed and what follows from it.
func (m *Model) flip(c Case, slot int, v fact.Value) Case {
	c.Vector = slices.Clone(c.Vector)
	m.put(&c, slot, v)
	return c
}

// put changes one answer of a case, whose vector is its own, and what follows
// from it.
func (m *Model) put(c *Case, slot int, v fact.Value) {
	c.Vector[slot] = v
	f := m.base.Catalogue.At(slot)
	switch f.Column {
	case fact.Best, fact.Stuck:
		if changed, ok := m.base.Catalogue.Slot(fact.Changed + "." + f.Checkpoint); ok && f.Kind == fact.Choice {
			c.Vector[changed] = fact.Value{}
			m.base.DeriveOf(c.Vector, f.Checkpoint)
		}
	case fact.Changed:
		turned := maps.Clone(c.Lambda)
		turned[slot] = 1 / c.Lambda[slot]
		c.Lambda = turned
	}
}

// pattern lists the signs whose outcome differs between a case, of which the
// evidence is known, and another.
func (m *Model) pattern(from Case, e cause.Evidence, to Case) cause.Pattern {
	var out cause.Pattern
	for _, i := range m.touched(from, to) {
		if now := m.outcome(i, to); now != e.Signs[i] {
			out = append(out, cause.Answer{Sign: i, Outcome: now})
		}
	}
	return out
}

// touched lists the signs that read anything in which two cases differ, in
// order and each once.
func (m *Model) touched(from, to Case) []int {
	var out []int
	for slot := range from.Vector {
		if from.Vector[slot] != to.Vector[slot] || from.Lambda[slot] != to.Lambda[slot] {
			out = append(out, m.bySlot[slot]...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// kept redraws every answer within its error and counts how often the first
// stays first. Of a compared checkpoint one column is redrawn, since its error
// is that of the comparison. It works on a solver of its own, so that it can run
// beside the rest; nothing listed keeps nothing.
func (m *Model) kept(c Case, e cause.Evidence, listed bool) float64 {
	if !listed {
		return 0
	}
	s := m.network.NewSolver()
	s.Set(e)
	first := m.first(s.Roots(nil))
	rng := rand.New(rand.NewPCG(rereadSeed, 1))
	slots := m.answered(c)
	same := 0
	var roots []float64
	for range rereadings {
		drawn := c
		drawn.Vector = slices.Clone(c.Vector)
		for _, slot := range slots {
			if rng.Float64() >= m.errorOf(slot)/m.columns(slot, c) {
				continue
			}
			near := m.neighbours(slot, c.Vector[slot])
			m.put(&drawn, slot, near[rng.IntN(len(near))])
		}
		p := m.pattern(c, e, drawn)
		if len(p) == 0 {
			same++
			continue
		}
		if roots = s.With(p, roots); m.first(roots) == first {
			same++
		}
	}
	return float64(same) / rereadings
}

// errorOf is the reading error of one answer.
func (m *Model) errorOf(slot int) float64 {
	f := m.base.Catalogue.At(slot)
	class := checklist.Asked
	if f.Column == fact.Changed {
		class = checklist.Measured
	} else if f.Column != "" {
		class = checklist.Eye
	}
	e, _ := cause.Reading(class)
	return e
}

// columns is 2 for a graded checkpoint that was seen in both columns, which
// share one reading error, else 1.
func (m *Model) columns(slot int, c Case) float64 {
	f := m.base.Catalogue.At(slot)
	if f.Column != fact.Best && f.Column != fact.Stuck {
		return 1
	}
	best, _ := m.base.Catalogue.Slot(fact.Best + "." + f.Checkpoint)
	stuck, _ := m.base.Catalogue.Slot(fact.Stuck + "." + f.Checkpoint)
	if c.Vector[best].Known && c.Vector[stuck].Known {
		return 2
	}
	return 1
}
