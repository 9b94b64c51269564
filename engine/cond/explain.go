package cond

import "rungwise/engine/fact"

// Explained is one clause of a condition with its outcome for an athlete.
type Explained struct {
	From, To int    // runes of the condition's text
	Text     string // the clause as written
	Truth    fact.Truth
	Join     string      // "and", "or" or "not"; empty for a comparison
	Parts    []Explained // the joined clauses, in order
	Facts    []Reading   // of a comparison: what it reads, in order
	Decided  bool        // the outcome of the whole hangs on this clause
}

// Reading is a fact or limit where a comparison reads it.
type Reading struct {
	From, To int // runes of the condition's text
	Slot     int
	Name     string
	Value    string // as people write it, "not seen" when it is unknown
	Known    bool
	Constant bool // a limit
}

// Explain draws the condition apart for an athlete. Of a "no" joined by
// `and`, the first clause that says no decided; of a "yes", all of them did;
// `or` is the mirror of it, and of an unknown outcome the unknown clauses are
// marked.
func (c *Condition) Explain(v fact.Vector) Explained {
	return c.explain(c.root, v, true)
}

func (c *Condition) explain(k *clause, v fact.Vector, decided bool) Explained {
	e := Explained{From: k.from, To: k.to, Text: string(c.runes[k.from:k.to]), Truth: k.compile()(v), Decided: decided}
	switch k.op {
	case opNot:
		e.Join = "not"
	case opAnd:
		e.Join = "and"
	case opOr:
		e.Join = "or"
	default:
		e.Facts = c.readings(k, v)
		return e
	}
	settles := fact.Of(k.op == opOr) // the outcome of a part that settles the whole
	settled := false
	for _, p := range k.parts {
		truth := p.compile()(v)
		decides := decided && (k.op == opNot || truth == e.Truth && !settled)
		settled = settled || k.op != opNot && truth == settles
		e.Parts = append(e.Parts, c.explain(p, v, decides))
	}
	return e
}

// readings lists what a comparison reads, where it stands in the text.
func (c *Condition) readings(k *clause, v fact.Vector) []Reading {
	var out []Reading
	for _, m := range scan(c.runes[k.from:k.to]) {
		slot, ok := c.cat.Slot(m.text)
		if m.kind != name || !ok {
			continue
		}
		f := c.cat.At(slot)
		value := v[slot]
		if f.Constant {
			value = fact.Num(f.Value)
		}
		out = append(out, Reading{From: k.from + m.from, To: k.from + m.to, Slot: slot, Name: f.Name,
			Value: f.Format(value), Known: value.Known, Constant: f.Constant})
	}
	return out
}
