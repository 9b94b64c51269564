package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"rungwise/engine/stats"
	"rungwise/engine/unit"
)

const deg = math.Pi / 180

// joint makes three points with limbs of a and c px and the angle theta (deg) between them, turned by turn (deg).
func joint(a, c, theta, turn float64) (p, q, r Point) {
	q = Point{400, 300}
	p = Point{q.X + a*math.Cos(turn*deg), q.Y + a*math.Sin(turn*deg)}
	r = Point{q.X + c*math.Cos((turn+theta)*deg), q.Y + c*math.Sin((turn+theta)*deg)}
	return p, q, r
}

func mustAngle(t *testing.T, a, b, c Point, k Clicks) Reading {
	t.Helper()
	r, err := Angle(a, b, c, k)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestAngle(t *testing.T) {
	// The 3-4-5 triangle: 36.8699 deg between the sides of 4 and 5 (geometry).
	r := mustAngle(t, Point{400, 0}, Point{0, 0}, Point{400, 300}, Clicks{})
	near(t, "3-4-5", r.Value, 36.8699, 5e-5)
	// Click error of an angle, computed and simulated (our own study): s, limbs, angle, SD.
	for _, c := range []struct{ s, a, c, theta, sd float64 }{
		{3, 120, 120, 130, 3.29}, {3, 120, 120, 170, 3.50}, {5, 120, 100, 90, 5.27}, {5, 60, 60, 130, 10.98}, {8, 120, 120, 130, 8.78}, {3, 300, 250, 150, 1.51},
	} {
		p, q, w := joint(c.a, c.c, c.theta, 20)
		r := mustAngle(t, p, q, w, Clicks{SD: c.s})
		near(t, "angle", r.Value, c.theta, 1e-9)
		near(t, "its SD", r.SD, c.sd, .006)
	}
	// Without a click error, 3 px or 3 % of the limb stands in (house default).
	p, q, w := joint(80, 80, 90, 0)
	near(t, "short limbs", mustAngle(t, p, q, w, Clicks{}).SD, mustAngle(t, p, q, w, Clicks{SD: 3}).SD, 1e-12)
	p, q, w = joint(200, 300, 90, 0)
	near(t, "long limbs", mustAngle(t, p, q, w, Clicks{}).SD, mustAngle(t, p, q, w, Clicks{SD: 9}).SD, 1e-12)
}

func TestLines(t *testing.T) {
	k := Clicks{SD: 3}
	line, err := Rise(Point{100, 200}, Point{250, 200}, 0, k)
	near(t, "level line", line.Value, 0, 1e-12)
	near(t, "3 px over 150 px", line.SD, 1.6, .03) // computed: sqrt 2 * 3 / 150 rad
	up, err2 := Lean(Point{100, 200}, Point{250, 50}, Right, Clicks{SD: 3, Roll: CameraRoll})
	near(t, "half upright", up.Value, 45, 1e-12)
	near(t, "its SD with the camera's lean", up.SD, math.Hypot(math.Sqrt2*3/math.Hypot(150, 150)/deg, 1), 1e-12)
	forward, err3 := Lean(Point{300, 400}, Point{350, 313.3975}, Right, k)
	near(t, "leaning to the right", forward.Value, 30, 1e-4)
	back, err4 := Lean(Point{300, 400}, Point{350, 313.3975}, Left, k)
	near(t, "the same toward the left", back.Value, -30, 1e-4)
	sep, err5 := LineToLine(Point{0, 0}, Point{100, 0}, Point{50, 50}, Point{50, 150}, k)
	near(t, "square lines", sep.Value, 90, 1e-12)
	near(t, "two lines add their variances", sep.SD, math.Sqrt2*math.Sqrt2*.03/deg, 1e-9)
	for _, err := range []error{err, err2, err3, err4, err5} {
		if err != nil {
			t.Error(err)
		}
	}
}

func TestAnglesThatSayNothing(t *testing.T) {
	a := Point{100, 100}
	for name, f := range map[string]func() error{
		"same point":    func() error { _, err := Angle(a, a, Point{200, 100}, Clicks{}); return err },
		"too close":     func() error { _, err := Angle(Point{103, 100}, a, Point{100, 104}, Clicks{}); return err },
		"not a number":  func() error { _, err := Angle(Point{math.NaN(), 0}, a, Point{200, 100}, Clicks{}); return err },
		"a line of one": func() error { _, err := Rise(a, a, 0, Clicks{}); return err },
		"endless":       func() error { _, err := LineToLine(a, Point{math.Inf(1), 0}, a, Point{1, 1}, Clicks{}); return err },
	} {
		if f() == nil {
			t.Errorf("%s was measured", name)
		}
	}
}

// The formulas agree with clicking the same points many times, to 2 %, over limbs, angles and click errors up to
// about 5 % of the limb.
func TestClickErrorAgainstClicking(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	jitter := func(p Point, s float64) Point { return Point{p.X + s*r.NormFloat64(), p.Y + s*r.NormFloat64()} }
	n := draws(20_000)
	for _, limb := range []struct{ a, c, s float64 }{{120, 120, 3}, {120, 80, 4}, {300, 200, 3}, {90, 100, 4}, {250, 250, 10}} {
		for _, theta := range []float64{30, 60, 90, 120, 150} {
			p, q, w := joint(limb.a, limb.c, theta, 33)
			k := Clicks{SD: limb.s}
			angles, lines := make([]float64, n), make([]float64, n)
			for i := range n {
				b := jitter(q, limb.s)
				angles[i] = mustAngle(t, jitter(p, limb.s), b, jitter(w, limb.s), k).Value
				l, err := LineToLine(b, jitter(p, limb.s), jitter(q, limb.s), jitter(w, limb.s), k)
				if err != nil {
					t.Fatal(err)
				}
				lines[i] = l.Value
			}
			near(t, "clicked angles", stats.SD(angles)/mustAngle(t, p, q, w, k).SD, 1, .02)
			l, _ := LineToLine(q, p, q, w, k)
			near(t, "clicked lines", stats.SD(lines)/l.SD, 1, .02)
		}
	}
}

func TestClickSD(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var one, two []Point
	for i := range 2000 {
		p := Point{float64(i), 500}
		one = append(one, Point{p.X + 4*r.NormFloat64(), p.Y + 4*r.NormFloat64()})
		two = append(two, Point{p.X + 4*r.NormFloat64(), p.Y + 4*r.NormFloat64()})
	}
	sd, ok := ClickSD(one, two)
	if !ok {
		t.Fatal("not measured")
	}
	near(t, "own click error", sd, 4, .15)
	if _, ok := ClickSD(one[:2], two[:2]); ok {
		t.Error("two points gave a click error")
	}
}

// Scaling, turning, shifting and mirroring the clicked points changes no angle.
func TestAnglesHoldUnderScalingTurningMirroring(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 2000 {
		p, q, w := joint(100+200*r.Float64(), 100+200*r.Float64(), 180*r.Float64(), 360*r.Float64())
		size, turn, shift := .8+3*r.Float64(), 2*math.Pi*r.Float64(), 500*r.Float64()
		mirror := float64(1 - 2*r.IntN(2))
		move := func(a Point) Point {
			x, y := mirror*a.X*size, a.Y*size
			return Point{x*math.Cos(turn) - y*math.Sin(turn) + shift, x*math.Sin(turn) + y*math.Cos(turn) - shift}
		}
		before, after := mustAngle(t, p, q, w, Clicks{SD: 3}), mustAngle(t, move(p), move(q), move(w), Clicks{SD: 3 * size})
		near(t, "angle", after.Value, before.Value, 1e-7)
		near(t, "error", after.SD, before.SD, 1e-7)
		swapped := mustAngle(t, w, q, p, Clicks{SD: 3})
		near(t, "other way round", swapped.Value, before.Value, 1e-9)
		a, _ := LineToLine(q, p, q, w, Clicks{SD: 3})
		b, _ := LineToLine(move(q), move(p), move(q), move(w), Clicks{SD: 3 * size})
		near(t, "line to line", b.Value, a.Value, 1e-7)
	}
}

// The worst an angle is off when the camera is not square: our own search over orientations, and the closed form.
func TestOutOfPlane(t *testing.T) {
	for yaw, want := range map[float64]float64{0: 0, 10: .9, 15: 2.0, 20: 3.6, 30: 8.2, 45: 19.5} {
		near(t, "yaw", outOfPlane(yaw), want, .3)
	}
	for _, yaw := range []float64{10, 20, 30, 45} {
		worst := 0.0
		for a := 0.; a < 180; a += .5 {
			for b := a; b < a+180; b += .5 {
				p, q, w := joint(100, 100, b-a, a)
				for _, x := range []*Point{&p, &w} {
					x.X = q.X + (x.X-q.X)*math.Cos(yaw*deg)
				}
				if b > a+2 {
					seen, err := Angle(p, q, w, Clicks{SD: 1})
					if err == nil {
						worst = math.Max(worst, math.Abs(seen.Value-(b-a)))
					}
				}
			}
		}
		near(t, "search over orientations", worst, outOfPlane(yaw), .02)
	}
	if b, ok := CameraBias(10, 20); !ok || math.Abs(b-outOfPlane(20)) > 1e-12 {
		t.Errorf("10 and 20 deg: %v %v", b, ok)
	}
	for _, c := range [][2]float64{{0, 16}, {20, 31}, {-10, 10}, {math.NaN(), 0}} {
		if _, ok := CameraBias(c[0], c[1]); ok {
			t.Errorf("angles filmed from %v deg were compared", c)
		}
	}
}

func FuzzAngle(f *testing.F) {
	f.Add(412., 300., 440., 388., 431., 470., 3.)
	f.Add(0., 0., 0., 0., 1., 1., 0.)
	f.Add(1e308, -1e308, 1e-320, 0., math.Inf(1), math.NaN(), -1.)
	f.Fuzz(func(t *testing.T, ax, ay, bx, by, cx, cy, s float64) {
		a, b, c, k := Point{ax, ay}, Point{bx, by}, Point{cx, cy}, Clicks{SD: s}
		r1, err1 := Angle(a, b, c, k)
		r2, err2 := Rise(a, b, Right, k)
		r3, err3 := Lean(a, b, Left, k)
		r4, err4 := LineToLine(a, b, b, c, k)
		for i, r := range []Reading{r1, r2, r3, r4} {
			err := []error{err1, err2, err3, err4}[i]
			if err == nil && !(r.Value >= -180 && r.Value <= 180 && r.SD >= 0 && r.SD <= worstAngle && r.Unit == unit.Deg) {
				t.Errorf("%d: %+v", i, r)
			}
		}
	})
}
