package cond

import (
	"math"
	"slices"

	"rungwise/engine/fact"
)

// op is what a clause does.
type op uint8

const (
	opConst   op = iota // yes or no, whoever is asked
	opFlag              // a yes/no fact by itself
	opCompare           // two terms and a comparison sign
	opOneOf             // a term and a list of numbers
	opBetween           // a term between two others, both ends included
	opNot
	opAnd
	opOr
)

// clause is a part of a condition that is yes, no or unknown. Answers are
// compared by their place in the fact's list, yes and no as 1 and 0, so every
// comparison is one of numbers.
type clause struct {
	span
	op      op
	yes     bool      // of opConst
	slot    int       // of opFlag
	sign    string    // of opCompare: == != < <= > >=
	terms   []*term   // of opCompare two, of opOneOf one, of opBetween three
	list    []float64 // of opOneOf
	outside bool      // of opOneOf: `not in`
	parts   []*clause // of opNot one, of opAnd and opOr two or more
}

// termOp is what a term does.
type termOp uint8

const (
	termNumber termOp = iota
	termFact
	termMinus
	termAbs
	termAdd
	termSub
	termMul
	termDiv
)

// term is a part of a condition that is a number.
type term struct {
	op    termOp
	value float64 // of termNumber
	slot  int     // of termFact
	a, b  *term
}

// slots appends the slots that the clause reads.
func (c *clause) slots(out []int) []int {
	if c.op == opFlag {
		out = append(out, c.slot)
	}
	for _, t := range c.terms {
		out = t.slots(out)
	}
	for _, p := range c.parts {
		out = p.slots(out)
	}
	return out
}

func (t *term) slots(out []int) []int {
	if t == nil {
		return out
	}
	if t.op == termFact {
		out = append(out, t.slot)
	}
	return t.b.slots(t.a.slots(out))
}

// constant returns the number of a term that reads no fact.
func (t *term) constant() (float64, bool) {
	if len(t.slots(nil)) > 0 {
		return 0, false
	}
	return t.number(nil)
}

// number computes the term; it is not known when a fact in it is not.
func (t *term) number(v fact.Vector) (float64, bool) {
	switch t.op {
	case termNumber:
		return t.value, true
	case termFact:
		return v[t.slot].N, v[t.slot].Known
	}
	a, known := t.a.number(v)
	if t.b == nil {
		if t.op == termAbs {
			return math.Abs(a), known
		}
		return -a, known
	}
	b, also := t.b.number(v)
	return calculate(t.op, a, b), known && also
}

func calculate(op termOp, a, b float64) float64 {
	switch op {
	case termAdd:
		return a + b
	case termSub:
		return a - b
	case termMul:
		return a * b
	}
	return a / b
}

// truth is a compiled clause.
type truth = func(fact.Vector) fact.Truth

// compile turns the clause into closures over the vector. The usual shapes, a
// fact against a number, have closures of their own: they are most of a rule
// base, and each step saved counts in ten thousand redraws.
func (c *clause) compile() truth {
	switch c.op {
	case opConst:
		yes := fact.Of(c.yes)
		return func(fact.Vector) fact.Truth { return yes }
	case opFlag:
		slot := c.slot
		return func(v fact.Vector) fact.Truth {
			if x := v[slot]; x.Known {
				return fact.Of(x.N != 0)
			}
			return fact.Unknown
		}
	case opCompare:
		return compileCompare(c.sign, c.terms[0], c.terms[1])
	case opOneOf:
		return compileOneOf(c.terms[0], c.list, !c.outside)
	case opBetween:
		return compileBetween(c.terms[0], c.terms[1], c.terms[2])
	case opNot:
		part := c.parts[0].compile()
		return func(v fact.Vector) fact.Truth { return part(v).Not() }
	}
	parts := make([]truth, len(c.parts))
	for i, p := range c.parts {
		parts[i] = p.compile()
	}
	if c.op == opAnd {
		return compileAnd(parts)
	}
	return compileOr(parts)
}

