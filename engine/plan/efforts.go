package plan

import (
	"math"

	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// efforts are the efforts that a plan asks for, in percent, each inside its class of the rules' weights.
type efforts struct {
	weights                  workload.Weights
	easy, gentle, half, hard int // warm-up; easy whole throws; whole throws after a drill; the ladder
}

// inside is how far from a class's bound an effort is asked, so that a little more is still the same class (house
// default).
const inside = 10

func effortsOf(w workload.Weights) efforts {
	return efforts{weights: w, easy: int(math.Max(w.LowTo-inside, 1)), gentle: int(w.LowTo),
		half: int(math.Max(w.ModerateTo-inside, math.Floor(w.LowTo)+1)), hard: int(math.Min(w.ModerateTo+inside, 100))}
}

func (e efforts) class(percent int) workload.Effort { return e.weights.Class(float64(percent)) }

// hard is the effort of a throw as a rung: full where it counts as a pitch, moderate where it does not, and no more
// than the throw itself says.
func (m *maker) hard(t *rule.Throw) int {
	if t.HighEffort {
		return m.efforts.hard
	}
	if t.Effort > 0 {
		return min(m.efforts.half, int(t.Effort))
	}
	return m.efforts.half
}

// counts are throws by class of effort.
type counts [3]int

func countsOf(d workload.Day) counts { return counts{d.Low, d.Moderate, d.High} }

func (c counts) day(on workload.Date) workload.Day {
	return workload.Day{On: on, Low: c[workload.Low], Moderate: c[workload.Moderate], High: c[workload.High]}
}

// spend takes up to n throws of a class and says how many there were.
func (c *counts) spend(class workload.Effort, n int) int {
	n = max(0, min(n, c[class]))
	c[class] -= n
	return n
}
