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

// compile turns the clause into closures over the vector: it is asked ten
// thousand times over for one look.
func (c *clause) compile() truth {
	switch c.op {
	case opConst:
		yes := fact.Of(c.yes)
		return func(fact.Vector) fact.Truth { return yes }
	case opFlag:
		slot := c.slot
		return func(v fact.Vector) fact.Truth { return known(v[slot].Known, v[slot].N != 0) }
	case opCompare:
		return compileCompare(c.sign, c.terms[0], c.terms[1])
	case opOneOf:
		return func(v fact.Vector) fact.Truth {
			n, ok := c.terms[0].number(v)
			return known(ok, slices.Contains(c.list, n) != c.outside)
		}
	case opBetween:
		return func(v fact.Vector) fact.Truth {
			n, ok := c.terms[0].number(v)
			low, lowKnown := c.terms[1].number(v)
			high, highKnown := c.terms[2].number(v)
			return known(ok && lowKnown && highKnown, low <= n && n <= high)
		}
	case opNot:
		part := c.parts[0].compile()
		return func(v fact.Vector) fact.Truth { return part(v).Not() }
	}
	return compileJoined(c.parts, fact.Of(c.op == opOr))
}

// known is yes or no where everything that was compared is known.
func known(all, yes bool) fact.Truth {
	if !all {
		return fact.Unknown
	}
	return fact.Of(yes)
}

// compileJoined joins clauses: one that comes out as settles decides, and its
// opposite takes all of them.
func compileJoined(clauses []*clause, settles fact.Truth) truth {
	parts := make([]truth, len(clauses))
	for i, c := range clauses {
		parts[i] = c.compile()
	}
	return func(v fact.Vector) fact.Truth {
		out := settles.Not()
		for _, p := range parts {
			switch p(v) {
			case settles:
				return settles
			case fact.Unknown:
				out = fact.Unknown
			}
		}
		return out
	}
}

// compileCompare has a closure of its own for a fact against a number, which is
// most of a rule base.
func compileCompare(sign string, a, b *term) truth {
	holds := comparisons[sign]
	if n, ok := b.constant(); ok && a.op == termFact {
		slot := a.slot
		return func(v fact.Vector) fact.Truth { return known(v[slot].Known, holds(v[slot].N, n)) }
	}
	return func(v fact.Vector) fact.Truth {
		x, ok := a.number(v)
		y, also := b.number(v)
		return known(ok && also, holds(x, y))
	}
}

// comparisons are the comparison signs.
var comparisons = map[string]func(a, b float64) bool{
	"==": func(a, b float64) bool { return a == b },
	"!=": func(a, b float64) bool { return a != b },
	"<":  func(a, b float64) bool { return a < b },
	"<=": func(a, b float64) bool { return a <= b },
	">":  func(a, b float64) bool { return a > b },
	">=": func(a, b float64) bool { return a >= b },
}
