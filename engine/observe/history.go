package observe

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/progress"
	"rungwise/engine/rule"
	"rungwise/engine/stats"
	"rungwise/engine/workload"
)

const day = 24 * time.Hour

// carryOver sets the gain in the drill beside the gain on the mound.
func (o *observer) carryOver() {
	c := &o.f.Carry
	c.Words = "not_known"
	drills, mounds := o.levels(o.c.Reference.Best, o.inDrill), o.levels(o.c.Mound, o.onMound)
	drill, weeks := gain(drills)
	mound, _ := gain(mounds)
	c.Drill, c.Mound, c.Weeks = drill, mound, weeks
	if drill != nil {
		o.set("reference.gain", fact.Num(*drill))
		o.set("reference.weeks", fact.Num(*weeks))
		o.set("reference.worked", fact.Bool(*drill > o.number("gain_noise")))
	}
	if mound != nil {
		o.set("mound.gain", fact.Num(*mound))
	}
	if len(drills) > 0 && len(mounds) > 0 {
		o.set("carry_over.gap", fact.Num(drills[len(drills)-1].Speed-mounds[len(mounds)-1].Speed))
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

// newestDays is how many of the newest logged days make up a level of today.
const newestDays = 3

// levels are the dated bests and, where days with enough throws were logged after
// them, the mean of the newest of these as the last.
func (o *observer) levels(best []casefile.Best, throws func(casefile.Entry) []float64) []casefile.Best {
	if len(best) == 0 || o.c.Log == nil {
		return best
	}
	var means []float64
	var on time.Time
	for _, e := range o.c.Log.Of(casefile.LogSession) {
		if v := throws(e); len(v) >= int(o.number("stale_throws")) && e.Day().After(best[len(best)-1].On) {
			means, on = append(means, stats.Mean(v)), e.Day()
		}
	}
	if len(means) == 0 {
		return best
	}
	return append(slices.Clone(best), casefile.Best{On: on, Speed: stats.Mean(means[max(0, len(means)-newestDays):])})
}

// inDrill and onMound are the measured throws of a logged session, in mph.
func (o *observer) inDrill(e casefile.Entry) []float64 {
	v := e.MPH(e.Keep)
	if e.Rung == o.c.Reference.Throw {
		v = append(v, e.MPH(e.Speeds)...)
	}
	return v
}

func (o *observer) onMound(e casefile.Entry) []float64 {
	if t, ok := o.b.Throw(e.Rung); ok && t.OnMound {
		return e.MPH(e.Speeds)
	}
	return nil
}

// gain is the change from the first to the last level and the weeks between; nil
// with fewer than two.
func gain(levels []casefile.Best) (mph, weeks *float64) {
	if len(levels) < 2 {
		return nil, nil
	}
	first, last := levels[0], levels[len(levels)-1]
	change := math.Round(10*(last.Speed-first.Speed)) / 10 // a gun shows no more
	span := last.On.Sub(first.On).Hours() / 24 / 7
	return &change, &span
}

// reference sets what is known of the drill itself.
func (o *observer) reference() error {
	o.betterPositions()
	last := o.c.Reference.LastThrown
	for _, s := range o.sessions() {
		if s.on.After(last) {
			last = s.on
		}
		o.f.Drill = append(o.f.Drill, progress.Session{On: workload.DateOf(s.on), Keep: s.speeds})
	}
	if first := o.c.Reference.FirstThrown; !first.IsZero() && !last.IsZero() {
		o.set("reference.learning", fact.Bool(last.Sub(first) <= time.Duration(o.number("learning_days"))*day))
	}
	if !last.IsZero() {
		o.set("reference.days_since", fact.Num(o.today.Sub(last).Hours()/24))
	}
	r, err := o.f.Progress(o.c, o.b)
	if err != nil {
		return err
	}
	o.f.Moving, o.f.Floor = r.Settings, progress.FloorOf(r)
	if f := o.f.Floor; f.Known && f.Of > 1 {
		o.set("reference.share_of_best", fact.Num(f.ShareOfBest))
		o.set("reference.under_floor", fact.Bool(f.Faded))
	}
	return nil
}

// Progress is the request for a decision on the drill alone: its days, and the rules' numbers. It fails only on a rule
// base that lacks one of them.
func (f *Facts) Progress(c *casefile.Case, b *rule.Base) (progress.Request, error) {
	s, err := progress.ReadSettings(func(name string) (float64, bool) {
		l, ok := b.Limit(name)
		if !ok {
			return 0, false
		}
		return l.Value, true
	})
	if err != nil {
		return progress.Request{}, fmt.Errorf("the rules lack what a weekly decision needs: %w", err)
	}
	r := progress.Request{Settings: s, Sessions: slices.Clone(f.Drill)}
	if first := c.Reference.FirstThrown; !first.IsZero() {
		r.FirstThrown, r.FirstThrownKnown = workload.DateOf(first), true
	}
	if last := c.Reference.LastThrown; !last.IsZero() {
		r.LastThrown = workload.DateOf(last)
	}
	r.Age, r.AgeKnown = Age(f, b)
	return r, nil
}

// session is one day's measured throws of the reference drill.
type session struct {
	on     time.Time
	speeds []float64
}

// sessions joins every dated throw of the reference drill, by date; a day that
// stands twice counts with its most throws.
func (o *observer) sessions() []session {
	var out []session
	add := func(on time.Time, speeds []float64) {
		i := slices.IndexFunc(out, func(t session) bool { return t.on.Equal(on) })
		switch {
		case on.IsZero():
		case i < 0:
			out = append(out, session{on, speeds})
		case len(speeds) > len(out[i].speeds):
			out[i].speeds = speeds
		}
	}
	for _, b := range o.c.Reference.Best {
		add(b.On, slices.Repeat([]float64{b.Speed}, min(b.N, mostOfABest)))
	}
	for _, s := range o.c.Reference.Sessions {
		add(s.On, s.Speeds)
	}
	for _, l := range o.c.Ladders {
		if r := l.Rung(o.c.Reference.Throw); r != nil {
			add(l.On, r.Speeds)
		}
	}
	for _, s := range o.logSessions() {
		add(s.on, s.speeds)
	}
	slices.SortStableFunc(out, func(a, b session) int { return a.on.Compare(b.on) })
	return out
}

// mostOfABest bounds the throws that a best is written out as.
const mostOfABest = 100

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

// weekFacts counts the last seven days and the four weeks before them, where any
// day or week was recorded. Today is not over: the seven days with it and those
// before it are both the last, and those with more load count.
func (o *observer) weekFacts() {
	r := o.f.Load.Record
	age, known := o.age()
	row, err := o.b.Workload.For(age, known)
	if err != nil {
		return // too young for any plan: the gates speak of that
	}
	r.Until++ // what was thrown today counts
	history, _ := r.History(row)
	s := workload.Summarize(row, history, r.Until-1)
	if before := workload.Summarize(row, history, r.Until-2); before.Week-before.Cap > s.Week-s.Cap {
		s = before
	}
	o.f.Load.Recent = s
	if len(r.Days) == 0 && len(r.Weeks) == 0 {
		return
	}
	o.set("load.week_throws", fact.Num(float64(s.WeekThrows)))
	o.set("load.week_high_effort", fact.Num(float64(s.WeekHigh)))
	o.set("load.base_throws", fact.Num(s.BaseThrows))
	if s.GrowthKnown {
		o.set("load.growth", fact.Num(s.Growth))
	}
}
