package engine

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/compose"
	"rungwise/engine/fact"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// effortWeights is the name of the table of what a throw at each effort counts.
const effortWeights = "effort_weights"

func (w *explainer) drill(d *rule.Drill) {
	w.entry("drill", d.Entry)
	var titles []string
	for _, id := range d.Factors {
		titles = append(titles, w.title(id))
	}
	w.out.Says = fmt.Sprintf("%s works on %s, step %d, at %.0f %% effort", d.Title, strings.Join(titles, " and "), d.Step, d.Effort)
	w.line("%s", d.How)
	w.line("cue: %s", d.Cue)
	w.line("it is learned when: %s", d.Exit)
	if t, ok := w.e.base.Throw(d.PutBack); ok {
		w.line("put back into: %s", t.Title)
	}
	if d.MinAge > 0 {
		w.line("from %d years", d.MinAge)
	}
	if d.NotWith != "" {
		w.line("not with: %s", d.NotWith)
	}
	w.planned(d.ID)
}

func (w *explainer) throw(t *rule.Throw) {
	w.entry("throw", t.Entry)
	w.out.Says = fmt.Sprintf("8 of 10 healthy carry-overs throw it at %.1f to %.1f %% of a full-effort running throw", 100*t.Share.Low, 100*t.Share.High)
	var parts []string
	for i, d := range w.e.base.Demands {
		parts = append(parts, strings.ReplaceAll(d.ID, "_", " ")+" "+strings.ReplaceAll(d.Values[t.Demands[i]], "_", " "))
	}
	w.line("asks for: %s", strings.Join(parts, ", "))
	if t.HighEffort {
		w.line("counts as a pitch")
	}
	w.planned(t.ID)
}

// planned lists the lines of the case's plan that come from an entry.
func (w *explainer) planned(id string) {
	if compose.Silent(w.f.Triage) {
		return
	}
	p := w.plan()
	if p == nil {
		return
	}
	add := func(format string, args ...any) { w.out.Planned = append(w.out.Planned, fmt.Sprintf(format, args...)) }
	for _, l := range p.Limits {
		if l.ID == id {
			add("%s: the plan comes to %g %s; %s %g", l.Title, l.Planned, l.Unit, bounds(id), l.Cap)
		}
	}
	for _, s := range p.Sessions {
		for _, b := range s.Blocks {
			if b.Rule == id || b.Drill == id || b.Throw == id {
				add("%s: %s", s.Date, block(b))
			}
		}
		if s.BoundBy == id {
			add("%s: no more than this, since %s", s.Date, s.BoundWords)
		}
	}
}

// bounds says which way a limit binds.
func bounds(id string) string {
	if way, ok := workload.Tightening(id); id == workload.RestDays || ok && way == workload.Up {
		return "asked are at least"
	}
	return "allowed are at most"
}

// block tells one part of a session in a line.
func block(b report.Block) string {
	count := "moves without a ball"
	switch {
	case b.Sets != "" && b.Throws > 0:
		count = strings.ReplaceAll(b.Sets, "x", " x ") + " throws"
	case b.Throws > 0:
		count = fmt.Sprintf("%d throws", b.Throws)
	}
	return fmt.Sprintf("%s, %s at %d %%", b.Title, count, b.Effort)
}

func (w *explainer) limit(l *rule.Number) {
	w.entry("limit", l.Entry)
	w.out.Says = fmt.Sprintf("%s is %g %s", l.ID, l.Value, l.Unit)
	w.hard(l.Hard, l.Tighten)
	w.reviewed(l.Grade, l.Reviewed)
	if slot, ok := w.e.base.Catalogue.Slot("limit." + l.ID); ok {
		w.readers(slot)
	}
	w.planned(l.ID)
}

func (w *explainer) limitByAge(l *rule.AgeNumber) {
	w.entry("limit", l.Entry)
	w.out.Says = fmt.Sprintf("%s is %g to 14 years, %g from 15 to 18, %g from 19 (%s)", l.ID, l.To14, l.To18, l.Adult, l.Unit)
	switch age, known := w.age(); {
	case known && age <= 14:
		w.line("at %d years: %g", age, l.To14)
	case known && age <= 18:
		w.line("at %d years: %g", age, l.To18)
	case known:
		w.line("at %d years: %g", age, l.Adult)
	default:
		w.line("the age is not known, so the strictest counts")
	}
	w.hard(true, l.Tighten)
	w.reviewed(l.Grade, l.Reviewed)
	w.planned(l.ID)
}

func (w *explainer) age() (int, bool) {
	slot, ok := w.e.base.Catalogue.Slot("athlete.age")
	if !ok || !w.f.Facts.Vector[slot].Known {
		return 0, false
	}
	return int(w.f.Facts.Vector[slot].N), true
}

