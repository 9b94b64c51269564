package triage

import (
	"encoding/binary"
	"math"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
)

// Answer is one observation that is still open, with what it would be.
type Answer struct{ Fact, Value string }

// given is one answer to a case.
type given struct {
	slot  int
	value fact.Value
}

// Lifts tells by factor which one answer, or else which two, of what is still
// open would make it the first; of several the ones that leave it the likeliest.
// A factor that is first, or that no one or two answers make so, is not in it.
// Every answer that can be is tried, alone and with every other: numbers on both
// sides of whatever a sign compares them with.
func (m *Model) Lifts(c Case) map[string][]Answer {
	e := m.Evidence(c)
	s := m.network.NewSolver()
	s.Set(e)
	l := &lifter{Model: m, c: c, e: e, s: s, now: m.first(s.Roots(nil)), tried: map[string]bool{}, best: map[int]lift{}}
	all := l.open()
	for _, x := range all {
		l.try(x)
	}
	for i, x := range all {
		for _, y := range all[i+1:] {
			if x.slot != y.slot {
				l.try(x, y)
			}
		}
	}
	out := map[string][]Answer{}
	for f, found := range l.best {
		for _, x := range found.given {
			at := m.base.Catalogue.At(x.slot)
			out[m.base.Factors[f].ID] = append(out[m.base.Factors[f].ID], Answer{at.Name, at.Format(x.value)})
		}
	}
	return out
}

type lift struct {
	given []given
	root  float64
}

type lifter struct {
	*Model
	c     Case
	e     cause.Evidence
	s     *cause.Solver
	now   int
	tried map[string]bool // patterns
	roots []float64
	best  map[int]lift // by factor
}

// open lists every answer that is still open.
func (l *lifter) open() []given {
	var out []given
	for slot, v := range l.c.Vector {
		f := l.base.Catalogue.At(slot)
		if v.Known || len(l.readers(slot)) == 0 {
			continue
		}
		look, unclear := l.lookAt(f.Checkpoint, l.c)
		if f.Column == fact.Changed && (!unclear || look.Fact != f.Name) || f.Column == "" && !l.asked(f.Name) {
			continue
		}
		for _, end := range l.answers(l.c, slot) {
			out = append(out, given{slot, end.Vector[slot]})
		}
	}
	return out
}

// try gives a case some answers and remembers them where a factor then comes
// first that no fewer answers brought there.
func (l *lifter) try(answers ...given) {
	to := l.c
	to.Vector = slices.Clone(l.c.Vector)
	for _, x := range answers {
		l.give(&to, x)
	}
	p := l.pattern(l.c, l.e, to)
	key := keyOf(p)
	if len(p) == 0 || l.tried[key] {
		return
	}
	l.roots = l.s.With(p, l.roots)
	first := l.first(l.roots)
	was, found := l.best[first]
	better := first != l.now && (!found || len(was.given) == len(answers) && was.root < l.roots[first])
	if better && refuses(l.base.Deciding(to.Vector)) {
		return // other answers may say the same of the signs and be let through
	}
	l.tried[key] = true
	if better {
		l.best[first] = lift{answers, l.roots[first]}
	}
}

// give puts an answer into a case, whose vector is its own, as somebody writes it
// there: what was measured of a difference gives way to it.
func (m *Model) give(c *Case, x given) {
	if m.base.Catalogue.At(x.slot).Column == fact.Changed {
		c.Vector[x.slot], c.Lambda = x.value, without(c.Lambda, x.slot)
		return
	}
	m.put(c, x.slot, x.value)
}

// keyOf tells patterns apart.
func keyOf(p cause.Pattern) string {
	b := make([]byte, 0, 16*len(p))
	for _, x := range p {
		b = binary.LittleEndian.AppendUint64(b, uint64(x.Sign))
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(float64(x.Outcome)))
	}
	return string(b)
}
