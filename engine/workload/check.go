package workload

import (
	"fmt"
	"strconv"
)

// A Breach is one limit measured on one day. In lists of broken limits it is broken; in Uses it may not be.
type Breach struct {
	ID      string  `json:"id"`
	On      Date    `json:"on"`
	Cap     float64 `json:"cap"`
	Planned float64 `json:"planned"`
	AtLeast bool    `json:"at_least,omitempty"` // the cap is the fewest, not the most
	Unit    string  `json:"unit"`
}

// tolerance lets sums of weights be compared: far below one throw's smallest load.
const tolerance = 1e-9

func (b Breach) broken() bool { return b.slack() < -tolerance }

// slack is what is left to the limit, as a share of it; below zero it is broken.
func (b Breach) slack() float64 {
	left := b.Cap - b.Planned
	if b.AtLeast {
		left = -left
	}
	return left / max(b.Cap, 1)
}

// Words says what the limit is, in plain words: "at most 85 throws a day".
func (b Breach) Words() string {
	most := "at most"
	if b.AtLeast {
		most = "at least"
	}
	return fmt.Sprintf("%s %s %s", most, number(b.Cap), b.Unit)
}

// String says what would be broken and by how much, in plain words, the date first.
func (b Breach) String() string {
	return fmt.Sprintf("%s: %s %s, the limit is %s", b.On, number(b.Planned), b.Unit, b.Words())
}

func number(v float64) string {
	if v == float64(int(v)) {
		return strconv.Itoa(int(v))
	}
	return strconv.FormatFloat(v, 'f', 1, 64)
}

// A check measures one limit on the day with index i, which has throws: the cap, what is planned, and whether the
// limit has anything to say about that day.
type check struct {
	id      string
	unit    string
	atLeast bool
	measure func(l *Ledger, i int) (limit, planned float64, applies bool)
}

// checks returns all limits in the order in which they are named when several bind: the published ones first.
func checks() []check {
	return []check{
		{DailyPitches, "pitches a day", false, dailyPitches},
		{RestDays, "full days of rest after the pitches before", true, restDays},
		{PitchDaysInARow, "days with pitches in a row", false, pitchDaysInARow},
		{Innings, "innings in twelve months", false, innings},
		{NoThrowing, "months of the last twelve without throwing", true, monthsNoThrowing},
		{NoPitching, "months of the last twelve without competitive pitching", true, monthsNoPitching},
		{DaysBetween, "full days between high-effort days after a long one", true, daysBetween},
		{DailyHigh, "high-effort throws a day", false, dailyHigh},
		{DailyThrows, "throws a day", false, dailyThrows},
		{HighDays, "high-effort days in seven", false, highDays},
		{DaysInARow, "throwing days in a row", false, daysInARow},
		{DaysOff, "days off in seven", true, daysOff},
		{LightAfter, "full-effort throws' worth of load on the day after high effort", false, lightDay},
		{BeforeGame, "days between high effort and a game", true, beforeGame},
		{WeeklyGrowth, "full-effort throws' worth of load in seven days", false, growth},
	}
}

func dailyPitches(l *Ledger, i int) (float64, float64, bool) {
	p := l.days[i].Pitches()
	return float64(l.row.Table.Daily), float64(p), p > 0
}

func dailyHigh(l *Ledger, i int) (float64, float64, bool) {
	h := l.days[i].High
	return float64(l.row.MostHigh()), float64(h), h > 0
}

func dailyThrows(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.DailyThrows), float64(l.days[i].Throws()), true
}

// restDays and daysBetween look at every earlier outing, not only the last: a short one yesterday does not end the
// rest that a long one before it asked for.
func restDays(l *Ledger, i int) (float64, float64, bool) {
	return l.rest(i, l.row.RestDays)
}

func daysBetween(l *Ledger, i int) (float64, float64, bool) {
	return l.rest(i, func(pitches int) int {
		if pitches > l.row.DaysBetweenAfter {
			return l.row.DaysBetween
		}
		return 0
	})
}

