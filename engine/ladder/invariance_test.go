package ladder

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// sameBelief fails where two verdicts differ by more than rounding.
func sameBelief(t *testing.T, what string, a, b Verdict) {
	t.Helper()
	if a.Kind != b.Kind || a.Rung != b.Rung || a.Next != b.Next {
		t.Errorf("%s: %s at %d against %s at %d", what, a.Kind, a.Rung, b.Kind, b.Rung)
	}
	for k := range a.PBreak {
		near(t, what, b.PBreak[k], a.PBreak[k], 1e-9)
	}
	near(t, what, b.PNone, a.PNone, 1e-9)
}

func TestUnitAndOrderDoNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for range 30 {
		l := baseTruth().draw(r).ladder()
		want := judge(t, l)
		const kmh = 1.609344
		metric, shuffled := studyLadder(true), studyLadder(true)
		for i, g := range l.Rungs {
			m, s := g, g
			m.Speeds = nil
			for _, v := range g.Speeds {
				m.Speeds = append(m.Speeds, v*kmh)
			}
			s.Speeds, s.Marks = slices.Clone(g.Speeds), slices.Clone(g.Marks)
			r.Shuffle(len(s.Speeds), func(a, b int) { s.Speeds[a], s.Speeds[b] = s.Speeds[b], s.Speeds[a] })
			r.Shuffle(len(s.Marks), func(a, b int) { s.Marks[a], s.Marks[b] = s.Marks[b], s.Marks[a] })
			metric.Rungs[i], shuffled.Rungs[i] = m, s
		}
		got, err := Judge(metric, Defaults().InUnit(kmh))
		if err != nil {
			t.Fatal(err)
		}
		sameBelief(t, "km/h", want, got)
		sameBelief(t, "order within a rung", want, judge(t, shuffled))
	}
}

// A single misread is set aside and listed; the rest of the ladder reads as if it were not there.
func TestOneMisreadDoesNotMatter(t *testing.T) {
	a, b := goldenA(), goldenA()
	a.Rungs[3].Speeds, b.Rungs[3].Speeds = []float64{85, 62, 85}, []float64{85, 86, 85}
	va, vb := judge(t, a), judge(t, b)
	near(t, "P(6) with a misread", va.PBreak[6], vb.PBreak[6], .002)
	if !slices.Equal(va.Rungs[3].Misreads, []float64{62}) || va.Rungs[3].N != 2 {
		t.Errorf("misreads %v, used %d", va.Rungs[3].Misreads, va.Rungs[3].N)
	}
	// Two readings that contradict each other cannot say which is wrong: both are listed, none is used.
	a.Rungs[3].Speeds, a.Rungs[3].Marks = []float64{85, 62}, nil
	if v := judge(t, a); len(v.Rungs[3].Misreads) != 2 || v.Rungs[3].Tested || v.Kind != Stuck || v.Rung != 6 {
		t.Errorf("contradiction: %+v, %s at %d", v.Rungs[3], v.Kind, v.Rung)
	}
}

func TestTooLittle(t *testing.T) {
	if v := judge(t, studyLadder(true)); v.Kind != NotThrown || v.Rung != -1 || len(v.Advice) != 0 {
		t.Errorf("nothing thrown: %+v", v)
	}
	l := goldenA()
	l.Rungs[0].Speeds = []float64{88, 89}
	if v := judge(t, l); v.Kind != NotEnough || v.Missing != MissingReference || v.Rung != -1 || !slices.Equal(v.Advice, []Advice{{0, 2}}) {
		t.Errorf("two of the reference: %s %q %v", v.Kind, v.Missing, v.Advice)
	}
	l = studyLadder(true)
	l.Rungs[0], l.Rungs[12] = goldenC().Rungs[0], goldenA().Rungs[12]
	l.Rungs[12].Speeds, l.Rungs[12].Marks = []float64{74, 75, 74}, marks(3, 0)
	v := judge(t, l)
	if v.Kind != NotEnough || v.Missing != MissingRungs || len(v.Advice) != 1 || v.Advice[0].Throws != 3 || v.Rungs[v.Advice[0].Rung].Tested {
		t.Errorf("two rungs: %s %q %v", v.Kind, v.Missing, v.Advice)
	}
	l.Rungs[2].Speeds = []float64{84, 84, 85}
	l.Rungs[2].Marks = marks(3, 1)
	if v := judge(t, l); v.Kind != Stuck || v.Rung != 12 || v.After != 2 || !v.Gap || !v.AdviceNeeded || v.Advice[0].Rung != 7 {
		t.Errorf("bounded: %s at %d after %d, gap %v, advice %v", v.Kind, v.Rung, v.After, v.Gap, v.Advice)
	}
	if v := judge(t, Ladder{Rungs: []Rung{goldenA().Rungs[0], goldenA().Rungs[1]}}); v.Kind != NotEnough || len(v.Advice) != 0 {
		t.Errorf("a ladder of two: %s %v", v.Kind, v.Advice)
	}
}

