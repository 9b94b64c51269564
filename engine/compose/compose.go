// Package compose puts what was found out about a case into the record.
//
// Its invariant: the record says no more than was found. Where the gate refers,
// or where nobody asked the safety questions, the record holds no throw, drill
// or count: not in the ladder, not in the comparison, not in the plan.
package compose

import (
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/safety"
	"rungwise/engine/triage"
)

// Findings is everything that one run found out.
type Findings struct {
	Case   *casefile.Case
	Base   *rule.Base
	Facts  *observe.Facts
	Triage *triage.Result
	On     time.Time
	Phase  plan.Phase // the part of the year that the log last named, "" = none
}

// Words says the sentences of a rule base.
func Words(b *rule.Base) report.Words {
	return func(id string) string {
		text, _ := b.Words(id)
		return text
	}
}

// Say returns a sentence of the rule base with its places filled, "" where a
// house took it out or a place has no value.
func (f Findings) Say(id string, pairs ...string) string { return Words(f.Base).Say(id, pairs...) }

// Report writes the record, without a plan.
func Report(f Findings) *report.Report {
	c := composer{f}
	r := &report.Report{
		Rungwise: report.Version, Case: f.Case.Code, On: f.On.Format(time.DateOnly),
		Rules:     report.Rules{Version: f.Base.Version, Hash: f.Base.Hash},
		CarryOver: report.CarryOver{Unit: "mph", Words: "not_known"},
		Gate:      c.gate(),
		Factors:   []report.Factor{}, Shaky: []report.Shaky{}, NextLook: []report.NextLook{},
		Assumed: []string{}, Disagrees: []report.Dissent{}, Sources: []report.Source{},
	}
	if f.Base.House != "" {
		house := f.Base.House
		r.Rules.House = &house
	}
	r.Cautions = c.cautions()
	r.Athlete = report.Athlete{Code: f.Case.Code}
	r.Ladder = report.Ladder{Verdict: "not_thrown", Rungs: []report.Rung{}, Advice: []string{}, Flags: []string{}}
	r.Comparison.Rows = []report.Row{}
	if !Silent(f.Triage) {
		c.open(r)
	}
	r.Sources = c.sources(r)
	return r
}

// Silent reports whether the record must hold no throwing advice of any kind:
// the gate refers, or the safety questions are not answered.
func Silent(t *triage.Result) bool {
	return report.Gate{Verdict: t.Gate.Decides(), Screen: t.OnScreen}.Silent()
}

// composer writes one record.
type composer struct{ Findings }