// rest returns the earlier outing whose rest is least fulfilled on day i, by the full days it asks for.
func (l *Ledger) rest(i int, need func(pitches int) int) (limit, planned float64, applies bool) {
	if l.days[i].Pitches() == 0 {
		return 0, 0, false
	}
	for back := 1; back <= lookback && i-back >= 0; back++ {
		p := l.days[i-back].Pitches()
		if p == 0 || need(p) == 0 {
			continue
		}
		n, full := float64(need(p)), float64(back-1)
		if !applies || full-n < planned-limit {
			limit, planned, applies = n, full, true
		}
	}
	return limit, planned, applies
}

func pitchDaysInARow(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.PitchDaysInARow), float64(l.run(i, func(d Day) bool { return d.Pitches() > 0 })), l.days[i].Pitches() > 0
}

func daysInARow(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.DaysInARow), float64(l.run(i, func(d Day) bool { return d.Throws() > 0 })), true
}

// run counts the days in a row, up to and with day i, of which something holds.
func (l *Ledger) run(i int, holds func(Day) bool) int {
	n := 0
	for ; i >= 0 && holds(l.days[i]); i-- {
		n++
	}
	return n
}

// week counts the days of the seven up to and with day i of which something holds.
func (l *Ledger) week(i int, holds func(Day) bool) int {
	n := 0
	for j := i - 6; j <= i; j++ {
		if holds(l.days[j]) {
			n++
		}
	}
	return n
}

func highDays(l *Ledger, i int) (float64, float64, bool) {
	n := l.week(i, func(d Day) bool { return d.Pitches() > 0 })
	return float64(l.row.HighDays), float64(n), l.days[i].Pitches() > 0
}

func daysOff(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.DaysOff), float64(l.week(i, func(d Day) bool { return d.Throws() == 0 })), true
}

// lightDay allows a share of the smallest day that asks for a light one after it. A share of the day's own load would
// allow more the more was thrown.
func lightDay(l *Ledger, i int) (float64, float64, bool) {
	before := l.days[i-1].Pitches() > l.row.LightAfter
	return l.row.LightShare * float64(l.row.LightAfter+1) * l.row.Weights.High, l.load[i], before
}

// beforeGame looks ahead from a day with high-effort practice throws to the next game, that of the same day among them;
// a game day's own pitches are the game's.
func beforeGame(l *Ledger, i int) (float64, float64, bool) {
	if l.days[i].High == 0 {
		return 0, 0, false
	}
	for ahead := 0; ahead <= l.row.BeforeGame+1 && i+ahead < len(l.days); ahead++ {
		if l.days[i+ahead].Game > 0 {
			return float64(l.row.BeforeGame), float64(max(ahead-1, 0)), true
		}
	}
	return 0, 0, false
}

// innings counts the year's and the planned games' innings; once they are used up, high-effort throws, which count as
// pitches, are over as well.
func innings(l *Ledger, i int) (float64, float64, bool) {
	if !l.year.InningsKnown || l.row.MostInnings == 0 || l.days[i].Pitches() == 0 {
		return 0, 0, false
	}
	used := l.year.Innings
	for j := int(l.first - l.from); j <= i; j++ {
		used += l.days[j].Innings
	}
	if l.days[i].High > 0 && used >= l.row.MostInnings {
		used = max(used, l.row.MostInnings+1)
	}
	return l.row.MostInnings, used, true
}

func monthsNoThrowing(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.NoThrowing), float64(l.year.NoThrowing), l.year.NoThrowingKnown
}

func monthsNoPitching(l *Ledger, i int) (float64, float64, bool) {
	return float64(l.row.NoPitching), float64(l.year.NoPitching), l.year.NoPitchingKnown && l.days[i].Pitches() > 0
}

// growth compares the seven days up to and with day i with the weeks before them.
func growth(l *Ledger, i int) (float64, float64, bool) {
	week, _, most := l.Week(l.from + Date(i))
	return most, week, true
}
