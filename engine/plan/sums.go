package plan

import (
	"cmp"
	"slices"

	"rungwise/engine/report"
	"rungwise/engine/workload"
)

// total adds up a written session. A game and a day gone by count what was thrown.
func (m *maker) total(s *report.Session, d Day) {
	c := m.thrown(*s, d)
	s.Throws, s.High, s.Load = c.Throws(), c.Pitches(), tenth(m.row.Load(c))
}

// thrown is a day as it will be thrown: what its blocks ask for, by the class of the effort asked.
func (m *maker) thrown(s report.Session, d Day) workload.Day {
	if d.Kind == Game || d.Kind == Done {
		return d.Day
	}
	var c counts
	for _, b := range s.Blocks {
		c[m.efforts.class(b.Effort)] += b.Throws
	}
	return c.day(d.On)
}

// actual is every day of the plan as written.
func (m *maker) actual() []workload.Day {
	var out []workload.Day
	for i, d := range m.result.Days {
		if d.Kind != Done && i < len(m.written) {
			out = append(out, m.thrown(m.written[i], d))
		}
	}
	return out
}

// ledger judges the days as they are written and not as they were wished.
func (m *maker) ledger() *workload.Ledger { return m.ledgerOf(m.actual()) }

// ledgerOf judges days between what was thrown before them and the games ahead.
func (m *maker) ledgerOf(days []workload.Day) *workload.Ledger {
	first, last := m.start, m.end()
	for _, d := range m.history {
		first = max(first, d.On+1)
	}
	var games []workload.Day
	for _, g := range m.Facts.Load.Games {
		if g.On > last && g.On <= last+ahead(m.row) {
			games = append(games, g)
		}
	}
	for _, g := range games {
		last = max(last, g.On)
	}
	return workload.NewLedger(m.row, m.Facts.Load.Year, first, last, m.history, m.earlierGames(), days, games)
}

// earlierGames are games between the record's end and the plan's first day, which the days of the plan do not hold.
func (m *maker) earlierGames() []workload.Day {
	var out []workload.Day
	for _, g := range m.Facts.Load.Games {
		known := slices.ContainsFunc(m.history, func(d workload.Day) bool { return d.On == g.On && d.Game > 0 })
		if g.On < m.start && !known {
			out = append(out, g)
		}
	}
	return out
}

// mostRepairs bounds the days made smaller after writing; every one of them takes throws away, so it ends anyway.
const mostRepairs = 400

// settle writes the sessions and makes days smaller until what is written breaks nothing. A session that leaves some
// of its counts out lowers the base of later weeks and the share of the day after, so the schedule's word is not
// enough.
func (m *maker) settle() {
	m.sessions()
	for range mostRepairs {
		broken := m.ledger().All()
		i := -1
		if len(broken) > 0 {
			i = m.culprit(broken[0].On)
		}
		if i < 0 {
			return
		}
		smaller(&m.result.Days[i], broken[0])
		m.sessions()
	}
}

// culprit is the last day of ours with throws up to a date, or -1.
func (m *maker) culprit(on workload.Date) int {
	for i := len(m.result.Days) - 1; i >= 0; i-- {
		d := m.result.Days[i]
		if d.On <= on && (d.Kind == Mound || d.Kind == Drill || d.Kind == Light) {
			return i
		}
	}
	return -1
}

// smaller takes throws from a day: hard ones first, then moderate ones, then all.
func smaller(d *Day, b workload.Breach) {
	switch {
	case d.High > leastHigh:
		d.High = max(leastHigh, d.High*3/4)
	case d.High > 0:
		d.High, d.Kind, d.Share = 0, Drill, 0
	case d.Moderate > 4:
		d.Moderate /= 2
	case d.Moderate > 0:
		d.Moderate, d.Kind = 0, Light
	case d.Low > 2*leastWarm:
		d.Low = d.Low * 3 / 4
	default:
		d.Low, d.Kind = 0, Rest
	}
	d.because(limitReason(b, "no room for a larger session: "+b.Words()))
}

// bound says which limit binds a day, and what else makes it a day of rest.
func bound(d Day) (id, words string) {
	var limits []Reason
	for _, r := range d.Because {
		if r.Limit != nil {
			limits = append(limits, r)
		}
	}
	if len(limits) > 0 {
		r := limits[0]
		if d.Kind == Rest {
			r = limits[len(limits)-1] // about the smallest session that found no room
		}
		return r.ID, r.Limit.Words()
	}
	if d.Kind == Rest && len(d.Because) > 0 {
		return "", d.Because[0].Words
	}
	return "", ""
}

