package judge

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// athlete is a case and facts that stand over what it shows, and what the base
// sees of it and says to it, worked out once.
type athlete struct {
	*casefile.Case
	given rule.Example

	once   sync.Once
	own    ownView
	ownErr error
}

// ownView is what the base alone sees: no plan is made from it.
type ownView struct {
	facts *observe.Facts
	gate  *rule.Gate
}

func (j *Judge) own(a *athlete) (ownView, error) {
	a.once.Do(func() {
		if a.own.facts, a.ownErr = j.observe(j.base, a); a.ownErr == nil {
			a.own.gate = j.base.base.Deciding(a.own.facts.Vector)
		}
	})
	return a.own, a.ownErr
}

// outcome is what a rule base makes of an athlete.
type outcome struct {
	facts  *observe.Facts
	triage *triage.Result
	plan   *report.Plan
}

// observe reads the facts under a rule base.
func (j *Judge) observe(s side, a *athlete) (*observe.Facts, error) {
	facts, err := observe.Observe(a.Case, s.base, j.on)
	if err != nil {
		return nil, err
	}
	for _, p := range a.given {
		if slot, ok := s.base.Catalogue.Slot(p.Name); ok {
			facts.Vector[slot] = p.Value
			delete(facts.Lambda, slot)
			delete(facts.Unsure, slot)
		}
	}
	return facts, nil
}

// run triages an athlete under a rule base and makes a plan, where there is one.
func (j *Judge) run(s side, a *athlete) (outcome, error) {
	facts, err := j.observe(s, a)
	if err != nil {
		return outcome{}, err
	}
	o := outcome{facts: facts, triage: s.model.Brief(triage.Case{Vector: facts.Vector, Lambda: facts.Lambda, Unsure: facts.Unsure, Break: facts.Ladder.Break})}
	o.plan, _ = plan.Make(plan.Input{Base: s.base, Facts: facts, Triage: o.triage, Case: a.Case, On: j.on})
	return o, nil
}

// judge judges what a house makes of one athlete, and tells whether it made a
// plan.
func (j *Judge) judge(s side, a *athlete) (found []Finding, planned bool) {
	h, err := j.run(s, a)
	if err != nil {
		return nil, false
	}
	b, err := j.own(a)
	if err != nil {
		return nil, false
	}
	tell := func(on, id, format string, args ...any) {
		found = append(found, Finding{Athlete: a.Code, On: on, ID: id, Words: fmt.Sprintf(format, args...), of: a})
	}
	facts := j.ownFacts(s.base, h.facts)
	j.gates(a, h, b, facts, tell)
	if h.plan != nil {
		j.cautions(h, facts, tell)
		j.drills(s.base, h, tell)
		j.days(s.base, a, h, b.facts, tell)
	}
	return found, h.plan != nil
}

type teller func(on, id, format string, args ...any)

// ownFacts puts facts that were read under a house into the base's order, with
// the base's own numbers.
func (j *Judge) ownFacts(house *rule.Base, f *observe.Facts) fact.Vector {
	own := j.base.base.Catalogue.Vector()
	for slot := range own {
		c := j.base.base.Catalogue.At(slot)
		if at, ok := house.Catalogue.Slot(c.Name); ok && !c.Constant {
			own[slot] = f.Vector[at]
		}
	}
	return own
}

// gates: what the base refuses, for what the house sees or for what the base
// sees, the house refuses too, and a referral in the base's words.
func (j *Judge) gates(a *athlete, h outcome, b ownView, facts fact.Vector, tell teller) {
	wanted := []*rule.Gate{j.base.base.Deciding(facts)}
	if g := b.gate; g != nil && readable(a.Case, j.base.base) && (g.Verdict == rule.Refer || g.Verdict == rule.NotThisQuestion || g.Reads(j.base.base.Catalogue, "screen.")) {
		wanted = append(wanted, g)
	}
	got := h.triage.Gate
	for _, g := range wanted {
		switch {
		case g == nil && h.plan != nil:
			tell("", "no_gate", "no gate of the base goes on, and the house makes a plan")
		case g == nil || !g.Refuses():
		case h.plan != nil || got == nil || !got.Refuses():
			tell("", g.ID, "the base refuses a plan by `%s` (%s), the house does not", g.ID, spaced(g.Says))
		case g.Verdict == rule.Refer && got.Verdict != rule.Refer:
			tell("", g.ID, "the base refers by `%s`, the house does not", g.ID)
		case g.Verdict == rule.Refer && got.ID == g.ID && !(begins(got.Says, g.Says) && begins(got.Do, g.Do)):
			tell("", g.ID, "the words of the referral `%s` are gone: %s %s", g.ID, spaced(g.Says), spaced(g.Do))
		}
	}
	if _, err := j.base.base.Workload.For(age(j.base.base, facts)); err != nil && h.plan != nil {
		tell("", "youngest_age", "the base makes no plan at this age")
	}
}

