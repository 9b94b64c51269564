package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"rungwise/engine/stats"
	"rungwise/engine/unit"
)

func must(t *testing.T, r Reading, err error) Reading {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Directions of lines in a picture, whose y grows downward (geometry).
func TestRise(t *testing.T) {
	k := Clicks{SD: 3}
	for _, c := range []struct {
		to     Point
		toward Side
		want   float64
	}{
		{Point{200, 0}, 0, 45}, {Point{0, 0}, 0, 45}, {Point{200, 200}, 0, -45}, {Point{200, 0}, Right, 45}, {Point{0, 0}, Right, 135},
		{Point{0, 0}, Left, 45}, {Point{100, 0}, Left, 90}, {Point{200, 100}, Right, 0},
	} {
		r, err := Rise(Point{100, 100}, c.to, c.toward, k)
		near(t, "rise", must(t, r, err).Value, c.want, 1e-9)
	}
}

// A foot against the line to the target: plus is the side asked for, whether the camera stands behind or in front.
func TestTurn(t *testing.T) {
	for _, c := range []struct {
		name   string
		foot   Point // tip, from 0,0
		line   Point
		toward Side
		want   float64
	}{
		{"from behind, toes to the right", Point{50, -50}, Point{0, -200}, Right, 45},
		{"from behind, toes to the left", Point{-50, -50}, Point{0, -200}, Right, -45},
		{"from in front, toes to the right", Point{50, 50}, Point{0, 200}, Right, 45},
		{"the other side is asked for", Point{50, 50}, Point{0, 200}, Left, -45},
		{"beyond square", Point{50, 50}, Point{0, -200}, Right, 135},
		{"along the rubber, toes toward the target above", Point{50, -50}, Point{200, 0}, Up, 45},
		{"along the rubber, toes away from it", Point{50, 50}, Point{200, 0}, Up, -45},
	} {
		r, err := Turn(Point{}, c.foot, Point{}, c.line, c.toward, Clicks{SD: 3})
		near(t, c.name, must(t, r, err).Value, c.want, 1e-9)
	}
	if _, err := Turn(Point{}, Point{1, 1}, Point{}, Point{200, 10}, Right, Clicks{}); err == nil {
		t.Error("a line across the picture has no left and right")
	}
}

// Shifting and scaling the picture changes no direction; mirroring it with the side changes none either, and without
// the side it turns the sign and nothing else.
func TestDirectionsHoldUnderScalingAndMirroring(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	some := func() Point { return Point{1000 * r.Float64(), 1000 * r.Float64()} }
	for range 2000 {
		p, q, a, b := some(), some(), Point{500, 900}, Point{480 + 40*r.Float64(), 100}
		size, shift := .5+2*r.Float64(), 300*r.Float64()
		move := func(x Point, mirror float64) Point { return Point{mirror*x.X*size + shift, x.Y*size - shift} }
		k, big := Clicks{SD: .1}, Clicks{SD: .1 * size}
		for name, f := range map[string]func(f func(Point) Point, s Side, k Clicks) (Reading, error){
			"lean": func(f func(Point) Point, s Side, k Clicks) (Reading, error) { return Lean(f(p), f(q), s, k) },
			"turn": func(f func(Point) Point, s Side, k Clicks) (Reading, error) {
				return Turn(f(p), f(q), f(a), f(b), s, k)
			},
			"beside": func(f func(Point) Point, s Side, k Clicks) (Reading, error) {
				scale := PixelScale{20, 100 * (f(Point{0, 1}).Y - f(Point{0, 0}).Y)}
				return Beside(f(a), f(b), f(p), s, scale, k)
			},
		} {
			r0, err := f(func(x Point) Point { return x }, Right, k)
			before := must(t, r0, err)
			r1, err := f(func(x Point) Point { return move(x, -1) }, Left, big)
			mirrored := must(t, r1, err)
			r2, err := f(func(x Point) Point { return move(x, -1) }, Right, big)
			turned := must(t, r2, err)
			near(t, name, mirrored.Value, before.Value, 1e-6)
			near(t, name+" error", mirrored.SD, before.SD, 1e-6)
			near(t, name+" mirrored", turned.Value, -before.Value, 1e-6)
		}
	}
}

// A landing foot 120 px to the right of a line, at 20 cm to 100 px, is 24 cm beside it; a way of 500 px is 100 cm
// (geometry).
func TestPixelScale(t *testing.T) {
	s, k := PixelScale{20, 100}, Clicks{SD: 3}
	r, err := Beside(Point{500, 900}, Point{500, 300}, Point{620, 400}, Right, s, k)
	near(t, "right of it", must(t, r, err).Value, 24, 1e-9)
	r, err = Beside(Point{500, 300}, Point{500, 900}, Point{620, 400}, Left, s, k)
	near(t, "minus where the other side is asked", must(t, r, err).Value, -24, 1e-9)
	r, err = Distance(Point{100, 100}, Point{400, 500}, s, k)
	near(t, "apart", must(t, r, err).Value, 100, 1e-9)
	for _, bad := range []PixelScale{{}, {20, 0}, {0, 100}, {20, math.NaN()}, {math.Inf(1), 100}} {
		if _, err := Distance(Point{}, Point{10, 0}, bad, k); err == nil {
			t.Errorf("%+v was taken for a scale", bad)
		}
	}
}

// The errors of a distance and of a place beside a line agree with clicking many times, to 2 % and a little for the
// scale, which divides.
func TestPixelScaleAgainstClicking(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 2))
	jitter := func(p Point) Point { return Point{p.X + 3*r.NormFloat64(), p.Y + 3*r.NormFloat64()} }
	n := draws(20_000)
	for _, c := range []struct{ p, q, at, end Point }{
		{Point{500, 900}, Point{500, 300}, Point{620, 400}, Point{140, 0}}, {Point{500, 900}, Point{520, 600}, Point{400, 200}, Point{90, 0}},
		{Point{500, 900}, Point{450, 100}, Point{700, 500}, Point{200, 0}},
	} {
		length := c.end.X / 5
		beside, apart := make([]float64, n), make([]float64, n)
		for i := range n {
			scale := PixelScale{length, vector(jitter(Point{}), jitter(c.end)).length()}
			b, err := Beside(jitter(c.p), jitter(c.q), jitter(c.at), Right, scale, Clicks{SD: 3})
			beside[i] = must(t, b, err).Value
			d, err := Distance(jitter(c.p), jitter(c.at), scale, Clicks{SD: 3})
			apart[i] = must(t, d, err).Value
		}
		b, err := Beside(c.p, c.q, c.at, Right, PixelScale{length, c.end.X}, Clicks{SD: 3})
		near(t, "beside", stats.SD(beside)/must(t, b, err).SD, 1, .03)
		d, err := Distance(c.p, c.at, PixelScale{length, c.end.X}, Clicks{SD: 3})
		near(t, "apart", stats.SD(apart)/must(t, d, err).SD, 1, .03)
	}
}

