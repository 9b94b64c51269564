package measure

import (
	"math"

	"rungwise/engine/unit"
)

// Rise returns how far the line from → to rises over the picture's horizontal, with its error. Toward Left or Right it runs from
// -180 to 180 deg, such as a forearm over the arm side; with no side (0) it is folded to -90..90 deg, such as a belt line
// clicked from its back end to its front end. The error is a *unit.Fault.
func Rise(from, to Point, toward Side, k Clicks) (Reading, error) {
	v := vector(from, to)
	x := toward.along(v)
	if toward == 0 {
		x = math.Abs(v.X)
	}
	return angleReading(math.Atan2(-v.Y, x), k.lineSD(v), k.Roll)
}

// Turn returns the angle between the line p→q and the line r→s it is held against, plus where p→q points to the given
// side of the picture: a foot beside the line to the target, or beside the rubber. That side must lie across r→s. The
// error is a *unit.Fault.
func Turn(p, q, r, s Point, toward Side, k Clicks) (Reading, error) {
	reading, err := LineToLine(p, q, r, s, k)
	if err != nil {
		return Reading{}, err
	}
	square, err := toward.across(vector(r, s))
	if u := vector(p, q); u.X*square.X+u.Y*square.Y < 0 {
		reading.Value = -reading.Value
	}
	return reading, err
}

// along is how far a vector goes toward the side.
func (s Side) along(v Point) float64 {
	switch s {
	case Left:
		return -v.X
	case Right:
		return v.X
	case Up:
		return -v.Y
	case Down:
		return v.Y
	}
	return 0
}

// across returns a vector of length 1 square to a line, turned to the side. Where the line itself runs to that side the
// side says nothing.
func (s Side) across(line Point) (Point, error) {
	long := line.length()
	square := Point{-line.Y / long, line.X / long}
	if s.along(square) < 0 {
		square = Point{-square.X, -square.Y}
	}
	if !(s.along(square) > 0.25) {
		return Point{}, fault("name the side of the picture that lies across the line", "the line runs to the side that plus is to point to")
	}
	return square, nil
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
	if !possible(long) || long < 1 {
		return Reading{}, fault("click the line from the back heel toward the target", "the two points of the line are the same")
	}
	square, err := toward.across(v)
	if err != nil {
		return Reading{}, err
	}
	along := (v.X*w.X + v.Y*w.Y) / (long * long)
	sd := k.spread() * math.Sqrt(1+along*along+(1-along)*(1-along))
	return s.reading(w.X*square.X+w.Y*square.Y, sd, k)
}

// Filmed returns the reading of an angle with what the camera adds: the right moment lies anywhere within one frame, in
// which the part turns by up to peak deg/s over fps. It is taken as turned evenly, the frame over the square root of
// twelve (house default); nothing is added where the rate or the peak is not known (0), or to anything but an angle.
func (r Reading) Filmed(fps, peak float64) Reading {
	if fps > 0 && r.Unit == unit.Deg {
		r.SD = math.Hypot(r.SD, turnInFrame(fps, peak)/math.Sqrt(12))
	}
	return r
}
