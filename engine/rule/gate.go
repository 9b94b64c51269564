package rule

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

// orderGates puts the gates in their order. A referral that a house adds stands
// after the base's referrals, any other added gate before the first go_on, so
// that nothing added can come before a referral or before the safety questions.
func (r *reader) orderGates() {
	all := r.b.Gates
	r.b.Gates = slices.DeleteFunc(slices.Clone(all), func(g Gate) bool { return g.house })
	for _, g := range all {
		if !g.house {
			continue
		}
		at := slices.IndexFunc(r.b.Gates, func(x Gate) bool { return x.Verdict == GoOn })
		if g.Verdict == Refer {
			at = slices.IndexFunc(r.b.Gates, func(x Gate) bool { return x.Verdict != Refer })
		}
		if at < 0 {
			at = len(r.b.Gates)
		}
		r.b.Gates = slices.Insert(r.b.Gates, at, g)
	}
}

// Verdicts lists the verdicts of a gate.
func Verdicts() []string {
	return []string{Refer, NotEnough, NotThisQuestion, Restore, NoneFound, GoOn}
}

func (r *reader) gates() list[Gate] {
	return list[Gate]{name: Gates, of: func(b *Base) *[]Gate { return &b.Gates },
		need: []string{"why", "source", "since"}, check: r.checkGate, keys: []source.Key[Gate]{
			source.OneOf("verdict", must, fixed, "", Verdicts(), func(g *Gate) *string { return &g.Verdict }).In("verdict"),
			conditionKey(r, "when", may, fixed, func(g *Gate) **cond.Condition { return &g.When }).
				In("when", func(g *Gate) string { return inWords(append([]*cond.Condition{g.When}, g.Also...)...) }),
			needsKey(r, func(g *Gate) *[]int { return &g.slots }).In("needs an answer to", func(g *Gate) string { return strings.Join(g.Needs, ", ") }),
			conditionKey(r, "unless", may, fixed, func(g *Gate) **cond.Condition { return &g.Unless }).In("unless it is known that"),
			source.OneOf("unanswered", may, fixed, "", []string{NotEnough}, func(*Gate) *string { return new(string) }),
			source.Text("says", must, source.AtEnd, "", func(g *Gate) *string { return &g.Says }).In(""),
			source.Text("do", must, source.AtEnd, "", func(g *Gate) *string { return &g.Do }).In(""),
			source.YesNo("low_confidence", may, fixed, "", func(g *Gate) *bool { return &g.LowConfidence }),
			source.Reads("caution", may, fixed, "", source.Shape{}, func(o *source.Object, g *Gate) {
				if n := o.Get("caution"); n != nil {
					g.Caution, _ = r.ref(n, Cautions)
				}
			}),
			examplesKey(r, source.Told, func(g *Gate) (*Example, *Example) { return &g.Fires, &g.Still }),
		}}
}

// needsKey reads the facts of which one must be unknown.
func needsKey(r *reader, at func(*Gate) *[]int) source.Key[Gate] {
	shape := source.Each(source.Some, source.Shape{Form: source.FactName})
	return source.Reads("needs", may, fixed, "a fact that must be known", shape, func(o *source.Object, g *Gate) {
		for _, n := range o.Texts("needs") {
			slot, ok := r.b.Catalogue.Slot(n.Text())
			if !ok {
				r.unknownFact(n)
				continue
			}
			g.Needs, *at(g) = append(g.Needs, n.Text()), append(*at(g), slot)
		}
	})
}

func (r *reader) checkGate(e *entry, o *source.Object, g *Gate, _ bool) bool {
	r.needExamples(e, o)
	r.checkCounts(e, "says", "do")
	more := []source.Key[Gate]{
		alsoKey(r, may, func(g *Gate) *[]*cond.Condition { return &g.Also }),
		needsKey(r, func(g *Gate) *[]int { return &g.more }),
	}
	for _, n := range e.adds {
		in := n.Object(&r.ds, "an addition to a gate")
		source.Fill(in, more, g, true)
		in.Close()
	}
	if g.house = e.base == nil; g.house && opens(g.Verdict, g.Caution) && len(e.changes) > 0 {
		r.fault(e.name, "O413", fmt.Sprintf("the gate `%s` opens a plan, and a house's own gate may only refuse", g.ID), "",
			"let it refer, ask for what is missing, or say that it is another question")
	}
	return true
}

