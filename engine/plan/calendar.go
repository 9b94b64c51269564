package plan

import (
	"slices"
	"time"

	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// calendar settles the days: when the athlete trains, when the plan begins, and what was thrown before it.
func (m *maker) calendar() {
	training := m.Case.Training
	m.train = firstOf(m.Train, training.Days, []time.Weekday{time.Monday, time.Tuesday, time.Thursday, time.Saturday})
	m.mound = m.Mound
	if len(m.mound) == 0 {
		// A wish of the case or the house for a day that is no training day is left out; the schedule then chooses.
		m.mound = slices.DeleteFunc(firstOf(training.Mound, []time.Weekday{time.Tuesday, time.Saturday}), func(d time.Weekday) bool {
			return !slices.Contains(m.train, d)
		})
	}
	if len(m.mound) == 0 {
		m.mound = Request{Train: m.train}.mound()
	}
	today := workload.DateOf(m.On)
	m.start = today + 1
	if !m.Start.IsZero() {
		m.start = workload.DateOf(m.Start)
	} else {
		for range 7 * longestWeeks {
			if slices.Contains(m.train, m.start.Weekday()) && !slices.Contains(m.away(), m.start) {
				break
			}
			m.start++
		}
	}
	m.past()
}

func firstOf(lists ...[]time.Weekday) []time.Weekday {
	for _, l := range lists {
		if len(l) > 0 {
			return slices.Clone(l)
		}
	}
	return nil
}

// away are the days on which nothing can be planned: those the case takes off, and those gone by.
func (m *maker) away() []workload.Date {
	var out []workload.Date
	for _, t := range m.Case.Training.Off {
		out = append(out, workload.DateOf(t))
	}
	for d := m.start; d < workload.DateOf(m.On); d++ {
		out = append(out, d)
	}
	return out
}

// past fills the history: the case's record up to the start, and what was thrown on days of the plan itself.
func (m *maker) past() {
	r := m.Facts.Load.Record
	r.Until = m.start
	m.history, m.assumed = r.History(m.row)
	for _, d := range r.Days {
		if d.On >= m.start {
			m.history = append(m.history, d)
		}
	}
}

// request asks for days.
func (m *maker) request() Request {
	phase := m.Phase
	if phase == "" {
		phase = MoundPhase
		if m.Case.Load.Season == "in" {
			phase = InSeason
		}
	}
	return Request{Start: m.start, Weeks: m.Weeks, Train: m.train, Mound: m.mound, Away: m.away(), Phase: phase,
		Limits: m.row, Year: m.Facts.Load.Year, History: m.history, Games: m.Facts.Load.Games, Wish: m.wish(phase)}
}

// wish is the sizes of sessions that the written blocks fill to the last throw: what a session leaves out would lower
// the base of the weeks after it. House default.
func (m *maker) wish(phase Phase) Wish {
	w := WishFor(m.row, phase)
	w.High = min(w.High, m.row.MostHigh())
	w.Lighter = []Size{{w.Warm, w.Moderate}, {15, 10}, {12, 6}, {20, 0}, {12, 0}}
	if m.kind == carry {
		if len(m.focus) > 1 { // a second factor's drill wants a few easy throws of its own
			w.Warm, w.WarmShort = w.Warm+5, w.WarmShort+3
			w.Lighter[0].Low += 5
		}
		for _, t := range []*rule.Throw{m.reference, m.below, m.stuck} {
			if m.classOf(t) == workload.Moderate { // a throw of the mound work that is not hard comes out of these
				w.Moderate, w.ModerateShort = w.Moderate+5, w.ModerateShort+5
			}
		}
		return w
	}
	w.High = min(w.High, TrialHigh)
	w.Warm, w.WarmShort, w.Moderate, w.ModerateShort = 15, 12, 8, 6
	w.Lighter = []Size{{15, 8}, {12, 6}, {12, 0}, {8, 0}}
	if m.efforts.class(m.hard(m.reference)) != workload.High {
		w.High = 0 // a drill that is never thrown hard needs no room for hard throws
	}
	return w
}

// end is the last day of the plan.
func (m *maker) end() workload.Date { return m.start + workload.Date(7*m.Weeks) - 1 }

// retest is the first mound day after the plan on which hard throws are allowed again after its last ones, games kept
// clear.
func (m *maker) retest() workload.Date {
	d := m.end() + 1
	for range 4 * 7 {
		if slices.Contains(m.mound, d.Weekday()) && !slices.Contains(m.away(), d) && m.rested(d) {
			return d
		}
		d++
	}
	return m.end() + 1
}

func (m *maker) rested(on workload.Date) bool {
	for _, d := range append(slices.Clone(m.history), m.actual()...) {
		if p := d.Pitches(); p > 0 && d.On < on && int(on-d.On) <= m.row.Between(p) {
			return false
		}
	}
	for _, g := range m.Facts.Load.Games {
		if g.On == on || g.On > on && int(g.On-on) <= m.row.BeforeGame || g.On < on && int(on-g.On) <= m.row.Between(g.Pitches()) {
			return false
		}
	}
	return true
}
