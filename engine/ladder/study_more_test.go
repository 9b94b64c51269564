package ladder

import (
	"math"
	"math/rand/v2"
	"testing"
)

// settled says whether a verdict ends the search.
func settled(v Verdict) bool { return v.Kind != NotEnough }

// TestStudyAdvice throws six more where the advice says and six at two rungs by chance, on ladders that three throws a
// rung leave undecided.
func TestStudyAdvice(t *testing.T) {
	n := pick(450, 6000)
	r := source(31)
	var undecided, advised, right, offOne, random, missing int
	for range n {
		tr := baseTruth()
		tr.n = 3
		w := tr.draw(r)
		l := w.ladder()
		v := judge(t, l)
		if settled(v) {
			continue
		}
		undecided++
		missing += int(step(v.Missing != ""))
		more, other := l.clone(), l.clone()
		for _, a := range v.Advice {
			w.add(&more, a.Rung, a.Throws)
		}
		s := score{}
		s.count(w, more, judge(t, more))
		advised, right, offOne = advised+s.decided, right+s.decidedRight, offOne+s.offSaid
		for range 2 {
			w.add(&other, r.IntN(len(l.Rungs)), 3)
		}
		random += int(step(settled(judge(t, other))))
	}
	a, b := share(advised, undecided), share(random, undecided)
	t.Logf("advice: %d undecided (%.2f for want of reference readings), then decided %.3f, right %.3f, off by one %.3f; random rungs %.3f, ratio %.1f", undecided, share(missing, undecided), a, share(right, advised), share(offOne, advised), b, a/b)
	// Simulated study: 31.6 % decided, 84 % of them right, 9.6 % at random rungs.
	slack := 2 * math.Sqrt(.3*.7/float64(undecided))
	atLeast(t, "decided by advice", a, .28-slack)
	atLeast(t, "right of those", share(right, advised), .80-2*math.Sqrt(.8*.2/float64(advised)))
	atLeast(t, "advice against random rungs", a, 2.5*(b-2*math.Sqrt(.1*.9/float64(undecided)))-slack)
}

func (l Ladder) clone() Ladder {
	c := l
	c.Rungs = append([]Rung(nil), l.Rungs...)
	for i := range c.Rungs {
		c.Rungs[i].Speeds = append([]float64(nil), l.Rungs[i].Speeds...)
		c.Rungs[i].Marks = append([]float64(nil), l.Rungs[i].Marks...)
	}
	return c
}

// TestStudyHalving throws in halving order, and the whole ladder at three a rung with up to four rounds of advice.
func TestStudyHalving(t *testing.T) {
	n := pick(150, 3000)
	r := source(32)
	var half, rounds score
	bounded := 0
	for range n {
		w := baseTruth().draw(r)
		l := studyLadder(true)
		next, err := Halving(l, Defaults(), 36)
		for ; err == nil && !next.Done; next, err = Halving(l, Defaults(), 36) {
			w.add(&l, next.Rung, next.Throws)
		}
		if err != nil {
			t.Fatal(err)
		}
		if next.Verdict.Gap && settled(next.Verdict) {
			bounded++
		}
		half.count(w, l, next.Verdict)
		rounds.count(adviseInRounds(t, r))
	}
	t.Logf("halving: %v; only bounded %.3f", &half, share(bounded, n))
	t.Logf("3 a rung and advice: %v", &rounds)
	// Simulated study: 22 throws, 73 % decided, exact .88 when it says stuck; 44 throws, 79 % decided, .87.
	atMost(t, "throws in halving order", share(half.throws, half.ladders), 27)
	atLeast(t, "decided by halving", share(half.decided, n), .70-slack(.7, n))
	atLeast(t, "exact by halving", share(half.exact, half.saidStuck), .84-slack(.84, half.saidStuck))
	atLeast(t, "decided by rounds", share(rounds.decided, n), .72-slack(.72, n))
	atLeast(t, "exact by rounds", share(rounds.exact, rounds.saidStuck), .84-slack(.84, rounds.saidStuck))
	atMost(t, "throws in rounds", share(rounds.throws, n), 50)
}