// empty reports whether no day of the plan has a throw of ours.
func (m *maker) empty() bool {
	return !slices.ContainsFunc(m.written, func(s report.Session) bool { return len(s.Blocks) > 0 })
}

// A cut is one limit and the days that it made smaller.
type cut struct {
	id, words string
	days      int
}

// cuts counts the days by the limits that made them smaller or days of rest, the most frequent first.
func (m *maker) cuts() []cut {
	var out []cut
	for _, d := range m.result.Days {
		for _, r := range d.Because {
			if r.Limit == nil {
				continue
			}
			i := slices.IndexFunc(out, func(c cut) bool { return c.id == r.ID })
			if i < 0 {
				out = append(out, cut{id: r.ID, words: r.Limit.Words()})
				i = len(out) - 1
			}
			out[i].days++
		}
	}
	slices.SortFunc(out, func(a, b cut) int { return cmp.Or(cmp.Compare(b.days, a.days), cmp.Compare(a.id, b.id)) })
	return out
}

// sums fills the weeks, the limits and the load column.
func (m *maker) sums(p *report.Plan) {
	p.Load = []report.LoadDay{}
	for _, s := range p.Sessions {
		p.Load = append(p.Load, report.LoadDay{Date: s.Date, Load: s.Load})
	}
	l := m.ledger()
	p.Week = m.weeks(l)
	p.Limits = m.limits(l)
}

// weeks adds up each week. Its cap and base are those of its last day with throws, where growth is judged.
func (m *maker) weeks(l *workload.Ledger) []report.WeekSum {
	out := []report.WeekSum{}
	for w := range m.Weeks {
		from := m.start + workload.Date(7*w)
		sum := report.WeekSum{Week: w + 1, From: from.String()}
		last, load := from+6, 0.0
		for d := from; d < from+7; d++ {
			day := l.Day(d)
			sum.Throws, sum.High = sum.Throws+day.Throws(), sum.High+day.Pitches()
			load += l.Load(d)
			if day.Throws() > 0 {
				last = d
			}
		}
		_, base, most := l.Week(last)
		sum.Load, sum.Base, sum.Cap = tenth(load), tenth(base), tenth(most)
		out = append(out, sum)
	}
	return out
}

// limits lists every limit that applied, with the day that came closest to it.
func (m *maker) limits(l *workload.Ledger) []report.Limit {
	out := []report.Limit{}
	cuts := m.cuts()
	add := func(l report.Limit) {
		l.Title, l.Source = m.limitTitle(l.ID)
		out = append(out, l)
	}
	for _, b := range l.Uses() {
		if b.AtLeast && b.Cap == 0 {
			continue // asks for nothing at this age
		}
		binds := slices.ContainsFunc(cuts, func(c cut) bool { return c.id == b.ID })
		add(report.Limit{ID: b.ID, Cap: tenth(b.Cap), Planned: tenth(b.Planned), Unit: b.Unit, Binds: binds})
	}
	if most, capped := m.row.MostMeasured(); capped {
		add(report.Limit{ID: workload.RadarThrows, Cap: float64(most), Planned: float64(m.mostMeasured()), Unit: "measured hard throws a day"})
	}
	if !m.row.Weighted() {
		add(report.Limit{ID: workload.WeightedFrom, Unit: "throws with heavier or lighter balls at this age"})
	}
	return out
}

// mostMeasured is the most throws of one session that are held against the floor.
func (m *maker) mostMeasured() int {
	most := 0
	for _, s := range m.written {
		n := 0
		for _, b := range s.Blocks {
			if b.Floor != nil {
				n += b.Throws
			}
		}
		most = max(most, n)
	}
	return most
}

// limitTitle names a limit for people, with the key of its source.
func (m *maker) limitTitle(id string) (title, source string) {
	title, source = m.words("limit_"+id), m.Base.Workload.Source
	named := plain(id)
	if l, ok := m.Base.LimitByAge(id); ok {
		named, source = l.Title, l.Source
	} else if l, ok := m.Base.Limit(id); ok {
		named, source = l.Title, l.Source
	}
	if title == "" {
		title = named
	}
	return title, source
}
