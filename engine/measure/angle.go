package measure

import (
	"math"

	"rungwise/engine/unit"
)

// Point is a place clicked in a picture, in pixels; y grows downward as pictures have it.
type Point struct{ X, Y float64 }

// Clicks tells how well points are clicked.
type Clicks struct {
	SD   float64 // px, one coordinate of one click; 0 stands for defaultClick of the limb
	Roll float64 // deg, SD of how far the camera leans; only lines against the picture's edges feel it
}

// CameraRoll is the lean of a camera that nobody levelled, as an SD in deg (house default).
const CameraRoll = 1.0

// worstAngle is the error in deg at which an angle says nothing: points so close that a click moves it anywhere.
const worstAngle = 30

// defaultClick returns the click error in px for a limb of the given length in px: finding the joint, not the pixel,
// is what counts, so 3 px or 3 % of the limb, whichever is more (house default).
func defaultClick(limb float64) float64 { return math.Max(3, 0.03*limb) }

// ClickSD returns a coach's own click error in px from the same points clicked twice: the SD of the differences over
// the square root of two. ok is false for fewer than three points or lists of different length.
func ClickSD(first, second []Point) (sd float64, ok bool) {
	if len(first) != len(second) || len(first) < 3 {
		return 0, false
	}
	ss := 0.0
	for i, p := range first {
		dx, dy := p.X-second[i].X, p.Y-second[i].Y
		ss += dx*dx + dy*dy
	}
	sd = math.Sqrt(ss / float64(2*len(first)) / 2)
	return sd, possible(sd)
}

// Angle returns the angle at b between the limbs b-a and b-c, 0 to 180 deg, with its error: s times the square root
// of 2(1/a² + 1/c² - cos θ/(ac)) for limbs of a and c px. The error is a *unit.Fault.
func Angle(a, b, c Point, k Clicks) (Reading, error) {
	u, v := vector(b, a), vector(b, c)
	s := k.spread(u, v)
	lu, lv := u.length(), v.length()
	theta := between(u, v)
	sd := s * math.Sqrt(2*(1/(lu*lu)+1/(lv*lv)-math.Cos(theta)/(lu*lv)))
	return angleReading(theta, sd, 0)
}

// Side is a side of the picture.
type Side int

// The sides; the zero Side is none.
const (
	Left  Side = -1
	Right Side = 1
	Up    Side = -2
	Down  Side = 2
)

// Lean returns how far the line from base up to top leans from the vertical toward Left or Right, -180 to
// 180 deg: a trunk, from hip to shoulder, that leans forward where the target is on that side is positive. The error
// is a *unit.Fault.
func Lean(base, top Point, toward Side, k Clicks) (Reading, error) {
	v := vector(base, top)
	return angleReading(math.Atan2(toward.along(v), -v.Y), k.lineSD(v), k.Roll)
}

// LineToLine returns the angle between the directions p→q and r→s, 0 to 180 deg, such as shoulder line and hip line
// clicked in the same order. The error is a *unit.Fault.
func LineToLine(p, q, r, s Point, k Clicks) (Reading, error) {
	u, v := vector(p, q), vector(r, s)
	return angleReading(between(u, v), math.Hypot(k.lineSD(u), k.lineSD(v)), 0)
}

func vector(from, to Point) Point       { return Point{to.X - from.X, to.Y - from.Y} }
func (p Point) length() float64         { return math.Hypot(p.X, p.Y) }
func (k Clicks) lineSD(v Point) float64 { return math.Sqrt2 * k.spread(v) / v.length() }

// spread is the click error that holds for these limbs: the one given, else the default for the longest.
func (k Clicks) spread(limbs ...Point) float64 {
	if k.SD > 0 {
		return k.SD
	}
	longest := 0.0
	for _, l := range limbs {
		longest = math.Max(longest, l.length())
	}
	return defaultClick(longest)
}

// between is the angle of two vectors in rad; the two-argument arctangent keeps its digits near 0 and 180 deg, where
// the arccosine loses half of them.
func between(u, v Point) float64 {
	return math.Atan2(math.Abs(u.X*v.Y-u.Y*v.X), u.X*v.X+u.Y*v.Y)
}

func angleReading(theta, sd, roll float64) (Reading, error) {
	deg := 180 / math.Pi
	if !possible(theta, sd) {
		return Reading{}, fault("click the points again", "two of the points are the same, or far outside a picture")
	}
	r := Reading{Value: theta * deg, SD: math.Hypot(sd*deg, roll), Unit: unit.Deg}
	if r.SD > worstAngle {
		return Reading{}, fault("use a larger picture, or a clip filmed closer", "the points are too close together for an angle")
	}
	return r, nil
}

// Yaw limits in deg (house default): beyond, an angle seen in the picture is not compared.
const (
	mostYaw     = 30
	mostYawStep = 15
)

// outOfPlane returns by how many deg an angle at three points can look too large or too small, at the worst, when the
// camera stands yaw deg away from square to the plane of the movement: twice asin(tan²(yaw/2)), since the sideways
// part of each limb is shortened by cos yaw. One line alone is off by half of it.
func outOfPlane(yaw float64) float64 {
	t := math.Tan(math.Min(math.Abs(yaw), 90) / 2 * math.Pi / 180)
	return 2 * math.Asin(math.Min(1, t*t)) * 180 / math.Pi
}

// CameraBias returns the bias in deg to allow for (Spec.Bias) when the drill and the mound were filmed from so many
// deg away from square. ok is false where the angle cannot be compared at all: more than 30 deg on either, or more
// than 15 deg between them.
func CameraBias(drillYaw, moundYaw float64) (bias float64, ok bool) {
	worst := math.Max(math.Abs(drillYaw), math.Abs(moundYaw))
	if !(worst <= mostYaw) || math.Abs(drillYaw-moundYaw) > mostYawStep {
		return 0, false
	}
	return outOfPlane(worst), true
}
