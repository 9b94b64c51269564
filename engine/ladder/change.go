package ladder

import (
	"fmt"
	"math"

	"rungwise/engine/stats"
)

// Whether a change can be seen.
const (
	Faster       = "faster"
	Slower       = "slower"
	CannotBeSeen = "cannot_be_seen" // the interval holds no change as well
)

// WeeksChange is a change over weeks, told in percent of the reference's mean, with an interval that holds it in 95 of 100 cases.
type WeeksChange struct {
	Throw    string
	Before   int // readings then
	After    int // and now
	Percent  float64
	Interval stats.Interval
	Says     string // Faster, Slower, CannotBeSeen
}

// dayShift is how much an athlete's level moves from one day to another by itself, a fraction. Source: house default.
const dayShift = .012

// Compare sets two ladders of one athlete, weeks apart, beside each other. The first entry is the reference drill's own
// speed, in percent of what it was, where the whole day-to-day shift has to be beaten; the others are how each rung moved
// against the reference of its own day, in percent of the reference, which takes that shift out. Rungs that one of the
// ladders lacks are left out. Both must be in one unit and read with one gun: two guns differ by more than most changes.
func Compare(before, after Ladder, o Options) ([]WeeksChange, error) {
	was, err := Judge(before, o)
	if err != nil {
		return nil, fmt.Errorf("the earlier ladder: %w", err)
	}
	now, err := Judge(after, o)
	if err != nil {
		return nil, fmt.Errorf("the later ladder: %w", err)
	}
	a, b := was.Rungs[0], now.Rungs[0]
	if a.N == 0 || b.N == 0 || a.Throw != b.Throw {
		return nil, fmt.Errorf("the two ladders have no reference drill in common that was measured in both")
	}
	va, vb := relativeVariance(was, a), relativeVariance(now, b)
	out := []WeeksChange{weeksChange(a, b, 100*(b.Mean/a.Mean-1), va+vb+2*dayShift*dayShift)}
	for _, r := range was.Rungs[1:] {
		for _, s := range now.Rungs[1:] {
			if r.Throw == s.Throw && r.N > 0 && s.N > 0 {
				v := r.Ratio*r.Ratio*(relativeVariance(was, r)+va) + s.Ratio*s.Ratio*(relativeVariance(now, s)+vb)
				out = append(out, weeksChange(r, s, 100*(s.Ratio-r.Ratio), v))
			}
		}
	}
	return out, nil
}

// relativeVariance is the variance of a rung's mean as a fraction of it, from the SD that the whole ladder showed.
func relativeVariance(v Verdict, r RungResult) float64 {
	sd := v.ThrowSD / r.Mean
	return sd * sd / float64(r.N)
}

func weeksChange(a, b RungResult, percent, variance float64) WeeksChange {
	half := 100 * stats.NormalQuantile(.975) * math.Sqrt(variance)
	c := WeeksChange{a.Throw, a.N, b.N, percent, stats.Interval{Low: percent - half, High: percent + half}, CannotBeSeen}
	if c.Interval.Low > 0 {
		c.Says = Faster
	} else if c.Interval.High < 0 {
		c.Says = Slower
	}
	return c
}
