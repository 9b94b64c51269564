package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"rungwise/engine/unit"
)

// The published table of our own study: percent called differs / unclear / same for a true difference in tolerances,
// at a known standard error, without the prior.
func TestRatesOfCalls(t *testing.T) {
	for _, c := range []struct {
		se            float64
		truth         [6]float64
		differs, same [6]float64
	}{
		{.35, [6]float64{0, .5, .8, 1.2, 1.5, 2}, [6]float64{0, 1, 8, 40, 72, 98}, [6]float64{95, 73, 39, 8, 1, 0}},
		{.50, [6]float64{0, .5, .8, 1.2, 1.5, 2}, [6]float64{0, 3, 10, 33, 56, 87}, [6]float64{75, 55, 33, 11, 3, 0}},
		{.75, [6]float64{0, .5, .8, 1.2, 1.5, 2}, [6]float64{3, 7, 14, 28, 43, 69}, [6]float64{23, 18, 13, 6, 3, 1}},
	} {
		differsFrom, sameTo := edge(c.se, sureDiffers), edge(c.se, sureSame)
		for i, d := range c.truth {
			outside := func(x float64) float64 {
				return normalCDF((d-x)/c.se) + normalCDF((-x-d)/c.se)
			}
			near(t, fmt.Sprintf("SE %v, true %v, differs", c.se, d), 100*outside(differsFrom), c.differs[i], 1.2)
			near(t, fmt.Sprintf("SE %v, true %v, same", c.se, d), 100*(1-outside(sameTo)), c.same[i], 1.2)
		}
	}
}

func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// edge finds the observed difference at which the chance reaches p, for a tolerance of 1 and a known error.
func edge(se, p float64) float64 {
	low, high := 0., 9.
	for range 60 {
		mid := (low + high) / 2
		if beyond(1, mid, se, 1e7) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// rates are how often each call was made, and how often rightly.
type rates struct{ n, differs, differsRight, same, sameRight float64 }

func (r rates) rightWhenDiffers() float64 { return r.differsRight / r.differs }
func (r rates) rightWhenSame() float64    { return r.sameRight / r.same }

// simulate compares n clips a side of SD .6 tolerances. A share alike of the checkpoints are truly the same, the rest
// differ by 1.5 tolerances (SD). The clips' true SD is off from the one the checklist knows by a factor of wrong.
func simulate(seed uint64, cases, n int, alike, wrong float64) (out rates) {
	r := rand.New(rand.NewPCG(seed, 77))
	s := Spec{Tolerance: 1, ThrowSD: .6}
	for range cases {
		truth := 1.5 * r.NormFloat64()
		if r.Float64() < alike {
			truth = 0
		}
		var d, m []Reading
		for range n {
			d = append(d, Reading{Value: .6 * wrong * r.NormFloat64(), Unit: unit.Deg})
			m = append(m, Reading{Value: truth + .6*wrong*r.NormFloat64(), Unit: unit.Deg})
		}
		out.n++
		switch Compare(d, m, s).Call {
		case Differs:
			out.differs++
			if math.Abs(truth) > 1 {
				out.differsRight++
			}
		case Same:
			out.same++
			if math.Abs(truth) <= 1 {
				out.sameRight++
			}
		}
	}
	return out
}

// The stated rates: with three clips a side "differs" is right in at least 93 %, "same" in at least 94 %; one clip
// never says same (our own study: 89 and never, 94 / 95, 96 / 96, 98 / 97 with 1, 2, 3 and 5 clips; reproduced where
// four checkpoints in ten are truly alike).
func TestRatesOfWrongCalls(t *testing.T) {
	for _, c := range []struct {
		n             int
		differs, same float64
	}{{1, .89, 0}, {2, .94, .95}, {3, .96, .96}, {5, .98, .97}} {
		r := simulate(uint64(c.n), draws(6_000), c.n, .4, 1)
		t.Logf("%d clips a side: differs %.3f right %.3f, same %.3f right %.3f", c.n, r.differs/r.n, r.rightWhenDiffers(), r.same/r.n, r.rightWhenSame())
		near(t, "differs right", r.rightWhenDiffers(), c.differs, .03)
		if c.n == 1 && r.same != 0 {
			t.Errorf("one clip said same %v times", r.same)
		}
		if c.n > 1 {
			near(t, "same right", r.rightWhenSame(), c.same, .03)
		}
		if c.n == 3 && (r.rightWhenDiffers() < .93 || r.rightWhenSame() < .94) {
			t.Errorf("three clips a side: differs right %.3f, same right %.3f", r.rightWhenDiffers(), r.rightWhenSame())
		}
	}
	for _, c := range []struct{ alike, wrong, differs, same float64 }{
		{0, 1, .93, .90},   // nothing is quite alike: just as the rule assumes
		{.4, 1.5, .80, .9}, // clips scatter half as much again as the checklist thinks
	} {
		r := simulate(99, draws(6_000), 3, c.alike, c.wrong)
		t.Logf("%+v: differs right %.3f, same right %.3f", c, r.rightWhenDiffers(), r.rightWhenSame())
		if r.rightWhenDiffers() < c.differs || r.rightWhenSame() < c.same {
			t.Errorf("%+v: differs right %.3f, same right %.3f", c, r.rightWhenDiffers(), r.rightWhenSame())
		}
	}
}

// P is what it says: of the comparisons given a chance of about p, about p truly differ.
func TestChanceIsCalibrated(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 60))
	var count, claimed, differ [10]float64
	for range draws(12_000) {
		truth := 1.5 * r.NormFloat64()
		var d, m []Reading
		for range 3 {
			d = append(d, Reading{Value: 10 + .7*r.NormFloat64(), SD: .5, Unit: unit.Deg})
			m = append(m, Reading{Value: 10 + truth + .7*r.NormFloat64(), SD: .5, Unit: unit.Deg})
		}
		p := Compare(d, m, Spec{Tolerance: 1, ThrowSD: math.Sqrt(.7*.7 - .25)}).P
		i := min(9, int(10*p))
		count[i]++
		claimed[i] += p
		if math.Abs(truth) > 1 {
			differ[i]++
		}
	}
	for i, n := range count {
		t.Logf("claimed %.2f, seen %.2f of %.0f", claimed[i]/n, differ[i]/n, n)
		if n > 200 {
			near(t, "calibration", differ[i]/n, claimed[i]/n, .06)
		}
	}
}

