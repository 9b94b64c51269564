package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func graded(answers ...int) []Grading {
	out := make([]Grading, len(answers))
	for i, a := range answers {
		out[i] = Grading{Answer: a}
	}
	return out
}

func repeat(answer, n int) []Grading {
	out := make([]Grading, n)
	for i := range out {
		out[i].Answer = answer
	}
	return out
}

// posterior of repeated gradings on three ordered grades, our own study: all alike, one grade apart, two apart, and
// one mound clip graded as the drill. The study's prior looked from the drill only; ours is the same from both sides,
// which moves its figures by up to .02.
func TestPosteriorOfGrades(t *testing.T) {
	for _, c := range []struct {
		e               float64
		n               int
		alike, one, two float64
		odd             float64 // NaN where there is none
	}{
		{.1, 1, .03, .68, .81, math.NaN()}, {.1, 2, .00, .96, 1, .15}, {.1, 3, .00, 1, 1, .65},
		{.2, 1, .07, .50, .68, math.NaN()}, {.2, 2, .01, .83, .98, .16}, {.2, 3, .00, .96, 1, .45},
		{.3, 1, .11, .40, .59, math.NaN()}, {.3, 2, .02, .64, .94, .16}, {.3, 3, .01, .84, 1, .33},
	} {
		const within = .02
		s := Scale{Answers: 3, Error: c.e}
		name := fmt.Sprintf("error %v, %d clips", c.e, c.n)
		p := func(drill, mound []Grading) float64 {
			got, ok := posterior(drill, mound, s)
			if !ok {
				t.Fatal(name)
			}
			return got
		}
		near(t, name+" alike", p(repeat(0, c.n), repeat(0, c.n)), c.alike, within)
		near(t, name+" one apart", p(repeat(0, c.n), repeat(1, c.n)), c.one, within)
		near(t, name+" two apart", p(repeat(0, c.n), repeat(2, c.n)), c.two, within)
		if c.n > 1 {
			near(t, name+" one clip as the drill", p(repeat(0, c.n), append(repeat(1, c.n-1), Grading{})), c.odd, within)
		}
	}
}

// The posterior is right as often as it says, on grades drawn from the model it assumes.
func TestPosteriorIsCalibrated(t *testing.T) {
	r := rand.New(rand.NewPCG(40, 2))
	draw := func(shares []float64) int {
		u := r.Float64()
		for i, p := range shares {
			if u -= p; u < 0 {
				return i
			}
		}
		return len(shares) - 1
	}
	for _, s := range []Scale{{Answers: 3, Error: .2}, {Answers: 4, Error: .1}, {Answers: 2, Error: .3}, {Answers: 5, Error: .15, Kinds: true}} {
		joint := make([]float64, s.Answers*s.Answers)
		for a := range s.Answers {
			for b := range s.Answers {
				joint[a*s.Answers+b] = 1 - priorDiffers
				if a != b {
					joint[a*s.Answers+b] = s.pair(a, b)
				}
			}
		}
		total := 0.0
		for _, p := range joint {
			total += p
		}
		for i := range joint {
			joint[i] /= total
		}
		var claimed, differ [10]float64
		var count [10]float64
		for range draws(6_000) {
			cell := draw(joint)
			drill, mound := cell/s.Answers, cell%s.Answers
			read := func(truth int) (out []Grading) {
				for range 1 + r.IntN(3) {
					a := truth
					if r.Float64() < s.Error {
						a = draw(s.misread(truth))
					}
					out = append(out, Grading{Answer: a})
				}
				return out
			}
			p, _ := posterior(read(drill), read(mound), s)
			bin := min(9, int(10*p))
			claimed[bin] += p
			count[bin]++
			if mound != drill {
				differ[bin]++
			}
		}
		for i, n := range count {
			if n > 200 {
				near(t, fmt.Sprintf("%+v, band %d", s, i), differ[i]/n, claimed[i]/n, 4/math.Sqrt(n)*math.Sqrt(.25))
			}
		}
	}
}

