// Package ruletest tries rule bases: how well their examples and cases hold the
// rules in place, and what an edit changes in the cases of a club.
//
// Its invariant: it measures and never judges a rule. An edit counts as noticed
// only if a statement that somebody wrote down would fail with it, an edit that
// changes nothing in any case is no edit, and what cannot be gone through case
// by case is counted apart and not guessed at. Between two bases a case is told
// of exactly when something a coach reads comes out differently, and a rule is
// called responsible only if it alone, put into the old base, brings the new
// outcome about.
package ruletest

import (
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// target is one condition of the base and whose it is. truth tells whether the
// rule holds with another condition in its place.
type target struct {
	rule.Rule
	house bool // added or changed by the house
	truth func(*cond.Condition, fact.Vector) fact.Truth
	says  []statement
}

// statement is one thing that an example or a case says about a rule: how it
// must come out, or how it must not.
type statement struct {
	v    fact.Vector
	want fact.Truth
	not  bool
	gate string // instead of want: the verdict of the gate that decides
}

// Suite is a base with everything that its examples and cases say about its
// rules.
type Suite struct {
	base    *rule.Base
	targets []*target
	vectors []fact.Vector // every example and case
}

// New gathers what the examples and cases of a base say. The base must have been
// loaded without errors.
func New(b *rule.Base) *Suite {
	s := &Suite{base: b}
	for i := range b.Signs {
		x := &b.Signs[i]
		s.sign(x)
	}
	for i := range b.Gates {
		s.gate(&b.Gates[i])
	}
	for i := range b.Cautions {
		s.caution(&b.Cautions[i])
	}
	for i := range b.Cases {
		s.readCase(&b.Cases[i])
	}
	return s
}

func (s *Suite) put(concern string, e rule.Entry, when *cond.Condition, truth func(*cond.Condition, fact.Vector) fact.Truth) {
	if when != nil {
		s.targets = append(s.targets, &target{house: len(e.Changes) > 0, truth: truth,
			Rule: rule.Rule{Concern: concern, ID: e.ID, Place: e.Origin, When: when}})
	}
}

func (s *Suite) sign(x *rule.Sign) {
	s.put(rule.Signs, x.Entry, x.When, func(c *cond.Condition, v fact.Vector) fact.Truth { return c.Eval(v) })
	s.examples(x.ID, x.Fires, x.Still)
}

func (s *Suite) gate(g *rule.Gate) {
	s.put(rule.Gates, g.Entry, g.When, func(c *cond.Condition, v fact.Vector) fact.Truth {
		other := *g
		other.When = c
		return other.Truth(v)
	})
	for i := range g.Also {
		s.put(rule.Gates, g.Entry, g.Also[i], func(c *cond.Condition, v fact.Vector) fact.Truth {
			other := *g
			other.Also = append([]*cond.Condition{}, g.Also...)
			other.Also[i] = c
			return other.Truth(v)
		})
	}
	s.put(rule.Gates, g.Entry, g.Unless, func(c *cond.Condition, v fact.Vector) fact.Truth {
		other := *g
		other.Unless = c
		return other.Truth(v)
	})
	s.examples(g.ID, g.Fires, g.Still)
}

func (s *Suite) caution(k *rule.Caution) {
	s.put(rule.Cautions, k.Entry, k.When, func(c *cond.Condition, v fact.Vector) fact.Truth {
		other := *k
		other.When = c
		return other.Truth(v)
	})
	for i := range k.Also {
		s.put(rule.Cautions, k.Entry, k.Also[i], func(c *cond.Condition, v fact.Vector) fact.Truth {
			other := *k
			other.Also = append([]*cond.Condition{}, k.Also...)
			other.Also[i] = c
			return other.Truth(v)
		})
	}
	s.examples(k.ID, k.Fires, k.Still)
}

func (s *Suite) examples(id string, fires, silent rule.Example) {
	if len(fires) > 0 {
		s.say(id, statement{v: s.vector(fires), want: fact.Yes})
	}
	if len(silent) > 0 {
		s.say(id, statement{v: s.vector(silent), want: fact.No})
	}
}

func (s *Suite) vector(e rule.Example) fact.Vector {
	v := s.base.Vector(e)
	s.vectors = append(s.vectors, v)
	return v
}

// say adds a statement to every condition of a rule.
func (s *Suite) say(id string, x statement) {
	for _, t := range s.targets {
		if t.ID == id {
			t.says = append(t.says, x)
		}
	}
}

func (s *Suite) readCase(k *rule.Case) {
	v := s.vector(k.Given)
	for _, part := range []struct {
		x   rule.Expectation
		not bool
	}{{k.Expect, false}, {k.NotExpect, true}} {
		for _, id := range part.x.Fires {
			s.say(id, statement{v: v, want: fact.Yes, not: part.not})
		}
		for _, id := range part.x.Silent {
			s.say(id, statement{v: v, want: fact.No, not: part.not})
		}
		for _, id := range part.x.Cautions {
			s.say(id, statement{v: v, want: fact.Yes, not: part.not})
		}
		if part.x.Gate != "" {
			for _, t := range s.targets {
				if t.Concern == rule.Gates {
					t.says = append(t.says, statement{v: v, gate: part.x.Gate, not: part.not})
				}
			}
		}
	}
}

// fails reports whether a statement would fail if the rule had another
// condition.
func (s *Suite) fails(t *target, c *cond.Condition, x statement) bool {
	if x.gate != "" {
		return (s.verdict(t, c, x.v) == x.gate) == x.not
	}
	return (t.truth(c, x.v) == x.want) == x.not
}

// verdict is what the gates say if one of them had another condition.
func (s *Suite) verdict(t *target, c *cond.Condition, v fact.Vector) string {
	return s.base.DecidingIf(v, t.ID, t.truth(c, v)).Decides()
}

// notices reports whether any statement would fail with an edit.
func (s *Suite) notices(t *target, c *cond.Condition) bool {
	for _, x := range t.says {
		if s.fails(t, c, x) {
			return true
		}
	}
	return false
}

// place is where a stretch of a condition stands in its file.
func (s *Suite) place(t *target, at cond.Stretch) diag.Place {
	return s.base.PlaceIn(t.When, at.From, at.To)
}
