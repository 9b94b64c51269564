package rule

import (
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// example turns the settings of an analysis into a case.
func (b *Base) example(settings []cond.Setting) Example {
	var out Example
	for _, s := range settings {
		f := b.Catalogue.At(s.Slot)
		out = append(out, Pair{Name: f.Name, Text: f.Format(s.Value), Slot: s.Slot, Value: s.Value})
	}
	return out
}

// tryIt is the command that shows a case.
func (b *Base) tryIt(e Example) []string {
	if len(e) == 0 {
		return nil
	}
	parts := make([]string, 0, len(e))
	for _, p := range b.GoingOn(e) {
		parts = append(parts, p.Name+"="+p.Text)
	}
	command := "try it: rungwise triage --set " + strings.Join(parts, ",")
	if b.housePath != "" {
		command += " --house " + shellWord(b.housePath)
	}
	return []string{command}
}

// GoingOn adds to a case what the gates want to know before they go on: the
// example of the gate that goes on, and the safety answers with which no gate
// refers. What the case says already stays; where it decides a gate by itself
// it comes back as it is.
func (b *Base) GoingOn(e Example) Example {
	v := b.Vector(e)
	out := append(Example{}, e...)
	put := func(slot int, x fact.Value) {
		if f := b.Catalogue.At(slot); !v[slot].Known {
			v[slot] = x
			out = append(out, Pair{Name: f.Name, Text: f.Format(x), Slot: slot, Value: x})
		}
	}
	for i := range b.Gates {
		for _, slot := range slices.Concat(b.Gates[i].slots, b.Gates[i].more) {
			if x, ok := b.harmless(slot, v); ok {
				put(slot, x)
			}
		}
	}
	for i := len(b.Gates) - 1; i >= 0; i-- {
		if b.Gates[i].Verdict == GoOn {
			for _, p := range b.Gates[i].Fires {
				put(p.Slot, p.Value)
			}
			break
		}
	}
	if g := b.Deciding(v); g == nil || g.Verdict != GoOn {
		return e
	}
	return out
}

// harmless is the answer of an unknown fact that says that nothing is wrong, else
// the first one with which no gate refers that did not refer before.
func (b *Base) harmless(slot int, v fact.Vector) (fact.Value, bool) {
	if v[slot].Known {
		return fact.Value{}, false
	}
	if q, ok := b.Checklist.Question(b.Catalogue.At(slot).Name); ok && len(q.Fine) > 0 {
		x, err := b.Catalogue.At(slot).Parse(q.Fine[0])
		return x, err == nil
	}
	answers := len(b.Catalogue.At(slot).AnswerIDs())
	for i := range answers {
		x := fact.Num(float64(i))
		if b.Catalogue.At(slot).Kind == fact.YesNo {
			x = fact.Bool(i > 0)
		}
		v[slot] = x
		g := b.Deciding(v)
		v[slot] = fact.Value{}
		if g == nil || g.Verdict != Refer {
			return x, true
		}
	}
	return fact.Value{}, false
}

// shown gives a finding that has no condition of its own the case of a sign
// that points to a factor, so that there is something to try.
func (b *Base) shown(d diag.Diagnostic, factor Factor) Finding {
	for i := range b.Signs {
		if s := &b.Signs[i]; pointsTo(*s, factor.ID) && len(s.Fires) > 0 {
			f := Finding{Diagnostic: d, Case: s.Fires}
			f.Notes = append(f.Notes, b.tryIt(f.Case)...)
			return f
		}
	}
	return b.lostAt(d, factor)
}

// factor returns a factor, or one of that id with nothing known of it.
func (b *Base) factor(id string) Factor {
	if f, ok := b.Factor(id); ok {
		return *f
	}
	return Factor{Entry: Entry{ID: id}}
}

// oneAnswer is a case in which only one fact is known.
func (b *Base) oneAnswer(d diag.Diagnostic, slot int) Finding {
	f := b.Catalogue.At(slot)
	x := fact.Num(0)
	switch {
	case f.Kind == fact.YesNo:
		x = fact.Bool(true)
	case f.Kind == fact.Number:
		x = fact.Num(f.Low)
	}
	found := Finding{Diagnostic: d, Case: Example{{Name: f.Name, Text: f.Format(x), Slot: slot, Value: x}}}
	found.Notes = append(found.Notes, b.tryIt(found.Case)...)
	return found
}

// lostAt gives a finding about a factor the case in which it would be looked
// for: the pattern is lost where the factor tends to be.
func (b *Base) lostAt(d diag.Diagnostic, f Factor) Finding {
	lost, ok := b.Catalogue.Slot("ladder.lost")
	if !ok || len(f.BreaksAt) == 0 {
		return Finding{Diagnostic: d}
	}
	x, err := b.Catalogue.At(lost).Parse(f.BreaksAt[0].ID)
	if err != nil {
		return Finding{Diagnostic: d}
	}
	found := Finding{Diagnostic: d, Case: Example{{Name: "ladder.lost", Text: f.BreaksAt[0].ID, Slot: lost, Value: x}}}
	found.Notes = append(found.Notes, b.tryIt(found.Case)...)
	return found
}

// oneLine takes the line ends out of a condition.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// shellWord puts a path in quotes where a shell would tear it apart.
func shellWord(s string) string {
	if strings.ContainsAny(s, " \t'\"$&;()<>|*?#`\\!") {
		return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
	}
	return s
}
