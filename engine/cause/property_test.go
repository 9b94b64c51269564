package cause

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// shuffle renumbers factors and signs of a network and its case.
func shuffle(r *rand.Rand, b brute, out []Outcome) (factors []Factor, signs []Sign, moved []Outcome, to, sign []int) {
	n := len(b.factors) - 1
	to, sign = r.Perm(n), r.Perm(len(b.signs))
	links := func(list []Link) []Link {
		var l []Link
		for _, x := range list {
			l = append(l, Link{To: to[x.To], Weight: x.Weight})
		}
		r.Shuffle(len(l), func(i, j int) { l[i], l[j] = l[j], l[i] })
		return l
	}
	factors, signs, moved = make([]Factor, n), make([]Sign, len(b.signs)), make([]Outcome, len(b.signs))
	for f := range n {
		factors[to[f]] = b.factors[f]
		factors[to[f]].Causes = links(b.factors[f].Causes)
	}
	for i, s := range b.signs {
		if s.Group >= 0 {
			s.Group = 1000 - s.Group
		}
		s.Seen = links(s.Seen)
		signs[sign[i]], moved[sign[i]] = s, out[i]
	}
	return factors, signs, moved, to, sign
}

func TestNumberingDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		n, b, out, d := base(r, 2+r.IntN(8), 2+r.IntN(12), []int{0, 3}[r.IntN(2)])
		factors, signs, moved, to, sign := shuffle(r, b, out)
		o := Options{}
		if b.most < len(b.factors) {
			o.MaxActive = b.most
		}
		m := network(t, factors, signs, o)
		e, f := Evidence{Signs: out, Break: d}, Evidence{Signs: moved, Break: d}
		p, q := n.Posterior(e), m.Posterior(f)
		for k := range to {
			within(t, "root", q.Root[to[k]], p.Root[k], 1e-12)
			within(t, "present", q.Present[to[k]], p.Present[k], 1e-12)
			if p.Role[k] != q.Role[to[k]] {
				t.Errorf("role of %d: %v and %v", k, p.Role[k], q.Role[to[k]])
			}
		}
		i := r.IntN(len(sign))
		within(t, "gain", m.Gain(f, []Pattern{{{sign[i], Yes}}, {{sign[i], No}}}), n.Gain(e, []Pattern{{{i, Yes}}, {{i, No}}}), 1e-10)
		if t.Failed() {
			t.Fatalf("%+v", b)
		}
	}
}

func TestUnknownEqualsMissing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 100 {
		n, b, out, d := base(r, 1+r.IntN(7), 4+r.IntN(8), 0)
		factors := b.factors[:len(b.factors)-1]
		var kept []Sign
		var known []Outcome
		for i, o := range out {
			if o != Unknown {
				kept, known = append(kept, b.signs[i]), append(known, o)
			}
		}
		p := n.Posterior(Evidence{Signs: out, Break: d})
		q := network(t, factors, kept, Options{}).Posterior(Evidence{Signs: known, Break: d})
		for f := range factors {
			within(t, "root", q.Root[f], p.Root[f], 1e-12)
		}
		for i := range out {
			if out[i] == Unknown {
				out[i] = []Outcome{Soft(1), Soft(-1), Soft(math.NaN()), Repeated(0.2, 2, 2), Outcome(math.NaN())}[r.IntN(5)]
			}
		}
		for f, x := range n.Posterior(Evidence{Signs: out, Break: d}).Root {
			within(t, "root with signs that say nothing", x, p.Root[f], 1e-12)
		}
	}
}

func TestNearCopyChangesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 100 {
		n, b, out, d := base(r, 1+r.IntN(7), 3+r.IntN(8), 0)
		i := r.IntN(len(out))
		signs, more := slices.Clone(b.signs), slices.Clone(out)
		if signs[i].Group < 0 {
			signs[i].Group = 10_000
		}
		for range 1 + r.IntN(3) {
			signs, more = append(signs, signs[i]), append(more, out[i])
		}
		p := n.Posterior(Evidence{Signs: out, Break: d})
		q := network(t, b.factors[:len(b.factors)-1], signs, Options{}).Posterior(Evidence{Signs: more, Break: d})
		if tied(b, out, i) {
			continue // an equally strong other sign of the group shares with each copy
		}
		for f := range p.Root {
			within(t, "root", q.Root[f], p.Root[f], 1e-12)
		}
	}
}