func adviseInRounds(t *testing.T, r *rand.Rand) (*world, Ladder, Verdict) {
	tr := baseTruth()
	tr.n = 3
	w := tr.draw(r)
	l := w.ladder()
	v := w.judgeThrown(t, &l)
	for round := 0; round < 4 && !settled(v); round++ {
		for _, a := range v.Advice {
			w.add(&l, a.Rung, a.Throws)
		}
		v = judge(t, l)
	}
	return w, l, v
}

// TestCalibrationOnTheModelsOwnTruth draws ladders from the model itself, with one mark a rung, where marks are not
// tempered: what is claimed must then come true, whatever else is assumed.
func TestCalibrationOnTheModelsOwnTruth(t *testing.T) {
	n := pick(900, 12000)
	r := source(33)
	var s score
	for range n {
		l, kind, rung := drawFromModel(r)
		v := judge(t, l)
		if kind == none || kind == slide {
			rung = -1
		}
		s.calibrate(v, rung)
	}
	t.Logf("calibration error on the model's own truth: %.4f", s.calibration())
	// Simulated study: .008. The mean absolute error of ten bins of about n/6 claims each is itself about .8 sd.
	atMost(t, "calibration error", s.calibration(), .010+.8*math.Sqrt(.2/(float64(n)/6)))
}

func drawFromModel(r *rand.Rand) (Ladder, kind, int) {
	o := Defaults()
	l := studyLadder(true)
	l.Rungs = l.Rungs[:7]
	for i := range l.Rungs {
		l.Rungs[i].Speeds, l.Rungs[i].Marks = make([]float64, 3), []float64{1}
		for j := range l.Rungs[i].Speeds {
			l.Rungs[i].Speeds[j] = 85
		}
	}
	m := newModel(l, o)
	h := weighted(r, m.hypotheses, func(h hypothesis) float64 { return h.prior })
	byWeight := func(g []Weighted) float64 { return weighted(r, g, func(w Weighted) float64 { return w.Weight }).Value }
	sd, spread, drop := byWeight(m.sdGrid()), byWeight(o.Noise.Spread), byWeight(o.Prior.Drops)
	level, walk, drift := 75+20*r.Float64(), 0.0, o.Noise.Drift*r.NormFloat64()
	for i := range l.Rungs {
		g := &l.Rungs[i]
		walk += o.Noise.Walk * r.NormFloat64() * step(i > 0)
		own := spread*(g.Share.Spread()*r.NormFloat64()+walk) - drop*m.shapes[h.shape][i]
		for j := range g.Speeds {
			g.Speeds[j] = g.Share.Mid()*(level*(1+own)+drift*float64(3*i+2)) + sd*r.NormFloat64()
		}
		lost := step(h.pattern && (h.kind == stay && i >= h.rung || h.kind == dip && i == h.rung))
		if h.kind == slide {
			lost = float64(i) / 6
		}
		held := .9*4.5/5.25 + .1*.5
		if r.Float64() < lost {
			held = .9*.25 + .1*.5
		}
		g.Marks[0] = step(r.Float64() < held)
	}
	return l, h.kind, h.rung
}

func weighted[T any](r *rand.Rand, xs []T, weight func(T) float64) T {
	total := 0.0
	for _, x := range xs {
		total += weight(x)
	}
	u := r.Float64() * total
	for _, x := range xs {
		if u -= weight(x); u <= 0 {
			return x
		}
	}
	return xs[len(xs)-1]
}

func pick(small, whole int) int {
	if *study {
		return whole
	}
	return small
}

// slack is twice the Monte-Carlo error of a share p of n, by which a bound is loosened.
func slack(p float64, n int) float64 { return 2 * math.Sqrt(p*(1-p)/math.Max(1, float64(n))) }

func atLeast(t *testing.T, what string, got, bound float64) {
	t.Helper()
	if !(got >= bound) {
		t.Errorf("%s: %.4f, want at least %.4f", what, got, bound)
	}
}

func atMost(t *testing.T, what string, got, bound float64) {
	t.Helper()
	if !(got <= bound) {
		t.Errorf("%s: %.4f, want at most %.4f", what, got, bound)
	}
}

func BenchmarkJudge(b *testing.B) {
	l := baseTruth().draw(rand.New(rand.NewPCG(1, 1))).ladder()
	for b.Loop() {
		judge(b, l)
	}
}