// alsoKey reads a further condition that a house adds to an entry.
func alsoKey[T any](r *reader, n source.Need, at func(*T) *[]*cond.Condition) source.Key[T] {
	return source.Reads("when", n, fixed, "", source.Shape{Form: source.Condition}, func(o *source.Object, x *T) {
		if c := r.condition(o.Get("when")); c != nil {
			*at(x) = append(*at(x), c)
		}
	})
}

// opens reports whether a gate of a verdict and a caution lets a plan be made:
// the one that goes on, the one that brings a faded drill back, and the one that
// puts a drill on trial, which names a caution.
func opens(verdict, caution string) bool {
	return verdict == GoOn || verdict == Restore || verdict == NotThisQuestion && caution != ""
}

// Refuses reports whether the gate lets no plan be made.
func (g *Gate) Refuses() bool { return !opens(g.Verdict, g.Caution) }

func (r *reader) unknownFact(n *source.Node) {
	help := "`rungwise rules list facts` shows them all"
	if near, ok := diag.Nearest(n.Text(), r.b.Catalogue.Names()); ok {
		help = fmt.Sprintf("the closest name is `%s`", near)
	}
	r.fault(n, "B530", fmt.Sprintf("nothing called %s is ever observed", n.Describe()), "not in the checklist", help)
}

// Truth tells whether the gate holds for an athlete, as the base has it or by
// what a house added. Its condition may be unknown, and then the gate does not
// decide; an unknown exception is none.
func (g *Gate) Truth(v fact.Vector) fact.Truth {
	t := g.own(v)
	for _, c := range g.Also {
		t = t.Or(c.Eval(v))
	}
	if len(g.more) > 0 {
		t = t.Or(either(g.When, nil, v).And(open(g.more, v)))
	}
	return t
}

// own is Truth without what a house added.
func (g *Gate) own(v fact.Vector) fact.Truth {
	holds := either(g.When, nil, v)
	if g.Unless != nil {
		holds = holds.And(fact.Of(g.Unless.Eval(v) != fact.Yes))
	}
	if len(g.slots) == 0 {
		return holds
	}
	return holds.And(open(g.slots, v))
}

func open(slots []int, v fact.Vector) fact.Truth {
	return fact.Of(slices.ContainsFunc(slots, func(slot int) bool { return !v[slot].Known }))
}

// Deciding returns the gate that decides for an athlete, or nil. A referral
// decides before all else, the base's own first; then what the base's gates
// refuse by themselves; and only where they would go on may a house refuse. So
// nothing that a house adds opens a plan or takes the place of a referral.
func (b *Base) Deciding(v fact.Vector) *Gate { return b.DecidingIf(v, "", fact.Unknown) }

// DecidingIf is Deciding if one of the gates, by its id, held or did not.
func (b *Base) DecidingIf(v fact.Vector, id string, holds fact.Truth) *Gate {
	first := func(ok func(g *Gate) bool) *Gate { g, _ := find(b.Gates, ok); return g }
	own := func(g *Gate) bool { return g.ID == id && holds == fact.Yes || g.ID != id && g.own(v) == fact.Yes }
	all := func(g *Gate) bool { return g.ID == id && holds == fact.Yes || g.ID != id && g.Truth(v) == fact.Yes }
	base := first(func(g *Gate) bool { return !g.house && own(g) })
	if base != nil && base.Verdict == Refer {
		return base
	}
	added := func(g *Gate) bool { return (g.house || !own(g)) && all(g) }
	if g := first(func(g *Gate) bool { return g.Verdict == Refer && added(g) }); g != nil {
		return g
	}
	if base != nil && base.Refuses() {
		return base
	}
	if g := first(func(g *Gate) bool { return g.Refuses() && added(g) }); g != nil {
		return g
	}
	return base
}

// Decides is the verdict of the gate that decides; with none, nothing keeps a case
// from going on.
func (g *Gate) Decides() string {
	if g == nil {
		return GoOn
	}
	return g.Verdict
}

// Refers reports whether any gate refers an athlete to a clinician.
func (b *Base) Refers(v fact.Vector) bool {
	return slices.ContainsFunc(b.Gates, func(g Gate) bool { return g.Verdict == Refer && g.Truth(v) == fact.Yes })
}

