package plan

import (
	"math"

	"rungwise/engine/workload"
)

// A judge checks a schedule from the limits' meaning alone: dense arrays, prefix sums and its own loops, nothing of
// the package that placed the sessions. A fault, when set, is one planted mistake.
type judge struct {
	row    workload.Row
	year   workload.Year
	origin workload.Date // of index 0
	first  int           // index of the first judged day
	day    []workload.Day
	fault  string

	load, sure, off, hot []float64 // prefix sums: load, the load that is sure, days without throws, days with pitches
	least                []float64 // the sure load of history days, -1: the whole of the day
}

const margin = 60 // days kept before the first judged one

func newJudge(row workload.Row, year workload.Year, first, last workload.Date, entries ...[]workload.Day) *judge {
	j := &judge{row: row, year: year, origin: first - margin, first: margin}
	j.day = make([]workload.Day, max(int(last-first), 0)+margin+1)
	j.least = make([]float64, len(j.day))
	for i := range j.day {
		j.day[i].On = j.origin + workload.Date(i)
		j.least[i] = -1
	}
	for _, list := range entries {
		for _, d := range list {
			i := int(d.On - j.origin)
			if i < 0 || i >= len(j.day) {
				continue
			}
			e := &j.day[i]
			e.Low, e.Moderate, e.High, e.Game = e.Low+d.Low, e.Moderate+d.Moderate, e.High+d.High, e.Game+d.Game
			e.Innings += d.Innings
			e.Adjust += d.Adjust
			s := d.Surely()
			j.least[i] = max(j.least[i], 0) + .78*s.Low + .88*s.Moderate + s.High + 1.1*s.Game + s.Adjust
		}
	}
	return j
}

func (j *judge) weight(d workload.Day) float64 {
	l, m, h, g := .78, .88, 1.0, 1.1
	if j.fault == "weights rounded" {
		l, m, h, g = 1, 1, 1, 1
		l = math.Round(.4)
	}
	return math.Max(0, l*float64(d.Low)+m*float64(d.Moderate)+h*float64(d.High)+g*float64(d.Game)+d.Adjust)
}

// sum prepares the prefix sums: x[i+1]-x[k] is the sum over the days k..i.
func (j *judge) sum() {
	n := len(j.day)
	j.load, j.sure, j.off, j.hot = make([]float64, n+1), make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	for i, d := range j.day {
		w, o, h := j.weight(d), 0.0, 0.0
		if j.fault == "history ignored" && i < j.first {
			w = 0
		}
		if d.Low+d.Moderate+d.High+d.Game == 0 {
			o = 1
		}
		if d.High+d.Game > 0 {
			h = 1
		}
		s := w
		if j.least[i] >= 0 && j.fault == "" {
			s = max(j.least[i], 0)
		}
		j.sure[i+1] = j.sure[i] + s
		j.load[i+1], j.off[i+1], j.hot[i+1] = j.load[i]+w, j.off[i]+o, j.hot[i]+h
	}
}

func over(s []float64, from, to int) float64 { return s[to+1] - s[from] }

const hair = 1e-9

// faults returns the names of the limits that day i breaks.
func (j *judge) faults(i int) []string {
	d, r := j.day[i], j.row
	throws, pitches := d.Low+d.Moderate+d.High+d.Game, d.High+d.Game
	if throws == 0 {
		return nil
	}
	var out []string
	mark := func(broken bool, id string) {
		if broken {
			out = append(out, id)
		}
	}
	slip := 0
	if j.fault == "daily cap +1" {
		slip = 1
	}
	mark(pitches > r.Table.Daily+slip, workload.DailyPitches)
	hard := min(r.DailyHigh, r.Table.Daily)
	if !r.Known || r.Age < r.HardFrom {
		hard = 0
	}
	mark(d.High > hard+slip, workload.DailyHigh)
	mark(throws > r.DailyThrows+slip, workload.DailyThrows)
	mark(j.rest(i, workload.RestDays), workload.RestDays)
	mark(j.rest(i, workload.DaysBetween), workload.DaysBetween)
	mark(j.seven(i), workload.HighDays)
	days := 7
	if j.fault == "off days in eight" {
		days = 8
	}
	mark(over(j.off, i-days+1, i) < float64(r.DaysOff), workload.DaysOff)
	mark(pitches > 0 && over(j.hot, i-r.PitchDaysInARow, i) == float64(r.PitchDaysInARow+1), workload.PitchDaysInARow)
	row := i - r.DaysInARow
	if j.fault == "row forgets history" {
		row = max(row, j.first)
	}
	mark(i-row == r.DaysInARow && over(j.off, row, i) == 0, workload.DaysInARow)
	mark(j.light(i), workload.LightAfter)
	mark(j.before(i), workload.BeforeGame)
	mark(j.innings(i), workload.Innings)
	mark(j.year.NoThrowingKnown && j.year.NoThrowing < r.NoThrowing, workload.NoThrowing)
	mark(j.year.NoPitchingKnown && pitches > 0 && j.year.NoPitching < r.NoPitching, workload.NoPitching)
	mark(j.growth(i), workload.WeeklyGrowth)
	return out
}

