// Package cond holds one condition of a rule: what is wrong with it, whether
// it holds, and why.
//
// Its invariant: what nobody observed is unknown and never no. A comparison
// runs only when every fact it reads is known, Kleene's logic joins the
// comparisons, and the expression library, which would take a missing value
// for a no or even a yes, is used to parse and to check types and never to
// evaluate. Whatever the text holds, a fault has its place in it.
package cond

import (
	"slices"

	"rungwise/engine/fact"
)

// mostRunes is the length of the longest condition that is read. A rule that
// needs more is two rules; the bound also keeps a nest of brackets from
// exhausting the parser.
const mostRunes = 2000

// Condition is a condition that was checked against a catalogue. It does not
// change and may be shared.
type Condition struct {
	text  string
	runes []rune
	cat   *fact.Catalogue
	root  *clause
	eval  func(fact.Vector) fact.Truth
	reads []int
}

// Compile checks a condition against the catalogue and returns every fault it
// finds, by place. The condition is nil when one of the faults is an error;
// warnings leave it usable.
func Compile(text string, cat *fact.Catalogue) (*Condition, []Fault) {
	c := &Condition{text: text, runes: []rune(text), cat: cat}
	k := &reader{runes: c.runes, cat: cat}
	c.root = k.check(text)
	faults := k.sorted()
	if c.root == nil || refused(faults) {
		return nil, faults
	}
	c.eval = c.root.compile()
	c.reads = unique(c.root.slots(nil))
	return c, faults
}

// Eval returns whether the condition holds for an athlete; the vector has one
// value for each fact of the catalogue. It allocates nothing.
func (c *Condition) Eval(v fact.Vector) fact.Truth { return c.eval(v) }

// Reads returns the slots of the facts that the condition reads, in order and
// each once. Limits are constants and left out.
func (c *Condition) Reads() []int { return slices.Clone(c.reads) }

// Text returns the condition as it was written.
func (c *Condition) Text() string { return c.text }

// Bare returns the slot when the condition is one yes/no fact and nothing
// else, such as changed.hinge.
func (c *Condition) Bare() (slot int, ok bool) {
	if c.root.op != opFlag {
		return 0, false
	}
	return c.root.slot, true
}

// Boundaries returns the numbers that the condition compares a fact with,
// ascending and each once. A fact that is compared with other facts has none.
func (c *Condition) Boundaries(slot int) []float64 {
	if slot < 0 || slot >= c.cat.Len() || c.cat.At(slot).Kind != fact.Number {
		return nil
	}
	return unique(c.root.boundaries(slot, nil, nil))
}
