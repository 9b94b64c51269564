package casefile

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/measure"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Look is one clip's answer: exactly one of Unseen, Answer, Value, Frames,
// Points and Line is set. The zero values of the rest mean not told.
type Look struct {
	Unseen bool
	Answer string
	Value  *unit.Quantity // in the checkpoint's unit
	Frames *unit.Frames

	// Points are three joints, with the angle at the second; six where a change
	// between two frames is asked; or two of a line and a foot beside it.
	Points  []Point
	Line    []Point      // two: a line, or a way
	Against []Point      // two: what the line is held against
	Toward  measure.Side // of the picture, where plus points to
	Scale   measure.PixelScale
	Click   float64 // px, the coach's own error of one click

	FPS       unit.Rate // at which the clip was filmed
	OffSquare *float64  // deg between the camera and where it should stand
	On        time.Time // day on which it was filmed
	Unsure    bool      // `sure: no`
	Clip, At  string    // name of the clip, and when in it
	By        string
	Note      string
	Place     diag.Place
}

// Point is a clicked place on a picture, in pixels from its top left corner.
type Point = measure.Point

// Rate is the rate at which the clip was filmed, as far as it was told.
func (l Look) Rate() unit.Rate {
	if l.Frames != nil {
		return l.Frames.Rate
	}
	return l.FPS
}

// Measured reports whether the look is a measurement.
func (l Look) Measured() bool {
	return l.Value != nil || l.Frames != nil || len(l.Points) > 0 || len(l.Line) > 0
}

// Reading is the value of a measured look with its error, in the checkpoint's
// unit: what its camera and a doubt add is in the error. The height is the
// athlete's in cm, 0 where it is not known. The error is a *unit.Fault: a
// number that is not possible, or clicks that do not give what is measured.
func (l Look) Reading(m *checklist.Measure, height float64) (measure.Reading, error) {
	r, err := l.bare(m, height)
	if err != nil {
		return r, err
	}
	if err := unit.Check(r.Quantity(), unit.Range{Low: m.Low, High: m.High}); err != nil {
		return r, err
	}
	if r = r.Filmed(l.Rate().FPS(), m.PeakRate); l.Unsure {
		r = r.Doubted()
	}
	return r, nil
}

func (l Look) bare(m *checklist.Measure, height float64) (measure.Reading, error) {
	switch {
	case l.Frames != nil:
		return measure.Interval(*l.Frames), nil
	case l.Value != nil:
		return measure.Stated(*l.Value), nil
	case len(l.Points) > 0:
		return l.fromPoints(m)
	case len(l.Line) == 2 && len(l.Against) != 1:
		return l.fromLine(m, height)
	}
	return measure.Reading{}, wanted(m)
}

// clicks is how well the points were clicked; roll is the lean of the camera,
// which only a line against the edge of the picture feels.
func (l Look) clicks(roll float64) measure.Clicks { return measure.Clicks{SD: l.Click, Roll: roll} }

// between reports whether a measure is the angle between two lines, which points of a joint give too.
func between(m *checklist.Measure) bool { return m.Kind == "angle" && !m.Change && m.Low >= 0 }

func (l Look) fromPoints(m *checklist.Measure) (measure.Reading, error) {
	p := l.Points
	switch {
	case m.Kind == "length" && len(p) == 3 && l.Toward != 0:
		return measure.Beside(p[0], p[1], p[2], l.Toward, l.Scale, l.clicks(0))
	case m.Kind == "angle" && m.Change && len(p) == 6:
		first, err := l.joint(m, p[:3])
		if err != nil {
			return first, err
		}
		second, err := l.joint(m, p[3:])
		return measure.Change(first, second), err
	case between(m) && len(p) == 3:
		return l.joint(m, p)
	}
	return measure.Reading{}, wanted(m)
}

func (l Look) joint(m *checklist.Measure, p []Point) (measure.Reading, error) {
	r, err := measure.Angle(p[0], p[1], p[2], l.clicks(0))
	if m.Flexion {
		r.Value = 180 - r.Value
	}
	return r, err
}

func (l Look) fromLine(m *checklist.Measure, height float64) (measure.Reading, error) {
	p, q, clicked := l.Line[0], l.Line[1], len(l.Against) == 2
	switch {
	case m.Against != "":
		return l.tilt(m)
	case m.Kind == "length" && m.Plus == "" && !clicked:
		return measure.Distance(p, q, l.Scale, l.clicks(0))
	case m.Unit == string(unit.PercentHeight) && !clicked:
		r, err := measure.Distance(p, q, l.Scale, l.clicks(0))
		if err != nil {
			return r, err
		}
		return shareOf(r, height)
	case between(m) && clicked:
		return measure.LineToLine(p, q, l.Against[0], l.Against[1], l.clicks(0))
	case m.Kind == "angle" && !m.Change && clicked && l.Toward != 0:
		return measure.Turn(p, q, l.Against[0], l.Against[1], l.Toward, l.clicks(0))
	}
	return measure.Reading{}, wanted(m)
}

// tilt is a line against the vertical or the horizontal: the picture's, or one
// that was clicked and is known to be plumb or level.
func (l Look) tilt(m *checklist.Measure) (measure.Reading, error) {
	line, folded := measure.Rise, l.Toward == 0
	if m.Against == checklist.Vertical {
		line = measure.Lean
	}
	if folded && m.Against == checklist.Vertical || l.Toward == measure.Up || l.Toward == measure.Down {
		return measure.Reading{}, wanted(m)
	}
	p, q := l.Line[0], l.Line[1]
	if len(l.Against) != 2 {
		return line(p, q, l.Toward, l.clicks(measure.CameraRoll))
	}
	r, err := line(p, q, l.Toward, l.clicks(0))
	if err != nil {
		return r, err
	}
	a, b := l.Against[0], l.Against[1]
	base, err := line(a, b, l.Toward, l.clicks(0))
	if back := (b.X-a.X)*(q.X-p.X) < 0; math.Abs(base.Value) > 90 || folded && back { // it counts in the direction in which it reads near 0
		base, err = line(b, a, l.Toward, l.clicks(0))
	}
	return measure.Change(base, r), err
}