// rest walks back over every earlier outing.
func (j *judge) rest(i int, id string) bool {
	if j.day[i].High+j.day[i].Game == 0 {
		return false
	}
	for k := i - 1; k >= 0 && k >= i-40; k-- {
		p := j.day[k].High + j.day[k].Game
		if p == 0 || j.fault == "rest looks only at yesterday" && k < i-1 {
			continue
		}
		need := 0
		if id == workload.RestDays {
			for n, most := range j.row.Table.Rest {
				if p > most {
					need = n + 1
				}
			}
		} else if p > j.row.DaysBetweenAfter {
			need = j.row.DaysBetween
		}
		if j.fault == "rest one day short" {
			need--
		}
		if i-k <= need {
			return true
		}
	}
	return false
}

func (j *judge) seven(i int) bool {
	if j.day[i].High+j.day[i].Game == 0 || j.fault == "no cap on high days" {
		return false
	}
	return over(j.hot, i-6, i) > float64(j.row.HighDays)
}

func (j *judge) light(i int) bool {
	before := j.day[i-1]
	if before.High+before.Game <= j.row.LightAfter || j.fault == "no light day" {
		return false
	}
	return j.weight(j.day[i]) > j.row.LightShare*float64(j.row.LightAfter+1)+hair
}

func (j *judge) before(i int) bool {
	if j.day[i].High == 0 || j.fault == "games forgotten" {
		return false
	}
	for k := i; k <= i+j.row.BeforeGame && k < len(j.day); k++ {
		if j.day[k].Game > 0 {
			return true
		}
	}
	return false
}

func (j *judge) growth(i int) bool {
	start, from, to, weeks := i-6, i-34, i-7, 4.0
	switch j.fault {
	case "base holds this week":
		from, to = i-27, i
	case "calendar week":
		start = i - (int(j.day[i].On.Weekday())+6)%7
	case "base of three":
		weeks = 3
	}
	base := over(j.sure, from, to) / weeks
	return over(j.load, start, i) > math.Max(j.row.GrowthFloor, j.row.WeeklyGrowth*base)+hair
}

func (j *judge) innings(i int) bool {
	d := j.day[i]
	if !j.year.InningsKnown || j.row.MostInnings <= 0 || d.High+d.Game == 0 {
		return false
	}
	used := j.year.Innings
	for k := j.first; k <= i; k++ {
		used += j.day[k].Innings
	}
	return used > j.row.MostInnings+hair || d.High > 0 && used >= j.row.MostInnings
}

// all returns the names of everything that the judged days break, with the day's index.
func (j *judge) all() []string {
	j.sum()
	var out []string
	for i := j.first; i < len(j.day); i++ {
		for _, id := range j.faults(i) {
			out = append(out, id+" on "+j.day[i].On.String())
		}
	}
	return out
}

// A faulty judge can stand in for the real book, so that a planted mistake places sessions.

func (j *judge) Day(on workload.Date) workload.Day {
	if i := int(on - j.origin); i >= 0 && i < len(j.day) {
		return j.day[i]
	}
	return workload.Day{On: on}
}

func (j *judge) Put(d workload.Day) {
	j.day[d.On-j.origin] = d
	j.least[d.On-j.origin] = -1
}

func (j *judge) FirstFrom(on workload.Date) (workload.Breach, bool) {
	j.sum()
	last := len(j.day) - 1
	for i := int(on - j.origin); i <= last; i++ {
		if j.fault == "games forgotten" && i > int(on-j.origin) && j.day[i].Game > 0 {
			continue
		}
		if f := j.faults(i); len(f) > 0 {
			return workload.Breach{ID: f[0], On: j.day[i].On}, true
		}
	}
	return workload.Breach{}, false
}

func (j *judge) All() (out []workload.Breach) {
	j.sum()
	for i := j.first; i < len(j.day); i++ {
		for _, id := range j.faults(i) {
			out = append(out, workload.Breach{ID: id, On: j.day[i].On})
		}
	}
	return out
}

func (j *judge) Uses() []workload.Breach { return nil }

func plantedFaults() []string {
	return []string{
		"rest one day short", "base holds this week", "history ignored", "calendar week", "games forgotten",
		"row forgets history", "weights rounded", "rest looks only at yesterday", "daily cap +1", "no light day",
		"no cap on high days", "base of three", "off days in eight",
	}
}
