package progress

import (
	"math"

	"rungwise/engine/stats"
	"rungwise/engine/workload"
)

// Pooled is the marks of the newest sessions at a rung, read together.
type Pooled struct {
	Sessions int     `json:"sessions"` // on different days
	Marks    int     `json:"marks"`
	Held     float64 `json:"held"` // partly held counts a half
	// Promote is the chance that the athlete holds the pattern in more throws than promotion asks for; Back that he
	// holds it in fewer than a step back asks for.
	Promote float64 `json:"promote_chance"`
	Back    float64 `json:"back_chance"`
}

// Rate is the share of marks held, not a number where there is none.
func (p Pooled) Rate() float64 { return p.Held / float64(p.Marks) }

// pool reads the marks of sessions together. The marks of one session are alike (same day, same coach), so n of them
// count for n / (1 + correlation x (n-1)).
func (s Settings) pool(sessions [][]float64) Pooled {
	var p Pooled
	held, lost := 0.0, 0.0
	for _, marks := range sessions {
		y, n := 0.0, 0
		for _, m := range marks {
			if m >= 0 && m <= 1 { // a mark that is no number is one that was not seen
				y, n = y+m, n+1
			}
		}
		if n == 0 {
			continue
		}
		weight := 1 / (1 + s.Correlation*float64(n-1))
		held += y * weight
		lost += (float64(n) - y) * weight
		p.Sessions, p.Marks, p.Held = p.Sessions+1, p.Marks+n, p.Held+y
	}
	rate := stats.Beta{A: s.Prior, B: s.Prior}.Posterior(held, lost)
	p.Promote, p.Back = 1-rate.CDF(s.PromoteRate), rate.CDF(s.BackRate)
	return p
}

// promotes and stepsBack are the two rules on the marks; between them lies a gap in which nothing changes. Without a
// speed beside them the marks have to be surer.
func (s Settings) promotes(p Pooled, measured bool) bool {
	chance := s.PromoteChance
	if !measured {
		chance = max(chance, s.UnmeasuredChance)
	}
	return p.Sessions >= s.LeastSessions && p.Promote >= chance
}

func (s Settings) stepsBack(p Pooled) bool {
	return p.Sessions >= s.LeastSessions && p.Back >= s.BackChance
}

// Wall returns the rule as counts to hang on a wall: of the marks of so many sessions with marks each, how many must be
// held to move on and at how many or fewer one steps back; -1 where no count does it. Measured says whether speeds are
// taken and stand up as well.
func (s Settings) Wall(marks, sessions int, measured bool) (promote, back int) {
	promote, back = -1, -1
	for held := 0; held <= marks*sessions; held++ {
		p := s.pool(deal(held, marks, sessions))
		if promote < 0 && s.promotes(p, measured) {
			promote = held
		}
		if s.stepsBack(p) {
			back = held
		}
	}
	return promote, back
}

// deal spreads held marks over sessions; with equal sessions only their sum matters.
func deal(held, marks, sessions int) [][]float64 {
	all := make([][]float64, sessions)
	for i := range all {
		all[i] = make([]float64, marks)
		for j := range all[i] {
			if held > 0 {
				all[i][j] = 1
				held--
			}
		}
	}
	return all
}

// run returns the sessions at the rung worked on since the last change, newest last and one a day: the count starts
// again whenever the rung changes, something else was changed, or a day was thrown at another rung.
func run(days []Session) []Session {
	var out []Session
	for i := len(days) - 1; i >= 0; i-- {
		d := days[i]
		if d.Rung == "" {
			continue
		}
		if len(out) > 0 && d.Rung != out[0].Rung {
			break
		}
		out = append([]Session{d}, out...)
		if d.Changed {
			break
		}
	}
	return out
}

// before returns the rung worked on before the present run, or nothing.
func before(days []Session) string {
	current := ""
	for i := len(days) - 1; i >= 0; i-- {
		switch r := days[i].Rung; {
		case r == "":
		case current == "":
			current = r
		case r != current:
			return r
		}
	}
	return ""
}

// speed compares the rung's mean with its share of the same day's reference throws, or of the basis where that day
// has too few.
func (s Settings) speed(sessions []Session, share float64, basis func(workload.Date) (speed float64, sessions int)) Speed {
	sum, n := 0.0, 0
	for _, d := range sessions {
		reference, known := mean(d.Keep), len(d.Keep) >= s.LeastThrows
		if !known {
			best, n := basis(d.On)
			reference, known = best, n >= s.FloorBest
		}
		if v := mean(d.Speeds); known && len(d.Speeds) > 0 && share > 0 && reference > 0 {
			sum, n = sum+100*v/(share*reference), n+1
		}
	}
	if n == 0 {
		return Speed{}
	}
	return Speed{Percent: sum / float64(n), Sessions: n}
}

func mean(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return stats.Mean(v)
}
