package observe

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/checklist"
	"rungwise/engine/measure"
	"rungwise/engine/unit"
)

// ordinary is the frame rate that every camera has.
const ordinary = 30

// Camera tells what a camera of so many frames a second can do for a
// checkpoint; a rate of 0 is not known, and only Needs then counts. ok is false
// where nothing about the checkpoint depends on the rate: nothing turns fast
// there, or no speed was published.
func Camera(p checklist.Checkpoint, fps float64) (s measure.Support, ok bool) {
	m := p.Measure
	switch {
	case m == nil:
	case m.Kind == "interval":
		return measure.IntervalSupport(fps, m.ThrowSD, m.Tolerance), true
	case m.Unit == string(unit.Deg) && m.PeakRate > 0:
		return measure.AngleSupport(fps, m.PeakRate, m.Tolerance), true
	}
	return measure.Support{}, false
}

// FilmAt is the rate at which a checkpoint should be filmed, where an ordinary
// camera is too slow for it; else 0.
func FilmAt(p checklist.Checkpoint) int {
	if s, ok := Camera(p, 0); ok && s.Needs > ordinary {
		return s.Needs
	}
	return 0
}

// tooSlow says why a clip of this rate cannot show the checkpoint, and which
// could; "" where it can, or where the rate was not told.
func tooSlow(p checklist.Checkpoint, rate unit.Rate) string {
	s, ok := Camera(p, rate.FPS())
	if !ok || rate.Num == 0 || s.Can {
		return ""
	}
	return Words(s.Explain(p.Title))
}

// Words joins notes to one line.
func Words(notes []measure.Note) string {
	var out []string
	for _, n := range notes {
		out = append(out, n.Text)
	}
	return strings.Join(out, "; ")
}

// bias is by how much the cameras may have shifted one side against the other,
// in deg; ok is false where they stood too far off for any comparison. A camera
// of which nothing was told stood where it should.
func bias(m *checklist.Measure, best, stuck Side) (deg float64, ok bool) {
	if m.Unit != string(unit.Deg) || len(best.offSquare)+len(stuck.offSquare) == 0 {
		return 0, true
	}
	worst := func(s Side) float64 {
		if len(s.offSquare) == 0 {
			return 0
		}
		low, high := slices.Min(s.offSquare), slices.Max(s.offSquare)
		if -low > high {
			return low
		}
		return high
	}
	deg, ok = measure.CameraBias(worst(best), worst(stuck))
	if m.Kind == "line" {
		deg /= 2
	}
	return deg, ok
}

// daysDiffer reports whether the two throws were filmed on days that are known
// and not all the same.
func daysDiffer(best, stuck Side) bool {
	if len(best.days) == 0 || len(stuck.days) == 0 {
		return false
	}
	for _, d := range append(slices.Clone(best.days), stuck.days...) {
		if !d.Equal(best.days[0]) {
			return true
		}
	}
	return false
}

// evidence names the clip and the time of a look; "" where neither was given.
func evidence(clip, at string) string {
	switch {
	case clip == "":
		return at
	case at == "":
		return clip
	}
	return fmt.Sprintf("%s at %s", clip, at)
}
