package measure

import (
	"math"

	"rungwise/engine/unit"
)

// Rise returns how far the line from → to rises over the picture's horizontal, with its error. Toward a side it runs from
// -180 to 180 deg, such as a forearm over the arm side; with no side (0) it is folded to -90..90 deg, such as a belt line
// clicked from its back end to its front end. The error is a *unit.Fault.
func Rise(from, to Point, toward Side, k Clicks) (Reading, error) {
	v := vector(from, to)
	x := float64(toward) * v.X
	if toward == 0 {
		x = math.Abs(v.X)
	}
	return angleReading(math.Atan2(-v.Y, x), k.lineSD(v), k.Roll)
}

// Turn returns the angle between the line p→q and the line r→s it is held against, plus where p→q points to the given
// side of the picture: a foot beside the line to the target. It needs a line r→s that is not level, which has a left
// and a right. The error is a *unit.Fault.
func Turn(p, q, r, s Point, toward Side, k Clicks) (Reading, error) {
	reading, err := LineToLine(p, q, r, s, k)
	if err != nil {
		return Reading{}, err
	}
	u, v := vector(p, q), vector(r, s)
	if math.Abs(v.Y) < math.Abs(v.X)/4 {
		return Reading{}, fault("use a clip filmed along the line to the target", "the line it is held against lies across the picture, so it has no left and right")
	}
	right := Point{-v.Y, v.X} // square to r→s, turned so that it points to the right of the picture
	if right.X < 0 {
		right = Point{v.Y, -v.X}
	}
	if float64(toward)*(u.X*right.X+u.Y*right.Y) < 0 {
		reading.Value = -reading.Value
	}
	return reading, nil
}

// Change returns b minus a with the errors of both: a bend at release against the bend at landing, or a line against
// one that is known to be level. Both are in the unit of a.
func Change(a, b Reading) Reading {
	return Reading{Value: b.Value - a.Value, SD: math.Hypot(a.SD, b.SD), Unit: a.Unit}
}

// PixelScale is what a thing of known length comes to in the picture, where it stands as far from the camera as what is
// measured.
type PixelScale struct{ Length, Pixels float64 } // cm, px

// reading turns pixels into cm with their error: sd px of the reading itself, and two clicks at the ends of the thing.
func (s PixelScale) reading(px, sd float64, k Clicks) (Reading, error) {
	if !possible(s.Length, s.Pixels, px, sd) || s.Length <= 0 || s.Pixels < 1 {
		return Reading{}, fault("write the length of a thing in the picture and its pixels, such as 23 cm = 140 px", "there is no usable scale")
	}
	one := s.Length / s.Pixels
	scale := math.Sqrt2 * k.spread(Point{s.Pixels, 0}) / s.Pixels // as a part of the length
	return Reading{Value: px * one, SD: math.Hypot(sd*one, px*one*scale), Unit: unit.CM}, nil
}

// Distance returns how far apart two points are in cm, with its error. The error is a *unit.Fault.
func Distance(p, q Point, s PixelScale, k Clicks) (Reading, error) {
	length := vector(p, q).length()
	return s.reading(length, math.Sqrt2*k.spread(vector(p, q)), k)
}

// Beside returns how far a point lies beside the line through p and q in cm, plus on the given side of the picture: a
// landing foot beside the line to the target. A line much shorter than the way to the point makes the error grow. The
// error is a *unit.Fault.
func Beside(p, q, at Point, toward Side, s PixelScale, k Clicks) (Reading, error) {
	v, w := vector(p, q), vector(p, at)
	long := v.length()
	if !possible(long) || long < 1 || math.Abs(v.Y) < math.Abs(v.X)/4 {
		return Reading{}, fault("click the line from the back heel toward the target", "the two points of the line are too close, or lie across the picture")
	}
	off := (v.X*w.Y - v.Y*w.X) / long // to the right of p→q as it is walked, in a picture
	if v.Y > 0 {                      // walked down the picture, its right hand is the picture's left
		off = -off
	}
	along := (v.X*w.X + v.Y*w.Y) / (long * long)
	sd := k.spread() * math.Sqrt(1+along*along+(1-along)*(1-along))
	return s.reading(float64(toward)*off, sd, k)
}

// Filmed returns the reading of an angle with what the camera adds: the right moment lies anywhere within one frame, in
// which the part turns by up to peak deg/s over fps. It is taken as turned evenly, the frame over the square root of
// twelve (house default); nothing is added where the rate or the peak is not known (0), or to anything but an angle.
func (r Reading) Filmed(fps, peak float64) Reading {
	if fps > 0 && r.Unit == unit.Deg {
		r.SD = math.Hypot(r.SD, TurnInFrame(fps, peak)/math.Sqrt(12))
	}
	return r
}
