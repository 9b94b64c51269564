package rule

import (
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// pair is a fact and its value as they are written.
func (b *Base) pair(slot int, x fact.Value) Pair {
	f := b.Catalogue.At(slot)
	return Pair{Name: f.Name, Text: f.Format(x), Slot: slot, Value: x}
}

// showing is a finding with the case that shows it and the command that tries it.
func (b *Base) showing(d diag.Diagnostic, e Example) Finding {
	d.Notes = append(d.Notes, b.tryIt(e)...)
	return Finding{Diagnostic: d, Case: e}
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
		if !v[slot].Known {
			v[slot] = x
			out = append(out, b.pair(slot, x))
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
func (b *Base) shown(d diag.Diagnostic, factor string) Finding {
	for _, s := range b.Signs {
		if pointsTo(s, factor) && len(s.Fires) > 0 {
			return b.showing(d, s.Fires)
		}
	}
	return b.lostAt(d, factor)
}

// oneAnswer is a case in which only one fact is known.
func (b *Base) oneAnswer(d diag.Diagnostic, slot int) Finding {
	x := fact.Num(0)
	switch f := b.Catalogue.At(slot); f.Kind {
	case fact.YesNo:
		x = fact.Bool(true)
	case fact.Number:
		x = fact.Num(f.Low)
	}
	return b.showing(d, Example{b.pair(slot, x)})
}

// lostAt gives a finding about a factor the case in which it would be looked
// for: the pattern is lost where the factor tends to be.
func (b *Base) lostAt(d diag.Diagnostic, factor string) Finding {
	if slot, ok := b.Catalogue.Slot("ladder.lost"); ok {
		if f, ok := b.Factor(factor); ok && len(f.BreaksAt) > 0 {
			if x, err := b.Catalogue.At(slot).Parse(f.BreaksAt[0].ID); err == nil {
				return b.showing(d, Example{b.pair(slot, x)})
			}
		}
	}
	return Finding{Diagnostic: d}
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