func age(b *rule.Base, v fact.Vector) (int, bool) {
	slot, ok := b.Catalogue.Slot("athlete.age")
	if !ok || !v[slot].Known {
		return 0, false
	}
	return int(v[slot].N), true
}

// cautions: every stop and every limit that the base would say is said in the
// base's words.
func (j *Judge) cautions(h outcome, facts fact.Vector, tell teller) {
	for i := range j.base.base.Cautions {
		c := &j.base.base.Cautions[i]
		if c.Level == rule.Note || c.Truth(facts) != fact.Yes {
			continue
		}
		if !slices.ContainsFunc(h.triage.Cautions, func(x *rule.Caution) bool { return x.Level == c.Level && begins(x.Text, c.Text) }) {
			tell("", c.ID, "the caution `%s` is gone: %s", c.ID, spaced(c.Text))
		}
	}
}

// begins reports whether a text begins with another, spaces apart.
func begins(text, with string) bool { return strings.HasPrefix(spaced(text), spaced(with)) }

func spaced(s string) string { return strings.Join(strings.Fields(s), " ") }

// standing is what is looser whoever the athlete is.
func (j *Judge) standing(house *rule.Base) []Finding {
	return slices.Concat(j.numbers(house), j.sentences(house), j.definitions(house))
}

// definitions are the throws and drills of the base that count for less in the
// house.
func (j *Judge) definitions(house *rule.Base) []Finding {
	var out []Finding
	check := func(id string, looser bool, words string) {
		if looser {
			out = append(out, Finding{ID: id, Words: fmt.Sprintf("`%s` %s", id, words)})
		}
	}
	for _, t := range j.base.base.Throws {
		if h, ok := house.Throw(t.ID); ok {
			check(t.ID, t.HighEffort && !h.HighEffort, "is a hard throw in the base and not in the house")
			check(t.ID, h.MinAge < t.MinAge, fmt.Sprintf("is thrown from %d years on in the base", t.MinAge))
			check(t.ID, t.OnMound && !h.OnMound, "is off the mound in the base and not in the house")
		}
	}
	for _, d := range j.base.base.Drills {
		if h, ok := house.Drill(d.ID); ok {
			check(d.ID, d.Weighted && !h.Weighted, "has a heavier or lighter ball in the base and not in the house")
			check(d.ID, h.MinAge < d.MinAge, fmt.Sprintf("is for %d years and older in the base", d.MinAge))
			check(d.ID, d.Throws > 0 && h.Throws == 0, "throws in the base and counts no throw in the house")
			check(d.ID, h.Effort < d.Effort, fmt.Sprintf("asks %g %% in the base and %g %% in the house", d.Effort, h.Effort))
		}
	}
	return out
}

// sentences are the safety sentences that are not there for anybody.
func (j *Judge) sentences(house *rule.Base) []Finding {
	var out []Finding
	for _, s := range j.base.base.Wording {
		if text, _ := house.Words(s.ID); s.Safety && !begins(text, s.Text) {
			out = append(out, Finding{ID: s.ID, Words: fmt.Sprintf("the safety sentence `%s` is gone: %s", s.ID, spaced(s.Text))})
		}
	}
	return out
}

// numbers are the limits that stand looser in the house than in the base.
func (j *Judge) numbers(house *rule.Base) []Finding {
	var out []Finding
	check := func(id, tighten string, was, is float64) {
		if tighten == "down" && is > was || tighten == "up" && is < was {
			out = append(out, Finding{ID: id, Words: fmt.Sprintf("`%s` is %g in the base and %g in the house", id, was, is)})
		}
	}
	own := j.base.base
	for _, l := range own.Limits {
		if l.Free {
			continue
		}
		h, ok := house.Limit(l.ID)
		if !ok {
			out = append(out, Finding{ID: l.ID, Words: fmt.Sprintf("the limit `%s` is gone", l.ID)})
			continue
		}
		check(l.ID, l.Tighten, l.Value, h.Value)
	}
	for _, l := range own.ByAge {
		h, _ := house.LimitByAge(l.ID)
		if h == nil {
			h = &rule.AgeNumber{}
		}
		for i, was := range []float64{l.To14, l.To18, l.Adult} {
			check(l.ID, l.Tighten, was, []float64{h.To14, h.To18, h.Adult}[i])
		}
	}
	return out
}
