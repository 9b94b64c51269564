package plan

import (
	"fmt"
	"testing"
	"time"

	"rungwise/engine/workload"
)

// A week worked out by hand. want holds a day an entry: kind low+moderate+high, and the limits that it names.
type goldenWeek struct {
	name    string
	request Request
	want    []string
}

var allDays = []time.Weekday{1, 2, 3, 4, 5, 6, 0}

// on returns a day counted from monday.
func on(n int, d workload.Day) workload.Day { d.On = monday + workload.Date(n); return d }

// ask returns a week's request from monday, nothing thrown before it.
func ask(t *testing.T, age int, train, mound []time.Weekday) Request {
	return Request{Start: monday, Weeks: 1, Train: train, Mound: mound, Phase: MoundPhase, Limits: rowAt(t, age)}
}

// steady puts five weeks of the same three days before the request, so that the base is three times their load.
func steady(r Request, high int) Request {
	for back := 35; back >= 7; back -= 7 {
		for _, n := range []int{0, 2, 4} {
			r.History = append(r.History, on(n-back, workload.Day{Low: 20, Moderate: 15, High: high}))
		}
	}
	return r
}

var mwf = []time.Weekday{time.Monday, time.Wednesday, time.Friday}

const off = "rest 0+0+0 no_training_day"

func golden(t *testing.T) []goldenWeek { return append(goldenBases(t), goldenBars(t)...) }

// goldenBases are weeks in which the base and the days bind.
func goldenBases(t *testing.T) []goldenWeek {
	adult := ask(t, 25, mwf, []time.Weekday{time.Monday, time.Friday})
	return []goldenWeek{
		{
			// Cap 100 (floor, adult). Full session 20 x .78 + 15 x .88 + 30 = 58.8; short 12 x .78 + 8 x .88 + 30 = 46.4.
			// 58.8 + 46.4 is over, 46.4 + 46.4 = 92.8 fits and leaves 7.2: eight easy throws (6.24).
			name: "adult without a base", request: adult,
			want: []string{"mound 12+8+30 weekly_growth", off, "light 8+0+0 weekly_growth", off, "mound 12+8+30 weekly_growth", off, off},
		},
		{
			// Base 3 x 58.8 = 176.4 a week, cap 1.2 x 176.4 = 211.68. 58.8 + (15.6 + 26.4 = 42) + 58.8 = 159.6 fits; the
			// windows that reach back to Friday hold at most 58.8 more.
			name: "adult with a base", request: steady(adult, 30),
			want: []string{"mound 20+15+30", off, "drill 20+30+0", off, "mound 20+15+30", off, off},
		},
		{
			// Cap 60. 15 x .78 + 10 x .88 + 20 = 40.5 leaves no second session (least 21.08); short 10 x .78 + 6 x .88 + 20
			// = 33.08 and half, 23.08, make 56.16. Friday would be the third high-effort day; 3.84 is under eight throws.
			name: "twelve years without a base", request: ask(t, 12, mwf, mwf),
			want: []string{"mound 10+6+20 weekly_growth", off, "mound 10+6+10 weekly_growth", off,
				"rest 0+0+0 high_effort_days_in_7 weekly_growth", off, off},
		},
		{
			// MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers: 60 pitches, three days, so Friday. Base 3 x
			// 58.8, cap 1.1 x 176.4 = 194.04, the game 66. Tuesday is the day after more than ten pitches: half of eleven, 5.5, are
			// under eight easy throws (6.24). Wednesday 58.8 + 66 + 42 = 166.8. Thursday would leave Friday the third day in a
			// row. Friday 66 + 42 + 40.5 = 148.5; Saturday is the day after it and, after Monday and Friday, the third with
			// pitches in seven. Sunday 66 + 42 + 40.5 + 42 = 190.5. On the next Monday the game is out of the seven days.
			name: "sixty pitches at twelve on Monday", request: func() Request {
				r := steady(ask(t, 12, allDays, allDays), 30)
				r.Start++
				r.History = append(r.History, on(0, workload.Day{Game: 60}))
				return r
			}(),
			want: []string{"rest 0+0+0 rest_days day_after_from", "drill 20+30+0 rest_days", "rest 0+0+0 rest_days weekly_growth days_in_a_row",
				"mound 15+10+20", "rest 0+0+0 high_effort_days_in_7 day_after_from", "drill 20+30+0 high_effort_days_in_7", "mound 15+10+20"},
		},
		{
			// Full session 53.8, base 161.4, cap 185.6; 42 + 53.8 + 42 + the game's 44 = 181.8. Monday: last Wednesday and Friday
			// are in the seven days. Saturday's game is one of two high-effort days in seven at 16; Wednesday is three days before it, Friday one.
			name: "game on Saturday at sixteen", request: func() Request {
				r := steady(ask(t, 16, mwf, mwf), 25)
				r.Games = []workload.Day{on(5, workload.Day{Game: 40, Innings: 3})}
				return r
			}(),
			want: []string{"drill 20+30+0 high_effort_days_in_7", off, "mound 20+15+25", off, "drill 20+30+0 days_before_game", "game 0+0+0", off},
		},
		{
			// The floor of the youngest, 60, and no hard throws: 42, then 16.4.
			name: "unknown age", request: func() Request {
				r := ask(t, 25, mwf, mwf)
				r.Limits, _ = base().For(0, false)
				return r
			}(),
			want: []string{"drill 20+30+0 daily_high_effort", off, "drill 12+8+0 daily_high_effort weekly_growth", off,
				"rest 0+0+0 daily_high_effort weekly_growth", off, off},
		},
		{
			// Cap 211.68. Monday and Thursday 58.8 each. The days after them hold at most 5.5, under eight easy throws.
			// Thursday's seven days hold last Friday's 58.8 too: 58.8 + 58.8 + 24.9 (15 x .78 + 15 x .88) + 58.8 = 201.3.
			// Saturday 42; Sunday 211.68 - 184.5 = 27.18: 24.9.
			name: "every day, an adult", request: steady(ask(t, 25, allDays, []time.Weekday{time.Monday, time.Thursday}), 30),
			want: []string{"mound 20+15+30", "rest 0+0+0 day_after_from", "drill 15+15+0 weekly_growth", "mound 20+15+30",
				"rest 0+0+0 day_after_from", "drill 20+30+0", "drill 15+15+0 weekly_growth"},
		},
	}
}

