package stats

import "math"

// Summary is a sample told by its mean, its standard deviation (divisor n-1) and its size.
type Summary struct {
	Mean, SD float64
	N        int
}

// Summarize reduces a sample to its summary; the SD of fewer than two values is NaN.
func Summarize(xs []float64) Summary { return Summary{Mean(xs), SD(xs), len(xs)} }

// TTest is the outcome of a two-sample t test: the statistic, its degrees of freedom, the two-sided p.
type TTest struct{ T, DF, P float64 }

// Welch tests the difference of two means without assuming that the spreads are equal. All three figures are NaN where
// a sample has fewer than two values or neither has any spread.
func Welch(a, b Summary) TTest {
	va, vb := a.SD*a.SD/float64(a.N), b.SD*b.SD/float64(b.N)
	df := (va + vb) * (va + vb) / (va*va/float64(a.N-1) + vb*vb/float64(b.N-1))
	return tTest(a.Mean-b.Mean, math.Sqrt(va+vb), df)
}

// Pooled tests the difference of two means under one common spread, with the same cases of NaN as Welch.
func Pooled(a, b Summary) TTest {
	df := float64(a.N + b.N - 2)
	v := (float64(a.N-1)*a.SD*a.SD + float64(b.N-1)*b.SD*b.SD) / df
	return tTest(a.Mean-b.Mean, math.Sqrt(v*(1/float64(a.N)+1/float64(b.N))), df)
}

func tTest(diff, se, df float64) TTest {
	if !(se > 0) || !(df > 0) {
		return TTest{math.NaN(), math.NaN(), math.NaN()}
	}
	t := diff / se
	return TTest{T: t, DF: df, P: 2 * StudentCDF(-math.Abs(t), df)}
}

// Agreement is Cohen's kappa between two gradings of the same things, with a normal interval.
type Agreement struct {
	Kappa, SE float64
	Interval  Interval
	N         int
}

// Kappa returns Cohen's kappa of a square table of counts (row: first grading, column: second) with an interval at the
// given level, its ends held within -1..1. The standard error is the one of Cohen 1960, which is meant for a kappa that
// is not near 0 or 1. ok is false where the table is empty, not square, has a negative count, or both gradings used one
// and the same grade throughout, so that agreement beyond chance has no meaning.
func Kappa(table [][]int, level float64) (Agreement, bool) {
	k := len(table)
	rows, cols := make([]float64, k), make([]float64, k)
	total, same := 0.0, 0.0
	for i, row := range table {
		if len(row) != k {
			return Agreement{}, false
		}
		for j, c := range row {
			if c < 0 {
				return Agreement{}, false
			}
			rows[i] += float64(c)
			cols[j] += float64(c)
			total += float64(c)
			if i == j {
				same += float64(c)
			}
		}
	}
	chance := 0.0
	for i := range rows {
		chance += rows[i] * cols[i] / (total * total)
	}
	if total == 0 || chance >= 1 {
		return Agreement{}, false
	}
	po := same / total
	kappa := (po - chance) / (1 - chance)
	se := math.Sqrt(po * (1 - po) / (total * (1 - chance) * (1 - chance)))
	half := NormalQuantile(1-(1-level)/2) * se
	return Agreement{kappa, se, Interval{math.Max(-1, kappa-half), math.Min(1, kappa+half)}, int(total)}, true
}
