package workload

import (
	"fmt"
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
	LastHigh      Date   // last day with high-effort throws
	LastHighKnown bool
	Until         Date // the first day that is not history: today, or the plan's start
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

// History returns the days before r.Until, filled in where only weeks are known, sorted and one entry a date, and
// what was assumed for it, in plain words. Weeks are read the cautious way: a third of a week's high-effort throws
// falls on its last day, easy throws are of moderate effort in the newest week (more load now) and of low effort in
// the older ones (a smaller base). Nothing known counts as nothing thrown.
func (r Record) History(row Row) (days []Day, assumed []string) {
	byDate := map[Date]Day{}
	for _, d := range r.Days {
		if d.On < r.Until {
			sum := byDate[d.On].plus(d)
			sum.On = d.On
			byDate[d.On] = sum
		}
	}
	recorded := len(byDate)
	for i, w := range r.Weeks {
		assumed = append(assumed, r.fillWeek(byDate, w, i == len(r.Weeks)-1)...)
	}
	assumed = append(assumed, r.fillLastHigh(byDate, row)...)
	if recorded == 0 && len(r.Weeks) == 0 {
		assumed = append(assumed, "no recent throws are recorded: counted as none")
	}
	for _, d := range byDate {
		days = append(days, d)
	}
	slices.SortFunc(days, func(a, b Day) int { return int(a.On - b.On) })
	return days, append(assumed, r.gap(days)...)
}

// fillWeek spreads what a week's totals hold beyond its recorded days over the unrecorded ones.
func (r Record) fillWeek(byDate map[Date]Day, w Week, newest bool) []string {
	high, easy := w.High, w.Throws-w.High
	var free []int
	for i := range 7 {
		on := w.Ends - 6 + Date(i)
		d, ok := byDate[on]
		high -= d.Pitches()
		easy -= d.Low + d.Moderate
		if !ok && on < r.Until {
			free = append(free, i)
		}
	}
	high, easy = max(high, 0), max(easy, 0)
	if high+easy == 0 || len(free) == 0 {
		return nil
	}
	add := func(slot, low, moderate, high int) {
		on := w.Ends - 6 + Date(slot)
		d := byDate[on].plus(Day{Low: low, Moderate: moderate, High: high, Assumed: true})
		d.On = on
		byDate[on] = d
	}
	hard := slots(r.highSlots(w), free)
	spread(hard, high, func(slot, n int) { add(slot, 0, 0, n) })
	spread(slots(easySlots(), free), easy, func(slot, n int) {
		if newest {
			add(slot, 0, n, 0)
		} else {
			add(slot, n, 0, 0)
		}
	})
	return []string{fmt.Sprintf("not all days of the week to %s are recorded: of its %d other high-effort throws %d are counted on %s",
		w.Ends, high, (high+len(hard)-1)/len(hard), w.Ends-6+Date(hard[0]))}
}

// slots returns the wished slots that are free, or the last free day where none is.
func slots(wished, free []int) []int {
	var out []int
	for _, s := range wished {
		if slices.Contains(free, s) {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		out = free[len(free)-1:]
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

// fillLastHigh adds the last high-effort day where nothing else shows it: with the newest week's third, or with as
// many throws as ask for the longest rest where no week is known.
func (r Record) fillLastHigh(byDate map[Date]Day, row Row) []string {
	if !r.LastHighKnown || r.LastHigh >= r.Until {
		return nil
	}
	if byDate[r.LastHigh].Pitches() > 0 {
		return nil
	}
	n := 1
	if len(row.Table.Rest) > 0 {
		n = max(row.Uncounted, row.Table.Uncounted())
	}
	if len(r.Weeks) > 0 {
		n = max(1, (r.Weeks[len(r.Weeks)-1].High+2)/3)
	}
	d := byDate[r.LastHigh].plus(Day{High: n, Assumed: true})
	d.On = r.LastHigh
	byDate[r.LastHigh] = d
	return []string{fmt.Sprintf("the throws of the last high-effort day, %s, are not recorded: counted as %d", r.LastHigh, n)}
}

// gap tells of days between the last known throw and the plan, which count as days off.
func (r Record) gap(days []Day) []string {
	last := Date(0)
	for _, d := range days {
		last = max(last, d.On)
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
	BaseThrows           float64 // mean weekly throws of the four weeks before those
	Week, Base           float64 // the same two as load, in full-effort throws
	// Growth is Week over Base; GrowthKnown is false where the base is zero.
	Growth      float64
	GrowthKnown bool
	// DaysSinceHigh counts from the last day with pitches to the date; known only where one is recorded.
	DaysSinceHigh      int
	DaysSinceHighKnown bool
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
			s.BaseThrows += float64(l.days[j].Throws()) / 4
		}
	}
	s.Week, s.Base = l.weekLoad(i)
	if s.Base > 0 {
		s.Growth, s.GrowthKnown = s.Week/s.Base, true
	}
	for _, d := range history {
		if d.Pitches() > 0 && d.On <= on && (!s.DaysSinceHighKnown || int(on-d.On) < s.DaysSinceHigh) {
			s.DaysSinceHigh, s.DaysSinceHighKnown = int(on-d.On), true
		}
	}
	return s
}

// Spike is the mean daily load of the last seven days over that of the last 28, the week inside the month, as it is
// published (Reinold 2024, Int J Sports Phys Ther 19:326-336: a band of 0.7 to 1.3). It is a spike alarm and nothing
// more: Impellizzeri 2020 (Sports Med, doi 10.1007/s40279-020-01378-6) argues against the ratio as a sign of risk, so
// no limit uses it. Known is false where the 28 days hold no load.
func Spike(row Row, history []Day, on Date) (ratio float64, known bool) {
	l := NewLedger(row, Year{}, on, on, history)
	i := int(on - l.from)
	week, month := 0.0, 0.0
	for j := i - 27; j <= i; j++ {
		month += l.load[j]
		if j >= i-6 {
			week += l.load[j]
		}
	}
	if month == 0 {
		return 0, false
	}
	return week / 7 / (month / 28), true
}

// SpikeAbove is the ratio over which Spike is told as an alarm (Reinold 2024).
const SpikeAbove = 1.3
