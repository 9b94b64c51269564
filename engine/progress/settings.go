package progress

import (
	"fmt"
	"strings"
)

// Settings are the numbers of the rules, as the rules' data names them. Percentages are in percent, chances and rates
// are shares.
type Settings struct {
	Window, WindowDays         int     // the newest marks that are read together, and the days that they may span
	DayMarks                   int     // of them, at most so many of one day, the newest: so many are alike
	LeastSessions              int     // fewest days for a promotion or a step back
	PromoteRate, PromoteChance float64 // promote when P(rate > PromoteRate) is at least PromoteChance
	BackRate, BackChance       float64 // step back when P(rate < BackRate) is at least BackChance
	PromoteSpeed, BackSpeed    float64 // % under the expected share
	Prior, Correlation         float64 // of the marks: both Beta parameters; correlation within a session

	FloorPercent             float64 // floor under the mean of the best sessions
	FloorBest                int     // those sessions
	FloorBreaches, FloorLast int     // this many of the last so many under the floor: restore
	DroppedDays              int     // after so many days without the drill one session decides
	LeastThrows              int     // fewer reference throws on a day say nothing
	LearningSessions         int
	LearningDays             int     // the first days on a drill, which count for no floor, best or gain
	LossPercent              float64 // % under the best sessions in one session: beyond noise
	NoisePercent             float64 // % gain over weeks that noise explains
}

// A setting's name in the rules' data, where it goes, and the value it has where the data may leave it out.
type setting struct {
	name     string
	fallback float64 // 0: must be there
	put      func(s *Settings, v float64)
}

func settings() []setting {
	return []setting{
		{"window_marks", 0, func(s *Settings, v float64) { s.Window = int(v) }},
		{"window_days", 0, func(s *Settings, v float64) { s.WindowDays = int(v) }},
		{"day_marks", 0, func(s *Settings, v float64) { s.DayMarks = int(v) }},
		{"promote_least_sessions", 0, func(s *Settings, v float64) { s.LeastSessions = int(v) }},
		{"promote_rate", 0, func(s *Settings, v float64) { s.PromoteRate = v }},
		{"promote_chance", 0, func(s *Settings, v float64) { s.PromoteChance = v }},
		{"promote_speed", 0, func(s *Settings, v float64) { s.PromoteSpeed = v }},
		{"back_rate", 0, func(s *Settings, v float64) { s.BackRate = v }},
		{"back_chance", 0, func(s *Settings, v float64) { s.BackChance = v }},
		{"back_speed", 0, func(s *Settings, v float64) { s.BackSpeed = v }},
		{"marks_prior", 0, func(s *Settings, v float64) { s.Prior = v }},
		{"marks_correlation", 0, func(s *Settings, v float64) { s.Correlation = v }},
		{"floor_percent", 0, func(s *Settings, v float64) { s.FloorPercent = v }},
		{"floor_best_sessions", 0, func(s *Settings, v float64) { s.FloorBest = int(v) }},
		{"floor_breaches", 0, func(s *Settings, v float64) { s.FloorBreaches = int(v) }},
		{"floor_window", 0, func(s *Settings, v float64) { s.FloorLast = int(v) }},
		{"reference_dropped_days", 0, func(s *Settings, v float64) { s.DroppedDays = int(v) }},
		{"stale_throws", 0, func(s *Settings, v float64) { s.LeastThrows = int(v) }},
		{"learning_sessions", 0, func(s *Settings, v float64) { s.LearningSessions = int(v) }},
		{"floor_learning_days", 14, func(s *Settings, v float64) { s.LearningDays = int(v) }},
		{"loss_percent", 8, func(s *Settings, v float64) { s.LossPercent = v }},
		{"gain_noise_percent", 2.5, func(s *Settings, v float64) { s.NoisePercent = v }},
	}
}

// ReadSettings takes the settings from named numbers; the error names every one that is missing or cannot be used.
func ReadSettings(number func(name string) (float64, bool)) (Settings, error) {
	var s Settings
	var bad []string
	for _, x := range settings() {
		v, ok := number(x.name)
		if !ok && x.fallback > 0 {
			v, ok = x.fallback, true
		}
		if !ok || !(v > 0 && v <= 1000) {
			bad = append(bad, x.name)
			continue
		}
		x.put(&s, v)
	}
	if len(bad) > 0 {
		return s, fmt.Errorf("missing or not above zero: %s", strings.Join(bad, ", "))
	}
	return s, nil
}
