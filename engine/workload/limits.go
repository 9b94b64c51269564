package workload

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// The names of the numbers that the rules' data must hold, each as three values: to 14 years, 15 to 18, 19 and over.
const (
	WeeklyGrowth     = "weekly_growth"            // most load in seven days, times the base
	GrowthFloor      = "growth_floor"             // load in seven days that growth never forbids, full-effort throws
	DailyThrows      = "daily_throws"             // most throws a day, all of them
	DailyHigh        = "daily_high_effort"        // most high-effort throws a day outside games
	HighDays         = "high_effort_days_in_7"    // most days with pitches in any seven
	DaysInARow       = "days_in_a_row"            // most days with throws in a row
	DaysOff          = "days_off_in_7"            // fewest days without a throw in any seven
	DaysBetween      = "days_between_high_effort" // full days between days with pitches after a long one
	DaysBetweenAfter = "high_effort_many"         // most pitches that do not make a day a long one
	PitchDaysInARow  = "pitching_days_in_a_row"   // most days with pitches in a row
	LightAfter       = "day_after_from"           // most pitches that ask for no light next day
	LightShare       = "day_after_share"          // most load of a light day, share of the day before
	BeforeGame       = "days_before_game"         // days before a game without high effort
	NoThrowing       = "months_no_overhead"       // to 18 years: months of twelve without any overhead throwing
	NoPitching       = "months_off"               // to 18 years: months of twelve without competitive pitching
	InningsMost      = "innings_most"             // to 18 years: most innings in twelve months, whatever the table says
	YoungestAge      = "youngest_age"             // youngest age in years for any plan
	HardFrom         = "hard_min_age"             // youngest age for high-effort practice throws
	WeightedFrom     = "weighted_min_age"         // youngest age for implements heavier or lighter than a baseball
	RadarFrom        = "radar_adult_age"          // youngest age for measured maximal throws without a cap
	RadarThrows      = "radar_throws_under_19"    // most measured maximal throws a day below that age
)

// The names of limits that come from the tables and the athlete, for breaches.
const (
	DailyPitches = "daily_pitches"     // the table's daily most
	RestDays     = "rest_days"         // the table's days of rest
	Innings      = "innings_12_months" // the innings table
)

// A Direction is the way in which a number gets stricter.
type Direction int

// Down: a smaller number is stricter. Up: a larger one is.
const (
	Down Direction = iota
	Up
)

// String returns down or up, as the data writes it.
func (d Direction) String() string { return [...]string{"down", "up"}[d] }

// A Limit is one number by age. A number that does not depend on age holds it three times.
type Limit struct {
	ID                string
	To14, To18, Adult float64
	Unit, Why, Source string
}

// Every returns a limit that is the same at every age.
func Every(id string, value float64) Limit {
	return Limit{ID: id, To14: value, To18: value, Adult: value}
}

// A PitchRow is a row of the published table: the most pitches a day from one age to another, and Rest[i], the most
// pitches after which i full days of rest will do. More than the last entry needs len(Rest) days.
type PitchRow struct {
	From, To int // ages in years, both included
	Daily    int
	Rest     []int
}

// Uncounted is how many pitches a day stands for of which nobody counted them: as many as ask for the longest rest.
func (r PitchRow) Uncounted() int {
	if len(r.Rest) == 0 {
		return r.Daily
	}
	return min(r.Rest[len(r.Rest)-1]+1, r.Daily)
}

// An InningsRow is the most innings in twelve months from one age to another.
type InningsRow struct {
	From, To int
	Most     float64
}

// Limits is everything that the rules' data says about load.
type Limits struct {
	Version, Source string // of the pitch table
	Table           []PitchRow
	Before          []PitchRow // the table before a house tightened it; nil: the same
	Numbers         []Limit
	Innings         []InningsRow
	Weights         Weights
}

// A number's name and the direction that makes it stricter. The direction belongs to what the check does with the
// number, so it stands here and not in the data, which is only compared with it.
type known struct {
	id      string
	tighten Direction
	most    float64 // largest value that can be meant
}

func numbers() []known {
	return []known{
		{WeeklyGrowth, Down, 2}, {GrowthFloor, Down, 500}, {DailyThrows, Down, 500}, {DailyHigh, Down, 200},
		{HighDays, Down, 7}, {DaysInARow, Down, 7}, {DaysOff, Up, 7}, {DaysBetween, Up, 14}, {DaysBetweenAfter, Down, 200},
		{PitchDaysInARow, Down, 7}, {LightAfter, Down, 200}, {LightShare, Down, 1}, {BeforeGame, Up, 14},
		{NoThrowing, Up, 12}, {NoPitching, Up, 12}, {InningsMost, Down, 1000}, {YoungestAge, Up, 100},
		{HardFrom, Up, 100}, {WeightedFrom, Up, 100}, {RadarFrom, Up, 100}, {RadarThrows, Down, 500},
	}
}

// Names returns the names of all numbers that Limits must hold, in a fixed order.
func Names() []string {
	var names []string
	for _, k := range numbers() {
		names = append(names, k.id)
	}
	return names
}

// Tightening returns the direction in which a named number gets stricter; ok is false for a name that is not one.
func Tightening(id string) (d Direction, ok bool) {
	for _, k := range numbers() {
		if k.id == id {
			return k.tighten, true
		}
	}
	return Down, false
}

func mostMeant(id string) float64 {
	for _, k := range numbers() {
		if k.id == id {
			return k.most
		}
	}
	return 0
}

// number returns the entry of a name, or false.
func (l Limits) number(id string) (Limit, bool) {
	i := slices.IndexFunc(l.Numbers, func(n Limit) bool { return n.ID == id })
	if i < 0 {
		return Limit{}, false
	}
	return l.Numbers[i], true
}

