package ruletest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// Coverage is how often the examples and cases met a condition with each
// outcome.
type Coverage struct {
	rule.Rule
	Yes, No, Unknown int
	Edges            []Edge
}

// Edge is one number that a condition compares a fact with, and how many of the
// examples and cases lie on each side of it.
type Edge struct {
	Fact             string
	Number           float64
	Below, At, Above int
}

// Complete reports whether the condition was met as yes, as no and as unknown,
// and every number from both sides.
func (c Coverage) Complete() bool {
	return c.Yes > 0 && c.No > 0 && c.Unknown > 0 && !slices.ContainsFunc(c.Edges, Edge.oneSided)
}

// oneSided reports a number of which only one side was met; a value on the
// number itself stands for the side it belongs to.
func (e Edge) oneSided() bool {
	sides := 0
	for _, n := range []int{e.Below, e.At, e.Above} {
		if n > 0 {
			sides++
		}
	}
	return sides < 2
}

// String tells what is lacking, or "" where nothing is.
func (c Coverage) String() string {
	var out []string
	for _, k := range []struct {
		n    int
		word string
	}{{c.Yes, "yes"}, {c.No, "no"}, {c.Unknown, "unknown"}} {
		if k.n == 0 {
			out = append(out, "never "+k.word)
		}
	}
	for _, e := range c.Edges {
		if e.oneSided() {
			out = append(out, fmt.Sprintf("%s only on one side of %g", e.Fact, e.Number))
		}
	}
	return strings.Join(out, ", ")
}

// Coverage counts the outcomes of every condition, in the order of the base.
func (s *Suite) Coverage() []Coverage {
	out := make([]Coverage, len(s.targets))
	for i, t := range s.targets {
		out[i] = s.cover(t)
	}
	return out
}

func (s *Suite) cover(t *target) Coverage {
	c := Coverage{Rule: t.Rule, Edges: s.edges(t.When)}
	for _, v := range s.vectors {
		switch t.When.Eval(v) {
		case fact.Yes:
			c.Yes++
		case fact.No:
			c.No++
		default:
			c.Unknown++
		}
		for i := range c.Edges {
			c.Edges[i].count(s.base.Catalogue, v)
		}
	}
	return c
}

func (s *Suite) edges(c *cond.Condition) []Edge {
	var out []Edge
	for _, slot := range c.Reads() {
		for _, n := range c.Boundaries(slot) {
			out = append(out, Edge{Fact: s.base.Catalogue.At(slot).Name, Number: n})
		}
	}
	return out
}

func (e *Edge) count(cat *fact.Catalogue, v fact.Vector) {
	slot, _ := cat.Slot(e.Fact)
	if !v[slot].Known {
		return
	}
	switch cmp.Compare(v[slot].N, e.Number) {
	case -1:
		e.Below++
	case 0:
		e.At++
	default:
		e.Above++
	}
}
