package measure

import (
	"fmt"
	"math"
	"strings"

	"rungwise/engine/unit"
)

// usualRates are the capture rates cameras and phones offer, in frames a second.
func usualRates() []int { return []int{30, 60, 120, 240, 480, 960} }

// usualClips is how many clips a side are asked for by default (house default).
const usualClips = 3

// need says what would settle an unclear comparison, should the difference stay where it is. Each way would do by itself.
func need(v Verdict, e pooled, s Spec) string {
	var ways []string
	if s.OtherDay && s.BetweenDays > 0 && settles(v, e, s, e.drill.n, e.mound.n, true) {
		ways = append(ways, "film both throws on the same day")
	}
	for c := min(e.drill.n, e.mound.n) + 1; c <= MostClips; c++ {
		if settles(v, e, s, max(c, e.drill.n), max(c, e.mound.n), false) {
			ways = append(ways, fmt.Sprintf("film %d clips of each throw", c))
			break
		}
	}
	if fps := rateThatSettles(v, e, s); fps > 0 {
		ways = append(ways, fmt.Sprintf("film %d clips of each throw at %d frames a second", usualClips, fps))
	}
	if len(ways) == 0 {
		return "more clips will not settle it: look at it from another side, or at another checkpoint"
	}
	return strings.Join(ways, ", or ")
}

// settles tells whether the same difference would be called with so many clips a side.
func settles(v Verdict, e pooled, s Spec, drill, mound int, sameDay bool) bool {
	if sameDay {
		e.days = 0
	}
	v.SE, v.DF = e.se(drill, mound), float64(defaultWeight+drill+mound-2)
	v.decide(s)
	return v.Call != Unclear
}

// rateThatSettles tries faster cameras with the usual number of clips; 0 where the readings were not counted in frames
// or no usual rate does it.
func rateThatSettles(v Verdict, e pooled, s Spec) int {
	slowest := math.Min(e.drill.fps, e.mound.fps)
	if !(slowest > 0) || v.Unit.Kind() != unit.Time {
		return 0
	}
	for _, fps := range usualRates() {
		f := float64(fps)
		faster := e
		faster.drill.variance = variance(e.drill.measured*math.Pow(math.Min(1, e.drill.fps/f), 2), s)
		faster.mound.variance = variance(e.mound.measured*math.Pow(math.Min(1, e.mound.fps/f), 2), s)
		if f > slowest && settles(v, faster, s, max(usualClips, e.drill.n), max(usualClips, e.mound.n), false) {
			return fps
		}
	}
	return 0
}
