package measure

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"rungwise/engine/unit"
)

var study = flag.Bool("study", false, "run the large simulations")

// draws is how often a simulation is repeated: enough for its tolerance, ten times that in a study.
func draws(n int) int {
	if *study {
		return 10 * n
	}
	return n
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.5g, want %.5g within %.2g", what, got, want, tol)
	}
}

func at(t *testing.T, text string) Reading {
	t.Helper()
	f, err := unit.ParseFrames(text)
	if err != nil {
		t.Fatal(err)
	}
	return Interval(f)
}

func clips(t *testing.T, texts ...string) []Reading {
	t.Helper()
	var out []Reading
	for _, s := range texts {
		out = append(out, at(t, s))
	}
	return out
}

// Front-foot contact to release 145 ms (Seroyer 2010, Sports Health 2:135-146) and acceleration about 50 ms (Pappas
// 1985, Am J Sports Med 13:216-222), in frames (computed).
func TestPublishedIntervalsInFrames(t *testing.T) {
	for _, c := range []struct {
		rate                string
		contact, arm, frame float64
	}{
		{"30", 4.35, 1.5, 33.3}, {"60", 8.7, 3, 16.7}, {"120", 17.4, 6, 8.3}, {"240", 34.8, 12, 4.2},
		{"29.97", 4.3457, 1.4985, 33.4}, {"59.94", 8.6913, 2.997, 16.7}, {"119.88", 17.3826, 5.994, 8.3},
	} {
		r, err := unit.ParseRate(c.rate)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "145 ms at "+c.rate, .145*r.FPS(), c.contact, 1e-4)
		near(t, "50 ms at "+c.rate, .050*r.FPS(), c.arm, 1e-4)
		near(t, "a frame at "+c.rate, r.FrameMS(), c.frame, .07)
	}
}

// The SD of one interval in frames and in ms, of a difference, and the smallest detectable difference (our own
// computation; the formula is checked against picked frames below).
func TestFrameError(t *testing.T) {
	for p, want := range map[float64]float64{0: .408, .1: .753, .2: .983, .3: 1.169} {
		near(t, "frameSD", frameSD(p), want, 5e-4)
	}
	for _, c := range []struct {
		text                  string
		sd, one, three, least float64
	}{
		{"15 frames @ 30", 32.8, 46.3, 26.8, 91}, {"30 frames @ 60", 16.4, 23.2, 13.4, 45},
		{"60 frames @ 120", 8.2, 11.6, 6.7, 23}, {"120 frames @ 240", 4.1, 5.8, 3.3, 11},
	} {
		r := at(t, c.text)
		near(t, c.text, r.Value, 500, 1e-9)
		near(t, c.text+" SD", r.SD, c.sd, .06)
		near(t, c.text+" difference", r.SD*math.Sqrt2, c.one, .1)
		near(t, c.text+" three a side", r.SD*math.Sqrt(2./3), c.three, .06)
		near(t, c.text+" smallest", SmallestDetectable(r.SD), c.least, .6)
	}
}

// Two events at random places between frames, each picked early or late with chance p, counted in whole frames.
func TestFrameErrorAgainstPickedFrames(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	pick := func(at, p float64) float64 {
		frame := math.Ceil(at) // the first frame that shows it
		switch u := r.Float64(); {
		case u < p:
			return frame - 1
		case u < 2*p:
			return frame + 1
		}
		return frame
	}
	for _, p := range []float64{0, .05, .1, .2, .3} {
		var sum, over float64
		n := draws(40_000)
		for range n {
			start := 50 * r.Float64()
			end := start + 10 + 30*r.Float64()
			e := pick(end, p) - pick(start, p) - (end - start)
			sum += e * e
			if math.Abs(e) > 1 {
				over++
			}
		}
		got := math.Sqrt(sum / float64(n))
		near(t, "picked frames", got/frameSD(p), 1, .02)
		if p == .2 {
			near(t, "share off by more than one frame", over/float64(n), .32, .01)
		}
	}
}

// SEM 2.6 deg gives an MDC of 7.2 deg between raters (Guadagnin 2025, Braz J Mot Behav); the formula is MDC95 =
// 2.7719 SEM (Weir 2005, J Strength Cond Res 19:231-240, formula from memory).
func TestSmallestDetectablePublished(t *testing.T) {
	near(t, "SEM 2.6", SmallestDetectable(2.6), 7.2, .05)
	near(t, "SEM 1", SmallestDetectable(1), 2.7719, 5e-5)
}

func TestClipsForSame(t *testing.T) {
	for _, c := range []struct {
		sd, tolerance float64
		want          int
	}{{32.8, 80, 1}, {32.8, 60, 2}, {32.8, 40, 3}, {0, 5, 1}, {32.8, 5, 169}, {1, 0, 0}, {math.Inf(1), 5, 0}, {1e9, 1, 0}} {
		if got := ClipsForSame(c.sd, c.tolerance); got != c.want {
			t.Errorf("ClipsForSame(%v, %v) = %d, want %d", c.sd, c.tolerance, got, c.want)
		}
	}
	// The number given is the least with which "same" can be said.
	for _, tolerance := range []float64{20, 33, 47, 60} {
		n := ClipsForSame(32.8, tolerance)
		for _, k := range []int{n - 1, n} {
			se := 32.8 * math.Sqrt(2/float64(k))
			if got := k > 0 && se*sameNeeds <= tolerance; got != (k == n) {
				t.Errorf("tolerance %v, %d clips: can be the same %v", tolerance, k, got)
			}
		}
	}
}

func TestStated(t *testing.T) {
	for _, c := range []struct {
		q  unit.Quantity
		sd float64
	}{{unit.Quantity{Value: 44, Unit: unit.Deg}, 5}, {unit.Quantity{Value: .5, Unit: unit.S}, .0328}, {unit.Quantity{Value: 4, Unit: unit.IN}, 5 / 2.54},
		{unit.Quantity{Value: 85, Unit: unit.PercentHeight}, 3}, {unit.Quantity{Value: 140, Unit: unit.KMH}, 1.609}, {unit.Quantity{Value: 19, Unit: "years"}, 0}} {
		r := Stated(c.q)
		near(t, c.q.String(), r.SD, c.sd, 5e-4)
		if r.Value != c.q.Value || r.Unit != c.q.Unit || r.FPS != 0 {
			t.Errorf("%v: %+v", c.q, r)
		}
	}
}

func TestReadingUnits(t *testing.T) {
	r, ok := Reading{Value: 73, SD: 1, Unit: unit.IN}.In(unit.CM)
	if !ok || math.Abs(r.Value-185.42) > 1e-9 || math.Abs(r.SD-2.54) > 1e-9 {
		t.Errorf("73 in = %+v, %v", r, ok)
	}
	if _, ok := (Reading{Value: 1, Unit: unit.IN}).In(unit.MS); ok {
		t.Error("inches became milliseconds")
	}
	if d := (Reading{Value: 5, SD: 2}).Doubted(); d.SD != 4 || d.Value != 5 {
		t.Errorf("doubted: %+v", d)
	}
}