func tied(b brute, out []Outcome, i int) bool {
	for j, o := range out {
		if j != i && o != Unknown && out[i] != Unknown && b.signs[i].Group >= 0 && b.signs[j].Group == b.signs[i].Group &&
			math.Abs(b.strength(j, o)-b.strength(i, out[i])) < 1e-9 {
			return true
		}
	}
	return false
}

func TestSeenSignNeverLowersItsFactor(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 300 {
		n, b, out, d := base(r, 1+r.IntN(8), 1+r.IntN(10), 0)
		factors := b.factors[:len(b.factors)-1]
		f := r.IntN(len(factors))
		signs := append(slices.Clone(b.signs), Sign{Seen: []Link{{f, 0.05 + 0.9*r.Float64()}}, Otherwise: 0.05 + 0.6*r.Float64(), Reading: 0.45 * r.Float64(), Group: -1})
		before := n.Posterior(Evidence{Signs: out, Break: d})
		m := network(t, factors, signs, Options{})
		yes := m.Posterior(Evidence{Signs: append(slices.Clone(out), Yes), Break: d})
		no := m.Posterior(Evidence{Signs: append(slices.Clone(out), No), Break: d})
		if yes.Root[f] < before.Root[f] || no.Root[f] > before.Root[f] {
			t.Fatalf("root %v, with the sign %v, without it %v", before.Root[f], yes.Root[f], no.Root[f])
		}
		if yes.Present[f] < before.Present[f] || no.Present[f] > before.Present[f] {
			t.Fatalf("present %v, with the sign %v, without it %v", before.Present[f], yes.Present[f], no.Present[f])
		}
	}
}

func TestWithEqualsSetting(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	for range 100 {
		signs := 4 + r.IntN(10)
		n, _, out, d := base(r, 1+r.IntN(9), signs, 0)
		s := n.NewSolver()
		s.Set(Evidence{Signs: out, Break: d})
		var p Pattern
		changed := slices.Clone(out)
		for range 1 + r.IntN(4) {
			a := Answer{Sign: r.IntN(signs), Outcome: []Outcome{Yes, No, Unknown, Soft(2)}[r.IntN(4)]}
			p, changed[a.Sign] = append(p, a), a.Outcome
		}
		got := s.With(p, nil)
		want := n.Posterior(Evidence{Signs: changed, Break: d})
		for f, x := range want.Root {
			within(t, "root", got[f], x, 1e-12)
		}
		within(t, "unlisted", got[len(got)-1], want.Unlisted, 1e-12)
		again := n.Posterior(Evidence{Signs: out, Break: d})
		for f, x := range s.Roots(nil)[:n.Factors()] {
			within(t, "case afterwards", x, again.Root[f], 1e-12)
		}
	}
}

func TestGainLeavesTheCaseAsItWas(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	n, _, out, d := base(r, 7, 12, 0)
	s := n.NewSolver()
	s.Set(Evidence{Signs: out, Break: d})
	before := s.Roots(nil)
	for i := range out {
		s.Gain([]Pattern{{{i, Yes}}, {{i, No}}})
		s.ReadAgain(i)
		s.Contribution(i, nil)
	}
	if after := s.Roots(nil); !slices.Equal(before, after) {
		t.Errorf("roots moved from %v to %v", before, after)
	}
}

func TestManyAnswersDoNotVanish(t *testing.T) {
	var signs []Sign
	var out []Outcome
	for i := range 2000 {
		signs = append(signs, Sign{Seen: []Link{{i % 3, 0.9}}, Otherwise: 0.05, Reading: 0.01, Group: -1})
		out = append(out, []Outcome{Yes, No, Yes}[i%3])
	}
	p := network(t, []Factor{{Prior: 0.1}, {Prior: 0.1}, {Prior: 0.1}}, signs, Options{}).Posterior(Evidence{Signs: out})
	if !(p.Root[0] > 0.999 && p.Root[1] < 0.001 && p.Root[2] > 0.999) {
		t.Errorf("roots %v", p.Root)
	}
}

