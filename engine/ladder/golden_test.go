package ladder

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The thirteen rungs of the simulated study and their healthy shares of a running throw by position, with their spreads.
// Source: house default.
var studyMids = [...]float64{1, .975, .955, .97, .95, .935, .945, .955, .95, .948, .942, .94, .945}
var studySpreads = [...]float64{0, .010, .012, .012, .012, .013, .013, .013, .014, .014, .014, .014, .016}

func studyLadder(trained bool) Ladder {
	l := Ladder{Trained: trained}
	for i, mid := range studyMids {
		s := Share{1, 1}
		if i > 0 {
			half := studySpreads[i] * bandZ / 2
			s = Share{mid - half, mid + half}
		}
		l.Rungs = append(l.Rungs, Rung{Throw: string(rune('a' + i)), Share: s})
	}
	return l
}

func marks(n int, m float64) []float64 { return slices.Repeat([]float64{m}, n) }

// goldenA is the ladder of a clear break at rung 6: readings and marks are invented, the posterior beside them is the
// simulated study's.
func goldenA() Ladder {
	l := studyLadder(true)
	for i, speeds := range [][]float64{{88, 89, 87, 88}, {86, 85, 87}, {84, 84, 85}, {85, 86, 85}, {83, 84, 84}, {82, 83, 82},
		{78, 77, 79}, {79, 79, 78}, {78, 78, 79}, {78, 77, 78}} {
		l.Rungs[i].Speeds = speeds
		l.Rungs[i].Marks = marks(len(speeds), step(i < 6))
	}
	l.Rungs[3].Marks[1], l.Rungs[5].Marks[1] = .5, .5
	return l
}

// goldenC keeps one level through all thirteen rungs.
func goldenC() Ladder {
	l := studyLadder(true)
	for i, speeds := range [][]float64{{88, 89, 87, 88}, {86, 85, 87}, {84, 84, 85}, {85, 86, 85}, {83, 84, 84}, {82, 83, 82},
		{83, 83, 84}, {84, 84, 83}, {83, 84, 84}, {83, 84, 83}, {83, 83, 82}, {82, 83, 83}, {83, 84, 83}} {
		l.Rungs[i].Speeds = speeds
		l.Rungs[i].Marks = marks(len(speeds), 1)
	}
	return l
}

func judge(t testing.TB, l Ladder) Verdict {
	t.Helper()
	v, err := Judge(l, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s = %.6g, want %.6g within %g", what, got, want, tol)
	}
}

// The golden posteriors are computed (simulated study); only their readings are invented.
func TestGolden(t *testing.T) {
	a := judge(t, goldenA())
	if a.Kind != Stuck || a.Rung != 6 || a.Dip || a.After != 5 || a.Gap {
		t.Errorf("A: %s at %d after %d", a.Kind, a.Rung, a.After)
	}
	near(t, "A: P(6)", a.PBreak[6], .946, .0015)
	near(t, "A: P(5)", a.PBreak[5], .054, .0015)
	if a.AdviceNeeded || len(a.Advice) != 1 || a.Advice[0] != (Advice{5, 6}) {
		t.Errorf("A: advice %+v, needed %v; want six throws at rung 5, not needed", a.Advice, a.AdviceNeeded)
	}

	c := judge(t, goldenC())
	if c.Kind != NoneFound || c.SomeUntested || c.Rung != -1 {
		t.Errorf("C: %s at %d", c.Kind, c.Rung)
	}
	near(t, "C: P(none)", c.PNone, .979, .002)

	l := goldenC()
	l.Rungs[8].Speeds, l.Rungs[8].Marks = []float64{77, 78, 77}, []float64{0, .5, 0}
	d := judge(t, l)
	if d.Kind != Stuck || d.Rung != 8 || !d.Dip {
		t.Errorf("D: %s at %d, dip %v", d.Kind, d.Rung, d.Dip)
	}
	near(t, "D: P(8)", d.PBreak[8], 1, .0005)
}

// B, a small drop with mixed marks, and E, youth with two throws a rung and no marks, are told by their outcome: the
// readings are of the same kind as in the study, not the same.
func TestGoldenUndecided(t *testing.T) {
	l := studyLadder(true)
	r := rand.New(rand.NewPCG(5, 8))
	for i := range l.Rungs {
		level := 88 * studyMids[i] * (1 - .025*step(i >= 5))
		for range 3 {
			l.Rungs[i].Speeds = append(l.Rungs[i].Speeds, math.Round(level+r.NormFloat64()))
		}
		l.Rungs[i].Marks = []float64{1, .5, step(i < 4)}
	}
	if b := judge(t, l); b.Kind != NotEnough || b.Missing != "" || len(b.Advice) == 0 || !b.AdviceNeeded {
		t.Errorf("B: %s, advice %v", b.Kind, b.Advice)
	}

	young := studyLadder(false)
	for i := range young.Rungs {
		level := 62 * studyMids[i] * (1 - .05*step(i >= 6))
		n := 2 + int(step(i == 0))
		for range n {
			young.Rungs[i].Speeds = append(young.Rungs[i].Speeds, math.Round(level+2.3*r.NormFloat64()))
		}
	}
	if e := judge(t, young); e.Kind != NotEnough || e.Missing != "" || len(e.Advice) == 0 {
		t.Errorf("E: %s, advice %v", e.Kind, e.Advice)
	}
}
