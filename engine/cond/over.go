package cond

import (
	"math"

	"rungwise/engine/fact"
)

// Box gives the stretch of values that a fact may have, Low and High alike
// where it has one; known is false for a fact that nobody observed.
type Box func(slot int) (low, high float64, known bool)

// Over returns yes or no where the condition comes out so for every choice of
// values in the box, and unknown where that is not sure: a condition that is
// decided over a box need not be asked again for any case inside it. A fact
// that stands twice is taken for two, which can only leave more undecided.
func (c *Condition) Over(b Box) fact.Truth { return c.root.over(b) }

func (c *clause) over(b Box) fact.Truth {
	switch c.op {
	case opConst:
		return fact.Of(c.yes)
	case opFlag:
		low, high, known := b(c.slot)
		if !known || low != high {
			return fact.Unknown
		}
		return fact.Of(low != 0)
	case opCompare:
		return compareOver(c.sign, c.terms[0].over(b), c.terms[1].over(b))
	case opOneOf:
		t := oneOfOver(c.terms[0].over(b), c.list)
		if c.outside {
			return t.Not()
		}
		return t
	case opBetween:
		x, low, high := c.terms[0].over(b), c.terms[1].over(b), c.terms[2].over(b)
		if !x.known || !low.known || !high.known {
			return fact.Unknown
		}
		return compareOver("<=", low, x).And(compareOver("<=", x, high))
	case opNot:
		return c.parts[0].over(b).Not()
	}
	out := fact.Of(c.op == opAnd)
	for _, p := range c.parts {
		if c.op == opAnd {
			out = out.And(p.over(b))
		} else {
			out = out.Or(p.over(b))
		}
	}
	return out
}

// stretch is the values that a term can have; known is false where one of its
// facts is not known, or it is divided by a stretch that holds zero.
type stretch struct {
	low, high float64
	known     bool
}

func (t *term) over(b Box) stretch {
	switch t.op {
	case termNumber:
		return stretch{t.value, t.value, true}
	case termFact:
		low, high, known := b(t.slot)
		return stretch{low, high, known}
	}
	x := t.a.over(b)
	if t.b != nil {
		return combine(t.op, x, t.b.over(b))
	}
	if t.op == termAbs && x.low >= 0 {
		return x
	}
	turned := stretch{-x.high, -x.low, x.known}
	if t.op == termAbs && x.high > 0 {
		return stretch{0, math.Max(turned.high, x.high), x.known}
	}
	return turned
}

// combine joins two stretches: the ends of each sign of arithmetic lie at ends
// of the two.
func combine(op termOp, x, y stretch) stretch {
	out := stretch{math.Inf(1), math.Inf(-1), x.known && y.known}
	if op == termDiv && y.low <= 0 && y.high >= 0 {
		out.known = false
	}
	for _, a := range [2]float64{x.low, x.high} {
		for _, c := range [2]float64{y.low, y.high} {
			n := calculate(op, a, c)
			out.low, out.high = math.Min(out.low, n), math.Max(out.high, n)
		}
	}
	return out
}

func compareOver(sign string, x, y stretch) fact.Truth {
	if !x.known || !y.known {
		return fact.Unknown
	}
	switch sign {
	case "==":
		return equalOver(x, y)
	case "!=":
		return equalOver(x, y).Not()
	case ">", ">=":
		return compareOver(mirrored(sign), y, x)
	}
	holds := comparison(sign)
	switch {
	case holds(x.high, y.low):
		return fact.Yes
	case !holds(x.low, y.high):
		return fact.No
	}
	return fact.Unknown
}

func equalOver(x, y stretch) fact.Truth {
	switch {
	case x.low == x.high && y.low == y.high:
		return fact.Of(x.low == y.low)
	case x.high < y.low || y.high < x.low:
		return fact.No
	}
	return fact.Unknown
}

func oneOfOver(x stretch, list []float64) fact.Truth {
	out := fact.No
	for _, n := range list {
		out = out.Or(compareOver("==", x, stretch{n, n, true}))
	}
	if !x.known {
		return fact.Unknown
	}
	return out
}