// Applies reports whether the gate is about this athlete, whatever is known of
// the facts that it needs.
func (g *Gate) Applies(v fact.Vector) bool {
	return either(g.When, g.Also, v) == fact.Yes && (g.Unless == nil || g.Unless.Eval(v) != fact.Yes)
}

// Truth tells whether the caution is to be said.
func (c *Caution) Truth(v fact.Vector) fact.Truth { return either(c.When, c.Also, v) }

// Reads reports whether the caution hangs on a fact of a group, such as "screen.".
func (c *Caution) Reads(cat *fact.Catalogue, group string) bool {
	return reads(cat, group, append([]*cond.Condition{c.When}, c.Also...)...)
}

// Reads reports whether the gate hangs on a fact of a group, or waits for one.
func (g *Gate) Reads(cat *fact.Catalogue, group string) bool {
	return slices.ContainsFunc(g.Needs, func(name string) bool { return strings.HasPrefix(name, group) }) ||
		reads(cat, group, append([]*cond.Condition{g.When}, g.Also...)...)
}

func reads(cat *fact.Catalogue, group string, when ...*cond.Condition) bool {
	return slices.ContainsFunc(when, func(k *cond.Condition) bool {
		return k != nil && slices.ContainsFunc(k.Reads(), func(slot int) bool { return strings.HasPrefix(cat.At(slot).Name, group) })
	})
}

// either joins a condition and what a house added to it; no condition always
// holds.
func either(when *cond.Condition, also []*cond.Condition, v fact.Vector) fact.Truth {
	if when == nil {
		return fact.Yes
	}
	t := when.Eval(v)
	for _, c := range also {
		t = t.Or(c.Eval(v))
	}
	return t
}

func (r *reader) cautions() list[Caution] {
	return list[Caution]{name: Cautions, of: func(b *Base) *[]Caution { return &b.Cautions },
		need: []string{"why", "source", "since"}, check: r.checkCaution, keys: []source.Key[Caution]{
			source.OneOf("level", must, fixed, "", []string{Stop, Limit, Note}, func(c *Caution) *string { return &c.Level }).In("level"),
			conditionKey(r, "when", may, fixed, func(c *Caution) **cond.Condition { return &c.When }).InLines(func(c *Caution) []source.Line {
				if c.When == nil && len(c.Also) == 0 {
					return []source.Line{{Label: "when", Text: "always"}}
				}
				return []source.Line{{Label: "when", Text: inWords(append([]*cond.Condition{c.When}, c.Also...)...), Code: true}}
			}),
			source.Text("text", must, source.AtEnd, "", func(c *Caution) *string { return &c.Text }).In(""),
			examplesKey(r, may, func(c *Caution) (*Example, *Example) { return &c.Fires, &c.Still }),
		}}
}

func (r *reader) checkCaution(e *entry, o *source.Object, c *Caution, _ bool) bool {
	if c.When != nil {
		r.needExamples(e, o)
	}
	r.checkCounts(e, "text")
	for _, n := range e.adds {
		in := n.Object(&r.ds, "an addition to a caution")
		source.Fill(in, []source.Key[Caution]{alsoKey(r, must, func(c *Caution) *[]*cond.Condition { return &c.Also })}, c, true)
		in.Close()
	}
	return true
}

// example reads what is given, checked against the catalogue.
func (r *reader) example(fields []source.Field) Example {
	var out Example
	for _, f := range fields {
		slot, ok := r.b.Catalogue.Slot(f.Key.Text())
		if !ok {
			r.unknownFact(f.Key)
			continue
		}
		fc := r.b.Catalogue.At(slot)
		v, err := fc.Parse(f.Value.Text())
		if err != nil {
			r.badValue(f.Value, fc, err)
			continue
		}
		out = append(out, Pair{Name: fc.Name, Text: f.Value.Text(), Slot: slot, Value: v, Place: f.Key.Place()})
	}
	return out
}

func (r *reader) badValue(n *source.Node, f fact.Fact, err error) {
	headline := fmt.Sprintf("`%s` is never %s", f.Name, n.Describe())
	under := "it " + strings.TrimPrefix(err.Error(), f.Name+" ")
	help := "write a value that it can have, or take it out"
	if near, ok := diag.Nearest(n.Text(), f.AnswerIDs()); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	r.fault(n, "B532", headline, under, help)
}
