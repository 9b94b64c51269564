package measure

import (
	"math"

	"rungwise/engine/stats"
)

// Band is the stretch of a number that stands for one answer by eye, in the checkpoint's unit.
type Band struct {
	Answer    string
	Low, High float64
}

// Graded is the answer that measured readings stand for.
type Graded struct {
	Answer string  // the likeliest answer; empty where there is none
	P      float64 // chance of it
	Known  bool    // the number lies clearly in that band
}

// Grade turns readings into an answer where their mean, with its error, lies in one band with at least four chances
// in five, so that a throw graded by eye can be compared with one that was measured. Readings must be in s.Unit or
// convert into it; the outermost bands reach on beyond their ends, since the error past the end is no doubt about the
// answer. Nothing is known where no band holds the mean.
func Grade(rs []Reading, bands []Band, s Spec) Graded {
	if s.Tolerance == 0 {
		s.Tolerance = 1e-6 // grading needs no tolerance; it only keeps the spread from vanishing here
	}
	one, why := sideOf(rs, s, "this throw")
	if why != "" || len(bands) == 0 {
		return Graded{}
	}
	df := float64(defaultWeight + one.n - 1)
	scale := (defaultWeight + one.ss/one.variance) / df
	se := math.Sqrt(scale * one.variance / float64(one.n))
	lowest, highest := ends(bands)
	var best Graded
	for _, b := range bands {
		low, high := b.Low, b.High
		if low == lowest {
			low = math.Inf(-1)
		}
		if high == highest {
			high = math.Inf(1)
		}
		p := stats.StudentCDF((high-one.mean)/se, df) - stats.StudentCDF((low-one.mean)/se, df)
		if p > best.P {
			best = Graded{Answer: b.Answer, P: p}
		}
	}
	best.Known = best.P >= sureDiffers && one.mean >= lowest && one.mean <= highest
	return best
}

func ends(bands []Band) (lowest, highest float64) {
	lowest, highest = bands[0].Low, bands[0].High
	for _, b := range bands[1:] {
		lowest, highest = math.Min(lowest, b.Low), math.Max(highest, b.High)
	}
	return lowest, highest
}
