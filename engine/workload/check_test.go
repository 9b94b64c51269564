package workload

import (
	"math"
	"strings"
	"testing"
	"time"
)

var monday = On(2026, time.November, 9) // a Monday

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// The worked example: 12 years, 60 pitches on Monday, three full days of rest, so Friday (MLB and USA Baseball,
// Guidelines for Youth and Adolescent Pitchers).
func TestRestExample(t *testing.T) {
	row := rowAt(t, 12)
	row.GrowthFloor = 500 // leave the rest rule alone
	history := []Day{{On: monday, Game: 60}}
	for on := monday + 1; on <= monday+5; on++ {
		got := Check([]Day{{On: on, High: 10}}, history, row, Year{})
		allowed := !has(got, RestDays)
		if want := on >= monday+4; allowed != want {
			t.Errorf("%s (%s): allowed %v, want %v", on, on.Weekday(), allowed, want)
		}
	}
	if (monday + 4).Weekday() != time.Friday {
		t.Fatal("the fourth day after Monday is Friday")
	}
}

func has(list []Breach, id string) bool {
	for _, b := range list {
		if b.ID == id {
			return true
		}
	}
	return false
}

// Each limit exactly at its cap, and one step over it: that limit is named, with its cap and what was planned.
func TestEachLimitAtItsEdge(t *testing.T) {
	day := func(n int, d Day) Day { d.On = monday + Date(n); return d }
	build := func(n, throws int) (days []Day) { // steady easy weeks, so that growth stays quiet
		for i := 7; i <= n; i++ {
			if i%7 > 2 {
				days = append(days, day(-i, Day{Low: throws}))
			}
		}
		return days
	}
	for _, c := range []struct {
		id            string
		age           int
		history       []Day
		year          Year
		ok, over      []Day
		limit, actual float64
	}{
		{id: DailyPitches, age: 16, ok: []Day{day(0, Day{Game: 95})}, over: []Day{day(0, Day{Game: 96})}, limit: 95, actual: 96, history: build(41, 100)},
		{id: RestDays, age: 30, history: []Day{day(-5, Day{Game: 80}), day(-3, Day{Low: 1})}, ok: []Day{day(0, Day{High: 8})}, over: []Day{day(-1, Day{High: 8})}, limit: 4, actual: 3},
		{id: DaysBetween, age: 30, history: []Day{day(-2, Day{High: 31})}, ok: []Day{day(1, Day{High: 8})}, over: []Day{day(0, Day{High: 8})}, limit: 2, actual: 1},
		{id: DailyHigh, age: 14, ok: []Day{day(0, Day{High: 45})}, over: []Day{day(0, Day{High: 46})}, limit: 45, actual: 46},
		{id: DailyThrows, age: 14, history: build(41, 70), ok: []Day{day(0, Day{Low: 85})}, over: []Day{day(0, Day{Low: 86})}, limit: 85, actual: 86},
		{id: HighDays, age: 30, history: []Day{day(-6, Day{High: 8}), day(-4, Day{High: 8}), day(-2, Day{High: 8})}, ok: []Day{day(1, Day{High: 8})}, over: []Day{day(0, Day{High: 8})}, limit: 3, actual: 4},
		{id: PitchDaysInARow, age: 30, history: []Day{day(-1, Day{High: 8})}, ok: []Day{day(0, Day{High: 8})}, over: []Day{day(0, Day{High: 8}), day(1, Day{High: 8})}, limit: 2, actual: 3},
		{id: DaysInARow, age: 12, history: []Day{day(-2, Day{Low: 9})}, ok: []Day{day(-1, Day{Low: 9})}, over: []Day{day(-1, Day{Low: 9}), day(0, Day{Low: 9})}, limit: 2, actual: 3},
		{id: DaysOff, age: 12, history: []Day{day(-6, Day{Low: 3}), day(-5, Day{Low: 3}), day(-3, Day{Low: 3}), day(-2, Day{Low: 3})}, ok: []Day{day(0, Day{Low: 3})}, over: []Day{day(-1, Day{Low: 3}), day(0, Day{Low: 3})}, limit: 2, actual: 1},
		{id: LightAfter, age: 30, history: []Day{day(-1, Day{High: 39})}, ok: []Day{day(0, Day{Low: 7})}, over: []Day{day(0, Day{Low: 8})}, limit: 5.5, actual: 6.24},
		{id: BeforeGame, age: 30, ok: []Day{day(0, Day{High: 9}), day(3, Day{Game: 9})}, over: []Day{day(0, Day{High: 9}), day(2, Day{Game: 9})}, limit: 2, actual: 1},
		{id: BeforeGame, age: 30, ok: []Day{day(0, Day{Low: 9, Game: 9})}, over: []Day{day(0, Day{High: 9, Game: 9})}, limit: 2, actual: 0},
		{id: WeeklyGrowth, age: 30, ok: []Day{day(0, Day{High: 50}), day(3, Day{High: 50})}, over: []Day{day(0, Day{High: 51}), day(3, Day{High: 50})}, limit: 100, actual: 101},
		{id: Innings, age: 10, year: Year{Innings: 77, InningsKnown: true}, ok: []Day{day(0, Day{Game: 30, Innings: 3})}, over: []Day{day(0, Day{Game: 30, Innings: 4})}, limit: 80, actual: 81},
		{id: NoThrowing, age: 15, year: Year{NoThrowing: 1, NoThrowingKnown: true}, ok: nil, over: []Day{day(0, Day{Low: 5})}, limit: 2, actual: 1},
		{id: NoPitching, age: 15, year: Year{NoPitching: 3, NoPitchingKnown: true}, ok: []Day{day(0, Day{Low: 5})}, over: []Day{day(0, Day{High: 5})}, limit: 4, actual: 3},
	} {
		row := rowAt(t, c.age)
		if b := Check(c.ok, c.history, row, c.year); len(b) != 0 {
			t.Errorf("%s: the allowed case breaks %v", c.id, b)
		}
		found := false
		for _, b := range Check(c.over, c.history, row, c.year) {
			if b.ID == c.id {
				found = true
				if !near(b.Cap, c.limit) || !near(b.Planned, c.actual) {
					t.Errorf("%s: cap %v planned %v, want %v and %v", c.id, b.Cap, b.Planned, c.limit, c.actual)
				}
			}
		}
		if !found {
			t.Errorf("%s: not caught", c.id)
		}
	}
}

