package cond

import "rungwise/engine/fact"

// Outlook is what can be said of a condition whoever the athlete is.
type Outlook uint8

// The outlooks. NotAnalysed says nothing about the condition: two numbers are
// compared with each other, or there are too many cases.
const (
	NotAnalysed Outlook = iota
	Sometimes
	Never
	Always
)

// String returns the outlook in lower-case words.
func (o Outlook) String() string {
	return [...]string{"not analysed", "sometimes", "never", "always"}[o]
}

// Stretch is a part of a condition's text, in runes.
type Stretch struct {
	From, To int
	Text     string
}

// Analysis is what going through every case of a condition found, everything
// being known.
type Analysis struct {
	Outlook Outlook
	Holds   []Setting // a case for which it holds; nil when there is none
	Fails   []Setting // a case for which it does not; nil when there is none
	Clash   []Stretch // of Never: the one clause, or the first two, that rule it out; nil when it takes more
	Idle    []Idle    // of Sometimes: clauses without effect
}

// Idle is a clause that can be taken out and nothing changes: with it and
// without it the condition has the same outcome in every case.
type Idle struct {
	Stretch
	Case []Setting // a case for which the condition holds and the clause stands
}

// Analyse goes through every case that the condition can tell apart. It is
// exact for conditions over answers, yes and no, and numbers compared with
// fixed numbers, and says NotAnalysed for all others. A changed fact of a
// checkpoint with answers is whether its best and stuck answers differ.
func (c *Condition) Analyse() Analysis {
	g, ok := newGrid(c)
	if !ok {
		return Analysis{}
	}
	a := Analysis{Outlook: Sometimes,
		Holds: g.find(func(v fact.Vector) bool { return c.eval(v) == fact.Yes }),
		Fails: g.find(func(v fact.Vector) bool { return c.eval(v) != fact.Yes })}
	switch {
	case a.Holds == nil:
		a.Outlook, a.Clash = Never, c.clash(g)
	case a.Fails == nil:
		a.Outlook = Always
	default:
		a.Idle = c.idle(g)
	}
	return a
}

// clash finds what rules a condition out that never holds.
func (c *Condition) clash(g *grid) []Stretch {
	if c.root.op != opAnd {
		return []Stretch{c.stretch(c.root)}
	}
	parts := c.root.parts
	evals := make([]truth, len(parts))
	for i, p := range parts {
		evals[i] = p.compile()
	}
	for gap := range parts {
		for j := gap; j < len(parts); j++ {
			i := j - gap
			met := g.find(func(v fact.Vector) bool { return evals[i](v) == fact.Yes && evals[j](v) == fact.Yes })
			switch {
			case met != nil:
			case i == j:
				return []Stretch{c.stretch(parts[i])}
			default:
				return []Stretch{c.stretch(parts[i]), c.stretch(parts[j])}
			}
		}
	}
	return nil
}

func (c *Condition) stretch(k *clause) Stretch {
	return Stretch{From: k.from, To: k.to, Text: string(c.runes[k.from:k.to])}
}

// idle finds the clauses without effect. One found is left out before the
// next is tried, so of two clauses that say the same only one is named.
func (c *Condition) idle(g *grid) []Idle {
	var out []Idle
	now := c.root
	for _, k := range droppable(c.root, nil) {
		left, ok := now.without(k)
		if !ok {
			continue
		}
		with, without, clause := now.compile(), left.compile(), k.compile()
		if g.find(func(v fact.Vector) bool { return with(v) != without(v) }) != nil {
			continue
		}
		now = left
		out = append(out, Idle{c.stretch(k), g.find(func(v fact.Vector) bool {
			return with(v) == fact.Yes && clause(v) == fact.Yes
		})})
	}
	return out
}

// droppable lists the clauses that stand beside others, outer ones first and
// of neighbours the last first.
func droppable(c *clause, out []*clause) []*clause {
	if c.op == opAnd || c.op == opOr {
		for i := len(c.parts) - 1; i >= 0; i-- {
			out = append(out, c.parts[i])
		}
	}
	for _, p := range c.parts {
		out = droppable(p, out)
	}
	return out
}

// without returns the clause with one part of it taken out, and whether the
// part is in it.
func (c *clause) without(k *clause) (*clause, bool) {
	for i, p := range c.parts {
		if p == k && c.op == opNot {
			break // its neighbours were taken out before; `not` needs it
		}
		kept := make([]*clause, 0, len(c.parts))
		kept = append(kept, c.parts[:i]...)
		if p != k {
			inner, ok := p.without(k)
			if !ok {
				continue
			}
			kept = append(kept, inner)
		}
		kept = append(kept, c.parts[i+1:]...)
		if len(kept) == 1 && c.op != opNot {
			return kept[0], true
		}
		return &clause{span: c.span, op: c.op, parts: kept}, true
	}
	return c, false
}

// Cover is whether one condition holds whenever another does.
type Cover struct {
	Analysed bool
	Covered  bool
	Case     []Setting // where both hold, or where only the first does
}

// Covers goes through every case of two conditions of one catalogue: b covers
// a when a holds in some case, and b in each of those.
func Covers(a, b *Condition) Cover {
	g, ok := newGrid(a, b)
	if !ok {
		return Cover{}
	}
	if alone := g.shared(a, b, func(x, y bool) bool { return x && !y }); alone != nil {
		return Cover{Analysed: true, Case: alone}
	}
	both := g.shared(a, b, func(x, y bool) bool { return x && y })
	return Cover{Analysed: true, Covered: both != nil, Case: both}
}

// Opposed reports whether of two conditions of one catalogue exactly one holds,
// whatever is seen, and gives a case in which the first does.
func Opposed(a, b *Condition) (example []Setting, ok bool) {
	g, ok := newGrid(a, b)
	if !ok || g.shared(a, b, func(x, y bool) bool { return x == y }) != nil {
		return nil, false
	}
	return g.shared(a, b, func(x, _ bool) bool { return x }), true
}

// Differ returns a case in which one of two conditions of one catalogue holds
// and the other does not, or nil; analysed is false where not every case could
// be gone through.
func Differ(a, b *Condition) (example []Setting, analysed bool) {
	g, ok := newGrid(a, b)
	if !ok {
		return nil, false
	}
	return g.shared(a, b, func(x, y bool) bool { return x != y }), true
}

// shared is a case that two conditions share out in the way asked for.
func (g *grid) shared(a, b *Condition, way func(x, y bool) bool) []Setting {
	return g.find(func(v fact.Vector) bool { return way(a.eval(v) == fact.Yes, b.eval(v) == fact.Yes) })
}

// Over returns yes or no where the condition comes out so for every choice of
// values in the box, and unknown where that is not sure: a condition that is
// decided over a box need not be asked again for any case inside it.
func (c *Condition) Over(b Box) fact.Truth {
	g := &grid{cat: c.cat}
	if !g.lay(c.reads, []*Condition{c}, b) {
		return fact.Unknown
	}
	for _, t := range []fact.Truth{fact.Yes, fact.No} {
		if g.find(func(v fact.Vector) bool { return c.eval(v) != t }) == nil {
			return t
		}
	}
	return fact.Unknown
}
