package workload

import (
	"fmt"
	"math"
	"slices"
)

// A Week is seven days of which only the totals are known.
type Week struct {
	Ends         Date // its last day
	Throws, High int  // all throws, and the high-effort ones among them
}

// A Record is what a case says about the throws behind the athlete.
type Record struct {
	Days          []Day
	Weeks         []Week // newest last
	Slack         int    // days by which weeks without a date may have ended earlier than they say
	LastHigh      Date   // last day with high-effort throws, as somebody told it
	LastHighKnown bool
	Until         Date // the first day that is not history: today, or the plan's start
}

// NewestHigh returns the newest day on which high-effort throws were told, by day or as the last of them.
func (r Record) NewestHigh() (on Date, known bool) {
	on, known = r.LastHigh, r.LastHighKnown
	for _, d := range r.Days {
		if d.Pitches() > 0 && (!known || d.On > on) {
			on, known = d.On, true
		}
	}
	return on, known
}

// easySlots are the days of a week, counted from its first, on which unrecorded easy throws are put: with the last
// two among them, so that the week ends on throwing days in a row.
func easySlots() []int { return []int{6, 5, 3, 2, 0} }

// highSlots are the same for high-effort throws, the last day first; where the last high-effort day is known and lies
// in the week, it takes the last day's place and none comes after it.
func (r Record) highSlots(w Week) []int {
	all := []int{6, 3, 0}
	last := int(r.LastHigh - (w.Ends - 6))
	if !r.LastHighKnown || last < 0 || last > 6 {
		return all
	}
	return append([]int{last}, slices.DeleteFunc(all, func(s int) bool { return s >= last })...)
}

// History returns the days before r.Until, with what weeks and the last high-effort day tell besides, sorted and one
// entry a date, and what was assumed for it, in plain words. An assumption is read two ways: the most of a day is what
// may have been thrown on it, the least what surely was. So a third of a week's high-effort throws counts on its last
// day and its easy throws are of moderate effort, while for the base they are an even share a day and of low effort.
// Where a day is told by itself and as part of a week, the larger count stands: a record never takes away what was
// assumed, since it may tell of a part of the day only. Nothing known counts as nothing thrown.
func (r Record) History(row Row) (days []Day, assumed []string) {
	byDate := map[Date]Day{}
	for _, d := range r.Days {
		if d.On < r.Until {
			sum := byDate[d.On].Plus(d)
			sum.On = d.On
			byDate[d.On] = sum
		}
	}
	recorded := len(byDate)
	shares := r.shares(byDate)
	for _, w := range r.Weeks {
		assumed = append(assumed, r.fillWeek(byDate, w)...)
	}
	assumed = append(assumed, r.fillLastHigh(byDate, row)...)
	for on, share := range shares {
		d := byDate[on].Plus(Day{Least: &share, Assumed: true})
		d.On, d.Assumed = on, byDate[on].Assumed || byDate[on].Throws() == 0
		byDate[on] = d
	}
	if recorded == 0 && len(r.Weeks) == 0 {
		assumed = append(assumed, "no recent throws are recorded: counted as none")
	}
	if len(r.Weeks) > 0 && r.Slack > 0 {
		assumed = append(assumed, fmt.Sprintf("the weeks carry no date: they are read as ending on %s, and for the base only as far as that is sure; write `weeks_until` beside them",
			r.Weeks[len(r.Weeks)-1].Ends))
	}
	for _, d := range byDate {
		days = append(days, d)
	}
	slices.SortFunc(days, func(a, b Day) int { return int(a.On - b.On) })
	return days, append(assumed, r.gap(days)...)
}

// fillWeek lays a week's totals over its days, for the most of each.
func (r Record) fillWeek(byDate map[Date]Day, w Week) []string {
	first := w.Ends - 6
	fill := make([]Day, 7)
	hard := r.highSlots(w)
	spread(hard, w.High, func(slot, n int) { fill[slot].High = n })
	spread(easySlots(), w.Throws-w.High, func(slot, n int) { fill[slot].Moderate = n })
	raised := false
	for i, f := range fill {
		on := first + Date(i)
		if f.Throws() > 0 && on < r.Until {
			raised = assume(byDate, on, f) || raised
		}
	}
	if !raised {
		return nil
	}
	return []string{fmt.Sprintf("the days of the week to %s are not all told one by one: of its %d high-effort throws %d are counted on %s",
		w.Ends, w.High, fill[hard[0]].High, first+Date(hard[0]))}
}