func TestGradesDiffer(t *testing.T) {
	s := Scale{Answers: 3}
	for _, c := range []struct {
		drill, mound []Grading
		low, high    float64 // between which the chance lies
	}{
		{graded(0, 0, 0), graded(2, 2, 2), .8, 1}, {graded(0), graded(0), 0, .2}, {graded(0), graded(1), .2, .8}, {graded(0, 0), graded(1, 1), .8, 1},
		{graded(0, 0, 0), graded(1, 1, 0), .2, .8}, {nil, graded(1), .2, .8}, {graded(3), graded(0), .2, .8}, {graded(-1), graded(0), .2, .8},
		{[]Grading{{0, true}, {0, true}}, []Grading{{1, true}, {1, true}}, .2, .8},
	} {
		p, q := GradesDiffer(c.drill, c.mound, s), GradesDiffer(c.mound, c.drill, s)
		if p != q || !(p >= c.low && p <= c.high && p <= mostGraded) {
			t.Errorf("%v against %v: %v, and %v the other way round", c.drill, c.mound, p, q)
		}
	}
	if p := GradesDiffer(graded(0), graded(0), Scale{Answers: 1}); p > .2 {
		t.Errorf("one answer only: %v", p)
	}
}

// A coach's own error from the share of clips graded differently the second time (our own computation).
func TestOwnError(t *testing.T) {
	for x, want := range map[float64]float64{0: 0, .10: .05, .20: .11, .25: .15, .30: .18, .40: .28, .5: .5, .9: .5} {
		near(t, "own error", ownError(x), want, .0055)
	}
	// Two readings with error e each, of two answers, disagree in 2e(1-e).
	for e := 0.; e <= .5; e += .05 {
		near(t, "there and back", ownError(2*e*(1-e)), e, 1e-7)
	}
}

// agree compares two lists of answers to the same clips in the same order.
func agree(first, second []string) (a Agreement, ok bool) {
	twice := make([]Twice, len(first))
	for i := range first {
		twice[i] = Twice{First: first[i], Second: second[i]}
	}
	return AgreeOn(twice)
}

// Cohen's kappa of 20, 5, 10, 15 is .40 (Cohen 1960's coefficient; the table is a textbook example, from memory).
func TestAgree(t *testing.T) {
	var one, two []string
	for _, c := range []struct {
		a, b string
		n    int
	}{{"yes", "yes", 20}, {"yes", "no", 5}, {"no", "yes", 10}, {"no", "no", 15}, {"", "yes", 2}, {"no", "", 1}} {
		for range c.n {
			one, two = append(one, c.a), append(two, c.b)
		}
	}
	a, ok := agree(one, two)
	if !ok || a.N != 50 || a.Same != 35 || a.LeftOut != 3 || !a.Enough || !a.KappaKnown {
		t.Fatalf("%+v", a)
	}
	near(t, "raw", a.Raw, .70, 1e-12)
	near(t, "kappa", a.Kappa, .40, 1e-12)
	near(t, "own error", a.Error, .184, .0005)
	if !(a.KappaRange.Low < .4 && a.KappaRange.High > .4 && a.KappaRange.Low > .05 && a.KappaRange.High < .7) || !(a.ErrorRange.Low < .184 && a.ErrorRange.High > .184) {
		t.Errorf("ranges: %+v", a)
	}
	back, _ := agree(two, one)
	near(t, "the other way round", back.Kappa, a.Kappa, 1e-12)

	full, _ := agree([]string{"early", "late", "late"}, []string{"early", "late", "late"})
	if full.Kappa != 1 || full.KappaRange.Low > .5 || full.Enough || full.Error != 0 || full.ErrorRange.High < .2 {
		t.Errorf("three clips alike prove little: %+v", full)
	}
	if only, ok := agree([]string{"late", "late"}, []string{"late", "late"}); !ok || only.KappaKnown {
		t.Errorf("one answer throughout: %+v", only)
	}
	for _, c := range [][2][]string{{nil, nil}, {{""}, {"a"}}} {
		if _, ok := agree(c[0], c[1]); ok {
			t.Errorf("%v agreed", c)
		}
	}
}

func FuzzGrades(f *testing.F) {
	f.Add([]byte{0, 1, 2}, []byte{2, 2}, 3, .2, false)
	f.Add([]byte{}, []byte{9}, 0, -1., true)
	f.Fuzz(func(t *testing.T, drill, mound []byte, answers int, e float64, kinds bool) {
		if answers > 50 || len(drill)+len(mound) > 100 {
			return
		}
		var d, m []Grading
		for _, b := range drill {
			d = append(d, Grading{int(b) % 64, b > 127})
		}
		for _, b := range mound {
			m = append(m, Grading{int(b) % 64, b > 127})
		}
		if p := GradesDiffer(d, m, Scale{Answers: answers, Kinds: kinds, Error: e}); !(p > 0 && p < 1) {
			t.Errorf("%v", p)
		}
	})
}
