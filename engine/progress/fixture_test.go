package progress

import (
	"flag"
	"math/rand/v2"
	"testing"
	"time"

	"rungwise/engine/workload"
)

var study = flag.Bool("study", false, "run the long studies")

func cases(normal, long int) int {
	if *study {
		return long
	}
	return normal
}

// house is the rules' data: all house default.
func house(t testing.TB) Settings {
	t.Helper()
	numbers := map[string]float64{
		"window_marks": 24, "window_days": 35, "day_marks": 8, "promote_least_sessions": 2, "promote_rate": .65, "promote_chance": .80, "promote_speed": 2,
		"back_rate": .50, "back_chance": .80, "back_speed": 5, "marks_prior": 1.5, "marks_correlation": .1,
		"floor_percent": 4.25, "floor_best_sessions": 3, "floor_breaches": 2, "floor_window": 3,
		"reference_dropped_days": 21, "stale_throws": 3, "learning_sessions": 4,
	}
	s, err := ReadSettings(func(name string) (float64, bool) { v, ok := numbers[name]; return v, ok })
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var monday = workload.On(2026, time.November, 9)

func ladder() []Rung {
	return []Rung{{"running_throw", 1}, {"shuffle_throw", .975}, {"flat_lift", .935}, {"slope_net", .95}}
}

// marks returns n marks of which held are 1.
func marks(held, n int) []float64 {
	out := make([]float64, n)
	for i := range held {
		out[i] = 1
	}
	return out
}

// speeds returns n throws at one speed.
func speeds(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// An athlete of the studies: marks from a rate that moves from session to session with correlation rho, speeds with a
// day's effect and a throw's SD in percent.
type athlete struct {
	rng      *rand.Rand
	rho      float64
	day, sd  float64
	perDay   int
	keepOf   int
	speedOff float64 // % beside the rung's share
	blind    bool    // no speeds are taken
}

func newAthlete(seed uint64) *athlete {
	return &athlete{rng: rand.New(rand.NewPCG(11, seed)), rho: .10, day: 1.2, sd: 1.6, perDay: 8, keepOf: 3}
}

// session returns a day at a rung held at a rate.
func (a *athlete) session(on workload.Date, rung Rung, rate float64) Session {
	s := Session{On: on, Rung: rung.ID}
	today := 1 + a.day/100*a.rng.NormFloat64()
	p := a.beta(rate)
	for range a.perDay {
		held := 0.0
		if a.rng.Float64() < p {
			held = 1
		}
		s.Marks = append(s.Marks, held)
		s.Speeds = append(s.Speeds, 90*rung.Share*(1+a.speedOff/100)*today*(1+a.sd/100*a.rng.NormFloat64()))
	}
	for range a.keepOf {
		s.Keep = append(s.Keep, 90*today*(1+a.sd/100*a.rng.NormFloat64()))
	}
	if a.blind {
		s.Speeds, s.Keep = nil, nil
	}
	return s
}

// beta draws a session's own rate: mean rate, correlation rho between the marks of the session.
func (a *athlete) beta(rate float64) float64 {
	k := 1/a.rho - 1
	x, y := a.gamma(rate*k), a.gamma((1-rate)*k)
	return x / (x + y)
}

// gamma draws by Marsaglia and Tsang 2000, ACM Trans Math Softw 26:363-372.
func (a *athlete) gamma(shape float64) float64 {
	boost := 1.0
	if shape < 1 {
		boost = pow(a.rng.Float64(), 1/shape)
		shape++
	}
	d := shape - 1./3
	c := 1 / sqrt(9*d)
	for {
		x := a.rng.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if u := a.rng.Float64(); log(u) < x*x/2+d-d*v+d*log(v) {
			return d * v * boost
		}
	}
}