// assume raises a date to what may have been thrown on it, and reports whether that is more than was told.
func assume(byDate map[Date]Day, on Date, most Day) bool {
	was, told := byDate[on]
	most.Assumed, most.Least = true, &Least{}
	d := most
	if told {
		d = was.Larger(most)
	}
	d.On = on
	byDate[on] = d
	return d.counts() != was.counts()
}

// shares returns, by day, what the weeks surely hold beyond the days recorded in them. A week whose place is not known
// to the day gives each day the least of the weeks that it may have fallen in.
func (r Record) shares(recorded map[Date]Day) map[Date]Least {
	out := map[Date]Least{}
	if len(r.Weeks) == 0 {
		return out
	}
	// rest is a seventh of what the recorded days leave of the week: of all its throws, and of the hard ones among them.
	rest := func(w Week, slack int) (all, high float64) {
		all, high = float64(w.Throws), float64(w.High)
		for i := range 7 {
			l := recorded[w.Ends-Date(slack+i)].Surely()
			all, high = all-l.Throws(), high-l.High-l.Game
		}
		return max(all, 0) / 7, max(high, 0) / 7
	}
	newest, n := r.Weeks[len(r.Weeks)-1].Ends, len(r.Weeks)
	for on := r.Weeks[0].Ends - 6; on <= newest && on < r.Until; on++ {
		if int(newest-on) < r.Slack { // the newest week may have ended before this day
			continue
		}
		all, high := math.Inf(1), math.Inf(1)
		for slack := 0; slack <= r.Slack; slack++ {
			back := int(newest-on) - slack
			a, h := rest(r.Weeks[n-1-back/7], slack)
			all, high = min(all, a), min(high, h)
		}
		high = min(high, all)
		out[on] = Least{Low: all - high, High: high}
	}
	return out
}

// spread deals n throws over the slots, the earlier ones in the list taking what is left over.
func spread(slots []int, n int, put func(slot, n int)) {
	for i, s := range slots {
		share := (n + len(slots) - 1 - i) / len(slots)
		if share > 0 {
			put(s, share)
		}
	}
}

// fillLastHigh counts the last high-effort day with a third of the weeks' most, or with as many throws as ask for the
// longest rest where no week is known; for the base it counts nothing.
func (r Record) fillLastHigh(byDate map[Date]Day, row Row) []string {
	if !r.LastHighKnown || r.LastHigh >= r.Until {
		return nil
	}
	n := 1
	if len(r.Weeks) == 0 && len(row.Table.Rest) > 0 {
		n = max(row.Uncounted, row.Table.Uncounted())
	}
	for _, w := range r.Weeks {
		n = max(n, (w.High+2)/3)
	}
	if !assume(byDate, r.LastHigh, Day{High: n}) {
		return nil
	}
	return []string{fmt.Sprintf("the throws of the last high-effort day, %s, are not known for sure: counted as %d", r.LastHigh, n)}
}

// gap tells of days between the last known throw and the plan, which count as days off.
func (r Record) gap(days []Day) []string {
	last := Date(0)
	for _, d := range days {
		if d.Throws() > 0 {
			last = max(last, d.On)
		}
	}
	for _, w := range r.Weeks {
		last = max(last, w.Ends)
	}
	if n := int(r.Until-last) - 1; last > 0 && n > 0 && n <= 34 {
		return []string{fmt.Sprintf("nothing is recorded for the %d days before %s: counted as days off", n, r.Until)}
	}
	return nil
}

// A Summary is the recent load in a few numbers, as conditions read it.
type Summary struct {
	WeekThrows, WeekHigh int     // in the seven days up to and with the date
	BaseThrows           float64 // mean weekly throws of the four weeks before those, as far as they are sure
	Week, Base           float64 // the same two as load, in full-effort throws
	Cap                  float64 // the most that Week may be
	// Growth is Week over Base, to the hundredths that are told; GrowthKnown is false where the base is zero.
	Growth      float64
	GrowthKnown bool
}

// Summarize returns the recent load on a date.
func Summarize(row Row, history []Day, on Date) Summary {
	l := NewLedger(row, Year{}, on, on, history)
	i := int(on - l.from)
	var s Summary
	for j := i - 34; j <= i; j++ {
		if j >= i-6 {
			s.WeekThrows += l.days[j].Throws()
			s.WeekHigh += l.days[j].Pitches()
		} else {
			s.BaseThrows += l.days[j].Surely().Throws() / 4
		}
	}
	s.Week, s.Base, s.Cap = l.Week(on)
	if s.Base > 0 {
		s.Growth, s.GrowthKnown = math.Round(100*s.Week/s.Base)/100, true
	}
	return s
}