// An imposed cause of 12.4 ms (Leenen 2022, Front Sports Act Living 4:1044616), filmed many times, five clips a side:
// what is called with it and without it at each rate. Tolerance 6 ms, throw SD 5 ms: house assumptions.
func TestImposedCauseFilmedManyTimes(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 4))
	film := func(fps, ms float64) []Reading {
		out := make([]Reading, MostClips)
		for i := range out {
			start := r.Float64()
			end := start + (ms+5*r.NormFloat64())*fps/1000
			count := int(math.Ceil(end)-math.Ceil(start)) + picked(r) - picked(r)
			out[i] = Interval(unit.Frames{Count: count, Rate: unit.Rate{Num: int(fps), Den: 1}})
		}
		return out
	}
	for _, fps := range []float64{30, 60, 120, 240, 480} {
		share := map[bool]map[Call]float64{true: {}, false: {}}
		n := draws(500)
		for range n {
			for _, imposed := range []bool{true, false} {
				change := 0.
				if imposed {
					change = -12.4
				}
				v := Compare(film(fps, 60), film(fps, 60+change), Spec{Tolerance: 6, ThrowSD: 5})
				share[imposed][v.Call] += 1 / float64(n)
			}
		}
		t.Logf("%v fps: imposed differs %.2f same %.2f, not imposed differs %.2f same %.2f", fps, share[true][Differs], share[true][Same], share[false][Differs], share[false][Same])
		if fps < 100 && (share[true][Differs] > .15 || share[true][Same] > 0) {
			t.Errorf("%v fps pretends to see it: %v", fps, share[true])
		}
		if fps >= 240 && share[true][Differs] < .6 || share[true][Same] > .03 || share[false][Differs] > .06 {
			t.Errorf("%v fps: %v", fps, share)
		}
	}
}

func picked(r *rand.Rand) int {
	switch u := r.Float64(); {
	case u < pickError:
		return -1
	case u < 2*pickError:
		return 1
	}
	return 0
}