// Faults lists what is missing from the limits or cannot be meant, in plain words; empty when they can be used.
func (l Limits) Faults() []string {
	faults := l.tableFaults()
	for _, k := range numbers() {
		n, ok := l.number(k.id)
		if !ok {
			faults = append(faults, fmt.Sprintf("the limit %q is missing", k.id))
			continue
		}
		for _, v := range n.values() {
			if !(v >= 0 && v <= k.most) {
				faults = append(faults, fmt.Sprintf("the limit %q is %v, expected 0 to %v", k.id, v, k.most))
			}
		}
	}
	w := l.Weights
	if !(w.LowTo > 0 && w.LowTo < w.ModerateTo && w.ModerateTo < 100) {
		faults = append(faults, "the bounds of low and moderate effort must rise between 0 and 100 %")
	}
	if !(w.Low > 0 && w.Low <= w.Moderate && w.Moderate <= w.High && w.High <= w.Game && w.Game <= 2) {
		faults = append(faults, "the effort weights must rise from low over moderate and high to game")
	}
	return faults
}

func (l Limits) tableFaults() []string {
	if len(l.Table) == 0 {
		return []string{"the pitch table is empty"}
	}
	var faults []string
	for i, r := range l.Table {
		if r.To < r.From || i > 0 && r.From != l.Table[i-1].To+1 {
			faults = append(faults, fmt.Sprintf("the pitch table's ages %d to %d do not follow on", r.From, r.To))
		}
		if r.Daily < 0 || len(r.Rest) == 0 || !slices.IsSorted(r.Rest) {
			faults = append(faults, fmt.Sprintf("the pitch table's row of %d to %d needs a daily most and rising rest counts", r.From, r.To))
		}
	}
	return faults
}

func (n Limit) values() [3]float64 { return [3]float64{n.To14, n.To18, n.Adult} }

// At returns the value for an age.
func (n Limit) At(age int) float64 {
	switch {
	case age <= 14:
		return n.To14
	case age <= 18:
		return n.To18
	}
	return n.Adult
}

// ErrTooYoung is returned for an age below the table's first row: no throwing plan is made.
var ErrTooYoung = errors.New("no throwing plan is made for an athlete this young")

// For returns what binds an athlete of an age in whole years. An unknown age gets the youngest row of everything; an
// age over the table's last row gets that row. Below the first row the error is ErrTooYoung.
func (l Limits) For(age int, ageKnown bool) (Row, error) {
	if f := l.Faults(); len(f) > 0 {
		return Row{}, errors.New(f[0])
	}
	if !ageKnown {
		age = l.Table[0].From
	}
	if youngest, _ := l.number(YoungestAge); age < l.Table[0].From || ageKnown && float64(age) < youngest.At(age) {
		return Row{}, ErrTooYoung
	}
	row := l.row(age)
	row.Known = ageKnown
	return row, nil
}

func (l Limits) row(age int) Row {
	get := func(id string) float64 { n, _ := l.number(id); return n.At(age) }
	whole := func(id string) int { return int(math.Floor(get(id))) }
	// Where more is stricter a broken number is rounded up, so that rounding never loosens.
	ceil := func(id string) int { return int(math.Ceil(get(id))) }
	row := Row{
		Age: age, Table: l.pitchRow(age), Uncounted: l.uncounted(age), Weights: l.Weights, MostInnings: l.innings(age),
		WeeklyGrowth: get(WeeklyGrowth), GrowthFloor: get(GrowthFloor),
		DailyThrows: whole(DailyThrows), DailyHigh: whole(DailyHigh), HighDays: whole(HighDays),
		DaysInARow: whole(DaysInARow), DaysOff: ceil(DaysOff),
		DaysBetween: ceil(DaysBetween), DaysBetweenAfter: whole(DaysBetweenAfter), PitchDaysInARow: whole(PitchDaysInARow),
		LightAfter: whole(LightAfter), LightShare: get(LightShare), BeforeGame: ceil(BeforeGame),
		NoThrowing: ceil(NoThrowing), NoPitching: ceil(NoPitching),
		HardFrom: ceil(HardFrom), WeightedFrom: ceil(WeightedFrom), RadarFrom: ceil(RadarFrom), RadarThrows: whole(RadarThrows),
	}
	return row.season(get(InningsMost))
}

// adult is the age from which the guideline for youth and adolescent pitchers no longer speaks of the year: months off
// and the innings of adolescents. A house gives its adults an innings row of their own.
const adult = 19

func (r Row) season(inningsMost float64) Row {
	switch {
	case r.Age >= adult:
		r.NoThrowing, r.NoPitching = 0, 0
	case r.MostInnings == 0:
		r.MostInnings = inningsMost
	default:
		r.MostInnings = min(r.MostInnings, inningsMost)
	}
	return r
}

func (l Limits) pitchRow(age int) PitchRow {
	for _, r := range l.Table {
		if age >= r.From && age <= r.To {
			return r
		}
	}
	return l.Table[len(l.Table)-1]
}

// uncounted is what a day without a count stands for at an age: a table that a house tightened may not make it less.
func (l Limits) uncounted(age int) int {
	n := l.pitchRow(age).Uncounted()
	if len(l.Before) == 0 {
		return n
	}
	return max(n, Limits{Table: l.Before}.pitchRow(age).Uncounted())
}

// innings returns the most innings in twelve months, 0 where the table has no row for the age.
func (l Limits) innings(age int) float64 {
	for _, r := range l.Innings {
		if age >= r.From && age <= r.To {
			return r.Most
		}
	}
	return 0
}
