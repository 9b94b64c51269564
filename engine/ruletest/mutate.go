package ruletest

import (
	"math"
	"math/rand/v2"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// Missed is an edit of a rule that no example and no case noticed.
type Missed struct {
	Concern, Rule string
	Place         diag.Place
	Text, Edit    string         // what was edited, and how
	Case          []cond.Setting // shows the difference
	target        *target
	changed       *cond.Condition
}

// Mutation is the outcome of trying every small edit of every condition.
type Mutation struct {
	Edits    int // tried
	Same     int // of these, change nothing in any case
	Unjudged int // cannot be gone through case by case, and nobody noticed
	Noticed  int
	Missed   []Missed // in the order of the base
}

// Score is the share of the edits that change something and were noticed, from
// 0 to 1; 1 where there is none.
func (m Mutation) Score() float64 {
	if n := m.Noticed + len(m.Missed); n > 0 {
		return float64(m.Noticed) / float64(n)
	}
	return 1
}

// Scope says whose rules are tried.
type Scope bool

// The scopes: every rule, or only those that the house added or changed.
const (
	Everything Scope = false
	HouseOnly  Scope = true
)

// Mutate tries every edit of every condition in scope and reports which of them
// the examples and cases do not notice.
func (s *Suite) Mutate(scope Scope) Mutation {
	var m Mutation
	for _, t := range s.targets {
		if scope == HouseOnly && !t.house {
			continue
		}
		for _, edit := range t.When.Mutants() {
			m.Edits++
			if s.notices(t, edit.Changed) {
				m.Noticed++
				continue
			}
			example, all := s.differ(t.When, edit.Changed)
			switch {
			case example != nil:
				m.Missed = append(m.Missed, Missed{Concern: t.Concern, Rule: t.ID, Place: s.place(t, edit.Stretch), Text: edit.Text, Edit: edit.Edit,
					Case: example, target: t, changed: edit.Changed})
			case all:
				m.Same++
			default:
				m.Unjudged++
			}
		}
	}
	return m
}

// draws is how many cases are tried where not all can be gone through.
const draws = 20_000

// differ returns a case in which two conditions come out differently, or nil;
// all reports that every case was gone through. Where a number is compared with
// another there are too many cases, and some are drawn, from a fixed seed.
func (s *Suite) differ(a, b *cond.Condition) (example []cond.Setting, all bool) {
	if example, analysed := cond.Differ(a, b); analysed {
		return example, true
	}
	random := rand.New(rand.NewPCG(1, 2))
	slots := a.Reads()
	for range draws {
		if v, given := s.draw(random, slots); given != nil && a.Eval(v) != b.Eval(v) {
			return given, false
		}
	}
	return nil, false
}

// draw is a case over some facts, or nil where the changed facts that were drawn
// do not follow from the answers.
func (s *Suite) draw(random *rand.Rand, slots []int) (fact.Vector, []cond.Setting) {
	v := s.base.Catalogue.Vector()
	var given []cond.Setting
	for _, slot := range slots {
		x := drawn(random, s.base.Catalogue.At(slot))
		v[slot] = x
		given = append(given, cond.Setting{Slot: slot, Value: x})
	}
	if !s.follow(v, given) {
		return nil, nil
	}
	return v, given
}

// follow reports whether the changed facts of a drawn case agree with the two
// answers that they follow from.
func (s *Suite) follow(v fact.Vector, given []cond.Setting) bool {
	w := s.base.Catalogue.Vector()
	for _, x := range given {
		if s.base.Catalogue.At(x.Slot).Column != fact.Changed {
			w[x.Slot] = x.Value
		}
	}
	s.base.Derive(w)
	for _, x := range given {
		if w[x.Slot].Known && w[x.Slot] != v[x.Slot] {
			return false
		}
	}
	return true
}

// drawn is a believable value of a fact, mostly a round one.
func drawn(random *rand.Rand, f fact.Fact) fact.Value {
	switch f.Kind {
	case fact.YesNo:
		return fact.Bool(random.IntN(2) == 0)
	case fact.Choice:
		return fact.Num(float64(random.IntN(len(f.Answers))))
	}
	low, high := f.Low, f.High
	if low == high {
		low, high = -100, 100
	}
	n := low + (high-low)*math.Pow(random.Float64(), 3) // small numbers are the usual ones
	if step := (high - low) / 200; step >= 1 && random.IntN(3) > 0 {
		return fact.Num(math.Round(n))
	}
	return fact.Num(math.Min(high, math.Round(n*10)/10))
}
