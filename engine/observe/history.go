package observe

import (
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/stats"
	"rungwise/engine/workload"
)

const day = 24 * time.Hour

// carryOver sets the gain in the drill beside the gain on the mound.
func (o *observer) carryOver() {
	c := &o.f.Carry
	c.Words = "not_known"
	drill, weeks := gain(o.c.Reference.Best)
	mound, _ := gain(o.c.Mound)
	c.Drill, c.Mound, c.Weeks = drill, mound, weeks
	if drill != nil {
		o.set("reference.gain", fact.Num(*drill))
		o.set("reference.weeks", fact.Num(*weeks))
		o.set("reference.worked", fact.Bool(*drill > o.number("gain_noise")))
	}
	if mound != nil {
		o.set("mound.gain", fact.Num(*mound))
	}
	if len(o.c.Reference.Best) > 0 && len(o.c.Mound) > 0 {
		o.set("carry_over.gap", fact.Num(o.c.Reference.Best[len(o.c.Reference.Best)-1].Speed-o.c.Mound[len(o.c.Mound)-1].Speed))
	}
	if drill == nil || mound == nil || *drill <= o.number("gain_noise") {
		return
	}
	share := 100 * *mound / *drill
	switch {
	case *mound <= o.number("gain_noise") || share < o.number("carry_partial"):
		c.Words = "none"
	case share < o.number("carry_full"):
		c.Words = "partial"
	default:
		c.Words = "full"
	}
	o.word("carry_over.words", c.Words)
}

// gain is the change from the first to the last dated best and the weeks
// between; nil with fewer than two.
func gain(best []casefile.Best) (mph, weeks *float64) {
	if len(best) < 2 {
		return nil, nil
	}
	first, last := best[0], best[len(best)-1]
	change, span := last.Speed-first.Speed, last.On.Sub(first.On).Hours()/24/7
	return &change, &span
}

// reference sets what is known of the drill itself.
func (o *observer) reference() {
	o.betterPositions()
	sessions := o.sessions()
	last := o.c.Reference.LastThrown
	if n := len(sessions); n > 0 && sessions[n-1].on.After(last) {
		last = sessions[n-1].on
	}
	if _, logged := o.logSessions(); logged.After(last) {
		last = logged
	}
	if first := o.c.Reference.FirstThrown; !first.IsZero() && !last.IsZero() {
		o.set("reference.learning", fact.Bool(last.Sub(first) <= time.Duration(o.number("learning_days"))*day))
	}
	if !last.IsZero() {
		o.set("reference.days_since", fact.Num(o.today.Sub(last).Hours()/24))
	}
	o.floor(sessions)
}

// session is one day's mean in the reference drill.
type session struct {
	on   time.Time
	mean float64
	n    int
}

// sessions joins every dated mean of the reference drill, by date; a day that
// stands twice counts with its most throws.
func (o *observer) sessions() []session {
	var out []session
	add := func(s session) {
		if s.n == 0 {
			return
		}
		if i := slices.IndexFunc(out, func(t session) bool { return t.on.Equal(s.on) }); i >= 0 {
			if s.n > out[i].n {
				out[i] = s
			}
			return
		}
		out = append(out, s)
	}
	for _, b := range o.c.Reference.Best {
		add(session{b.On, b.Speed, b.N})
	}
	for _, s := range o.c.Reference.Sessions {
		add(session{s.On, stats.Mean(s.Speeds), len(s.Speeds)})
	}
	for _, l := range o.c.Ladders {
		if r := l.Rung(o.c.Reference.Throw); r != nil && !l.On.IsZero() {
			add(session{l.On, stats.Mean(r.Speeds), len(r.Speeds)})
		}
	}
	logged, _ := o.logSessions()
	for _, s := range logged {
		add(s)
	}
	slices.SortStableFunc(out, func(a, b session) int { return a.on.Compare(b.on) })
	return out
}