func (w *explainer) hard(hard bool, tighten string) {
	if hard {
		way := map[string]string{"down": "lower", "up": "raise"}[tighten]
		w.line("a hard limit: house rules may only %s it", way)
	}
}

func (w *explainer) reviewed(grade, day string) {
	if grade != "" && day != "" {
		w.line("%s, reviewed %s", grade, day)
	}
}

// table explains the limits that stand in tables.
func (w *explainer) table(name string) bool {
	l := w.e.base.Workload
	age, known := w.age()
	row, err := l.For(age, known)
	switch name {
	case workload.DailyPitches:
		w.tabled("most pitches a day", rule.PitchRows, l.Source)
		for _, r := range l.Table {
			w.line("%d to %d years: %d", r.From, r.To, r.Daily)
		}
		w.bound(fmt.Sprintf("at most %d pitches a day", row.Table.Daily), err)
	case workload.RestDays:
		w.tabled("days of rest after a day with pitches", rule.PitchRows, l.Source)
		for _, r := range l.Table {
			w.line("%d to %d years: %s", r.From, r.To, restWords(r))
		}
		w.bound(restWords(row.Table), err)
	case workload.Innings:
		w.tabled("most innings in twelve months", rule.InningsRows, "")
		for _, r := range l.Innings {
			w.line("%d to %d years: %g", r.From, r.To, r.Most)
		}
		w.bound(inningsWords(row.MostInnings), err)
	case effortWeights:
		w.out.Kind, w.out.Title, w.out.Source = "limit", "what a throw counts, in full-effort throws", "house default"
		w.bound(fmt.Sprintf("up to %g %% effort %g, to %g %% %g, above %g, in a game %g", l.Weights.LowTo, l.Weights.Low,
			l.Weights.ModerateTo, l.Weights.Moderate, l.Weights.High, l.Weights.Game), nil)
	default:
		return false
	}
	w.planned(name)
	return true
}

// tabled fills what a table's rows have in common: where they stand, what the
// house changed, and the source, which stands on the rows where the table has
// none.
func (w *explainer) tabled(title, concern, source string) {
	w.out.Kind, w.out.Title = "limit", title
	for _, e := range w.e.base.Effective() {
		if e.Concern != concern {
			continue
		}
		if w.out.Where == "" {
			w.out.Where = fmt.Sprintf("%s:%d", e.Origin.Path, e.Origin.Line)
		}
		for _, f := range e.Fields {
			if f.Key == "source" && source == "" {
				source = f.Text
			}
		}
		w.house(e.Changes)
	}
	w.out.Source = w.e.base.Cite(source)
	w.line("a hard limit: house rules may only make it stricter")
}

// bound says what a table comes to for this athlete.
func (w *explainer) bound(words string, tooYoung error) {
	age, known := w.age()
	switch {
	case tooYoung != nil:
		w.out.Says = "no plan is made at this age"
	case known:
		w.out.Says = fmt.Sprintf("at %d years: %s", age, words)
	default:
		w.out.Says = "the age is not known, so the youngest row counts: " + words
	}
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

// fact tells the value of a fact and who reads it.
func (w *explainer) fact(f fact.Fact) {
	slot, _ := w.e.base.Catalogue.Slot(f.Name)
	w.out.Kind, w.out.Title = "fact", f.About
	w.out.Says = fmt.Sprintf("%s is %s for this case", f.Name, f.Format(w.f.Facts.Vector[slot]))
	if e := w.e.model.ErrorOf(w.at, slot); e > 0 {
		w.line("its error is about %s", amount(e, f.Unit))
	}
	if f.Kind != fact.Number {
		w.line("can be: %s", strings.Join(f.AnswerIDs(), ", "))
	}
	if lambda, measured := w.at.Lambda[slot]; measured {
		w.line("measured: its readings are %.2g times as likely if the two differ as if they do not", lambda)
	}
	w.readers(slot)
}

// readers lists the rules that read a fact or a limit.
func (w *explainer) readers(slot int) {
	if compose.Silent(w.f.Triage) {
		return
	}
	var readers []string
	for _, r := range w.e.base.Conditions() {
		if slices.Contains(r.When.Reads(), slot) || reads(r, w.e.base.Catalogue.At(slot)) {
			readers = append(readers, r.ID)
		}
	}
	if len(readers) > 0 {
		w.line("read by: %s", strings.Join(slices.Compact(readers), ", "))
	}
}

// reads reports whether a rule's text names a limit: limits are numbers to the
// condition and no facts that it reads.
func reads(r rule.Rule, f fact.Fact) bool {
	return f.Constant && slices.Contains(strings.FieldsFunc(r.When.Text(), func(c rune) bool {
		return !(c == '.' || c == '_' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
	}), f.Name)
}
