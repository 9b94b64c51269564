package plan

import (
	"errors"
	"fmt"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// The orders in which a ladder may be thrown.
const (
	Halving = "halving" // the reference, the top, then what halves the rest: few throws
	Whole   = "whole"   // every rung
)

// Throws of the whole order and of the halving order in all. Source: house
// default; 36 in all is where halving was scored in simulation, which then takes
// 22 on average.
const (
	eachRung       = 3
	firstReference = 4
	mostHalving    = 36
	meanHalving    = 22
)

// A Session is what a plan of the athlete gives a day at most: the ladder's days hold no more.
type Session struct {
	Hard int    // high-effort throws
	Warm int    // easy throws before them
	Stop string // why no plan throws at all at present, in words; "" = it does
}

// Limits is what one athlete may throw from today on.
type Limits struct {
	row     workload.Row
	ledger  *workload.Ledger
	today   workload.Date
	session Session
	barred  bool          // no hard throws for this athlete at all
	why     string        // what bars them, in words
	rest    int           // days since hard throws before a ladder is worth throwing
	hard    workload.Date // the last day with hard throws that the case tells of; 0 = none
	thrown  map[workload.Date]int
	capped  bool // measured maximal throws have a cap
	measure int
}

// horizon is how many days ahead a day is looked for.
const horizon = 28

// LimitsOf reads off the facts what the athlete may throw.
func LimitsOf(f *observe.Facts, b *rule.Base, today time.Time, s Session) (*Limits, error) {
	l := &Limits{today: workload.DateOf(today), thrown: map[workload.Date]int{}, session: s}
	age, known := observe.Age(f, b)
	row, err := b.Workload.For(age, known)
	if errors.Is(err, workload.ErrTooYoung) {
		l.barred, l.why = true, err.Error()
		return l, nil
	}
	if err != nil {
		return nil, err
	}
	l.row, l.rest = row, int(b.Value("rest_days_before_hard", 0))
	l.measure, l.capped = row.MostMeasured()
	switch {
	case !known:
		l.barred, l.why = true, "the age is not told, and without it no hard throws are asked for: tell the age first"
	case row.MostHigh() == 0:
		l.barred, l.why = true, fmt.Sprintf("under %d years there is no ladder and no hard throw: drills and catch only", row.HardFrom)
	case s.Stop != "":
		l.barred, l.why = true, s.Stop
	}
	if last, known := f.Load.Record.NewestHigh(); known {
		l.hard = last
	}
	history, _ := f.Load.Record.History(row)
	var now []workload.Day
	for _, d := range f.Load.Record.Days {
		if d.On >= l.today {
			now = append(now, d)
			l.thrown[d.On] += d.High
		}
	}
	l.ledger = workload.NewLedger(row, f.Load.Year, l.today, l.today+horizon, history, now, f.Load.Games)
	return l, nil
}

// Barred says in words what keeps the athlete from hard throws on every day, and whether anything does.
func (l *Limits) Barred() (why string, barred bool) { return l.why, l.barred }

// Most is the most high-effort throws of any one day.
func (l *Limits) Most() int {
	if l.barred {
		return 0
	}
	most := min(l.row.MostHigh(), l.session.Hard)
	if l.capped {
		most = min(most, l.measure)
	}
	return most
}

// Room is how many more high-effort throws a day takes with a warm-up before them, and what stops there, in words; ""
// where the athlete's age or the size of a session alone does.
func (l *Limits) Room(on workload.Date) (throws int, bound string) {
	if l.barred {
		return 0, l.why
	}
	for d := on - 1; d > on-workload.Date(l.rest); d-- {
		if day := l.ledger.Day(d); d == l.hard || day.Pitches() > 0 && !day.Assumed {
			return 0, fmt.Sprintf("the last hard throws are less than %d days ago, and a ladder wants a rested arm", l.rest)
		}
	}
	defer l.take(on, 0)()
	room, b := l.ledger.Room(on, workload.High)
	if most := max(l.Most()-l.thrown[on], 0); room >= most {
		return most, ""
	}
	return room, b.Words()
}

// Next is the first day from a day on that takes so many throws, within four
// weeks.
func (l *Limits) Next(from workload.Date, throws int) (workload.Date, bool) {
	for d := max(from, l.today); d < l.today+horizon; d++ {
		if room, _ := l.Room(d); room >= throws {
			return d, true
		}
	}
	return 0, false
}

// take counts throws as thrown on a day, with the warm-up before them, and returns what takes them back.
func (l *Limits) take(on workload.Date, throws int) (undo func()) {
	if l.barred {
		return func() {}
	}
	was, thrown := l.ledger.Day(on), l.thrown[on]
	d := was.Plus(workload.Day{Low: max(l.session.Warm-was.Low-was.Moderate, 0), High: throws})
	d.On = on
	l.ledger.Put(d)
	l.thrown[on] += throws
	return func() {
		l.ledger.Put(was)
		l.thrown[on] = thrown
	}
}

// Young reports whether the athlete is of an age at which the throws that may be
// measured are few; an unknown age is.
func (l *Limits) Young() bool { return l.barred || l.capped }

// Default is the order for an athlete: halving for the young and in season, the
// whole ladder else, and why in words. Source: house default.
func (l *Limits) Default(load casefile.Load) (order, why string) {
	switch {
	case l.Young():
		return Halving, "few throws, because measured full-effort throws are few at this age"
	case load.Season == "in":
		return Halving, "few throws, because it is the season"
	}
	return Whole, "the whole ladder, because it is not the season"
}

// numbersOf is the ladder to go on with: the one in the file while it is not too
// old, else a fresh one over the same rungs.
func numbersOf(f *observe.Facts, today workload.Date) (l ladder.Ladder, on workload.Date, goingOn bool) {
	l, on = f.Ladder.Numbers, workload.DateOf(f.Ladder.On)
	if f.Ladder.Thrown && !f.Ladder.On.IsZero() && today-on <= observe.OneLadder {
		return l, on, true
	}
	fresh := ladder.Ladder{Trained: l.Trained}
	for i, r := range l.Rungs {
		if barred(f, i) {
			break // the last rungs of a ladder ask for the most
		}
		fresh.Rungs = append(fresh.Rungs, ladder.Rung{Throw: r.Throw, Share: r.Share})
	}
	return fresh, today, false
}

// barred reports whether the throw of a rung may not be asked for at the athlete's age.
func barred(f *observe.Facts, rung int) bool { return !f.Ladder.Rungs[rung].Open }
