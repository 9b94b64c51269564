// Package triage ranks limiting factors from facts and rules.
//
// Its invariant: a rule speaks only of what was seen. An unknown fact decides
// no condition, moves no chance and opens no gate; renaming or reordering
// factors, signs or files moves no result; and where a gate refuses, nothing
// is ranked.
package triage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// Case is the facts of one athlete, as the rules read them.
type Case struct {
	Vector fact.Vector
	Lambda map[int]float64 // by slot of a measured changed fact: how much likelier its readings are if it differs
	Unsure map[int]bool    // by slot: graded, but not surely
	Error  map[int]float64 // by slot of a number: its standard error; missing = the usual one of its kind
	Break  []float64       // chance by demand that the pattern goes there; nil = not known
}

// Model is a rule base made ready to triage with. It does not change and may be
// shared.
type Model struct {
	base    *rule.Base
	network *cause.Network
	bySlot  [][]int // signs that read a fact, by its slot
	misread []misread
	copies  []bool // signs that say again what an earlier one of their group says
}

// New prepares a base. It fails on a base that was loaded with errors.
func New(b *rule.Base) (*Model, error) {
	factors, signs := b.Network()
	n, err := cause.New(factors, signs, cause.Options{})
	if err != nil {
		return nil, fmt.Errorf("the rule base cannot be computed with: %w", err)
	}
	m := &Model{base: b, network: n, bySlot: make([][]int, b.Catalogue.Len()), copies: make([]bool, len(b.Signs))}
	said := map[string]bool{}
	for i, s := range b.Signs {
		m.misread = append(m.misread, m.misreadOf(&s))
		for _, slot := range s.When.Reads() {
			m.bySlot[slot] = append(m.bySlot[slot], i)
		}
		if s.Group != "" {
			what := saying(s)
			m.copies[i], said[what] = said[what], true
		}
	}
	return m, nil
}

// saying writes down all that a sign counts by. Two that say the same are one
// within their group: were each to count, a copy would outweigh its neighbours.
func saying(s rule.Sign) string {
	links := slices.Clone(s.Seen)
	slices.SortFunc(links, func(a, b rule.Link) int { return strings.Compare(a.ID, b.ID) })
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s: %v %v", s.Group, s.When.Text(), s.Leak, s.Error)
	for _, l := range links {
		fmt.Fprintf(&b, " %s %v", l.ID, l.Weight)
	}
	return b.String()
}

// Base returns the rule base behind the model.
func (m *Model) Base() *rule.Base { return m.base }

// Evidence turns facts into what the network is told: what each sign of the base
// says, in the order of the signs.
func (m *Model) Evidence(c Case) cause.Evidence {
	e := cause.Evidence{Signs: make([]cause.Outcome, len(m.base.Signs)), Break: c.Break}
	for i := range m.base.Signs {
		e.Signs[i] = m.outcome(i, c)
	}
	return e
}

// doubt is what an answer marked as not sure multiplies its reading error by
// (house default), and mostDoubt the most it can come to.
const (
	doubt     = 2
	mostDoubt = 0.45
)

// outcome is what one sign says of a case. A sign that is nothing but a measured
// difference hands on how likely its readings are, every other one its yes or
// no; an answer given unsurely counts with a larger error, and so does a sign
// that asks several looks.
func (m *Model) outcome(i int, c Case) cause.Outcome {
	s := &m.base.Signs[i]
	if m.copies[i] {
		return cause.Unknown
	}
	if slot, bare := s.When.Bare(); bare {
		if lambda, ok := c.Lambda[slot]; ok {
			return cause.Soft(lambda)
		}
	}
	truth := s.When.Eval(c.Vector)
	if truth == fact.Unknown {
		return cause.Unknown
	}
	err := m.misread[i].no
	if truth == fact.Yes {
		err = m.misread[i].yes
	}
	switch {
	case m.unsure(s, c):
		return surely(truth, math.Min(mostDoubt, doubt*err))
	case err != s.Error:
		return surely(truth, err)
	case truth == fact.Yes:
		return cause.Yes
	}
	return cause.No
}

// misread is how likely a sign's answer is wrong because something was read
// wrongly.
type misread struct{ yes, no float64 }

// perLook is by how much of the reading error each look after the first makes a
// yes less sure (house default, held to by the study of the whole base).
const perLook = 0.2

// misreadOf gives a sign that asks several looks more error: any one of them
// read wrongly makes it a no, and each is also read by other signs, which then
// err together.
func (m *Model) misreadOf(s *rule.Sign) misread {
	looks := map[string]bool{}
	for _, slot := range s.When.Reads() {
		if id := m.base.Catalogue.At(slot).Checkpoint; id != "" {
			looks[id] = true
		}
	}
	if len(looks) < 2 {
		return misread{s.Error, s.Error}
	}
	n := float64(len(looks))
	return misread{yes: math.Min(mostDoubt, s.Error*(1+perLook*(n-1))), no: math.Min(mostDoubt, 1-math.Pow(1-s.Error, n))}
}

func surely(t fact.Truth, err float64) cause.Outcome {
	if t == fact.Yes {
		return cause.Repeated(err, 1, 0)
	}
	return cause.Repeated(err, 0, 1)
}

func (m *Model) unsure(s *rule.Sign, c Case) bool {
	if len(c.Unsure) == 0 {
		return false
	}
	for _, slot := range s.When.Reads() {
		if c.Unsure[slot] {
			return true
		}
	}
	return false
}
