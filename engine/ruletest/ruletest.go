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
	"slices"

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
	for _, x := range b.Signs {
		hold(s, rule.Signs, x.Entry, x, func(x *rule.Sign) []**cond.Condition { return []**cond.Condition{&x.When} },
			func(x *rule.Sign, v fact.Vector) fact.Truth { return x.When.Eval(v) })
		s.examples(x.ID, x.Fires, x.Still)
	}
	for _, x := range b.Gates {
		hold(s, rule.Gates, x.Entry, x, func(x *rule.Gate) []**cond.Condition {
			x.Also = slices.Clone(x.Also)
			return append(append([]**cond.Condition{&x.When}, places(x.Also)...), &x.Unless)
		}, (*rule.Gate).Truth)
		s.examples(x.ID, x.Fires, x.Still)
	}
	for _, x := range b.Cautions {
		hold(s, rule.Cautions, x.Entry, x, func(x *rule.Caution) []**cond.Condition {
			x.Also = slices.Clone(x.Also)
			return append([]**cond.Condition{&x.When}, places(x.Also)...)
		}, (*rule.Caution).Truth)
		s.examples(x.ID, x.Fires, x.Still)
	}
	for i := range b.Cases {
		s.readCase(&b.Cases[i])
	}
	return s
}

func places(list []*cond.Condition) []**cond.Condition {
	var out []**cond.Condition
	for i := range list {
		out = append(out, &list[i])
	}
	return out
}

// hold makes a target of each condition of a rule. at tells where they stand in a
// rule of its own, so that another one can be put there.
func hold[T any](s *Suite, concern string, e rule.Entry, x T, at func(*T) []**cond.Condition, truth func(*T, fact.Vector) fact.Truth) {
	own := x
	for i, when := range at(&own) {
		if *when == nil {
			continue
		}
		s.targets = append(s.targets, &target{house: len(e.Changes) > 0, Rule: rule.Rule{Concern: concern, ID: e.ID, Place: e.Origin, When: *when},
			truth: func(c *cond.Condition, v fact.Vector) fact.Truth {
				other := x
				*at(&other)[i] = c
				return truth(&other, v)
			}})
	}
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
