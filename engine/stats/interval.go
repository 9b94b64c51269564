package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a closed range with its two ends in the unit of the thing estimated.
type Interval struct{ Low, High float64 }

// Wilson returns the Wilson score interval for the share behind successes out of n at the given level (0.95 for 95 %).
// No trial at all leaves 0..1. Ends are held within 0..1, since rounding can put them a hair outside.
// Source: Newcombe 1998, Stat Med 17:857-872, method 3.
func Wilson(successes, n, level float64) Interval {
	if !(n > 0) {
		return Interval{0, 1}
	}
	z := NormalQuantile(1 - (1-level)/2)
	p := successes / n
	mid := p + z*z/(2*n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	scale := 1 + z*z/n
	return Interval{math.Max(0, (mid-half)/scale), math.Min(1, (mid+half)/scale)}
}

// Beta is the beta distribution of a share: A and B are one plus the successes and failures seen under a uniform prior,
// or any other positive pair.
type Beta struct{ A, B float64 }

// Posterior returns the distribution of the share after successes and failures are added. They need not be whole: marks
// that repeat one another count for less than one each.
func (b Beta) Posterior(successes, failures float64) Beta {
	return Beta{b.A + successes, b.B + failures}
}

// CDF returns the chance that the share is at most x, NaN where A or B is not positive.
func (b Beta) CDF(x float64) float64 {
	if !(b.A > 0 && b.B > 0) || math.IsNaN(x) {
		return math.NaN()
	}
	return mathext.RegIncBeta(b.A, b.B, math.Min(1, math.Max(0, x)))
}

// Quantile returns the share below which lies the chance p, NaN where p is no chance or A or B is not positive.
func (b Beta) Quantile(p float64) float64 {
	if !(b.A > 0 && b.B > 0 && p >= 0 && p <= 1) {
		return math.NaN()
	}
	return mathext.InvRegIncBeta(b.A, b.B, p)
}

// LogMarks returns the log chance of one order of successes among n yes/no marks whose common rate is drawn from b:
// ln B(A+y, B+n-y) - ln B(A, B). Neither number need be whole.
func (b Beta) LogMarks(successes, n float64) float64 {
	return mathext.Lbeta(b.A+successes, b.B+n-successes) - mathext.Lbeta(b.A, b.B)
}

// NormalQuantile returns the standard normal value below which lies the chance p, NaN where p is no chance.
func NormalQuantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return distuv.UnitNormal.Quantile(p)
}

// StudentCDF returns the chance that Student's t with df degrees of freedom (which need not be whole) is at most t,
// NaN where df is not positive.
func StudentCDF(t, df float64) float64 {
	if !(df > 0) || math.IsNaN(t) {
		return math.NaN()
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.CDF(t)
}