func shareOf(r measure.Reading, height float64) (measure.Reading, error) {
	q, err := unit.PercentOfHeight(r.Quantity(), unit.Quantity{Value: height, Unit: unit.CM})
	if err != nil {
		return r, err
	}
	return measure.Reading{Value: q.Value, SD: r.SD * 100 / height, Unit: q.Unit}, nil
}

// wanted tells how a checkpoint can be clicked.
func wanted(m *checklist.Measure) error {
	f := &unit.Fault{Says: "these clicks do not give what is measured here", Help: "click " + Clicked(m)}
	if Clicked(m) == "" {
		f.Help = "give a number in " + m.Unit
	}
	return f
}

// Clicked says what is to be clicked for a measure, in words; "" where clicks
// do not give it.
func Clicked(m *checklist.Measure) string {
	toward := fmt.Sprintf("`toward:` the side of the picture where %s is", m.Plus)
	switch {
	case m.Kind == "angle" && m.Change:
		return "six `points:`, the joint and its two ends at landing, then at release"
	case m.Kind == "angle" && m.Low >= 0:
		return "three `points:`, the joint in the middle"
	case m.Kind == "angle":
		return "a `line:` and the line it is held `against:`, with " + toward
	case m.Against == checklist.Vertical:
		return "a `line:` from below up, with " + toward
	case m.Against == checklist.Horizontal:
		return "a `line:` of two points, the body's end first"
	case m.Kind == "length":
		return "three `points:`, two on the line and then the place beside it, with a `scale:` and " + toward
	case m.Unit == string(unit.PercentHeight):
		return "a `line:` of two points with a `scale:`, and give the athlete's height"
	}
	return ""
}

// Text writes the look as it stands in a case file, on one line.
func (l Look) Text() string {
	var fields []string
	put := func(key, text string) {
		if text != "" {
			fields = append(fields, key+": "+text)
		}
	}
	switch {
	case len(l.Points) > 0:
		put("points", pointText(l.Points))
	case len(l.Line) > 0:
		put("line", pointText(l.Line))
		put("against", pointText(l.Against))
	default:
		put("answer", l.word())
	}
	for _, name := range Sides() {
		if SideOf(name) == l.Toward {
			put("toward", name)
		}
	}
	if l.Scale.Pixels > 0 {
		put("scale", fmt.Sprintf("%s = %g px", unit.Quantity{Value: l.Scale.Length, Unit: unit.CM}, l.Scale.Pixels))
	}
	if l.Click > 0 {
		put("click", fmt.Sprintf("%g", l.Click))
	}
	if l.FPS.Num > 0 {
		put("fps", l.FPS.String())
	}
	if l.OffSquare != nil {
		put("off_square", fmt.Sprintf("%g deg", *l.OffSquare))
	}
	if !l.On.IsZero() {
		put("on", l.On.Format(time.DateOnly))
	}
	if l.Unsure {
		put("sure", "no")
	}
	for _, words := range []struct{ key, text string }{{"clip", l.Clip}, {"at", l.At}, {"by", l.By}, {"note", l.Note}} {
		if words.text != "" {
			put(words.key, source.Quote(words.text))
		}
	}
	if len(fields) == 1 && len(l.Points) == 0 && len(l.Line) == 0 {
		return l.word()
	}
	return "{" + strings.Join(fields, ", ") + "}"
}

// word is the answer, the number or the frames.
func (l Look) word() string {
	switch {
	case l.Unseen:
		return CouldNotSee
	case l.Frames != nil:
		return l.Frames.String()
	case l.Value != nil:
		return l.Value.String()
	}
	return l.Answer
}

func pointText(points []Point) string {
	if len(points) == 0 {
		return ""
	}
	out := make([]string, len(points))
	for i, p := range points {
		out[i] = fmt.Sprintf("[%g, %g]", p.X, p.Y)
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// Sides lists the sides of a picture by name.
func Sides() []string { return []string{"left", "right", "up", "down"} }

// SideOf returns the side of a name; it is none for any other word.
func SideOf(name string) measure.Side {
	return map[string]measure.Side{"left": measure.Left, "right": measure.Right, "up": measure.Up, "down": measure.Down}[name]
}

// ScaleOf reads a scale such as "23 cm = 140 px". The error is a *unit.Fault.
func ScaleOf(text string) (measure.PixelScale, error) {
	bad := &unit.Fault{Says: fmt.Sprintf("%q is no scale of a picture", text), Help: "write a known length and its pixels, such as 23 cm = 140 px"}
	length, pixels, ok := strings.Cut(text, "=")
	if !ok {
		return measure.PixelScale{}, bad
	}
	q, err := unit.Read(strings.TrimSpace(length), unit.CM, unit.Range{Low: 1, High: 1000})
	if err != nil {
		return measure.PixelScale{}, err
	}
	var px float64
	pixels, ok = strings.CutSuffix(strings.TrimSpace(pixels), "px")
	if n, err := fmt.Sscanf(strings.TrimSpace(pixels), "%g", &px); !ok || n != 1 || err != nil || !(px >= 1) || math.IsInf(px, 0) {
		return measure.PixelScale{}, bad
	}
	return measure.PixelScale{Length: q.Value, Pixels: px}, nil
}
