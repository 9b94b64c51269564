package cause

import (
	"math"
	"math/rand/v2"
	"testing"
)

// large draws a base of the size of the real one: two to four factors a sign,
// a third of the signs in groups of two or three, and a case with answers.
func large(r *rand.Rand, factors, signs, arrows int, answers float64) ([]Factor, []Sign, Evidence) {
	list := make([]Factor, factors)
	for f := range list {
		list[f].Prior = []float64{0.04, 0.07, 0.15}[r.IntN(3)]
		table := make([]float64, 9)
		table[r.IntN(9)], table[r.IntN(9)] = 0.5, 0.25
		list[f].BreaksAt = BreakTable(table)
	}
	used := map[[2]int]bool{}
	for len(used) < arrows {
		a, b := r.IntN(factors), r.IntN(factors)
		if a < b && !used[[2]int{a, b}] {
			used[[2]int{a, b}] = true
			list[a].Causes = append(list[a].Causes, Link{b, []float64{0.25, 0.5}[r.IntN(2)]})
		}
	}
	seen := make([]Sign, signs)
	out := make([]Outcome, signs)
	for i := range seen {
		seen[i] = Sign{Otherwise: []float64{0.05, 0.1, 0.2}[r.IntN(3)], Reading: 0.2, Group: -1}
		if r.IntN(3) == 0 {
			seen[i].Group = r.IntN(signs / 6)
		}
		for _, f := range r.Perm(factors)[:1+r.IntN(4)] {
			seen[i].Seen = append(seen[i].Seen, Link{f, []float64{0.25, 0.5, 0.75, 0.9}[r.IntN(4)]})
		}
		if r.Float64() < answers {
			out[i] = []Outcome{Yes, No, No}[r.IntN(3)]
		}
	}
	d := make([]float64, 9)
	d[4], d[5] = 0.8, 0.2
	return list, seen, Evidence{Signs: out, Break: d}
}

// questions asks about every fact that is not known: one to three signs, two
// to four answers.
func questions(r *rand.Rand, e Evidence, facts int) [][]Pattern {
	var open []int
	for i, o := range e.Signs {
		if o == Unknown {
			open = append(open, i)
		}
	}
	var list [][]Pattern
	for range facts {
		about := make([]int, 1+r.IntN(3))
		for k := range about {
			about[k] = open[r.IntN(len(open))]
		}
		q := []Pattern{}
		for a := range 2 + r.IntN(3) {
			var p Pattern
			for k, i := range about {
				p = append(p, Answer{i, []Outcome{No, Yes}[(a>>k)&1]})
			}
			q = append(q, p)
		}
		list = append(list, q)
	}
	return list
}

func solver(tb testing.TB, factors, signs int, answers float64, most int) (*Solver, Evidence) {
	tb.Helper()
	f, s, e := large(rand.New(rand.NewPCG(17, 18)), factors, signs, 2*factors, answers)
	n, err := New(f, s, Options{MaxActive: most})
	if err != nil {
		tb.Fatal(err)
	}
	return n.NewSolver(), e
}

func TestHotPathAllocatesNothing(t *testing.T) {
	s, e := solver(t, 13, 60, 0.5, 4)
	q := questions(rand.New(rand.NewPCG(19, 20)), e, 5)
	var p Posterior
	var dst []float64
	known := []Pattern{{{0, Yes}, {1, No}}, {{0, No}, {1, Yes}}}
	work := func() {
		s.Set(e)
		s.Posterior(&p)
		for _, x := range q {
			s.Gain(x)
		}
		s.Gain(known)
		s.ReadAgain(3)
		dst = s.Contribution(0, dst)
		dst = s.BreakContribution(dst)
		dst = s.With(known[0], dst)
	}
	work()
	if n := testing.AllocsPerRun(5, work); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// TestBoundOnActiveCauses says what the bound costs: root chances with at most
// 5 active causes against all of them.
func TestBoundOnActiveCauses(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	worst, moved := 0.0, 0
	const cases = 20
	for range cases {
		f, s, e := large(r, 12, 60, 24, 0.6)
		p := network(t, f, s, Options{MaxActive: 5}).Posterior(e)
		q := network(t, f, s, Options{MaxActive: 13}).Posterior(e)
		for k := range p.Root {
			worst = math.Max(worst, math.Abs(p.Root[k]-q.Root[k]))
		}
		if first(p.Root) != first(q.Root) {
			moved++
		}
	}
	t.Logf("largest change of a root chance %.4f, another factor first in %d of %d", worst, moved, cases)
	if moved > 2 {
		t.Errorf("another factor first in %d of %d cases", moved, cases)
	}
}

func first(root []float64) int {
	at := 0
	for f, p := range root {
		if p > root[at] {
			at = f
		}
	}
	return at
}

func benchSet(b *testing.B, factors, signs int, answers float64, most int) {
	s, e := solver(b, factors, signs, answers, most)
	b.ReportAllocs()
	for b.Loop() {
		s.Set(e)
	}
	b.ReportMetric(float64(s.n.States()), "states")
	b.ReportMetric(float64(len(s.n.tables)), "tables")
}

// BenchmarkSet is one case solved for the root chances.
func BenchmarkSet(b *testing.B) {
	b.Run("13x26", func(b *testing.B) { benchSet(b, 13, 26, 1, 0) })
	b.Run("19x120/all_answered", func(b *testing.B) { benchSet(b, 19, 120, 1, 0) })
	b.Run("19x120/half_answered", func(b *testing.B) { benchSet(b, 19, 120, 0.5, 0) })
	b.Run("19x120/most_4", func(b *testing.B) { benchSet(b, 19, 120, 0.5, 4) })
	b.Run("19x120/most_6", func(b *testing.B) { benchSet(b, 19, 120, 0.5, 6) })
}

// BenchmarkPosterior adds presence, roles and parents.
func BenchmarkPosterior(b *testing.B) {
	s, e := solver(b, 19, 120, 1, 0)
	var p Posterior
	b.ReportAllocs()
	for b.Loop() {
		s.Set(e)
		s.Posterior(&p)
	}
}

// BenchmarkGains is the next look over 60 facts that are not known.
func BenchmarkGains(b *testing.B) {
	s, e := solver(b, 19, 120, 0.5, 0)
	s.Set(e)
	q := questions(rand.New(rand.NewPCG(19, 20)), e, 60)
	b.ReportAllocs()
	for b.Loop() {
		for _, x := range q {
			s.Gain(x)
		}
	}
}

// BenchmarkFlip is one changed answer against the case that is set.
func BenchmarkFlip(b *testing.B) {
	s, e := solver(b, 19, 120, 1, 0)
	s.Set(e)
	dst := make([]float64, 20)
	p := Pattern{{0, Yes}}
	b.ReportAllocs()
	for b.Loop() {
		dst = s.With(p, dst)
	}
}

// BenchmarkContributions is what each of about 60 answers adds.
func BenchmarkContributions(b *testing.B) {
	s, e := solver(b, 19, 120, 0.5, 0)
	s.Set(e)
	dst := make([]float64, 20)
	b.ReportAllocs()
	for b.Loop() {
		for i := range e.Signs {
			if e.Signs[i] != Unknown {
				dst = s.Contribution(i, dst)
			}
		}
	}
}

// BenchmarkNew is the preparation of a base.
func BenchmarkNew(b *testing.B) {
	f, s, _ := large(rand.New(rand.NewPCG(17, 18)), 19, 120, 38, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New(f, s, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