func TestInningsUsedUpEndHighEffort(t *testing.T) {
	year := Year{Innings: 80, InningsKnown: true}
	if b := Check([]Day{{On: monday, High: 5}}, nil, rowAt(t, 10), year); !has(b, Innings) {
		t.Errorf("high effort after the last inning: %v", b)
	}
	if b := Check([]Day{{On: monday, Low: 5}}, nil, rowAt(t, 10), year); len(b) != 0 {
		t.Errorf("easy throws after the last inning: %v", b)
	}
}

// Four weeks at 10 a day, then one at 20: 2.00, the week itself left out (computed).
func TestGrowthLeavesTheWeekOut(t *testing.T) {
	row := rowAt(t, 30)
	var days []Day
	for i := range 35 {
		n := 10
		if i >= 28 {
			n = 20
		}
		days = append(days, Day{On: monday + Date(i), High: n})
	}
	s := Summarize(row, days, monday+34)
	if !s.GrowthKnown || !near(s.Growth, 2) || s.BaseThrows != 70 || s.WeekThrows != 140 || s.WeekHigh != 140 {
		t.Errorf("uncoupled %+v", s)
	}
	if s := Summarize(row, nil, monday); s.GrowthKnown {
		t.Errorf("nothing known: %+v", s)
	}
}

func TestLoad(t *testing.T) {
	w := base().Weights
	if got := w.Load(Day{Low: 20, Moderate: 10, High: 30, Game: 10}); !near(got, 15.6+8.8+30+11) {
		t.Errorf("load %v", got)
	}
	for _, c := range []struct{ v, ref, load float64 }{
		{90, 90, 1}, {81, 90, .81}, {30, 90, .2}, {100, 90, 1.1}, {90, 0, 1}, {math.NaN(), 90, 1},
	} {
		if got := MeasuredLoad(c.v, c.ref); !near(got, c.load) {
			t.Errorf("%v of %v: %v, want %v", c.v, c.ref, got, c.load)
		}
	}
	d := Day{High: 2, Adjust: w.Measured(High, []float64{81, 90}, 90)}
	if got := w.Load(d); !near(got, 1.81) {
		t.Errorf("measured day %v, want 1.81", got)
	}
	for p, want := range map[float64]Effort{0: Low, 60: Low, 61: Moderate, 85: Moderate, 85.5: High, 100: High} {
		if got := w.Class(p); got != want {
			t.Errorf("%v %%: %v, want %v", p, got, want)
		}
	}
}