// goldenBars are weeks in which the year or a long outing binds.
func goldenBars(t *testing.T) []goldenWeek {
	return []goldenWeek{
		{
			// 100 innings are the most at 17 (the same guideline): no pitches, so no high effort. Cap 85: 42 + 42 = 84.
			name: "innings used up", request: func() Request {
				r := ask(t, 17, mwf, mwf)
				r.Year = workload.Year{Innings: 100, InningsKnown: true}
				return r
			}(),
			want: []string{"drill 20+30+0 innings_12_months", off, "drill 20+30+0 innings_12_months", off,
				"rest 0+0+0 innings_12_months weekly_growth", off, off},
		},
		{
			// One month of twelve without throwing, two are asked for (the same guideline): nothing.
			name: "too few months off at thirteen", request: func() Request {
				r := ask(t, 13, mwf, mwf)
				r.Year = workload.Year{NoThrowing: 1, NoThrowingKnown: true}
				return r
			}(),
			want: []string{"rest 0+0+0 months_no_overhead", off, "rest 0+0+0 months_no_overhead", off, "rest 0+0+0 months_no_overhead", off, off},
		},
		{
			// 80 pitches on Sunday, 88: four days, so Friday (the same guideline). Cap 211.68. Monday holds at most 5.5, Tuesday: last
			// week's 117.6 + 88 leave 6.08, both under eight throws. Wednesday 58.8 + 88 + 42 = 188.8; Thursday 22.88 left: 16.4. Friday 88
			// + 42 + 16.4 + 58.8 = 205.2. Saturday is the day after it.
			name: "long outing on Sunday", request: func() Request {
				r := steady(ask(t, 30, allDays, allDays), 30)
				r.History = append(r.History, on(-1, workload.Day{Game: 80}))
				return r
			}(),
			want: []string{"rest 0+0+0 rest_days day_after_from", "rest 0+0+0 rest_days weekly_growth", "drill 20+30+0 rest_days",
				"drill 12+8+0 rest_days weekly_growth", "mound 20+15+30", "rest 0+0+0 day_after_from", "mound 20+15+30"},
		},
	}
}

func TestGoldenWeeks(t *testing.T) {
	for _, g := range golden(t) {
		r := Schedule(g.request)
		if len(r.Refused) > 0 || len(r.Days) != 7 {
			t.Errorf("%s: refused %v, %d days", g.name, r.Refused, len(r.Days))
			continue
		}
		for i, d := range r.Days {
			got := fmt.Sprintf("%s %d+%d+%d", d.Kind, d.Low, d.Moderate, d.High)
			for _, b := range d.Because {
				got += " " + b.ID
			}
			if got != g.want[i] {
				t.Errorf("%s, %s: %s, want %s", g.name, d.On.Weekday(), got, g.want[i])
			}
		}
	}
}
