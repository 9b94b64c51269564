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
	m.clause(c.root, func(k *clause) *clause { return k })
	return m.out
}

// mutator builds each edit as a whole condition; put rebuilds everything around
// the clause at hand.
type mutator struct {
	c   *Condition
	out []Mutant
}

type put = func(*clause) *clause

func (m *mutator) add(at *clause, edit string, root *clause) {
	changed := *m.c
	changed.root, changed.eval, changed.reads = root, root.compile(), unique(root.slots(nil))
	m.out = append(m.out, Mutant{m.c.stretch(at), edit, &changed})
}

func (m *mutator) clause(k *clause, around put) {
	switch k.op {
	case opConst:
		m.add(k, "turned round", around(&clause{span: k.span, op: opConst, yes: !k.yes}))
	case opFlag:
		m.add(k, "`not` put in", around(&clause{span: k.span, op: opNot, parts: []*clause{k}}))
	case opNot:
		m.add(k, "`not` taken away", around(k.parts[0]))
		m.clause(k.parts[0], func(p *clause) *clause {
			return around(&clause{span: k.span, op: opNot, parts: []*clause{p}})
		})
	case opAnd, opOr:
		m.joined(k, around)
	case opCompare:
		m.signs(k, around)
		m.terms(k, around)
	case opOneOf:
		m.list(k, around)
	case opBetween:
		m.terms(k, around)
	}
}

func (m *mutator) joined(k *clause, around put) {
	other, words := opOr, "`and` made `or`"
	if k.op == opOr {
		other, words = opAnd, "`or` made `and`"
	}
	m.add(k, words, around(&clause{span: k.span, op: other, parts: k.parts}))
	for i, p := range k.parts {
		rest := slices.Delete(slices.Clone(k.parts), i, i+1)
		left := &clause{span: k.span, op: k.op, parts: rest}
		if len(rest) == 1 {
			left = rest[0]
		}
		m.add(p, "left out", around(left))
		m.clause(p, func(q *clause) *clause {
			parts := slices.Clone(k.parts)
			parts[i] = q
			return around(&clause{span: k.span, op: k.op, parts: parts})
		})
	}
}

// swaps are the signs that a comparison sign may be taken for.
func swaps(sign string) []string {
	return map[string][]string{"==": {"!="}, "!=": {"=="}, "<": {"<=", ">"}, "<=": {"<", ">="}, ">": {">=", "<"}, ">=": {">", "<="}}[sign]
}

func (m *mutator) signs(k *clause, around put) {
	for _, s := range swaps(k.sign) {
		m.add(k, fmt.Sprintf("`%s` made `%s`", k.sign, s), around(&clause{span: k.span, op: k.op, sign: s, terms: k.terms}))
	}
}

// terms edits the numbers of a comparison, and the answer where it is one.
func (m *mutator) terms(k *clause, around put) {
	f, choice := m.fact(k)
	for i, t := range k.terms {
		for _, v := range m.others(f, choice, t) {
			terms := slices.Clone(k.terms)
			terms[i] = v.term
			m.add(k, v.edit, around(&clause{span: k.span, op: k.op, sign: k.sign, terms: terms}))
		}
	}
}

// fact is the first fact that a comparison reads, and whether it has answers.
func (m *mutator) fact(k *clause) (fact.Fact, bool) {
	for _, slot := range k.slots(nil) {
		f := m.c.cat.At(slot)
		return f, f.Kind == fact.Choice
	}
	return fact.Fact{}, false
}

type variant struct {
	term *term
	edit string
}

// others lists what a term may be changed to.
func (m *mutator) others(f fact.Fact, choice bool, t *term) []variant {
	var out []variant
	switch {
	case t == nil || t.op == termFact:
	case t.op == termNumber && choice:
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
		for _, v := range m.others(f, choice, t.a) {
			out = append(out, variant{&term{op: t.op, a: v.term, b: t.b}, v.edit})
		}
		for _, v := range m.others(f, choice, t.b) {
			out = append(out, variant{&term{op: t.op, a: t.a, b: v.term}, v.edit})
		}
	}
	return out
}

// list edits `in` and `not in`.
func (m *mutator) list(k *clause, around put) {
	f, _ := m.fact(k)
	edit := func(words string, list []float64, outside bool) {
		m.add(k, words, around(&clause{span: k.span, op: k.op, terms: k.terms, list: list, outside: outside}))
	}
	edit("`in` and `not in` exchanged", k.list, !k.outside)
	for i, n := range k.list {
		if len(k.list) > 1 {
			edit(f.Format(fact.Num(n))+" left out of the list", slices.Delete(slices.Clone(k.list), i, i+1), k.outside)
		}
	}
	for i, a := range f.Answers {
		if n := float64(i); !slices.Contains(k.list, n) {
			edit(a.ID+" put into the list", append(slices.Clone(k.list), n), k.outside)
		}
	}
}
