package plan

import (
	"math/rand/v2"
	"testing"
	"time"

	"rungwise/engine/workload"
)

// base returns the published table and the house defaults. Table, innings and months off: MLB and USA Baseball,
// Guidelines for Youth and Adolescent Pitchers; everything else: house default.
func base() workload.Limits {
	young, older := []int{20, 35, 50, 65}, []int{30, 45, 60, 75}
	by, every := func(id string, a, b, c float64) workload.Limit {
		return workload.Limit{ID: id, To14: a, To18: b, Adult: c}
	}, workload.Every
	return workload.Limits{
		Table: []workload.PitchRow{
			{From: 7, To: 8, Daily: 50, Rest: []int{20, 35, 50}}, {From: 9, To: 10, Daily: 75, Rest: young},
			{From: 11, To: 12, Daily: 85, Rest: young}, {From: 13, To: 14, Daily: 95, Rest: young},
			{From: 15, To: 16, Daily: 95, Rest: older}, {From: 17, To: 18, Daily: 105, Rest: older},
			{From: 19, To: 22, Daily: 120, Rest: older},
		},
		Numbers: []workload.Limit{
			by(workload.WeeklyGrowth, 1.10, 1.15, 1.20), by(workload.GrowthFloor, 60, 85, 100),
			by(workload.DailyThrows, 85, 115, 140), by(workload.DailyHigh, 45, 75, 100), by(workload.HighDays, 2, 2, 3),
			by(workload.DaysInARow, 2, 3, 4), by(workload.DaysOff, 2, 1, 1),
			every(workload.DaysBetween, 2), every(workload.DaysBetweenAfter, 30), every(workload.PitchDaysInARow, 2),
			every(workload.LightAfter, 10), every(workload.LightShare, .5), every(workload.BeforeGame, 2),
			every(workload.NoThrowing, 2), every(workload.NoPitching, 4), every(workload.InningsMost, 100),
			every(workload.YoungestAge, 7), every(workload.HardFrom, 9), every(workload.WeightedFrom, 19), every(workload.RadarFrom, 19), every(workload.RadarThrows, 20),
		},
		Innings: []workload.InningsRow{{From: 0, To: 8, Most: 60}, {From: 9, To: 12, Most: 80}, {From: 13, To: 18, Most: 100}},
		Weights: workload.Weights{LowTo: 60, ModerateTo: 85, Low: .78, Moderate: .88, High: 1, Game: 1.1},
	}
}

func rowAt(t testing.TB, age int) workload.Row {
	t.Helper()
	row, err := base().For(age, true)
	if err != nil {
		t.Fatal(err)
	}
	return row
}

// monday is the first day of the hand-computed weeks.
var monday = workload.On(2026, time.November, 9)

// A problem is one random request, with the rules' own row beside the house's.
type problem struct {
	Request
	rules workload.Row
}

// weird returns a house that wants this number changed, tighter or looser.
func weird(rng *rand.Rand, l workload.Limits) workload.Limits {
	var house workload.Limits
	for _, n := range l.Numbers {
		if rng.IntN(4) == 0 && n.ID != workload.YoungestAge {
			house.Numbers = append(house.Numbers, workload.Limit{ID: n.ID, To14: n.To14 * (.5 + rng.Float64()),
				To18: n.To18 * (.5 + rng.Float64()), Adult: n.Adult * (.5 + rng.Float64())})
		}
	}
	for _, r := range l.Table {
		if rng.IntN(3) == 0 {
			row := workload.PitchRow{From: r.From, To: r.To, Daily: r.Daily - 30 + rng.IntN(60)}
			for i, most := range r.Rest {
				row.Rest = append(row.Rest, max(most-10+rng.IntN(15), i))
			}
			house.Table = append(house.Table, row)
		}
	}
	return house
}