func TestWeeksAreReadCautiously(t *testing.T) {
	row := rowAt(t, 30)
	r := Record{Until: monday, Weeks: []Week{{Ends: monday - 8, Throws: 100, High: 30}, {Ends: monday - 1, Throws: 95, High: 40}}}
	days, assumed := r.History(row)
	l := NewLedger(row, Year{}, monday, monday, days)
	if d := l.Day(monday - 1); d.High != 14 || d.Moderate != 11 || !d.Assumed {
		t.Errorf("last day of the newest week: %+v", d)
	}
	if d := l.Day(monday - 8); d.High != 10 || d.Moderate != 14 || !near(d.Surely().High, 30./7) || !near(d.Surely().Low, 10) {
		t.Errorf("last day of the week before: %+v", d)
	}
	total := Summarize(row, days, monday-1)
	if total.WeekThrows != 95 || total.WeekHigh != 40 || !near(total.BaseThrows, 25) || len(assumed) != 2 {
		t.Errorf("totals %+v, %d assumptions", total, len(assumed))
	}
	// A recorded day counts with the larger of its own number and the week's; for the base the week stays what it was.
	r.Days = []Day{{On: monday - 1, High: 35, Low: 55}, {On: monday - 2, Low: 3}}
	days, _ = r.History(row)
	l = NewLedger(row, Year{}, monday, monday+6, days)
	if d := l.Day(monday - 1); d.High != 35 || d.Low != 55 || d.Assumed {
		t.Errorf("recorded day: %+v", d)
	}
	if d := l.Day(monday - 2); d.Throws() != 11 {
		t.Errorf("recorded day with fewer throws than assumed: %+v", d)
	}
	if got := Summarize(row, days, monday+6); !near(got.BaseThrows, (95.+100)/4) {
		t.Errorf("base with recorded days: %+v", got)
	}
}

// Weeks without a date count in full for the week that ends yesterday; for the base a day counts only what every place
// that the weeks may have had gives it.
func TestWeeksWithoutADate(t *testing.T) {
	row := rowAt(t, 30)
	r := Record{Until: monday, Slack: 10, Weeks: []Week{{Ends: monday - 15, Throws: 70}, {Ends: monday - 8, Throws: 140}, {Ends: monday - 1, Throws: 210}}}
	days, assumed := r.History(row)
	l := NewLedger(row, Year{}, monday, monday, days)
	for back, want := range map[Date]float64{1: 0, 10: 0, 11: 20, 14: 20, 15: 10, 21: 10, 22: 0} {
		if got := l.Day(monday - back).Surely(); !near(got.Throws(), want) {
			t.Errorf("%d days back: %+v, want %v", back, got, want)
		}
	}
	if s := Summarize(row, days, monday-1); s.WeekThrows != 210 || !strings.Contains(strings.Join(assumed, "; "), "weeks_until") {
		t.Errorf("%+v, %q", s, assumed)
	}
}

func TestLastHighEffortDay(t *testing.T) {
	row := rowAt(t, 30)
	days, assumed := Record{Until: monday, LastHigh: monday - 2, LastHighKnown: true}.History(row)
	if len(days) != 1 || days[0].High != 76 || days[0].Surely() != (Least{}) || row.RestDays(days[0].High) != 4 || len(assumed) == 0 {
		t.Errorf("alone it asks for the longest rest: %+v %v", days, assumed)
	}
	r := Record{Until: monday, LastHigh: monday - 3, LastHighKnown: true, Weeks: []Week{{Ends: monday - 1, Throws: 60, High: 30}}}
	days, _ = r.History(row)
	l := NewLedger(row, Year{}, monday, monday, days)
	if l.Day(monday-1).High != 0 || l.Day(monday-3).High != 10 {
		t.Errorf("known last day: %+v", days)
	}
	r.Days = []Day{{On: monday - 3, High: 2}}
	if days, _ = r.History(row); NewLedger(row, Year{}, monday, monday, days).Day(monday-3).High != 10 {
		t.Errorf("a record of a part of that day takes none of it away: %+v", days)
	}
	r.Days = []Day{{On: monday - 1, High: 2}}
	if days, _ = r.History(row); NewLedger(row, Year{}, monday, monday, days).Day(monday-3).High != 10 {
		t.Errorf("nor does a later day with a few: %+v", days)
	}
	_, assumed = Record{Until: monday, Days: []Day{{On: monday - 4, Low: 9}}}.History(row)
	if len(assumed) != 1 || !strings.Contains(assumed[0], "3 days") {
		t.Errorf("gap: %v", assumed)
	}
	_, assumed = Record{Until: monday}.History(row)
	if len(assumed) != 1 || !strings.Contains(assumed[0], "counted as none") {
		t.Errorf("nothing known: %v", assumed)
	}
}

func TestWordsAndUses(t *testing.T) {
	l := NewLedger(rowAt(t, 14), Year{}, monday, monday+2, []Day{{On: monday, High: 46}, {On: monday + 2, Low: 3}})
	if b, broken := l.FirstFrom(monday); !broken || b.String() != "2026-11-09: 46 high-effort throws a day, the limit is at most 45 high-effort throws a day" {
		t.Errorf("%v %q", broken, b.String())
	}
	uses := l.Uses()
	for _, u := range uses {
		if u.ID == DaysOff && (u.Planned != 5 || u.On != monday+2) {
			t.Errorf("closest to days off: %+v", u)
		}
	}
	if len(uses) < 6 {
		t.Errorf("uses: %v", uses)
	}
	if len(Check(nil, nil, rowAt(t, 14), Year{})) != 0 {
		t.Error("no days, no breach")
	}
}