// floor judges the newest sessions against the mean of the best ones before
// them. Two of the last three under the floor are a fade, and so is today's
// session alone after weeks without the drill.
func (o *observer) floor(sessions []session) {
	sessions = o.earned(sessions)
	if len(sessions) == 0 {
		return
	}
	o.f.Floor = o.floorOf(sessions)
	n := len(sessions) - 1
	if n == 0 {
		return
	}
	newest, floor := sessions[n], o.floorOf(sessions[:n])
	if newest.mean < floor {
		o.f.Floor = floor // a faded session does not lower what it is held against
	}
	o.set("reference.share_of_best", fact.Num(100*newest.mean/(floor/(1-o.number("floor_percent")/100))))
	gap := newest.on.Sub(o.lastBefore(sessions[n-1].on, newest.on))
	if gap >= time.Duration(o.number("reference_dropped_days"))*day && newest.n >= int(o.number("stale_throws")) {
		o.set("reference.under_floor", fact.Bool(newest.mean < floor))
		return
	}
	under := 0
	from := max(1, len(sessions)-int(o.number("floor_window")))
	for i := from; i <= n; i++ {
		if sessions[i].mean < o.floorOf(sessions[:i]) {
			under++
		}
	}
	o.set("reference.under_floor", fact.Bool(under >= int(o.number("floor_breaches"))))
}

// earned leaves out the sessions of the first days on the drill, in which the
// drill itself is learnt; with no later ones all count.
func (o *observer) earned(sessions []session) []session {
	first := o.c.Reference.FirstThrown
	if first.IsZero() {
		return sessions
	}
	learnt := first.Add(time.Duration(o.number("floor_learning_days")) * day)
	at := slices.IndexFunc(sessions, func(s session) bool { return !s.on.Before(learnt) })
	if at < 0 {
		return sessions
	}
	return sessions[at:]
}

// lastBefore is the last day the drill was thrown before a day.
func (o *observer) lastBefore(session, on time.Time) time.Time {
	if told := o.c.Reference.LastThrown; told.After(session) && told.Before(on) {
		return told
	}
	return session
}

// floorOf is the floor that sessions set: a few percent under the mean of the
// best of them.
func (o *observer) floorOf(sessions []session) float64 {
	means := make([]float64, len(sessions))
	for i, s := range sessions {
		means[i] = s.mean
	}
	slices.Sort(means)
	slices.Reverse(means)
	best := means[:min(len(means), int(o.number("floor_best_sessions")))]
	return stats.Mean(best) * (1 - o.number("floor_percent")/100)
}

// betterPositions tells whether the drill shows better positions than the compared
// throw: enough checkpoints are better in it and none is worse. A checkpoint that
// was looked at on either throw and not seen on both might be either, so both yes
// and no wait for it; one at which nobody looked says nothing. One alone is too
// little to say yes and no.
func (o *observer) betterPositions() {
	least := int(o.number("better_positions_least"))
	switch n := o.positions(o.c.Reference.Throw); {
	case n.worse > 0:
		o.set("reference.better_positions", fact.Bool(false))
	case n.open > 0:
	case n.better >= least:
		o.set("reference.better_positions", fact.Bool(true))
	case n.better == 0 && n.level >= least:
		o.set("reference.better_positions", fact.Bool(false))
	}
}

// positions counts the ordered checkpoints that are better, worse and level on a
// throw beside the compared one; open were looked at and not seen on both.
type positions struct{ better, worse, level, open int }

func (o *observer) positions(throw string) (n positions) {
	for _, p := range o.b.Checklist.Checkpoints {
		if p.Phase == checklist.Task || !p.Ordered || len(p.Answers) == 0 {
			continue
		}
		a, b := o.side(p, throw), o.side(p, o.f.Compared)
		f, _ := o.b.Catalogue.Lookup(fact.Best + "." + p.ID)
		switch x, y := f.Place(a.Answer), f.Place(b.Answer); {
		case !a.Looked && !b.Looked:
		case a.Answer == "" || b.Answer == "":
			n.open++
		case x < y:
			n.better++
		case x > y:
			n.worse++
		default:
			n.level++
		}
	}
	return n
}

