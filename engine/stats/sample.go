// Package stats is the arithmetic of small samples: means and spreads, intervals for shares, two-sample tests, the
// Student, normal and beta distributions, agreement between two raters, and the Gaussian with a full covariance.
//
// Invariant: every function is pure and total. Too little data, or numbers that cannot be, come back as NaN or as
// ok = false, never as a panic, and never as a number that looks like a result. Units are the caller's own.
package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Mean returns the arithmetic mean of xs in their own unit, NaN for an empty sample.
func Mean(xs []float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	return stat.Mean(xs, nil)
}

// SD returns the sample standard deviation (divisor n-1) of xs, NaN for fewer than two values.
func SD(xs []float64) float64 {
	if len(xs) < 2 {
		return math.NaN()
	}
	return stat.StdDev(xs, nil)
}

// SumSquares returns the sum of squared deviations from the mean, 0 for fewer than two values, so that it can be
// pooled over samples of any size.
func SumSquares(xs []float64) float64 {
	if len(xs) < 2 {
		return 0
	}
	return stat.Variance(xs, nil) * float64(len(xs)-1)
}

// Median returns the middle value of xs, the mean of the middle two where their number is even, NaN for none. The
// sample is not reordered.
func Median(xs []float64) float64 {
	n := len(xs)
	if n == 0 {
		return math.NaN()
	}
	sorted := slices.Clone(xs)
	slices.Sort(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
