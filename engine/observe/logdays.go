package observe

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"

	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/stats"
	"rungwise/engine/workload"
)

// LogDays counts the throws of a log by day. What nobody told is read the way
// that allows less: throws at a rung of a hard throw are hard unless another
// effort was told. An entry that stands twice may tell of the same throws once
// more, so for the base it counts once. A return slip tells the whole day, so it
// can only raise it.
func LogDays(l *casefile.Log, b *rule.Base, hard hardness) []workload.Day {
	if l == nil {
		return nil
	}
	var days, slips []workload.Day
	var told []casefile.Entry
	for _, e := range l.Entries {
		var d workload.Day
		switch e.What {
		case casefile.LogSession:
			d = sessionDay(e, b, hard)
		case casefile.LogOther:
			d = otherDay(e, b)
		case casefile.LogSlip:
			if e.Throws+e.High > 0 {
				slips = append(slips, workload.Day{On: workload.DateOf(e.Day()), Moderate: e.Throws, High: e.High})
			}
			continue
		default:
			continue
		}
		d.On = workload.DateOf(e.Day())
		join := workload.Day.Plus
		if slices.ContainsFunc(told, func(o casefile.Entry) bool { return same(o, e) }) {
			join = workload.Day.Twice
		}
		told = append(told, e)
		days = with(days, d, join)
	}
	for _, s := range slips {
		days = with(days, s, func(d, s workload.Day) workload.Day { return d.AtLeast(max(s.Moderate, s.High), s.High) })
	}
	slices.SortFunc(days, func(a, b workload.Day) int { return int(a.On - b.On) })
	return days
}

// with puts a day to the day of the same date in a list, where there is none to
// an empty one.
func with(days []workload.Day, d workload.Day, join func(a, b workload.Day) workload.Day) []workload.Day {
	i := slices.IndexFunc(days, func(o workload.Day) bool { return o.On == d.On })
	if i < 0 {
		i = len(days)
		days = append(days, workload.Day{On: d.On})
	}
	days[i] = join(days[i], d)
	return days
}

