package cond

import (
	"fmt"
	"slices"

	"rungwise/engine/fact"
)

// Mutant is a condition with one edit that somebody might make by mistake.
type Mutant struct {
	Stretch            // what was edited
	Edit    string     // what was done, in a few words
	Changed *Condition // its text is still the one that was written
}

// Mutants lists the edits of a condition: numbers nudged by the smallest
// difference that people tell, comparison signs swapped, answers changed, added
// and left out, clauses dropped, `and` and `or` exchanged, `not` put in or taken
// away. The order is that of the text.
func (c *Condition) Mutants() []Mutant {
	m := mutator{c: c}
	m.clause(c.root)
	return m.out
}

type mutator struct {
	c   *Condition
	out []Mutant
}

// add edits the condition: one of its clauses is made another, or is left out.
func (m *mutator) add(k *clause, edit string, with *clause) {
	changed := *m.c
	changed.root = m.c.root.replaced(k, with)
	changed.eval, changed.reads = changed.root.compile(), unique(changed.root.slots(nil))
	m.out = append(m.out, Mutant{m.c.stretch(k), edit, &changed})
}

// edit is add for a change of the clause itself.
func (m *mutator) edit(k *clause, edit string, change func(*clause)) {
	with := *k
	change(&with)
	m.add(k, edit, &with)
}

func (m *mutator) clause(k *clause) {
	switch k.op {
	case opConst:
		m.edit(k, "turned round", func(c *clause) { c.yes = !c.yes })
	case opFlag:
		m.add(k, "`not` put in", &clause{span: k.span, op: opNot, parts: []*clause{k}})
	case opNot:
		m.add(k, "`not` taken away", k.parts[0])
		m.clause(k.parts[0])
	case opAnd:
		m.edit(k, "`and` made `or`", func(c *clause) { c.op = opOr })
		m.parts(k)
	case opOr:
		m.edit(k, "`or` made `and`", func(c *clause) { c.op = opAnd })
		m.parts(k)
	case opCompare:
		for _, s := range swaps[k.sign] {
			m.edit(k, fmt.Sprintf("`%s` made `%s`", k.sign, s), func(c *clause) { c.sign = s })
		}
		m.terms(k)
	case opOneOf:
		m.list(k)
	case opBetween:
		m.terms(k)
	}
}

func (m *mutator) parts(k *clause) {
	for _, p := range k.parts {
		m.add(p, "left out", nil)
		m.clause(p)
	}
}

// swaps are the signs that a comparison sign may be taken for.
var swaps = map[string][]string{"==": {"!="}, "!=": {"=="}, "<": {"<=", ">"}, "<=": {"<", ">="}, ">": {">=", "<"}, ">=": {">", "<="}}

// terms edits the numbers of a comparison, and the answer where it is one.
func (m *mutator) terms(k *clause) {
	f := m.fact(k)
	for i, t := range k.terms {
		for _, v := range m.others(f, t) {
			m.edit(k, v.edit, func(c *clause) {
				c.terms = slices.Clone(k.terms)
				c.terms[i] = v.term
			})
		}
	}
}

// fact is the first fact that a comparison reads.
func (m *mutator) fact(k *clause) fact.Fact {
	for _, slot := range k.slots(nil) {
		return m.c.cat.At(slot)
	}
	return fact.Fact{Kind: fact.Number}
}

type variant struct {
	term *term
	edit string
}

// others lists what a term may be changed to.
func (m *mutator) others(f fact.Fact, t *term) []variant {
	var out []variant
	switch {
	case t == nil || t.op == termFact:
	case t.op == termNumber && f.Kind == fact.Choice:
		for i, a := range f.Answers {
			if n := float64(i); n != t.value {
				out = append(out, variant{&term{value: n}, fmt.Sprintf("answer made %q", a.ID)})
			}
		}
	case t.op == termNumber && f.Kind == fact.YesNo:
		out = append(out, variant{&term{value: 1 - t.value}, "yes and no exchanged"})
	case t.op == termNumber:
		for _, n := range []float64{t.value - stepOf(f, t.value), t.value + stepOf(f, t.value)} {
			out = append(out, variant{&term{value: tidy(n)}, fmt.Sprintf("%s made %s", plain(t.value), plain(tidy(n)))})
		}
	default:
		for _, v := range m.others(f, t.a) {
			out = append(out, variant{&term{op: t.op, a: v.term, b: t.b}, v.edit})
		}
		for _, v := range m.others(f, t.b) {
			out = append(out, variant{&term{op: t.op, a: t.a, b: v.term}, v.edit})
		}
	}
	return out
}

// list edits `in` and `not in`.
func (m *mutator) list(k *clause) {
	f := m.fact(k)
	m.edit(k, "`in` and `not in` exchanged", func(c *clause) { c.outside = !c.outside })
	for i, n := range k.list {
		if len(k.list) > 1 {
			m.edit(k, f.Format(fact.Num(n))+" left out of the list", func(c *clause) { c.list = slices.Concat(k.list[:i], k.list[i+1:]) })
		}
	}
	for i, a := range f.Answers {
		if n := float64(i); !slices.Contains(k.list, n) {
			m.edit(k, a.ID+" put into the list", func(c *clause) { c.list = append(slices.Clone(k.list), n) })
		}
	}
}