func TestFaults(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*Ladder)
		says  string
	}{
		"low over high":   {func(l *Ladder) { l.Rungs[2].Share = Share{.96, .95} }, "low end"},
		"high":            {func(l *Ladder) { l.Rungs[2].Share = Share{1.0, 1.2} }, "110 %"},
		"narrow":          {func(l *Ladder) { l.Rungs[2].Share = Share{.95, .96} }, "narrower"},
		"no share":        {func(l *Ladder) { l.Rungs[2].Share = Share{} }, "above zero"},
		"share no number": {func(l *Ladder) { l.Rungs[2].Share.High = math.NaN() }, "above zero"},
		"speed":           {func(l *Ladder) { l.Rungs[2].Speeds = []float64{0} }, "speed"},
		"speed no number": {func(l *Ladder) { l.Rungs[2].Speeds = []float64{math.NaN()} }, "speed"},
		"mark":            {func(l *Ladder) { l.Rungs[2].Marks = []float64{2} }, "mark"},
		"one mark":        {func(l *Ladder) { l.Rungs[2].OneMark = true }, "exactly one"},
		"again":           {func(l *Ladder) { l.Again = []Again{{Rung: 99}} }, "no rung"},
		"again speed":     {func(l *Ladder) { l.Again = []Again{{Rung: 0, Speeds: []float64{-1}}} }, "thrown again"},
		"one rung":        {func(l *Ladder) { l.Rungs = l.Rungs[:1] }, "at least one rung"},
		"too many":        {func(l *Ladder) { l.Rungs = slices.Repeat(l.Rungs, 5) }, "longer"},
	} {
		l := goldenA()
		c.spoil(&l)
		if _, err := Judge(l, Defaults()); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want it to say %q", name, err, c.says)
		}
	}
	l := goldenA()
	l.Rungs[2].Share, l.Rungs[4].Speeds = Share{}, []float64{-3}
	if _, err := Judge(l, Defaults()); err == nil || strings.Count(err.Error(), "rung") < 2 {
		t.Errorf("two faults told as %v", err)
	}
}

// Nothing that can be typed makes the reading fail or gives probabilities that do not add up.
func FuzzJudge(f *testing.F) {
	f.Add(uint64(1), 88.0, 62.0, .5)
	f.Add(uint64(2), 1e-300, 1e300, 1.0)
	f.Add(uint64(3), 5e-324, 1.7e308, 0.0)
	f.Fuzz(func(t *testing.T, seed uint64, a, b, m float64) {
		r := rand.New(rand.NewPCG(seed, 1))
		l := smallLadder(r)
		i := r.IntN(len(l.Rungs))
		l.Rungs[i].Speeds = append(l.Rungs[i].Speeds, a, b)
		l.Rungs[i].Marks, l.Rungs[i].OneMark = append(l.Rungs[i].Marks, m), false
		v, err := Judge(l, Defaults())
		if err != nil {
			return
		}
		sum := v.PNone + v.PSlide
		for _, p := range v.PBreak {
			sum += p
		}
		if !(math.Abs(sum-1) < 1e-9) {
			t.Fatalf("probabilities sum to %v: %+v", sum, l)
		}
	})
}