// load sets the counts of the last weeks.
func (o *observer) load() {
	l := o.c.Load
	r := &o.f.Load.Record
	r.Until = workload.DateOf(o.today)
	r.Days = o.recorded()
	for _, g := range o.games() {
		known := slices.ContainsFunc(r.Days, func(d workload.Day) bool { return d.On == g.On })
		if g.On < r.Until || known { // gone by, or told of already: the larger counts
			r.Days = with(r.Days, g, workload.Day.Larger)
			continue
		}
		o.f.Load.Games = append(o.f.Load.Games, g)
	}
	o.weeks(r)
	if !l.LastHighEffort.IsZero() {
		r.LastHigh, r.LastHighKnown = workload.DateOf(l.LastHighEffort), true
	}
	o.f.Load.Year = o.year(r.Days)
	if last, known := r.NewestHigh(); known {
		o.set("load.days_since_high_effort", fact.Num(float64(r.Until-last)))
	}
	o.logSlope()
	o.weekFacts()
}

// weeks dates the case's weeks. Where it does not say when they end, they are read
// as ending yesterday; but they may have ended as early as before the first dated
// ladder and the first entry of the log.
func (o *observer) weeks(r *workload.Record) {
	ends := r.Until - 1
	if until := o.c.Load.WeeksUntil; !until.IsZero() {
		ends = workload.DateOf(until)
	} else {
		first := ends
		for _, l := range o.c.Ladders {
			if !l.On.IsZero() {
				first = min(first, workload.DateOf(l.On)-1)
			}
		}
		if o.c.Log != nil {
			for _, e := range o.c.Log.Entries {
				first = min(first, workload.DateOf(e.Day())-1)
			}
		}
		r.Slack = int(ends - first)
	}
	n := len(o.c.Load.Weeks)
	for i, w := range o.c.Load.Weeks {
		r.Weeks = append(r.Weeks, workload.Week{Ends: ends - workload.Date(7*(n-1-i)), Throws: w.Throws, High: w.High})
	}
}

// year reads the last twelve months. Innings told as a sum and those recorded by
// day may be the same ones: the larger counts. Those of today come on top: the sum may be older.
func (o *observer) year(days []workload.Day) workload.Year {
	l := o.c.Load
	var y workload.Year
	if l.Innings12m != nil {
		byDay, now := 0.0, 0.0
		for _, d := range days {
			switch back := workload.DateOf(o.today) - d.On; {
			case back <= 0:
				now += d.Innings
			case back < 365:
				byDay += d.Innings
			}
		}
		y.Innings, y.InningsKnown = max(*l.Innings12m, byDay)+now, true
	}
	if l.MonthsOff != nil {
		y.NoThrowing, y.NoThrowingKnown = int(*l.MonthsOff), true
	}
	if l.MonthsNoPitch != nil {
		y.NoPitching, y.NoPitchingKnown = int(*l.MonthsNoPitch), true
	}
	return y
}

// weekFacts counts the last week and the four before it, where any day or week
// was recorded.
func (o *observer) weekFacts() {
	r := o.f.Load.Record
	if len(r.Days) == 0 && len(r.Weeks) == 0 {
		return
	}
	age, known := o.age()
	row, err := o.b.Workload.For(age, known)
	if err != nil {
		return // too young for any plan: the gates speak of that
	}
	history, _ := r.History(row)
	s := workload.Summarize(row, history, r.Until-1)
	o.set("load.week_throws", fact.Num(float64(s.WeekThrows)))
	o.set("load.week_high_effort", fact.Num(float64(s.WeekHigh)))
	o.set("load.base_throws", fact.Num(s.BaseThrows))
	if s.GrowthKnown {
		o.set("load.growth", fact.Num(s.Growth))
	}
}
