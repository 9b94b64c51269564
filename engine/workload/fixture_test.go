package workload

import "testing"

// base returns the published table and the house defaults as the rules' data holds them.
// Table: MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers. Innings, months off and three consecutive
// days: the same guideline, quoted. Everything else: house default.
func base() Limits {
	young, older := []int{20, 35, 50, 65}, []int{30, 45, 60, 75}
	return Limits{
		Version: "test", Source: "pitch_guideline",
		Table: []PitchRow{
			{7, 8, 50, []int{20, 35, 50}}, {9, 10, 75, young}, {11, 12, 85, young}, {13, 14, 95, young},
			{15, 16, 95, older}, {17, 18, 105, older}, {19, 22, 120, older},
		},
		Numbers: []Limit{
			{ID: WeeklyGrowth, To14: 1.10, To18: 1.15, Adult: 1.20}, {ID: GrowthFloor, To14: 60, To18: 85, Adult: 100},
			{ID: DailyThrows, To14: 85, To18: 115, Adult: 140}, {ID: DailyHigh, To14: 45, To18: 75, Adult: 100},
			{ID: HighDays, To14: 2, To18: 2, Adult: 3}, {ID: DaysInARow, To14: 2, To18: 3, Adult: 4},
			{ID: DaysOff, To14: 2, To18: 1, Adult: 1}, Every(DaysBetween, 2), Every(DaysBetweenAfter, 30),
			Every(PitchDaysInARow, 2), Every(LightAfter, 10), Every(LightShare, .5), Every(BeforeGame, 2),
			Every(NoThrowing, 2), Every(NoPitching, 4), Every(InningsMost, 100), Every(YoungestAge, 7),
			Every(HardFrom, 9), Every(WeightedFrom, 19), Every(RadarFrom, 19), Every(RadarThrows, 20),
		},
		Innings: []InningsRow{{0, 8, 60}, {9, 12, 80}, {13, 18, 100}},
		Weights: Weights{LowTo: 60, ModerateTo: 85, Low: .78, Moderate: .88, High: 1, Game: 1.1},
	}
}

func rowAt(t *testing.T, age int) Row {
	t.Helper()
	row, err := base().For(age, true)
	if err != nil {
		t.Fatal(err)
	}
	return row
}
