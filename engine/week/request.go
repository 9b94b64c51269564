package week

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/progress"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// request gathers what the decision is made from. Health is left out of it:
// the safety screen has decided before.
func (m *maker) request() (progress.Request, error) {
	r, err := m.Facts.Progress(m.Case, m.Base)
	r.Ladder, r.Sessions = m.rungs(), append(r.Sessions, m.logged()...)
	return r, err
}

// logged is the work of the log's sessions; their throws of the reference drill
// are among the facts.
func (m *maker) logged() []progress.Session {
	var out []progress.Session
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		s := progress.Session{On: workload.DateOf(e.Day()), Rung: e.Rung, Marks: e.Values(), Speeds: e.MPH(e.Speeds), Changed: e.Changed}
		if e.Health != nil && e.Health.Sore != "none" {
			s.Sore = e.Health.Sore
		}
		out = append(out, s)
	}
	return out
}

// rungs is the ladder that was thrown, with what was logged between its rungs
// put where the catalogue has it; where none was thrown, the whole throws of the
// catalogue from the reference on.
func (m *maker) rungs() []progress.Rung {
	var throws []*rule.Throw
	for i := range m.Facts.Ladder.Rungs {
		throws = append(throws, &m.Facts.Ladder.Rungs[i].Throw)
	}
	if len(throws) == 0 {
		throws = m.catalogue()
	}
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		t, ok := m.Base.Throw(e.Rung)
		if ok && !slices.ContainsFunc(throws, func(x *rule.Throw) bool { return x.ID == t.ID }) {
			throws = slices.Insert(throws, m.place(throws, t), t)
		}
	}
	reference := 1.0
	if t, ok := m.Base.Throw(m.Case.Reference.Throw); ok {
		reference = m.share(t)
	}
	out := make([]progress.Rung, len(throws))
	for i, t := range throws {
		out[i] = progress.Rung{ID: t.ID, Share: m.share(t) / reference}
	}
	return out
}

// catalogue is the throws of the whole motion, the reference first.
func (m *maker) catalogue() []*rule.Throw {
	position := slices.IndexFunc(m.Base.Demands, func(d rule.Demand) bool { return d.ID == "position" })
	var out []*rule.Throw
	for i := range m.Base.Throws {
		t := &m.Base.Throws[i]
		if t.ID == m.Case.Reference.Throw {
			out = []*rule.Throw{t}
		} else if position < 0 || t.Demands[position] == 0 {
			out = append(out, t)
		}
	}
	return out
}

// place is where a throw belongs among others: before the first that stands
// after it in the catalogue, never before the reference.
func (m *maker) place(throws []*rule.Throw, t *rule.Throw) int {
	at := func(id string) int {
		return slices.IndexFunc(m.Base.Throws, func(x rule.Throw) bool { return x.ID == id })
	}
	for i := 1; i < len(throws); i++ {
		if at(throws[i].ID) > at(t.ID) {
			return i
		}
	}
	return len(throws)
}

// share is the middle of what healthy carry-overs keep at a throw.
func (m *maker) share(t *rule.Throw) float64 {
	s := t.ShareFor(m.years())
	return (s.Low + s.High) / 2
}

// numbers tells what the decision rests on.
func (m *maker) numbers(s progress.Settings, r progress.Request, rep progress.Report) {
	add := func(what string, v float64, format string, args ...any) {
		m.w.Numbers = append(m.w.Numbers, report.WeekNumber{What: what, Value: v, Words: fmt.Sprintf(format, args...)})
	}
	if p := rep.Marks; p.Marks > 0 {
		add("marks", p.Rate(), "the pattern held in %s of %d throws over %s; the chance is %s that it holds in more than %.0f %% of all such throws, and moving on takes %s",
			number(p.Held), p.Marks, count(p.Sessions, "session"), percent(p.Promote), 100*s.PromoteRate, percent(s.PromoteChance))
		wall := s.Wall(s.Window)
		add("wall", float64(wall.Promote), "one moves on with %d held of the last %d throws, on %d days or more, and steps back with %d or fewer",
			wall.Promote, wall.Of, s.LeastSessions, wall.Back)
	}
	if rep.Speed.Known() {
		add("speed", rep.Speed.Percent, "the speed is %.1f %% of what this throw leaves of the same day's reference; moving on takes %.0f %%, under %.0f %% is a step back",
			rep.Speed.Percent, 100-s.PromoteSpeed, 100-s.BackSpeed)
	}
	if f := rep.Floor; f.Known {
		add("floor", f.Speed, "the reference drill had %.1f mph in its newest session, %.1f %% of the mean of its best; the floor is %.1f mph, and %d of the last %d sessions lie under it",
			f.Last, f.ShareOfBest, f.Speed, f.Under, f.Of)
	}
	if g := rep.Gain; g.Known {
		add("gain", g.Percent, "the reference drill changed by %+.1f %% over %.0f weeks: %s", g.Percent, g.Weeks, g.Words)
	}
}

// percent tells a chance to a whole number and never pretends to certainty.
func percent(p float64) string {
	switch {
	case p > .99:
		return "over 99 %"
	case p < .01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func number(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }
