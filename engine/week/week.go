// Package week writes the weekly decision about one athlete from the case and
// its log.
//
// Its invariant: where throwing is to stop, or nobody asked the safety
// questions, the record holds why and whom to see, and no rung, number or count.
// Everything else in it follows from what was logged by the day it is made for,
// so the same case, log, rules and day give the same record.
package week

import (
	"fmt"
	"strconv"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/observe"
	"rungwise/engine/progress"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// NotAsked is the decision where the safety questions are open.
const NotAsked = "not_asked"

// maker writes one record.
type maker struct {
	compose.Findings
	w *report.Week
}

// years is the athlete's age, and whether it was told.
func (m *maker) years() (int, bool) { return observe.Age(m.Facts, m.Base) }

// Make decides, at the end of the newest logged session. It fails only on a rule
// base that lacks a number the decision needs.
func Make(f compose.Findings) (*report.Week, error) {
	m := &maker{Findings: f, w: &report.Week{Rungwise: report.WeekVersion, Case: f.Case.Code, On: f.On.Format(time.DateOnly),
		Rules:   report.Rules{Version: f.Base.Version, Hash: f.Base.Hash},
		Reasons: []report.WeekReason{}, Numbers: []report.WeekNumber{}, Notes: []string{}, Trials: []report.WeekTrial{},
		Relook: []report.Relook{}, Ladders: []report.WeekChange{}}}
	if f.Base.House != "" {
		house := f.Base.House
		m.w.Rules.House = &house
	}
	if m.silent() {
		return m.w, nil
	}
	request, err := m.request()
	if err != nil {
		return nil, err
	}
	s := request.Settings
	rep := progress.Decide(request)
	if rep.Decision == progress.Stop { // a clinician has looked at it, and nothing was thrown since
		rep = progress.Report{Decision: progress.Hold}
	}
	m.decision(rep)
	m.numbers(s, request, rep)
	m.months(s)
	m.ages()
	m.ladders()
	m.load()
	m.notes(rep)
	return m.w, nil
}

// silent fills the record where nothing may be said about throwing.
func (m *maker) silent() bool {
	if !compose.Silent(m.Triage) {
		return false
	}
	m.w.Decision = string(progress.Stop)
	g := m.Triage.Gate
	m.w.Says, m.w.Do = tidy(g.Says), tidy(g.Do)
	for _, why := range compose.Why(m.Findings) {
		m.w.Reasons = append(m.w.Reasons, report.WeekReason{ID: g.ID, Words: why})
	}
	if g.Verdict != rule.Refer {
		m.w.Decision = NotAsked
	}
	return true
}

// decision puts the decision into words.
func (m *maker) decision(rep progress.Report) {
	w := m.w
	for _, r := range rep.Reasons {
		w.Reasons = append(w.Reasons, report.WeekReason{ID: r.ID, Words: r.Words})
	}
	if g := m.Triage.Gate; g != nil && g.Verdict == rule.Restore && rep.Decision != progress.Restore {
		rep.Decision, rep.To = progress.Restore, m.Case.Reference.Throw
		w.Reasons = append(w.Reasons, report.WeekReason{ID: g.ID, Words: tidy(g.Says)})
	}
	w.Decision, w.Rung, w.To = string(rep.Decision), rep.Rung, rep.To
	w.RungName, w.ToName = m.throw(rep.Rung), m.throw(rep.To)
	id, throw := "decide_"+string(rep.Decision), w.ToName
	switch {
	case rep.Decision == progress.Promote && w.To == "":
		id = "decide_done"
	case rep.Decision == progress.Hold && w.Rung == "":
		id = "decide_nothing"
	case rep.Decision == progress.Hold:
		throw = w.RungName
	case rep.Decision == progress.Restore:
		throw = m.throw(m.Case.Reference.Throw)
	}
	w.Says, w.Do = m.Say(id, "throw", throw), m.Say(id+"_do")
}

func (m *maker) throw(id string) string {
	if t, ok := m.Base.Throw(id); ok {
		return t.Title
	}
	return id
}

// notes tells what did not decide but should be known.
func (m *maker) notes(rep progress.Report) {
	w, log := m.w, m.Case.Log
	note := func(id string, pairs ...string) {
		if text := m.Say("decide_note_"+id, pairs...); text != "" {
			w.Notes = append(w.Notes, text)
		}
	}
	w.Notes = append(w.Notes, rep.Notes...)
	if g := m.Triage.Gate; g != nil && g.Verdict != rule.GoOn && g.Verdict != rule.Restore {
		note("gate", "says", g.Says)
	}
	if rep.Decision == progress.Promote && rep.Rung != "" && rep.Rung == m.stuckRung() {
		note("passed")
	}
	if log == nil {
		return
	}
	unasked, assumed := 0, 0
	for _, e := range log.Entries {
		if e.What == casefile.LogSession && len(e.Health.Open()) > 0 {
			unasked++
		}
		if e.What == casefile.LogOther && e.Kind == "catching" && e.Throws == 0 {
			assumed++
		}
	}
	if unasked > 0 {
		note("unasked", "n", count(unasked, "session day"))
	}
	if assumed > 0 {
		note("catching", "n", count(assumed, "day"))
	}
	for _, n := range log.Bad {
		note("bad_line", "n", strconv.Itoa(n))
	}
	for _, e := range log.Withdrawn {
		note("withdrawn", "n", strconv.Itoa(e.ID), "words", e.Health.Complaint(), "date", e.On)
	}
}

// stuckRung is the throw at which the newest ladder breaks, "" = none.
func (m *maker) stuckRung() string {
	l := m.Facts.Ladder
	if v := l.Verdict; l.Thrown && v.Rung > 0 && v.Rung < len(l.Rungs) {
		return l.Rungs[v.Rung].Throw.ID
	}
	return ""
}

// load sets the last seven days, today included, beside the four weeks before.
func (m *maker) load() {
	if _, err := m.Base.Workload.For(m.years()); err != nil {
		m.w.Load.Says = m.Say("decide_load_unknown")
		return
	}
	record, s := m.Facts.Load.Record, m.Facts.Load.Recent
	l := report.WeekLoad{Throws: s.WeekThrows, High: s.WeekHigh, Load: tenth(s.Week), Base: tenth(s.Base), BaseThrows: tenth(s.BaseThrows),
		Cap: tenth(s.Cap)}
	l.Over = l.Load > l.Cap
	id := "decide_load"
	if l.Over {
		id = "decide_load_over"
	}
	l.Says = m.Say(id, "n", count(l.Throws, "throw"), "planned", strconv.Itoa(l.High), "load", number(l.Load, 0), "cap", number(l.Cap, 0), "base", number(l.Base, 0))
	m.w.Load = l
	if len(record.Weeks) > 0 && record.Slack > 0 {
		m.w.Notes = append(m.w.Notes, m.Say("decide_note_dates"))
	}
}

func tenth(v float64) float64 { return float64(int64(v*10+.5)) / 10 }

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