func TestChain(t *testing.T) {
	n := network(t, []Factor{
		{Prior: 0.15, Causes: []Link{{1, 0.9}}},
		{Prior: 0.04, Causes: []Link{{2, 0.9}}},
		{Prior: 0.04},
	}, []Sign{
		{Seen: []Link{{0, 0.9}}, Otherwise: 0.05, Reading: 0.1, Group: -1},
		{Seen: []Link{{1, 0.9}}, Otherwise: 0.05, Reading: 0.1, Group: -1},
		{Seen: []Link{{2, 0.9}}, Otherwise: 0.05, Reading: 0.1, Group: -1},
	}, Options{})
	p := n.Posterior(Evidence{Signs: []Outcome{Yes, Yes, Yes}})
	if !slices.Equal(p.Role, []Role{Own, Consequence, Consequence}) {
		t.Errorf("roles %v (roots %v, present %v)", p.Role, p.Root, p.Present)
	}
	if c := p.Chain(2); !slices.Equal(c, []int{1, 0}) {
		t.Errorf("chain of the last: %v, want [1 0]", c)
	}
	if c := p.Chain(0); c != nil {
		t.Errorf("chain of the head: %v, want none", c)
	}
	if q := n.Posterior(Evidence{Signs: []Outcome{No, No, Yes}}); q.Role[2] != Own {
		t.Errorf("with the upstream factors seen to be fine: role %v, want own", q.Role[2])
	}
}

func TestNothingListedFits(t *testing.T) {
	n := network(t, []Factor{{Prior: 0.15}, {Prior: 0.15}}, []Sign{
		{Seen: []Link{{0, 0.9}}, Otherwise: 0.05, Reading: 0.08, Group: -1},
		{Seen: []Link{{1, 0.9}}, Otherwise: 0.05, Reading: 0.08, Group: -1},
	}, Options{})
	p := n.Posterior(Evidence{Signs: []Outcome{No, No}})
	if p.Unlisted < 0.5 || p.Unlisted < p.Root[0] {
		t.Errorf("unlisted %v, roots %v", p.Unlisted, p.Root)
	}
}

func TestBreakPullsItsFactor(t *testing.T) {
	n := network(t, []Factor{
		{Prior: 0.1, BreaksAt: BreakTable([]float64{0.5, 0, 0.25})},
		{Prior: 0.1, BreaksAt: BreakTable([]float64{0, 0.75, 0})},
		{Prior: 0.1},
	}, nil, Options{})
	for b, first := range []int{0, 1, 0} {
		d := make([]float64, 3)
		d[b] = 1
		p := n.Posterior(Evidence{Break: d})
		if at := slices.Index(p.Root, slices.Max(p.Root)); at != first {
			t.Errorf("break at %d: roots %v, want %d first", b, p.Root, first)
		}
	}
	even := n.Posterior(Evidence{Break: []float64{1. / 3, 1. / 3, 1. / 3}})
	none := n.Posterior(Evidence{})
	for f := range none.Root {
		within(t, "a break anywhere", even.Root[f], none.Root[f], 1e-12)
	}
	for _, wrong := range [][]float64{{1}, {1, 0, 0, 0}, {1, -1, 0}, {math.NaN(), 0, 1}} {
		if p := n.Posterior(Evidence{Break: wrong}); !slices.Equal(p.Root, none.Root) {
			t.Errorf("break %v is not treated as unknown", wrong)
		}
	}
}

func TestRefusesCycle(t *testing.T) {
	link := func(to ...int) (l []Link) {
		for _, x := range to {
			l = append(l, Link{x, 0.5})
		}
		return l
	}
	for _, c := range []struct {
		causes [][]Link
		want   []int
	}{
		{[][]Link{link(0)}, []int{0, 0}},
		{[][]Link{link(1), link(2), link(0)}, []int{0, 1, 2, 0}},
		{[][]Link{link(1), nil, link(1, 3), link(4), link(2)}, []int{2, 3, 4, 2}},
		{[][]Link{link(1, 2), link(3), link(3), nil}, nil},
	} {
		var f []Factor
		for _, l := range c.causes {
			f = append(f, Factor{Prior: 0.1, Causes: l})
		}
		_, err := New(f, nil, Options{})
		var ce *CycleError
		if errors.As(err, &ce) != (c.want != nil) || ce != nil && !slices.Equal(ce.Factors, c.want) {
			t.Errorf("%v: got %v, want circle %v", c.causes, err, c.want)
		}
	}
}