func compileAnd(parts []truth) truth {
	if len(parts) == 2 {
		a, b := parts[0], parts[1]
		return func(v fact.Vector) fact.Truth {
			if x := a(v); x != fact.No {
				return x.And(b(v))
			}
			return fact.No
		}
	}
	return func(v fact.Vector) fact.Truth {
		all := fact.Yes
		for _, p := range parts {
			if all = all.And(p(v)); all == fact.No {
				break
			}
		}
		return all
	}
}

func compileOr(parts []truth) truth {
	if len(parts) == 2 {
		a, b := parts[0], parts[1]
		return func(v fact.Vector) fact.Truth {
			if x := a(v); x != fact.Yes {
				return x.Or(b(v))
			}
			return fact.Yes
		}
	}
	return func(v fact.Vector) fact.Truth {
		any := fact.No
		for _, p := range parts {
			if any = any.Or(p(v)); any == fact.Yes {
				break
			}
		}
		return any
	}
}

func compileCompare(sign string, a, b *term) truth {
	if n, ok := b.constant(); ok && a.op == termFact {
		return compareFact(sign, a.slot, n)
	}
	if n, ok := a.constant(); ok && b.op == termFact {
		return compareFact(mirrored(sign), b.slot, n)
	}
	holds := comparison(sign)
	if a.op == termFact && b.op == termFact {
		one, two := a.slot, b.slot
		return func(v fact.Vector) fact.Truth {
			if x, y := v[one], v[two]; x.Known && y.Known {
				return fact.Of(holds(x.N, y.N))
			}
			return fact.Unknown
		}
	}
	return func(v fact.Vector) fact.Truth {
		x, known := a.number(v)
		y, also := b.number(v)
		if known && also {
			return fact.Of(holds(x, y))
		}
		return fact.Unknown
	}
}

// compareFact compares a fact with a number.
func compareFact(sign string, slot int, n float64) truth {
	switch sign {
	case "==":
		return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N == n) }
	case "!=":
		return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N != n) }
	case "<":
		return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N < n) }
	case "<=":
		return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N <= n) }
	case ">":
		return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N > n) }
	}
	return func(v fact.Vector) fact.Truth { return known(v[slot], v[slot].N >= n) }
}

// known returns yes or no when the value is known.
func known(x fact.Value, yes bool) fact.Truth {
	if !x.Known {
		return fact.Unknown
	}
	return fact.Of(yes)
}

// comparison returns the function of a comparison sign.
func comparison(sign string) func(a, b float64) bool {
	switch sign {
	case "==":
		return func(a, b float64) bool { return a == b }
	case "!=":
		return func(a, b float64) bool { return a != b }
	case "<":
		return func(a, b float64) bool { return a < b }
	case "<=":
		return func(a, b float64) bool { return a <= b }
	case ">":
		return func(a, b float64) bool { return a > b }
	}
	return func(a, b float64) bool { return a >= b }
}

// mirrored returns the sign that says the same with its sides swapped.
func mirrored(sign string) string {
	switch sign {
	case "<":
		return ">"
	case "<=":
		return ">="
	case ">":
		return "<"
	case ">=":
		return "<="
	}
	return sign
}

func compileOneOf(t *term, list []float64, inside bool) truth {
	if t.op == termFact {
		slot := t.slot
		return func(v fact.Vector) fact.Truth {
			if x := v[slot]; x.Known {
				return fact.Of(slices.Contains(list, x.N) == inside)
			}
			return fact.Unknown
		}
	}
	return func(v fact.Vector) fact.Truth {
		if n, known := t.number(v); known {
			return fact.Of(slices.Contains(list, n) == inside)
		}
		return fact.Unknown
	}
}

func compileBetween(x, low, high *term) truth {
	return func(v fact.Vector) fact.Truth {
		n, known := x.number(v)
		a, lowKnown := low.number(v)
		b, highKnown := high.number(v)
		if known && lowKnown && highKnown {
			return fact.Of(a <= n && n <= b)
		}
		return fact.Unknown
	}
}
