package workload

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers: every row at both of its ages, every boundary.
func TestPublishedTable(t *testing.T) {
	type bound struct{ pitches, rest int }
	young := []bound{{1, 0}, {20, 0}, {21, 1}, {35, 1}, {36, 2}, {50, 2}, {51, 3}, {65, 3}, {66, 4}}
	older := []bound{{1, 0}, {30, 0}, {31, 1}, {45, 1}, {46, 2}, {60, 2}, {61, 3}, {75, 3}, {76, 4}}
	for _, c := range []struct {
		ages   [2]int
		daily  int
		bounds []bound
	}{
		{[2]int{7, 8}, 50, young[:6]},
		{[2]int{9, 10}, 75, young},
		{[2]int{11, 12}, 85, young},
		{[2]int{13, 14}, 95, young},
		{[2]int{15, 16}, 95, older},
		{[2]int{17, 18}, 105, older},
		{[2]int{19, 22}, 120, older},
		{[2]int{23, 40}, 120, older}, // 23 and older use the 19-22 row: house default
	} {
		for _, age := range c.ages {
			row := rowAt(t, age)
			if row.Table.Daily != c.daily {
				t.Errorf("age %d: daily most %d, want %d", age, row.Table.Daily, c.daily)
			}
			for _, b := range c.bounds {
				if got := row.RestDays(b.pitches); got != b.rest {
					t.Errorf("age %d, %d pitches: %d days of rest, want %d", age, b.pitches, got, b.rest)
				}
			}
		}
	}
}

// House defaults, checked at the edges of their ages.
func TestRowsByAge(t *testing.T) {
	for _, c := range []struct {
		age                          int
		growth, floor                float64
		throws, high, days, row, off int
	}{
		{7, 1.10, 60, 85, 45, 2, 2, 2}, {14, 1.10, 60, 85, 45, 2, 2, 2},
		{15, 1.15, 85, 115, 75, 2, 3, 1}, {18, 1.15, 85, 115, 75, 2, 3, 1},
		{19, 1.20, 100, 140, 100, 3, 4, 1}, {40, 1.20, 100, 140, 100, 3, 4, 1},
	} {
		r := rowAt(t, c.age)
		if r.WeeklyGrowth != c.growth || r.GrowthFloor != c.floor || r.DailyThrows != c.throws || r.DailyHigh != c.high ||
			r.HighDays != c.days || r.DaysInARow != c.row || r.DaysOff != c.off {
			t.Errorf("age %d: %+v", c.age, r)
		}
	}
	for _, c := range []struct{ age, pitches, days int }{{30, 30, 0}, {30, 31, 2}, {30, 61, 3}, {12, 20, 0}, {12, 21, 1}, {12, 31, 2}} {
		if got := rowAt(t, c.age).Between(c.pitches); got != c.days {
			t.Errorf("age %d, %d pitches: %d days between, want %d", c.age, c.pitches, got, c.days)
		}
	}
}

func TestUnknownAgeIsTheYoungest(t *testing.T) {
	row, err := base().For(0, false)
	if err != nil {
		t.Fatal(err)
	}
	want := rowAt(t, 7)
	want.Known = false
	if row.Table.Daily != 50 || row.GrowthFloor != 60 || row.DaysOff != 2 || row.MostInnings != 60 || row.Age != want.Age {
		t.Errorf("unknown age: %+v", row)
	}
	if n, capped := row.MostMeasured(); row.Weighted() || !capped || n != 20 {
		t.Error("an unknown age may not have weighted implements or free radar use")
	}
	_, at18 := rowAt(t, 18).MostMeasured()
	_, at19 := rowAt(t, 19).MostMeasured()
	if !rowAt(t, 19).Weighted() || rowAt(t, 18).Weighted() || !at18 || at19 {
		t.Error("weighted implements and radar change at 19")
	}
}

func TestTooYoung(t *testing.T) {
	for _, age := range []int{6, 0, -3} {
		if _, err := base().For(age, true); !errors.Is(err, ErrTooYoung) {
			t.Errorf("age %d: %v", age, err)
		}
	}
}