func TestRefusesBadNumbers(t *testing.T) {
	good := func() ([]Factor, []Sign) {
		return []Factor{{Prior: 0.1, Causes: []Link{{1, 0.5}}, BreaksAt: []float64{0.5, 0.5}}, {Prior: 0.1}},
			[]Sign{{Seen: []Link{{0, 0.5}}, Otherwise: 0.1, Reading: 0.2, Group: -1}}
	}
	for _, c := range []struct {
		spoil func(f []Factor, s []Sign, o *Options)
		want  string
	}{
		{func(f []Factor, _ []Sign, _ *Options) { f[0].Prior = 0 }, "factor 0: prior 0"},
		{func(f []Factor, _ []Sign, _ *Options) { f[1].Prior = math.NaN() }, "factor 1: prior NaN"},
		{func(f []Factor, _ []Sign, _ *Options) { f[0].Causes[0].Weight = 1 }, "weight 1 to factor 1"},
		{func(f []Factor, _ []Sign, _ *Options) { f[0].Causes[0].To = 2 }, "points to factor 2 of 2"},
		{func(f []Factor, _ []Sign, _ *Options) { f[0].Causes[0].To = -1 }, "points to factor -1"},
		{func(f []Factor, _ []Sign, _ *Options) { f[1].BreaksAt = []float64{1} }, "break table of 1 demands"},
		{func(f []Factor, _ []Sign, _ *Options) { f[0].BreaksAt[0] = 0.6 }, "does not sum to 1"},
		{func(f []Factor, _ []Sign, _ *Options) { f[0].BreaksAt = []float64{-0.5, 1.5} }, "does not sum to 1"},
		{func(_ []Factor, s []Sign, _ *Options) { s[0].Otherwise = 0 }, "otherwise 0"},
		{func(_ []Factor, s []Sign, _ *Options) { s[0].Reading = 0.5 }, "reading error 0.5"},
		{func(_ []Factor, s []Sign, _ *Options) { s[0].Seen = append(s[0].Seen, Link{0, 0.2}) }, "points to factor 0 twice"},
		{func(_ []Factor, s []Sign, _ *Options) { s[0].Seen = make([]Link, 11) }, "seen with 11 factors"},
		{func(_ []Factor, _ []Sign, o *Options) { o.Unlisted = 1 }, "unlisted cause: prior 1"},
		{func(_ []Factor, _ []Sign, o *Options) { o.MaxActive = -1 }, "not a bound"},
	} {
		f, s := good()
		var o Options
		c.spoil(f, s, &o)
		if _, err := New(f, s, o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want %q", err, c.want)
		}
	}
	f, s := good()
	if _, err := New(f, s, Options{}); err != nil {
		t.Error(err)
	}
	if _, err := New(nil, nil, Options{}); err == nil {
		t.Error("a network without factors is accepted")
	}
	crowd := slices.Repeat([]Factor{{Prior: 0.1}}, 30)
	if n, err := New(crowd, nil, Options{}); err != nil || n.States() != 206_367 {
		t.Errorf("30 factors: %v", err)
	}
	if _, err := New(crowd, nil, Options{MaxActive: 30}); err == nil {
		t.Error("a thousand million states are accepted")
	}
	if _, err := New(make([]Factor, 31), nil, Options{}); err == nil {
		t.Error("31 factors are accepted")
	}
}

func TestOddPatternsAreHarmless(t *testing.T) {
	n := network(t, []Factor{{Prior: 0.1}}, []Sign{{Seen: []Link{{0, 0.9}}, Otherwise: 0.1, Reading: 0.1, Group: -1}}, Options{})
	s := n.NewSolver()
	for _, q := range [][]Pattern{nil, {}, {nil}, {{{7, Yes}}, {{-1, No}}}, {{{0, Unknown}}, {{0, Unknown}}}, {{{0, Yes}}}, {{{0, Outcome(math.NaN())}}}} {
		if g := s.Gain(q); g != 0 && len(q) != 1 || math.IsNaN(g) {
			t.Errorf("gain of %v: %v", q, g)
		}
	}
	if g := s.ReadAgain(9); g != 0 {
		t.Errorf("reading a sign that is not there: %v", g)
	}
	for _, o := range []Outcome{Soft(0), Soft(math.Inf(1)), Yes, No} {
		if p := n.Posterior(Evidence{Signs: []Outcome{o}}); !(p.Root[0] > 0 && p.Root[0] < 1) {
			t.Errorf("outcome %v: root %v", o, p.Root)
		}
	}
}
