package cond

import (
	"math"

	"rungwise/engine/fact"
)

// mostLines bounds how many pieces nested abs() may split a term into.
const mostLines = 16

// line is a term as a straight line of one fact: slope times the fact plus at.
type line struct{ slope, at float64 }

// lines writes the term as straight lines of one fact, the others held at
// their values in v; abs gives one line for each side. It fails when another
// fact is not known or the term is not straight.
func (t *term) lines(slot int, v fact.Vector) ([]line, bool) {
	switch t.op {
	case termNumber:
		return []line{{0, t.value}}, true
	case termFact:
		if t.slot == slot {
			return []line{{1, 0}}, true
		}
		if v == nil || !v[t.slot].Known {
			return nil, false
		}
		return []line{{0, v[t.slot].N}}, true
	}
	as, ok := t.a.lines(slot, v)
	if !ok {
		return nil, false
	}
	var out []line
	if t.b == nil {
		for _, a := range as {
			if t.op == termAbs {
				out = append(out, a)
			}
			out = append(out, line{-a.slope, -a.at})
		}
		return out, true
	}
	bs, ok := t.b.lines(slot, v)
	if !ok || len(as)*len(bs) > mostLines {
		return nil, false
	}
	for _, a := range as {
		for _, b := range bs {
			l, ok := join(t.op, a, b)
			if !ok {
				return nil, false
			}
			out = append(out, l)
		}
	}
	return out, true
}

func join(op termOp, a, b line) (line, bool) {
	switch {
	case op == termAdd:
		return line{a.slope + b.slope, a.at + b.at}, true
	case op == termSub:
		return line{a.slope - b.slope, a.at - b.at}, true
	case op == termMul && b.slope == 0:
		return line{a.slope * b.at, a.at * b.at}, true
	case op == termMul && a.slope == 0:
		return line{b.slope * a.at, b.at * a.at}, true
	case op == termDiv && b.slope == 0 && b.at != 0:
		return line{a.slope / b.at, a.at / b.at}, true
	}
	return line{}, false
}

// boundaries appends the values of a fact at which some comparison of the
// clause may turn, the other facts held at their values in v.
func (c *clause) boundaries(slot int, v fact.Vector, out []float64) []float64 {
	for _, p := range c.parts {
		out = p.boundaries(slot, v, out)
	}
	switch c.op {
	case opCompare:
		out = crossings(c.terms[0], c.terms[1], slot, v, out)
	case opBetween:
		out = crossings(c.terms[0], c.terms[1], slot, v, out)
		out = crossings(c.terms[0], c.terms[2], slot, v, out)
	case opOneOf:
		for _, n := range c.list {
			out = crossings(c.terms[0], &term{op: termNumber, value: n}, slot, v, out)
		}
	}
	return out
}

// crossings appends the values of the fact at which two terms are equal.
func crossings(a, b *term, slot int, v fact.Vector, out []float64) []float64 {
	as, okA := a.lines(slot, v)
	bs, okB := b.lines(slot, v)
	if !okA || !okB {
		return out
	}
	for _, x := range as {
		for _, y := range bs {
			if n := (y.at - x.at) / (x.slope - y.slope); x.slope != y.slope && !math.IsInf(n, 0) && !math.IsNaN(n) {
				out = append(out, n+0) // no negative zero
			}
		}
	}
	return out
}
