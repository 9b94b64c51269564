package ladder

import (
	"math"

	"rungwise/engine/stats"
)

// markOdds are the log likelihoods of a rung's marks with the pattern there and with the pattern lost.
type markOdds struct{ held, lost float64 }

// The rates at which a coach marks a pattern as held, before and after it is lost, and the share of rungs whose marks
// say nothing because one bad view or one first impression decided them all. Source: house default.
const (
	repeatWeight = .7
	worthless    = .1
)

// odds weighs the marks of one rung. Marks by one coach on one rung repeat one another, so each after the first counts
// for less; one mark for a whole rung counts as two throws.
func (r Rung) odds() markOdds {
	n := float64(len(r.Marks))
	if n == 0 {
		return markOdds{}
	}
	rate := stats.Mean(r.Marks)
	if r.OneMark {
		n = 2
	}
	n = 1 + repeatWeight*(n-1)
	y := rate * n
	blind := stats.Beta{A: 1, B: 1}.LogMarks(y, n)
	mix := func(b stats.Beta) float64 {
		return math.Log((1-worthless)*math.Exp(b.LogMarks(y, n)) + worthless*math.Exp(blind))
	}
	return markOdds{held: mix(stats.Beta{A: 4.5, B: .75}), lost: mix(stats.Beta{A: 1, B: 3})}
}

// partly returns the log likelihood of the marks where the pattern is lost with chance u.
func (m markOdds) partly(u float64) float64 {
	return math.Log((1-u)*math.Exp(m.held) + u*math.Exp(m.lost))
}
