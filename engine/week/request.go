package week

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/cause"
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
	add := func(what string, v float64, pairs ...string) {
		m.w.Numbers = append(m.w.Numbers, report.WeekNumber{What: what, Value: v, Words: m.Say("decide_"+what, pairs...)})
	}
	if p := rep.Marks; p.Marks > 0 {
		add("marks", p.Rate(), "held", short(p.Held), "of", strconv.Itoa(p.Marks), "n", count(p.Sessions, "session"),
			"limit", number(100*s.PromoteRate, 0), "words", cause.InWords(p.Promote), "range", cause.InTenths(p.Promote),
			"chance", percent(p.Promote), "least", percent(s.PromoteChance))
		wall := s.Wall(s.Window)
		add("wall", float64(wall.Promote), "held", strconv.Itoa(wall.Promote), "of", strconv.Itoa(wall.Of),
			"n", strconv.Itoa(s.DayMarks), "least", strconv.Itoa(wall.Back))
	}
	if rep.Speed.Known() {
		add("speed", rep.Speed.Percent, "n", number(rep.Speed.Percent, 1), "limit", number(100-s.PromoteSpeed, 0), "least", number(100-s.BackSpeed, 0))
	}
	if f := rep.Floor; f.Known {
		add("floor", f.Speed, "now", number(f.Last, 1), "n", number(f.ShareOfBest, 1), "floor", number(f.Speed, 1),
			"held", strconv.Itoa(f.Under), "of", strconv.Itoa(f.Of))
	}
	if g := rep.Gain; g.Known {
		add("gain", g.Percent, "n", fmt.Sprintf("%+.1f", g.Percent), "weeks", number(g.Weeks, 0), "says", g.Words)
	}
}

// percent tells a chance beside the one that is asked for, to a whole number,
// and never pretends to certainty.
func percent(p float64) string {
	switch {
	case p > .99:
		return "over 99 %"
	case p < .01:
		return "under 1 %"
	}
	return number(100*p, 0) + " %"
}

func number(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }

// short is a number with a decimal where it has one.
func short(v float64) string { return strings.TrimSuffix(number(v, 1), ".0") }

func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }
