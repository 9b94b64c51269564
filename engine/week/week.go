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
	switch rep.Decision {
	case progress.Promote:
		w.Says, w.Do = "Move on to this throw: "+w.ToName+".", "Begin there next session, with a few throws of the rung before it first."
		if w.To == "" {
			w.Says, w.Do = "The ladder is done.", "Keep the drill alive with its keep-up throws, and close the problem in the log."
		}
	case progress.StepBack:
		w.Says, w.Do = "Go one step back, to this throw: "+w.ToName+".", "That is no punishment: it is where it is learned fastest. The count starts again."
	case progress.Restore:
		w.Says = "Bring the " + m.throw(m.Case.Reference.Throw) + " back first."
		w.Do = "Ladder work waits until it is above its floor again in two sessions running."
	case progress.Retriage:
		w.Says, w.Do = "Look at the whole throw again.", "Throw the ladder and film both throws anew before the next change: the diagnosis is in doubt."
	default:
		w.Says, w.Do = "Stay at this throw: "+w.RungName+".", "Nothing changes this week. Staying is work, too."
		if w.Rung == "" {
			w.Says, w.Do = "There is nothing to decide yet.", "Log the sessions, with the throw and a mark for each."
		}
	}
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
	note := func(format string, args ...any) { w.Notes = append(w.Notes, fmt.Sprintf(format, args...)) }
	w.Notes = append(w.Notes, rep.Notes...)
	if g := m.Triage.Gate; g != nil && g.Verdict != rule.GoOn && g.Verdict != rule.Restore {
		note("the case as it stands: %s", tidy(g.Says))
	}
	if rep.Decision == progress.Promote && rep.Rung != "" && rep.Rung == m.stuckRung() {
		note("the throw at which it broke is passed: throw the ladder again, and close the problem in the log when it holds there too")
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
		note("on %s nobody asked about pain, numbness and soreness", count(unasked, "session day"))
	}
	if assumed > 0 {
		note("catching without a count was taken as many easy throws and some hard ones, on %s", count(assumed, "day"))
	}
	for _, n := range log.Bad {
		note("line %d of the log could not be read: its throws are not counted", n)
	}
	for _, e := range log.Withdrawn {
		if words := e.Health.Complaint(); words != "" {
			note("entry %d told of %s on %s and was corrected later", e.ID, words, e.On)
		}
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
		m.w.Load.Says = "no count is published for this age"
		return
	}
	record, s := m.Facts.Load.Record, m.Facts.Load.Recent
	l := report.WeekLoad{Throws: s.WeekThrows, High: s.WeekHigh, Load: tenth(s.Week), Base: tenth(s.Base), BaseThrows: tenth(s.BaseThrows),
		Cap: tenth(s.Cap)}
	l.Over = l.Load > l.Cap
	l.Says = fmt.Sprintf("%s in the last seven days, %d of them hard: a load of %.0f, where the most is %.0f and the four weeks before held %.0f a week",
		count(l.Throws, "throw"), l.High, l.Load, l.Cap, l.Base)
	if l.Over {
		l.Says += "; that is over the most, so the next days are lighter"
	}
	m.w.Load = l
	if len(record.Weeks) > 0 && record.Slack > 0 {
		m.w.Notes = append(m.w.Notes, "the case's weeks carry no date and count as the last ones: write `weeks_until` beside them")
	}
}

func tenth(v float64) float64 { return float64(int64(v*10+.5)) / 10 }

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
