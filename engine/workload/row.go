package workload

// A Row is what binds one athlete: the numbers of one age, resolved. The fields are those of the names in this
// package; counts are throws or full days.
type Row struct {
	Age   int
	Known bool // the age was given; otherwise this is the youngest row
	Table PitchRow
	// Uncounted is how many pitches a day stands for of which nobody counted them.
	Uncounted int
	Weights
	MostInnings                          float64 // 0: no row for this age
	WeeklyGrowth, GrowthFloor            float64
	DailyThrows, DailyHigh, HighDays     int
	DaysInARow, DaysOff                  int
	DaysBetween, DaysBetweenAfter        int
	PitchDaysInARow                      int
	LightAfter                           int
	LightShare                           float64
	BeforeGame                           int
	NoThrowing, NoPitching               int
	HardFrom                             int
	WeightedFrom, RadarFrom, RadarThrows int
}

// RestDays returns the full days of rest that the published table asks for after a number of pitches.
func (r Row) RestDays(pitches int) int {
	for days, most := range r.Table.Rest {
		if pitches <= most {
			return days
		}
	}
	return len(r.Table.Rest)
}

// Between returns the full days before the next day with pitches: the table's, and after a long day at least the
// house's days between high-effort days.
func (r Row) Between(pitches int) int {
	days := r.RestDays(pitches)
	if pitches > r.DaysBetweenAfter {
		days = max(days, r.DaysBetween)
	}
	return days
}

// MostHigh returns the most high-effort practice throws on a day without a game: never more than the table's pitches,
// and none for the youngest and at an unknown age.
func (r Row) MostHigh() int {
	if !r.Known || r.Age < r.HardFrom {
		return 0
	}
	return min(r.DailyHigh, r.Table.Daily)
}

// Weighted reports whether implements heavier or lighter than a baseball may be planned; never at an unknown age.
func (r Row) Weighted() bool { return r.Known && r.Age >= r.WeightedFrom }

// MostMeasured returns how many maximal throws a day may be measured, and false where there is no such cap. An unknown
// age has the cap.
func (r Row) MostMeasured() (throws int, capped bool) {
	return r.RadarThrows, !r.Known || r.Age < r.RadarFrom
}
