package measure

import "math"

// Support says whether a camera can answer a checkpoint at all.
type Support struct {
	Can   bool
	FPS   float64 // the camera's rate
	Clips int     // clips a side before "same" can be said; 0 for angles, and where no number does
	Needs int     // lowest usual rate that can answer; 0 where none can
	Why   string  // why not, in plain words; empty where it can
}

// support asks whether this rate will do, and the lowest usual one that does.
func support(fps float64, can func(fps float64) bool) Support {
	s := Support{FPS: fps, Can: can(fps)}
	for _, rate := range usualRates() {
		if can(float64(rate)) {
			s.Needs = rate
			break
		}
	}
	return s
}

// AngleSupport tells what a camera of so many frames a second can do for an angle of a part that turns at up to peak
// deg/s: the turn within one frame must not be more than the tolerance in deg. A peak of 0 (nothing turns fast there)
// can be answered at any rate.
func AngleSupport(fps, peak, tolerance float64) Support {
	s := support(fps, func(fps float64) bool { return turnInFrame(fps, peak) <= tolerance })
	if !s.Can {
		s.Why = "it turns further within one frame than the difference that matters"
	}
	return s
}

// turnInFrame returns the deg that a part turning at peak deg/s turns within one frame; unbounded for a rate of 0.
func turnInFrame(fps, peak float64) float64 {
	if peak == 0 {
		return 0
	}
	return perFrame(fps, peak)
}

// perFrame is so much a second within one frame; unbounded where the rate is not known.
func perFrame(fps, x float64) float64 {
	if !(fps > 0) {
		return math.Inf(1)
	}
	return x / fps
}

// IntervalSupport tells what a camera of so many frames a second can do for an interval whose throw-to-throw SD and
// tolerance are given in ms: it can where "same" could be said with at most MostClips clips a side.
func IntervalSupport(fps, throwSD, tolerance float64) Support {
	clips := func(fps float64) int { return ClipsForSame(math.Hypot(intervalSD(fps), throwSD), tolerance) }
	s := support(fps, func(fps float64) bool { return clips(fps) > 0 && clips(fps) <= MostClips })
	s.Clips = clips(fps)
	switch {
	case s.Can:
	case s.Needs == 0:
		s.Why = "the throws themselves differ too much for so small a tolerance"
	default:
		s.Why = "the error of one frame is too large for so small a tolerance"
	}
	return s
}

func intervalSD(fps float64) float64 { return perFrame(fps, frameSD(pickError)*1000) }