// same reports whether two entries tell the same: one number, or all but the
// number and when they were written down.
func same(a, b casefile.Entry) bool {
	if a.ID == b.ID {
		return true
	}
	b.ID, b.Entered, b.Corrects = a.ID, a.Entered, a.Corrects
	x, errA := json.Marshal(a)
	y, errB := json.Marshal(b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}

// sessionDay counts one session.
func sessionDay(e casefile.Entry, b *rule.Base, hard hardness) workload.Day {
	w := b.Workload.Weights
	d := workload.Day{High: len(e.Keep)}
	put := func(class workload.Effort, n int) {
		switch class {
		case workload.Low:
			d.Low += n
		case workload.Moderate:
			d.Moderate += n
		default:
			d.High += n
		}
	}
	class, unknown := workload.High, 0 // throws of names that this base does not know: hard for the most, easy for the least
	switch t, ok := b.Throw(e.Rung); {
	case ok && !t.HighEffort:
		class = workload.Moderate
	case !ok && e.Effort == 0:
		unknown = e.AtRung()
	}
	if e.Effort > 0 {
		class = w.Class(e.Effort)
	}
	put(class, e.AtRung())
	for _, x := range e.Drills {
		effort := workload.High
		if drill, ok := b.Drill(x.Drill); ok {
			effort = w.Class(drill.Effort)
		} else {
			unknown += x.Throws
		}
		put(effort, x.Throws)
	}
	if unknown > 0 {
		least := d.Surely()
		least.Low, least.High = least.Low+float64(unknown), least.High-float64(unknown)
		d.Least = &least
	}
	if class != workload.High {
		d = hard.of(e).raise(d, class)
	}
	return d.AtLeast(e.Throws, e.High)
}

// hardness tells from its speed that a throw was hard, whatever effort was told.
// The zero hardness tells nothing.
type hardness struct {
	b         *rule.Base
	reference float64 // mph of the slowest known day of the drill, as a share of a full-effort running throw of 1
}

// hardness takes the slowest day that is known of the reference drill, so that
// another day told never makes a throw count for less.
func (o *observer) hardness() hardness {
	h := hardness{b: o.b}
	t, ok := o.b.Throw(o.c.Reference.Throw)
	if !ok || t.Share.High <= 0 {
		return h
	}
	for _, s := range o.sessions() {
		if mean := stats.Mean(s.speeds) / t.Share.High; len(s.speeds) > 0 && (h.reference == 0 || mean < h.reference) {
			h.reference = mean
		}
	}
	return h
}

// counted is how many throws of an entry were hard by their speed.
type counted int

func (h hardness) of(e casefile.Entry) counted {
	if h.reference == 0 {
		return 0
	}
	from := h.reference * h.b.Value("full_effort", 90) / 100
	if t, ok := h.b.Throw(e.Rung); ok {
		from *= t.Share.Low
	}
	n := 0
	for _, v := range e.MPH(e.Speeds) {
		if v >= from {
			n++
		}
	}
	return counted(n)
}

// raise counts so many throws of a class as hard for the most, and as told for
// the least.
func (n counted) raise(d workload.Day, class workload.Effort) workload.Day {
	if n == 0 {
		return d
	}
	least := d.Surely()
	d.Least = &least
	if class == workload.Low {
		d.Low -= int(n)
	} else {
		d.Moderate -= int(n)
	}
	d.High += int(n)
	return d
}

func otherDay(e casefile.Entry, b *rule.Base) workload.Day {
	d := workload.Day{Game: e.Pitches, Innings: e.Innings}
	if e.Kind == "catching" && e.Throws == 0 {
		d.Innings, d.Assumed = 0, true
		d = d.AtLeast(int(b.Value("catching_throws", 0)), int(b.Value("catching_hard", 0)))
		d.Least = &workload.Least{}
		return d
	}
	if e.Kind == "catching" {
		d.Innings = 0 // innings caught are no innings pitched
	}
	return d.AtLeast(e.Throws, e.High)
}

// recorded joins everything that tells of a day: the case's days, its ladders,
// the sessions of the reference drill, games gone by and the log. They may tell
// of the same throws, so of each number the largest counts.
func (o *observer) recorded() []workload.Day {
	var out []workload.Day
	for _, list := range [][]workload.Day{o.dayRecords(), o.ladderDays(), o.referenceDays(), LogDays(o.c.Log, o.b, o.hardness())} {
		for _, d := range list {
			out = with(out, d, workload.Day.Larger)
		}
	}
	return out
}

// dayRecords are the case's days; entries of one date are added up.
func (o *observer) dayRecords() []workload.Day {
	var out, seen []workload.Day
	for _, d := range o.c.Load.Days {
		r := workload.Day{On: workload.DateOf(d.On), Game: d.Game, Innings: d.Innings}
		thrown := workload.Day{On: r.On}.AtLeast(d.Throws, d.High)
		switch { // the throws may have the game's among them
		case d.Game == 0:
			r = r.Plus(thrown)
		case d.Throws > d.Game:
			r = thrown.Twice(r)
		default:
			r = r.Twice(thrown)
		}
		if d.Game == 0 && d.Innings > 0 {
			r = o.unknownGame(r, d.Innings)
		}
		out = with(out, r, once(&seen, r))
	}
	return out
}

// ladderDays counts the throws of dated ladders as high-effort throws.
func (o *observer) ladderDays() []workload.Day {
	var out, seen []workload.Day
	for _, l := range o.c.Ladders {
		if l.On.IsZero() {
			continue
		}
		n := len(l.Again) + l.More
		for _, r := range l.Rungs {
			n += r.Throws
		}
		d := workload.Day{On: workload.DateOf(l.On), High: n}
		out = with(out, d, once(&seen, d))
	}
	return out
}

// once returns how a record joins those of its kind: with the same numbers on the
// same day it may be the same one once more. It is then among those seen.
func once(seen *[]workload.Day, d workload.Day) func(a, b workload.Day) workload.Day {
	d.Least = nil
	if slices.Contains(*seen, d) {
		return workload.Day.Twice
	}
	*seen = append(*seen, d)
	return workload.Day.Plus
}

// referenceDays counts the dated sessions of the reference drill, today's among
// them, as high-effort throws. A day that stands twice may tell of one session.
func (o *observer) referenceDays() []workload.Day {
	var out []workload.Day
	for _, s := range o.c.Reference.Sessions {
		d := workload.Day{On: workload.DateOf(s.On), High: s.Throws}
		join := workload.Day.Plus
		if slices.ContainsFunc(out, func(o workload.Day) bool { return o.On == d.On }) {
			join = workload.Day.Twice
		}
		out = with(out, d, join)
	}
	return out
}

// games counts the games of the case's list: practice throws of hard effort on
// such a day are the game's.
func (o *observer) games() []workload.Day {
	var out []workload.Day
	for _, g := range o.c.Load.Games {
		d := workload.Day{On: workload.DateOf(g.On), Game: g.Game + g.High, Innings: g.Innings}
		if g.Game == 0 {
			d = o.unknownGame(d.AtLeast(g.Throws, 0), g.Innings)
		} else {
			d = d.Plus(workload.Day{}.AtLeast(g.Throws-g.High, 0))
		}
		out = with(out, d, workload.Day.Plus)
	}
	return out
}

// unknownGame raises a day to a game of which nobody told the pitches: a full
// one, the most that the published table allows in a day, or where the innings are
// known a cautious number for each of them. For the base it counts only what was
// told.
func (o *observer) unknownGame(d workload.Day, innings float64) workload.Day {
	row, err := o.b.Workload.For(o.age())
	if err != nil {
		row, _ = o.b.Workload.For(0, false) // too young for any plan: the youngest row tells how much a game is
	}
	pitches := row.Table.Daily
	if each := o.number("pitches_an_inning"); innings > 0 && each > 0 {
		pitches = min(pitches, int(math.Ceil(innings*each)))
	}
	least := d.Surely()
	if more := pitches - d.Game; more > 0 {
		d.Game, d.Moderate = d.Game+more, max(d.Moderate-more, 0)
	}
	d.Least = &least
	return d
}