// The guideline's months off and innings are for youth and adolescents; a house may give its adults an innings row.
func TestTheYearEndsAt19(t *testing.T) {
	for _, c := range []struct {
		age, off, noThrows int
		innings            float64
	}{{8, 4, 2, 60}, {12, 4, 2, 80}, {18, 4, 2, 100}, {19, 0, 0, 0}} {
		if r := rowAt(t, c.age); r.NoPitching != c.off || r.NoThrowing != c.noThrows || r.MostInnings != c.innings {
			t.Errorf("age %d: %d months off, %d without throwing, %v innings", c.age, r.NoPitching, r.NoThrowing, r.MostInnings)
		}
	}
	house, _ := base().Tighten(Limits{Numbers: []Limit{Every(InningsMost, 70), Every(YoungestAge, 9)}})
	if r, _ := house.For(18, true); r.MostInnings != 70 {
		t.Errorf("a house's innings: %v", r.MostInnings)
	}
	if _, err := house.For(8, true); !errors.Is(err, ErrTooYoung) {
		t.Errorf("a house's youngest age: %v", err)
	}
}

func TestFaults(t *testing.T) {
	if f := base().Faults(); len(f) != 0 {
		t.Fatalf("the base has faults: %v", f)
	}
	for name, spoil := range map[string]func(*Limits){
		"is missing":      func(l *Limits) { l.Numbers = l.Numbers[1:] },
		"pitch table":     func(l *Limits) { l.Table[2].From = 12 },
		"rising rest":     func(l *Limits) { l.Table[2].Rest = []int{30, 20} },
		"weights":         func(l *Limits) { l.Weights.Low = 0 },
		"bounds":          func(l *Limits) { l.Weights.LowTo = 90 },
		"expected 0 to 2": func(l *Limits) { l.Numbers[0].Adult = math.NaN() },
	} {
		l := base()
		spoil(&l)
		if f := strings.Join(l.Faults(), "; "); !strings.Contains(f, name) {
			t.Errorf("%s: faults %q", name, f)
		}
		if _, err := l.For(20, true); err == nil {
			t.Errorf("%s: a spoiled set was used", name)
		}
	}
}

func TestTighten(t *testing.T) {
	house := Limits{
		Numbers: []Limit{
			Every(WeeklyGrowth, 1.15), // looser to 14, same to 18, tighter for adults
			Every(DaysOff, 2),         // tighter or same
			Every(DaysOff, 0),         // looser
			Every("no_such", 1),
			Every(GrowthFloor, math.NaN()),
			Every(DaysOff, 30), // a slip
		},
		Table:   []PitchRow{{9, 12, 60, []int{15, 40, 50}}, {8, 8, 10, nil}, {13, 14, 200, []int{20, 35, 50, 65, 80}}},
		Innings: []InningsRow{{9, 12, 70}, {13, 18, 120}, {19, 40, 150}, {5, 7, 10}},
		Weights: Weights{Low: .1},
	}
	got, refused := base().Tighten(house)
	g, _ := got.number(WeeklyGrowth)
	off, _ := got.number(DaysOff)
	floor, _ := got.number(GrowthFloor)
	if g.values() != [3]float64{1.10, 1.15, 1.15} || off.values() != [3]float64{2, 2, 2} || floor.Adult != 100 {
		t.Errorf("numbers: growth %v, off %v, floor %v", g.values(), off.values(), floor.values())
	}
	if r := got.pitchRow(11); r.Daily != 60 || r.RestDays(t, 16) != 1 || r.RestDays(t, 36) != 2 || r.RestDays(t, 66) != 4 {
		t.Errorf("table row 11-12: %+v", r)
	}
	if r := got.pitchRow(13); r.Daily != 95 || r.RestDays(t, 81) != 5 {
		t.Errorf("table row 13-14: %+v", r)
	}
	if got.innings(10) != 70 || got.innings(14) != 100 || got.innings(25) != 150 || got.innings(6) != 60 {
		t.Errorf("innings: %+v", got.Innings)
	}
	if got.Weights != base().Weights {
		t.Error("the weights changed")
	}
	count := map[string]int{}
	for _, r := range refused {
		count[r.ID]++
	}
	want := map[string]int{WeeklyGrowth: 1, DaysOff: 6, "no_such": 1, GrowthFloor: 3, DailyPitches: 2, RestDays: 2, Innings: 2, "effort_weights": 1}
	for id, n := range want {
		if count[id] != n {
			t.Errorf("%s: %d refused, want %d", id, count[id], n)
		}
	}
	if f := got.Faults(); len(f) != 0 {
		t.Errorf("faults after tightening: %v", f)
	}
}

