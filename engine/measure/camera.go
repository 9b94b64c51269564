package measure

import "math"

// Support says whether a camera can answer a checkpoint at all.
type Support struct {
	Can       bool
	FPS       float64 // the camera's rate
	Turn      float64 // deg that the part turns within one frame; 0 for intervals
	SD        float64 // ms, error of one interval; 0 for angles
	Clips     int     // clips a side before "same" can be said; 0 for angles, and where no number does
	Needs     int     // lowest usual rate that can answer; 0 where none can
	Why       string  // why not, in plain words; empty where it can
	Tolerance float64 // what it was held against, deg or ms
}

// AngleSupport tells what a camera of so many frames a second can do for an angle of a part that turns at up to peak
// deg/s: the turn within one frame must not be more than the tolerance in deg. A peak of 0 (nothing turns fast there)
// can be answered at any rate.
func AngleSupport(fps, peak, tolerance float64) Support {
	s := Support{FPS: fps, Turn: TurnInFrame(fps, peak), Tolerance: tolerance}
	s.Can = s.Turn <= tolerance
	for _, rate := range usualRates() {
		if s.Needs == 0 && TurnInFrame(float64(rate), peak) <= tolerance {
			s.Needs = rate
		}
	}
	if !s.Can {
		s.Why = "it turns further within one frame than the difference that matters"
	}
	return s
}

// TurnInFrame returns the deg that a part turning at peak deg/s turns within one frame; unbounded for a rate of 0.
func TurnInFrame(fps, peak float64) float64 {
	if peak == 0 {
		return 0
	}
	if !(fps > 0) {
		return math.Inf(1)
	}
	return peak / fps
}

// IntervalSupport tells what a camera of so many frames a second can do for an interval whose throw-to-throw SD and
// tolerance are given in ms: it can where "same" could be said with at most MostClips clips a side.
func IntervalSupport(fps, throwSD, tolerance float64) Support {
	s := Support{FPS: fps, SD: intervalSD(fps), Tolerance: tolerance}
	s.Clips = ClipsForSame(math.Hypot(s.SD, throwSD), tolerance)
	s.Can = enough(s.Clips)
	for _, rate := range usualRates() {
		if s.Needs == 0 && enough(ClipsForSame(math.Hypot(intervalSD(float64(rate)), throwSD), tolerance)) {
			s.Needs = rate
		}
	}
	switch {
	case s.Can:
	case s.Needs == 0:
		s.Why = "the throws themselves differ too much for so small a tolerance"
	default:
		s.Why = "the error of one frame is too large for so small a tolerance"
	}
	return s
}

func enough(clips int) bool { return clips > 0 && clips <= MostClips }

func intervalSD(fps float64) float64 {
	if !(fps > 0) {
		return math.Inf(1)
	}
	return FrameSD(PickError) * 1000 / fps
}