func randomProblem(rng *rand.Rand) problem {
	limits := base()
	if rng.IntN(10) < 3 {
		limits, _ = limits.Tighten(weird(rng, limits))
	}
	age, known := 7+rng.IntN(34), rng.IntN(12) > 0
	if rng.IntN(2) == 0 {
		age = 7 + rng.IntN(16)
	}
	row, err := limits.For(age, known)
	if err != nil {
		panic(err)
	}
	rules, _ := base().For(age, known)
	start := workload.Date(20000 + rng.IntN(2000))
	r := Request{Start: start, Weeks: 1 + rng.IntN(6), Limits: row, Phase: MoundPhase, History: randomHistory(rng, start)}
	for d := range 7 {
		if rng.IntN(3) > 0 {
			r.Train = append(r.Train, time.Weekday(d))
		}
	}
	if len(r.Train) == 0 || rng.IntN(4) == 0 {
		r.Train = []time.Weekday{0, 1, 2, 3, 4, 5, 6}
	}
	for _, d := range r.Train {
		if rng.IntN(2) == 0 {
			r.Mound = append(r.Mound, d)
		}
	}
	for i := range 7 * r.Weeks {
		if rng.IntN(12) == 0 {
			r.Away = append(r.Away, start+workload.Date(i))
		}
	}
	if rng.IntN(3) == 0 {
		for range 1 + rng.IntN(3) {
			r.Games = append(r.Games, workload.Day{On: start + workload.Date(rng.IntN(7*r.Weeks+9)), Game: 8 + rng.IntN(50), Innings: float64(1 + rng.IntN(5))})
		}
	}
	r.Year = randomYear(rng)
	if rng.IntN(4) == 0 {
		r.Wish = WishFor(row, MoundPhase)
		r.Wish.High = 8 + rng.IntN(100)
		r.Wish.Lighter = append([]Size{{40 + rng.IntN(60), 40}, {30, 40}}, r.Wish.Lighter...)
	}
	if rng.IntN(6) == 0 {
		r.Phase = InSeason
	}
	return problem{r, rules}
}

func randomYear(rng *rand.Rand) (y workload.Year) {
	if rng.IntN(3) == 0 {
		y.Innings, y.InningsKnown = float64(rng.IntN(110)), true
	}
	if rng.IntN(4) == 0 {
		y.NoThrowing, y.NoThrowingKnown = 1+rng.IntN(4), true
	}
	if rng.IntN(4) == 0 {
		y.NoPitching, y.NoPitchingKnown = 3+rng.IntN(4), true
	}
	return y
}

// randomHistory is empty, regular, chaotic far over every limit, a burst after a gap, stopped two weeks ago, or games.
func randomHistory(rng *rand.Rand, start workload.Date) (days []workload.Day) {
	kind, size := rng.IntN(6), 1+rng.IntN(3)
	for back := 45; back >= 1; back-- {
		on := start - workload.Date(back)
		d := workload.Day{On: on}
		switch {
		case kind == 1 && on%7 < 4:
			d.Low, d.Moderate = 10*size, 8*size
			if on%7 == 0 || on%7 == 3 {
				d.High = 10 * size
			}
		case kind == 2 && rng.IntN(4) > 0:
			d.Low, d.Moderate, d.High = rng.IntN(80), rng.IntN(60), rng.IntN(90)*rng.IntN(2)
		case kind == 3 && back <= 4:
			d.Low, d.High = 20*size, 10*size
		case kind == 4 && back > 14 && on%7 < 5:
			d.Low, d.Moderate, d.High = 15*size, 10*size, 6*size*int(on%2)
		case kind == 5 && on%7 == 5:
			d.Low, d.Game, d.Innings = 25, 20+20*size, 4
		case kind == 5 && on%7 == 2:
			d.Low = 30
		default:
			continue
		}
		days = append(days, d)
	}
	return days
}

// judged returns a judge over what a result plans, games after its end included.
func (p problem) judged(days []Day, row workload.Row) *judge {
	first, last := p.Start, p.Start+workload.Date(7*p.Weeks)-1
	var planned []workload.Day
	for _, d := range days {
		if d.Kind != Done {
			planned = append(planned, d.Day)
		}
	}
	for _, h := range p.History {
		first = max(first, h.On+1)
	}
	var later []workload.Day
	for _, g := range p.Games {
		if g.On > last && g.On <= last+ahead(p.Limits) {
			later = append(later, g)
		}
	}
	for _, g := range later {
		last = max(last, g.On)
	}
	return newJudge(row, p.Year, first, last, p.History, planned, later)
}