// open fills what may be said to an athlete who may throw.
func (c composer) open(r *report.Report) {
	r.Athlete = c.athlete()
	carry := c.Facts.Carry
	r.CarryOver = report.CarryOver{DrillGain: carry.Drill, MoundGain: carry.Mound, Weeks: carry.Weeks, Unit: "mph", Words: carry.Words}
	r.Ladder = c.ladder()
	r.Comparison = c.comparison()
	r.Factors = c.factors()
	r.Confidence = c.confidence()
	r.Shaky = c.shaky()
	r.NextLook = c.next()
	for _, d := range c.Case.Disagrees {
		r.Disagrees = append(r.Disagrees, report.Dissent{Factor: d.Factor, By: d.By, Reason: d.Reason, On: day(d.On)})
	}
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

func (c composer) athlete() report.Athlete {
	a := report.Athlete{Code: c.Case.Code, Reference: c.Case.Reference.Throw, Compared: c.Facts.Compared}
	a.RefTitle, a.CompTitle = c.throwTitle(a.Reference), c.throwTitle(a.Compared)
	a.Throws, a.Level = c.value("athlete.throws"), c.value("athlete.level")
	if slot, ok := c.Base.Catalogue.Slot("athlete.age"); ok && c.Facts.Vector[slot].Known {
		a.Age = int(c.Facts.Vector[slot].N)
	}
	return a
}

// value is the answer of a choice as it is written, "" where it is not known.
func (c composer) value(name string) string {
	slot, ok := c.Base.Catalogue.Slot(name)
	if !ok || !c.Facts.Vector[slot].Known {
		return ""
	}
	return c.Base.Catalogue.At(slot).Format(c.Facts.Vector[slot])
}

func (c composer) throwTitle(id string) string {
	if t, ok := c.Base.Throw(id); ok {
		return t.Title
	}
	return strings.ReplaceAll(id, "_", " ")
}

func (c composer) gate() report.Gate {
	g := c.Triage.Gate
	if g == nil {
		return report.Gate{ID: rule.GoOn, Verdict: rule.GoOn, Why: []string{}, Missing: []string{}}
	}
	out := report.Gate{ID: g.ID, Verdict: g.Verdict, Low: g.LowConfidence, Says: tidy(g.Says), Do: tidy(g.Do), Why: Why(c.Findings), Missing: []string{}, Source: g.Source, Screen: c.Triage.OnScreen}
	for _, name := range c.Triage.Missing {
		out.Missing = append(out.Missing, c.factTitle(name))
	}
	return out
}

// Why says what the deciding gate rests on: its own reason, and where it is the
// safety screen's, what in the record it comes from.
func Why(f Findings) []string {
	out := []string{f.Triage.Gate.Why}
	if !Silent(f.Triage) {
		return out
	}
	s := f.Facts.Safety
	for _, r := range slices.Concat(s.Stops, s.Unread) {
		out = append(out, reported(f.Base, r))
	}
	if slices.ContainsFunc(s.Aged, func(id string) bool { return slices.Contains(f.Triage.Missing, "screen."+id) }) {
		out = append(out, f.Say("answers_aged"))
	}
	return out
}

// reported tells a report of the record in a line: what was complained of or not
// understood, where it stands, and of which day it is.
func reported(b *rule.Base, r safety.Report) string {
	words := r.Unread
	if words == "" {
		var parts []string
		for _, q := range b.Checklist.Questions {
			answer := r.Answers[q.ID]
			if q.Group != "screen" || answer == "" || len(q.Fine) == 0 || slices.Contains(q.Fine, answer) {
				continue
			}
			part := q.Title
			if i := slices.IndexFunc(q.Answers, func(a fact.Answer) bool { return a.ID == answer }); i >= 0 && q.Answers[i].Label != part {
				part += ": " + q.Answers[i].Label
			}
			parts = append(parts, part)
		}
		words = strings.Join(parts, ", ") + " (" + r.From + ")"
	}
	if !r.On.IsZero() {
		words += ", told on " + r.On.Format("2 January 2006")
	}
	return words
}

// readsScreen reports whether a condition reads a health answer.
func (c composer) readsScreen(k *cond.Condition) bool {
	return k != nil && slices.ContainsFunc(k.Reads(), func(slot int) bool {
		return strings.HasPrefix(c.Base.Catalogue.At(slot).Name, "screen.")
	})
}

// tidy joins text that was folded over lines.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

// factTitle names a fact for people.
func (c composer) factTitle(name string) string {
	if q, ok := c.Base.Checklist.Question(name); ok {
		return q.Title
	}
	if f, ok := c.Base.Catalogue.Lookup(name); ok {
		if f.Column == fact.Stuck && c.Facts.Compared != "" {
			return c.checkpointTitle(f.Checkpoint) + ", " + c.throwTitle(c.Facts.Compared)
		}
		if f.Column == fact.Best && c.Case.Reference.Throw != "" {
			return c.checkpointTitle(f.Checkpoint) + ", " + c.throwTitle(c.Case.Reference.Throw)
		}
		return f.About
	}
	return strings.NewReplacer("_", " ", ".", " ").Replace(name)
}

func (c composer) checkpointTitle(id string) string {
	if p, ok := c.Base.Checklist.Checkpoint(id); ok {
		return p.Title
	}
	return strings.ReplaceAll(id, "_", " ")
}

// cautions are the ones that hold; where nothing may be said about throwing,
// only the stop signs that follow from the screen: the others speak of throws.
func (c composer) cautions() []report.Caution {
	out := []report.Caution{}
	silent := Silent(c.Triage)
	for _, k := range c.Triage.Cautions {
		private := k.Reads(c.Base.Catalogue, "screen.")
		if silent && (k.Level != rule.Stop || !private) {
			continue
		}
		out = append(out, report.Caution{ID: k.ID, Level: k.Level, Text: tidy(k.Text), Source: k.Source, Private: private})
	}
	return out
}

// comparison is the checkpoints in the order of the throw.
func (c composer) comparison() report.Comparison {
	out := report.Comparison{Rows: []report.Row{}}
	for _, row := range c.Facts.Rows {
		p := row.Checkpoint
		if p.Phase == checklist.Task {
			continue
		}
		out.Rows = append(out.Rows, report.Row{Checkpoint: p.ID, Title: p.Title, Phase: p.Phase, Moment: p.Moment, View: p.View,
			Best: words(row.Best.Text(p)), Stuck: words(row.Stuck.Text(p)), Verdict: row.Verdict, Note: row.Note, Chance: row.Chance,
			BestFrom: strings.Join(row.Best.Evidence, "; "), StuckFrom: strings.Join(row.Stuck.Evidence, "; ")})
	}
	return out
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// words writes an answer's id for people.
func words(id string) string { return strings.ReplaceAll(id, "_", " ") }

// sources lists every source the record names, once, in the order of the base.
func (c composer) sources(r *report.Report) []report.Source {
	used := map[string]bool{r.Gate.Source: true}
	for _, k := range r.Cautions {
		used[k.Source] = true
	}
	for _, f := range r.Factors {
		for _, reason := range f.Reasons {
			used[reason.Source] = true
		}
	}
	return Cited(c.Base, used)
}

// Cited lists the sources of a base that are used, in the order of the base.
func Cited(b *rule.Base, used map[string]bool) []report.Source {
	out := []report.Source{}
	for _, s := range b.Sources {
		if used[s.ID] {
			out = append(out, report.Source{ID: s.ID, Cite: s.Cite, Provenance: s.Provenance})
		}
	}
	return out
}

// PlanSources adds the sources of a plan's drills and limits to the record's.
func PlanSources(b *rule.Base, r *report.Report) {
	if r.Plan == nil {
		return
	}
	used := map[string]bool{}
	for _, s := range r.Sources {
		used[s.ID] = true
	}
	for _, d := range r.Plan.Drills {
		used[d.Source] = true
	}
	for _, l := range r.Plan.Limits {
		used[l.Source] = true
	}
	r.Sources = Cited(b, used)
}
