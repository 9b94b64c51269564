// Package measure holds what is measured on video or with a radar gun, always together with its error, and compares
// a drill with the mound without pretending to see more than the clips show.
//
// The invariant: no verdict is surer than the readings behind it. "Differs" and "same" each need four chances in
// five, "same" also needs readings fine enough to show it, everything else is "unclear"; swapping the drill and the
// mound turns the sign of every difference and changes no verdict.
package measure

import (
	"fmt"
	"math"

	"rungwise/engine/unit"
)

// Reading is one measured value of one clip with its standard error of measurement, both in Unit. FPS is the capture
// rate where the reading was counted in frames, else 0; it serves only to say what a faster camera would give.
type Reading struct {
	Value, SD float64
	Unit      unit.Unit
	FPS       float64
}

// Quantity returns the value without its error.
func (r Reading) Quantity() unit.Quantity { return unit.Quantity{Value: r.Value, Unit: r.Unit} }

// Doubted returns the reading with twice its error, for one that the coach marked as not sure (house default).
func (r Reading) Doubted() Reading {
	r.SD *= 2
	return r
}

// Stated returns the reading for a number that came without its error, with the cautious one for its kind (house
// defaults): 5 deg for an angle clicked by hand, one frame of ordinary video for a time, 5 cm, 3 % of height, 5 % for
// a share, one mph for a speed; none for a count.
func Stated(q unit.Quantity) Reading {
	r := Reading{Value: q.Value, Unit: q.Unit}
	for _, e := range []unit.Quantity{{Value: 5, Unit: unit.Deg}, {Value: intervalSD(30), Unit: unit.MS}, {Value: 5, Unit: unit.CM},
		{Value: 3, Unit: unit.PercentHeight}, {Value: 5, Unit: unit.Percent}, {Value: 1, Unit: unit.MPH}} {
		if sd, ok := e.In(q.Unit); ok {
			r.SD = sd.Value
		}
	}
	return r
}

// In converts a reading with its error into another unit of the same kind.
func (r Reading) In(to unit.Unit) (converted Reading, ok bool) {
	value, ok := r.Quantity().In(to)
	one, _ := unit.Quantity{Value: 1, Unit: r.Unit}.In(to)
	return Reading{value.Value, r.SD * one.Value, to, r.FPS}, ok
}

// pickError is the chance that a coach picks the frame before the right one, and the same for the frame after
// (house default); it gives an interval an error of about one frame.
const pickError = 0.2

// frameSD returns the standard error of an interval between two picked frames, in frames, for the chance p of picking
// a frame early (and the same of late): two ends, each with the rounding of a whole frame (1/12) and a wrong pick (2p).
func frameSD(p float64) float64 { return math.Sqrt(2 * (1./12 + 2*p)) }

// Interval returns the time between two events counted in frames, in ms, with its error. The rate must be the capture
// rate: slow motion plays at another.
func Interval(f unit.Frames) Reading {
	return Reading{f.Time().Value, frameSD(pickError) * f.Rate.FrameMS(), unit.MS, f.Rate.FPS()}
}

// SmallestDetectable returns the smallest difference between two single readings that is beyond their error with
// 95 % confidence: 1.96 * sqrt 2 * sem, in the unit of sem.
// Source: Weir 2005, J Strength Cond Res 19:231-240 (formula from memory).
func SmallestDetectable(sem float64) float64 { return 1.96 * math.Sqrt2 * sem }

// MostClips is how many clips a side are asked for at the most (house default): more is not practical in a session.
const MostClips = 5

// ClipsForSame returns how many clips a side it takes before "same" can be said at all, given the SD of one clip
// (throw to throw and measurement together) and the tolerance, in one unit. It is 0 where no number does.
func ClipsForSame(sd, tolerance float64) int {
	if !(tolerance > 0) || !(sd >= 0) || math.IsInf(sd, 0) {
		return 0
	}
	n := math.Ceil(2*math.Pow(sd*sameNeeds/tolerance, 2) - 1e-9)
	if n > 1e6 {
		return 0
	}
	return max(1, int(n))
}

// largest bounds what is computed with; nothing that is measured on a throw comes near it in any unit.
const largest = 1e6

// possible tells whether all are numbers of a size that can be computed with.
func possible(xs ...float64) bool {
	for _, x := range xs {
		if !(math.Abs(x) <= largest) {
			return false
		}
	}
	return true
}

func fault(help, format string, args ...any) error {
	return &unit.Fault{Says: fmt.Sprintf(format, args...), Help: help}
}
