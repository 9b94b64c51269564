package casefile

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// mostWeeks is how far back whole weeks are read.
const mostWeeks = 8

func (r *reader) load(o *source.Object) {
	if o == nil {
		return
	}
	l := &r.c.Load
	weeks := o.Items("weeks")
	if len(weeks) > mostWeeks {
		weeks[0].Fault(r.ds, "C310", fmt.Sprintf("at most %d weeks are read", mostWeeks), "", "keep the newest, last")
	}
	for _, n := range weeks {
		w := n.Object(r.ds, "a week")
		var week Week
		w.Need("throws")
		week.Throws = r.count(w, "throws", weekBound())
		week.High = r.count(w, "high_effort", weekBound())
		r.within(w, week.Throws, week.High)
		w.Close()
		l.Weeks = append(l.Weeks, week)
	}
	l.WeeksUntil = r.pastDate(o, "weeks_until")
	l.Days = r.days(o, "days", true)
	l.Games = r.days(o, "games", false)
	r.questions(o, "load")
	l.LastHighEffort = r.pastDate(o, "last_high_effort")
	l.Innings12m = r.number(o, "innings_12m", yearBound())
	l.MonthsOff = r.number(o, "months_off", monthsBound())
	l.MonthsNoPitch = r.number(o, "months_no_pitching", monthsBound())
	for _, n := range o.Texts("positions") {
		l.Positions = append(l.Positions, n.Text())
	}
	if n := o.Get("season"); n != nil && r.choice(n, "season", n.Text(), []string{"off", "pre", "in"}) {
		l.Season = n.Text()
	}
	o.Close()
}

// number reads a number that may be missing.
func (r *reader) number(o *source.Object, key string, most bound) *float64 {
	v, ok := o.Number(key)
	if !ok || !r.believed(o.Get(key), v, most) {
		return nil
	}
	return &v
}

// count reads a count, 0 where it is missing.
func (r *reader) count(o *source.Object, key string, most bound) int {
	n, ok := o.Count(key)
	if ok {
		r.believed(o.Get(key), float64(n), most)
	}
	return n
}

// believed refuses a number beyond its bound.
func (r *reader) believed(n *source.Node, v float64, most bound) bool {
	says, ok := most.check(v)
	if !ok {
		n.Fault(r.ds, "C313", says, "", "check the number")
	}
	return ok
}

// within refuses more high-effort throws than throws.
func (r *reader) within(o *source.Object, throws, high int) {
	if high > throws {
		o.Get("high_effort").Fault(r.ds, "C311", "more high-effort throws than throws", "", "high-effort throws are counted among the throws")
	}
}

func (r *reader) days(o *source.Object, key string, past bool) []Day {
	var out []Day
	for _, n := range o.Items(key) {
		d := n.Object(r.ds, "a day")
		var day Day
		if past {
			day.On = r.pastDate(d, "on")
		} else {
			day.On, _ = d.Date("on")
		}
		d.Need("on")
		day.Throws = r.count(d, "throws", dayBound())
		day.High = r.count(d, "high_effort", dayBound())
		day.Game = r.count(d, "game", gameBound())
		r.within(d, day.Throws, day.High)
		if v := r.number(d, "innings", inningsBound()); v != nil {
			day.Innings = *v
		}
		d.Close()
		out = append(out, day)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].On.Before(out[j].On) })
	return out
}

func (r *reader) reference(o *source.Object) {
	if o == nil {
		return
	}
	ref := &r.c.Reference
	ref.Place = o.Node().Place()
	if n := o.Need("throw"); n != nil {
		ref.Throw = r.throw(n)
	}
	ref.Best = r.bests(o)
	ref.FirstThrown = r.pastDate(o, "first_thrown")
	ref.LastThrown = r.pastDate(o, "last_thrown")
	for _, n := range o.Items("sessions") {
		ref.Sessions = append(ref.Sessions, r.session(n))
	}
	if n := o.Get("today"); n != nil {
		ref.Sessions = append(ref.Sessions, r.session(n))
	}
	sort.SliceStable(ref.Sessions, func(i, j int) bool { return ref.Sessions[i].On.Before(ref.Sessions[j].On) })
	o.Close()
}

func (r *reader) session(n *source.Node) Session {
	o := n.Object(r.ds, "a session")
	s := Session{On: r.pastDate(o, "on")}
	o.Need("on")
	s.Speeds = r.speeds(o, "speeds", r.unitOf(o, unit.MPH))
	s.Throws = len(o.Texts("speeds"))
	o.Close()
	return s
}

func (r *reader) candidates(o *source.Object) {
	for _, n := range o.Items("candidates") {
		c := n.Object(r.ds, "a candidate drill")
		out := Candidate{Best: r.bests(c), FirstThrown: r.pastDate(c, "first_thrown")}
		if t := c.Need("throw"); t != nil {
			out.Throw = r.throw(t)
		}
		out.Speeds = r.speeds(c, "speeds", r.unitOf(c, unit.MPH))
		c.Close()
		r.c.Compare = append(r.c.Compare, out)
	}
}

func (r *reader) training(o *source.Object) {
	if o == nil {
		return
	}
	r.c.Training.Days = r.weekdays(o, "days")
	r.c.Training.Mound = r.weekdays(o, "mound")
	for _, n := range o.Texts("off") {
		if t, ok := n.Date(r.ds, "off"); ok {
			r.c.Training.Off = append(r.c.Training.Off, t)
		}
	}
	o.Close()
}

func (r *reader) weekdays(o *source.Object, key string) []time.Weekday {
	var out []time.Weekday
	for _, n := range o.Texts(key) {
		day, ok := Weekday(n.Text())
		if !ok {
			r.choice(n, key, n.Text(), dayNames())
			continue
		}
		out = append(out, day)
	}
	return out
}

// Weekday reads the first three letters of an English day name, mon to sun.
func Weekday(name string) (time.Weekday, bool) {
	i := slices.Index(dayNames(), name)
	if i < 0 {
		return 0, false
	}
	return time.Weekday((i + 1) % 7), true
}

// dayNames lists the days as they are written, Monday first.
func dayNames() []string { return []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} }
