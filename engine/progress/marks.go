package progress

import (
	"math"
	"slices"

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

// pool reads the newest marks of sessions at one rung together, oldest session first: as many as the window holds, none
// older than its days, and of a day no more than its share, or one long good day would decide. It returns the sessions from the first that was read on, too.
func (s Settings) pool(sessions []Session) (Pooled, []Session) {
	var p Pooled
	from := len(sessions)
	for i := len(sessions) - 1; i >= 0 && p.Marks < s.Window; i-- {
		if int(sessions[len(sessions)-1].On-sessions[i].On) > s.WindowDays {
			break
		}
		before := p.Marks
		for _, m := range slices.Backward(sessions[i].Marks) {
			if p.Marks < s.Window && p.Marks-before < s.DayMarks && m >= 0 && m <= 1 { // a mark that is no number is one that was not seen
				p.Marks, p.Held = p.Marks+1, p.Held+m
			}
		}
		if p.Marks > before {
			p.Sessions, from = p.Sessions+1, i
		}
	}
	p.Promote, p.Back = s.chances(p.Held, p.Marks)
	return p, sessions[from:]
}

// chances returns how likely it is that the pattern holds in more throws than promotion asks for, and in fewer than a
// step back does. Marks of one session are alike (same day, same coach): each counts for 1 / (1 + correlation x (n-1)),
// n the most of a day, so that the same marks say the same however they were dealt out to days.
func (s Settings) chances(held float64, marks int) (promote, back float64) {
	weight := 1 / (1 + s.Correlation*float64(s.DayMarks-1))
	rate := stats.Beta{A: s.Prior, B: s.Prior}.Posterior(held*weight, (float64(marks)-held)*weight)
	return 1 - rate.CDF(s.PromoteRate), rate.CDF(s.BackRate)
}

// promotes and stepsBack are the two rules on the marks; between them lies a gap in which nothing changes.
func (s Settings) promotes(p Pooled) bool {
	return p.Sessions >= s.LeastSessions && p.Promote >= s.PromoteChance
}

func (s Settings) stepsBack(p Pooled) bool {
	return p.Sessions >= s.LeastSessions && p.Back >= s.BackChance
}

// A Wall is the rule as counts to hang on a wall.
type Wall struct {
	Of      int // marks
	Promote int // held of them, at least, to move on
	Back    int // held of them, at most, to step back; -1 = no count does it
}

// Wall returns the rule for a full window of marks, or for fewer where an athlete throws fewer in all: then all of them
// is the best that can be asked.
func (s Settings) Wall(marks int) Wall {
	w := Wall{Of: min(marks, s.Window), Back: -1}
	for w.Promote < w.Of {
		if promote, _ := s.chances(float64(w.Promote), w.Of); promote >= s.PromoteChance {
			break
		}
		w.Promote++
	}
	for held := range w.Of + 1 {
		if _, back := s.chances(float64(held), w.Of); back >= s.BackChance {
			w.Back = held
		}
	}
	return w
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