// RestDays of a bare row, for the test above.
func (p PitchRow) RestDays(t *testing.T, pitches int) int {
	t.Helper()
	return Row{Table: p}.RestDays(pitches)
}

// Whatever a house asks for, no number of any age gets looser.
func TestTightenNeverLoosens(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 3000 {
		house := Limits{}
		for _, k := range numbers() {
			if rng.IntN(2) == 0 {
				house.Numbers = append(house.Numbers, Limit{ID: k.id, To14: odd(rng, k.most), To18: odd(rng, k.most), Adult: odd(rng, k.most)})
			}
		}
		for range rng.IntN(4) {
			from := rng.IntN(20)
			rest := make([]int, rng.IntN(7))
			for i := range rest {
				rest[i] = rng.IntN(120) - 10
			}
			house.Table = append(house.Table, PitchRow{from, from + rng.IntN(30), rng.IntN(200) - 20, rest})
			house.Innings = append(house.Innings, InningsRow{from, from + rng.IntN(20), odd(rng, 300)})
		}
		got, _ := base().Tighten(house)
		for age := 7; age < 30; age++ {
			looser(t, age, base().row(age), got.row(age))
		}
	}
}

func odd(rng *rand.Rand, most float64) float64 {
	switch rng.IntN(8) {
	case 0:
		return math.NaN()
	case 1:
		return math.Inf(1 - 2*rng.IntN(2))
	}
	return (rng.Float64()*1.6 - .3) * most
}

func looser(t *testing.T, age int, was, is Row) {
	t.Helper()
	down := is.WeeklyGrowth <= was.WeeklyGrowth && is.GrowthFloor <= was.GrowthFloor && is.DailyThrows <= was.DailyThrows &&
		is.DailyHigh <= was.DailyHigh && is.HighDays <= was.HighDays && is.DaysInARow <= was.DaysInARow &&
		is.DaysBetweenAfter <= was.DaysBetweenAfter && is.PitchDaysInARow <= was.PitchDaysInARow && is.LightAfter <= was.LightAfter &&
		is.LightShare <= was.LightShare && is.Table.Daily <= was.Table.Daily && (was.MostInnings == 0 || is.MostInnings <= was.MostInnings)
	up := is.DaysOff >= was.DaysOff && is.DaysBetween >= was.DaysBetween && is.BeforeGame >= was.BeforeGame &&
		is.NoThrowing >= was.NoThrowing && is.NoPitching >= was.NoPitching && is.WeightedFrom >= was.WeightedFrom && is.RadarFrom >= was.RadarFrom && is.RadarThrows <= was.RadarThrows
	if !down || !up {
		t.Fatalf("age %d got looser: %+v from %+v", age, is, was)
	}
	for p := range 130 {
		if is.Between(p) < was.Between(p) {
			t.Fatalf("age %d: %d pitches need %d days, were %d", age, p, is.Between(p), was.Between(p))
		}
	}
}

func TestDates(t *testing.T) {
	d := On(2026, time.March, 28)
	if (d+1).String() != "2026-03-29" || (d+2).Weekday() != time.Monday {
		t.Errorf("%s, %s", d+1, (d + 2).Weekday())
	}
	back, err := ParseDate("2026-03-28")
	if err != nil || back != d {
		t.Errorf("read back %v, %v", back, err)
	}
	if _, err := ParseDate("2026-02-30"); err == nil {
		t.Error("30 February was read")
	}
	zone := time.FixedZone("east", 13*3600)
	if got := DateOf(time.Date(2026, 3, 29, 0, 30, 0, 0, zone)); got != d+1 {
		t.Errorf("civil date in its zone: %s", got)
	}
	var u Date
	if err := u.UnmarshalText([]byte("1965-05-04")); err != nil || u.String() != "1965-05-04" || u > 0 {
		t.Errorf("before 1970: %v %v", u, err)
	}
}
