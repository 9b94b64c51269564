package week

import (
	"slices"
	"strconv"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/ladder"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// ages lists what was seen of factors downstream of the first one and has aged
// through work since.
func (m *maker) ages() {
	weeks := int(m.Base.Value("relook_weeks", 0))
	for _, r := range m.Triage.Factors {
		if r.Role != triage.Consequence {
			continue
		}
		for _, c := range m.checkpointsOf(r.Factor.ID) {
			m.age(c, r.Factor, weeks)
		}
	}
}

// checkpointsOf lists the checkpoints, in the order of the throw, that by
// themselves speak of a factor before any other.
func (m *maker) checkpointsOf(factor string) []string {
	var out []string
	for i := range m.Base.Signs {
		s := &m.Base.Signs[i]
		if id, alone := m.single(s); alone && strongest(s) == factor && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	order := func(id string) int {
		for i, p := range m.Base.Checklist.Checkpoints {
			if p.ID == id {
				return i
			}
		}
		return -1
	}
	slices.SortFunc(out, func(a, b string) int { return order(a) - order(b) })
	return out
}

// single is the one checkpoint that a sign reads, if it reads no other.
func (m *maker) single(s *rule.Sign) (string, bool) {
	id := ""
	for _, slot := range s.When.Reads() {
		f := m.Base.Catalogue.At(slot)
		if f.Checkpoint == "" || id != "" && f.Checkpoint != id {
			return "", false
		}
		id = f.Checkpoint
	}
	return id, id != ""
}

func strongest(s *rule.Sign) string {
	best, id := 0.0, ""
	for _, l := range s.Seen {
		if l.Weight > best {
			best, id = l.Weight, l.ID
		}
	}
	return id
}

func (m *maker) age(checkpoint string, f *rule.Factor, weeks int) {
	seen := m.Case.Observed(checkpoint, m.Facts.Compared)
	if seen == nil || slices.ContainsFunc(m.w.Relook, func(r report.Relook) bool { return r.Checkpoint == checkpoint }) {
		return
	}
	on := m.seenOn(seen)
	worked := m.worked(on)
	if on.IsZero() || worked < weeks {
		return
	}
	title := checkpoint
	if p, ok := m.Base.Checklist.Checkpoint(checkpoint); ok {
		title = p.Title
	}
	m.w.Relook = append(m.w.Relook, report.Relook{Checkpoint: checkpoint, Title: title, Throw: m.Facts.Compared, Factor: f.ID,
		On: on.Format(time.DateOnly), Weeks: worked,
		Words: m.Say("decide_relook", "checkpoint", title, "throw", m.throw(m.Facts.Compared), "date", on.Format(time.DateOnly), "weeks", strconv.Itoa(worked))})
}

// seenOn is when something was seen last: the newest look's day, else that of
// the newest ladder, with which an undated look was filmed.
func (m *maker) seenOn(o *casefile.Observation) time.Time {
	var on time.Time
	for _, l := range o.Looks {
		if l.On.After(on) {
			on = l.On
		}
	}
	if on.IsZero() {
		return m.Facts.Ladder.On
	}
	return on
}

// worked counts the weeks after a day in which a session was logged.
func (m *maker) worked(since time.Time) int {
	weeks := map[int]bool{}
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		if d := e.Day(); d.After(since) {
			weeks[int(d.Sub(since)/day-1)/7] = true
		}
	}
	return len(weeks)
}

// ladders sets the newest ladder beside the one before it, rung by rung.
func (m *maker) ladders() {
	is := m.Facts.Ladder
	was := is.Earlier
	if was == nil {
		return
	}
	changes, err := ladder.Compare(was.Numbers, is.Numbers, ladder.Defaults())
	if err != nil {
		m.w.Notes = append(m.w.Notes, m.Say("decide_note_ladders", "why", err.Error()))
		return
	}
	for _, c := range changes {
		m.w.Ladders = append(m.w.Ladders, report.WeekChange{Throw: c.Throw, Title: m.throw(c.Throw), Before: dayText(was.On), After: dayText(is.On),
			Percent: tenths(c.Percent), Within: [2]float64{tenths(c.Interval.Low), tenths(c.Interval.High)}, Says: c.Says})
	}
}

func dayText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}
