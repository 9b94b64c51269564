package compose

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// EffortWeights is the name of the table of what a throw at each effort counts.
const EffortWeights = "effort_weights"

// The entries of rules: what they hold on is told by the walk.

func (a *Asked) sign(s *rule.Sign) entry {
	x := entry{kind: "sign", Entry: s.Entry, ruled: true, when: s.When, reader: -1}
	x.line("points to %s; seen without any of them: %s", a.links(s.Seen), s.Otherwise)
	if s.Group != "" {
		x.line("of the signs of the group %s only the strongest one counts", words(s.Group))
	}
	return x
}

func (a *Asked) caution(c *rule.Caution) entry {
	x := entry{kind: "caution", Entry: c.Entry, ruled: true, when: c.When, reader: -1}
	x.line("%s", c.Text)
	return x
}

func (a *Asked) gateEntry(g *rule.Gate) entry {
	x := entry{kind: "gate", Entry: g.Entry, ruled: true, when: g.When, reader: -1}
	x.line("verdict: %s", words(g.Verdict))
	x.line("%s", g.Says)
	decided := a.Triage.Gate
	holds := g.Truth(a.Facts.Vector) == fact.Yes
	switch {
	case decided != nil && decided.ID == g.ID:
		x.line("this is the gate that decided")
	case decided != nil && holds:
		x.line("an earlier gate decided: %s", decided.ID)
	}
	for _, also := range g.Also {
		x.line("the house added: %s (%s)", also.Text(), also.Eval(a.Facts.Vector))
	}
	if g.Unless != nil {
		x.line("lets pass only where it is known that %s (%s)", g.Unless.Text(), g.Unless.Eval(a.Facts.Vector))
	}
	if len(g.Needs) > 0 {
		x.line("holds while any of these is not known: %s", strings.Join(g.Needs, ", "))
		x.says = map[bool]string{true: "holds for this case", false: "does not hold for this case"}[holds]
		x.more = func(w *report.Why) { w.Turn = []report.Turn{} }
	}
	return x
}

func (a *Asked) links(list []rule.Link) string {
	var parts []string
	for _, l := range list {
		parts = append(parts, fmt.Sprintf("%s (%s)", a.factorTitle(l.ID), words(l.Word)))
	}
	return strings.Join(parts, ", ")
}

func (a *Asked) factorTitle(id string) string {
	if f, ok := a.Base.Factor(id); ok {
		return f.Title
	}
	return id
}

// The entries of what a plan is made of.

func (a *Asked) drill(d *rule.Drill) entry {
	var titles []string
	for _, id := range d.Factors {
		titles = append(titles, a.factorTitle(id))
	}
	x := entry{kind: "drill", Entry: d.Entry, reader: -1, plan: true,
		says: fmt.Sprintf("%s works on %s, step %d, at %.0f %% effort", d.Title, strings.Join(titles, " and "), d.Step, d.Effort)}
	x.line("%s", d.How)
	x.line("cue: %s", d.Cue)
	x.line("it is learned when: %s", d.Exit)
	if t, ok := a.Base.Throw(d.PutBack); ok {
		x.line("put back into: %s", t.Title)
	}
	if d.MinAge > 0 {
		x.line("from %d years", d.MinAge)
	}
	if d.NotWith != "" {
		x.line("not with: %s", d.NotWith)
	}
	return x
}

func (a *Asked) throw(t *rule.Throw) entry {
	x := entry{kind: "throw", Entry: t.Entry, reader: -1, plan: true,
		says: fmt.Sprintf("8 of 10 healthy carry-overs throw it at %.1f to %.1f %% of a full-effort running throw", 100*t.Share.Low, 100*t.Share.High)}
	var parts []string
	for i, d := range a.Base.Demands {
		parts = append(parts, words(d.ID)+" "+words(d.Values[t.Demands[i]]))
	}
	x.line("asks for: %s", strings.Join(parts, ", "))
	if t.HighEffort {
		x.line("counts as a pitch")
	}
	return x
}

// wording finds a sentence of the plan.
func (a *Asked) wording(id string) (rule.Sentence, bool) {
	i := slices.IndexFunc(a.Base.Wording, func(s rule.Sentence) bool { return s.ID == id })
	if i < 0 {
		return rule.Sentence{}, false
	}
	return a.Base.Wording[i], true
}

func (a *Asked) sentence(s rule.Sentence) entry {
	s.Title = ""
	return entry{kind: "sentence", Entry: s.Entry, reader: -1, plan: true, says: fmt.Sprintf("a sentence of the plan: %q", tidy(s.Text))}
}

// The entries of limits.

// bounds says which way a limit binds.
func bounds(id string) string {
	if way, ok := workload.Tightening(id); id == workload.RestDays || ok && way == workload.Up {
		return "asked are at least"
	}
	return "allowed are at most"
}

func (a *Asked) limit(l *rule.Number) entry {
	x := entry{kind: "limit", Entry: l.Entry, reader: -1, plan: true, says: fmt.Sprintf("%s is %g %s", l.ID, l.Value, l.Unit)}
	if l.Hard {
		x.hard(l.Tighten)
	}
	x.reviewed(l.Grade, l.Reviewed)
	if slot, ok := a.Base.Catalogue.Slot("limit." + l.ID); ok {
		x.reader = slot
	}
	return x
}

func (a *Asked) limitByAge(l *rule.AgeNumber) entry {
	x := entry{kind: "limit", Entry: l.Entry, reader: -1, plan: true,
		says: fmt.Sprintf("%s is %g to 14 years, %g from 15 to 18, %g from 19 (%s)", l.ID, l.To14, l.To18, l.Adult, l.Unit)}
	if age, known := observe.Age(a.Facts, a.Base); known {
		x.line("at %d years: %g", age, workload.Limit{To14: l.To14, To18: l.To18, Adult: l.Adult}.At(age))
	} else {
		x.line("the age is not known, so the strictest counts")
	}
	x.hard(l.Tighten)
	x.reviewed(l.Grade, l.Reviewed)
	return x
}

func (x *entry) hard(tighten string) {
	x.line("a hard limit: house rules may only %s it", map[string]string{"down": "lower", "up": "raise"}[tighten])
}

func (x *entry) reviewed(grade, day string) {
	if grade != "" && day != "" {
		x.line("%s, reviewed %s", grade, day)
	}
}

// table explains the limits that stand in tables.
func (a *Asked) table(name string) (entry, bool) {
	l := a.Base.Workload
	row, err := l.For(observe.Age(a.Facts, a.Base))
	var x entry
	switch name {
	case workload.DailyPitches:
		x = a.tabled("most pitches a day", rule.PitchRows, l.Source)
		for _, r := range l.Table {
			x.line("%d to %d years: %d", r.From, r.To, r.Daily)
		}
		x.says = a.bound(fmt.Sprintf("at most %d pitches a day", row.Table.Daily), err)
	case workload.RestDays:
		x = a.tabled("days of rest after a day with pitches", rule.PitchRows, l.Source)
		for _, r := range l.Table {
			x.line("%d to %d years: %s", r.From, r.To, restWords(r))
		}
		x.says = a.bound(restWords(row.Table), err)
	case workload.Innings:
		x = a.tabled("most innings in twelve months", rule.InningsRows, "")
		for _, r := range l.Innings {
			x.line("%d to %d years: %g", r.From, r.To, r.Most)
		}
		x.says = a.bound(inningsWords(row.MostInnings), err)
	case EffortWeights:
		x.kind, x.reader, x.Entry = "limit", -1, rule.Entry{Title: "what a throw counts, in full-effort throws", Source: "house default"}
		x.says = a.bound(fmt.Sprintf("up to %g %% effort %g, to %g %% %g, above %g, in a game %g", l.Weights.LowTo, l.Weights.Low,
			l.Weights.ModerateTo, l.Weights.Moderate, l.Weights.High, l.Weights.Game), nil)
	default:
		return x, false
	}
	x.ID, x.plan = name, true
	return x, true
}

// tabled fills what a table's rows have in common: where they stand, what the
// house changed, and the source, which stands on the rows where the table has
// none.
func (a *Asked) tabled(title, concern, source string) entry {
	x := entry{kind: "limit", reader: -1, Entry: rule.Entry{Title: title, Source: source}}
	for _, e := range a.Base.Effective() {
		if e.Concern != concern {
			continue
		}
		if x.Origin.Path == "" {
			x.Origin = e.Origin
		}
		for _, f := range e.Fields {
			if f.Key == "source" && source == "" {
				x.Source = f.Text
			}
		}
		x.Changes = append(x.Changes, e.Changes...)
	}
	x.line("a hard limit: house rules may only make it stricter")
	return x
}

// bound says what a table comes to for this athlete.
func (a *Asked) bound(words string, tooYoung error) string {
	age, known := observe.Age(a.Facts, a.Base)
	switch {
	case tooYoung != nil:
		return "no plan is made at this age"
	case known:
		return fmt.Sprintf("at %d years: %s", age, words)
	}
	return "the age is not known, so the youngest row counts: " + words
}

func restWords(r workload.PitchRow) string {
	var parts []string
	from := 1
	for days, most := range r.Rest {
		parts = append(parts, fmt.Sprintf("%d to %d pitches %s", from, most, restDays(days)))
		from = most + 1
	}
	if from <= r.Daily {
		parts = append(parts, fmt.Sprintf("%d and more %s", from, restDays(len(r.Rest))))
	}
	return strings.Join(parts, ", ")
}

func restDays(n int) string {
	switch n {
	case 0:
		return "no rest day"
	case 1:
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func inningsWords(most float64) string {
	if most == 0 {
		return "no limit at this age"
	}
	return fmt.Sprintf("at most %g innings in twelve months", most)
}