// One frame of a trunk at 1273 deg/s (Kageyama 2015, J Sports Sci Med 14:246-255) is 42.4 deg at 30 frames a second and
// 5.3 at 240 (computed); spread evenly that is 12.2 and 1.5.
func TestFilmed(t *testing.T) {
	r := Reading{Value: 10, SD: 3, Unit: unit.Deg}
	near(t, "30", r.Filmed(30, 1273).SD, math.Hypot(3, 12.25), .01)
	near(t, "240", r.Filmed(240, 1273).SD, math.Hypot(3, 1.531), .01)
	for _, same := range []Reading{r.Filmed(0, 1273), r.Filmed(60, 0)} {
		if same != r {
			t.Errorf("something was added for nothing known: %+v", same)
		}
	}
	time := Reading{Value: 10, SD: 3, Unit: unit.MS}
	if time.Filmed(30, 1273) != time {
		t.Error("a time does not turn")
	}
}

// Two things graded with answers of their own: pooled in one table, sure agreement on which answers belong to which
// thing would pass for agreement on the answers.
func TestAgreeOnSeveralThings(t *testing.T) {
	var clips []Twice
	for _, group := range []string{"hinge", "slot"} {
		for _, c := range []struct {
			a, b string
			n    int
		}{{"yes", "yes", 20}, {"yes", "no", 5}, {"no", "yes", 10}, {"no", "no", 15}} {
			for range c.n {
				clips = append(clips, Twice{group, group + c.a, group + c.b})
			}
		}
	}
	a, ok := AgreeOn(clips)
	if !ok || a.N != 100 {
		t.Fatalf("%+v", a)
	}
	near(t, "kappa", a.Kappa, .40, 1e-12) // of each of them alone: Cohen 1960, Educ Psychol Meas 20:37-46
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(clips), func(i, j int) { clips[i], clips[j] = clips[j], clips[i] })
	mixed, _ := AgreeOn(clips)
	near(t, "in any order", mixed.Kappa, a.Kappa, 1e-12)
}
