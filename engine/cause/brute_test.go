package cause

import (
	"math"
	"math/rand/v2"
	"testing"
)

// brute enumerates a network in the plainest way: every set of causes, all
// logarithms, no table and no incremental step. It shares no code with the
// package but the input types.
type brute struct {
	factors []Factor // with the unlisted cause last
	signs   []Sign
	most    int
}

func (b brute) absent(set uint, f int) float64 {
	a := 1 - b.factors[f].Prior
	for p := range b.factors {
		if set>>p&1 == 0 {
			continue
		}
		for _, l := range b.factors[p].Causes {
			if l.To == f {
				a *= 1 - l.Weight
			}
		}
	}
	return a
}

func (b brute) lambda(i int, o Outcome) float64 {
	e := b.signs[i].Reading
	switch o {
	case Yes:
		return (1 - e) / e
	case No:
		return e / (1 - e)
	}
	return math.Exp(float64(o))
}

// look is ln P(look | set), with the chances of the look given that the sign is
// there and that it is not scaled to sum to 1.
func (b brute) look(i int, o Outcome, set uint) float64 {
	none := 1 - b.signs[i].Otherwise
	for _, l := range b.signs[i].Seen {
		if set>>l.To&1 == 1 {
			none *= 1 - l.Weight
		}
	}
	lam := b.lambda(i, o)
	return math.Log(((1-none)*lam + none) / (1 + lam))
}

func (b brute) strength(i int, o Outcome) float64 {
	best := 0.0
	for _, l := range b.signs[i].Seen {
		best = math.Max(best, math.Abs(b.look(i, o, 1<<l.To)-b.look(i, o, 0)))
	}
	return best
}

// looks is the ln likelihood of all answers under the rule of groups.
func (b brute) looks(answers map[int]Outcome, set uint) float64 {
	sum := 0.0
	for i, o := range answers {
		if o == Unknown {
			continue
		}
		mine, tied, beaten := b.strength(i, o), 1.0, false
		for j, p := range answers {
			if j == i || p == Unknown || b.signs[i].Group < 0 || b.signs[j].Group != b.signs[i].Group {
				continue
			}
			switch other := b.strength(j, p); {
			case math.Abs(other-mine) < 1e-9:
				tied++
			case other > mine:
				beaten = true
			}
		}
		if !beaten {
			sum += b.look(i, o, set) / tied
		}
	}
	return sum
}

func (b brute) breakAt(d []float64, set uint) float64 {
	if d == nil {
		return 1
	}
	total := 0.0
	for k, p := range d {
		mean, weight := 0.0, 0.0
		for f := range b.factors {
			if set>>f&1 == 0 {
				continue
			}
			own := b.factors[f].Prior / (1 - b.absent(set, f))
			at := 1 / float64(len(d))
			if b.factors[f].BreaksAt != nil {
				at = b.factors[f].BreaksAt[k]
			}
			mean += own * at
			weight += own
		}
		total += p * (0.04 + 0.8*mean/weight)
	}
	return total
}

func (b brute) weight(answers map[int]Outcome, d []float64, set uint) float64 {
	w := 1.0
	active := 0
	for f := range b.factors {
		if set>>f&1 == 1 {
			w *= 1 - b.absent(set, f)
			active++
		} else {
			w *= b.absent(set, f)
		}
	}
	if active == 0 || active > b.most {
		return 0
	}
	return w * math.Exp(b.looks(answers, set)) * b.breakAt(d, set)
}

// solve returns root and present chances (the unlisted cause last) and, by
// factor, the score of every other factor as its parent.
func (b brute) solve(answers map[int]Outcome, d []float64) (root, present []float64, parent [][]float64) {
	n := len(b.factors)
	root, present, parent = make([]float64, n), make([]float64, n), make([][]float64, n)
	for f := range parent {
		parent[f] = make([]float64, n)
	}
	total := 0.0
	for set := uint(1); set < 1<<n; set++ {
		w := b.weight(answers, d, set)
		total += w
		for f := range n {
			if set>>f&1 == 0 {
				continue
			}
			there := 1 - b.absent(set, f)
			present[f] += w
			root[f] += w * b.factors[f].Prior / there
			for p := range n {
				for _, l := range b.factors[p].Causes {
					if l.To == f && set>>p&1 == 1 {
						parent[f][p] += w * l.Weight / there
					}
				}
			}
		}
	}
	for f := range n {
		root[f] /= total
		present[f] /= total
	}
	return root, present, parent
}

func bits2(root []float64) float64 {
	h := 0.0
	for _, p := range root {
		if p > 0 && p < 1 {
			h -= p*math.Log2(p) + (1-p)*math.Log2(1-p)
		}
	}
	return h
}

// gain is the definition of Gain written out: every pattern's chance as a ratio
// of sums over all sets.
func (b brute) gain(answers map[int]Outcome, d []float64, question []Pattern) float64 {
	base := map[int]Outcome{}
	for i, o := range answers {
		base[i] = o
	}
	groupOf := func(i int) int {
		if b.signs[i].Group >= 0 {
			return b.signs[i].Group
		}
		return -1 - i
	}
	named := map[int]bool{}
	for _, p := range question {
		for _, a := range p {
			delete(base, a.Sign)
			named[groupOf(a.Sign)] = true
		}
	}
	before, _, _ := b.solve(base, d)
	sum, after := 0.0, 0.0
	for _, p := range question {
		own, both := map[int]Outcome{}, map[int]Outcome{}
		for i, o := range base {
			both[i] = o
		}
		hit := map[int]bool{}
		for _, a := range p {
			if own[a.Sign], both[a.Sign] = a.Outcome, a.Outcome; a.Outcome != Unknown {
				hit[groupOf(a.Sign)] = true
			}
		}
		chance, total := 0.0, 0.0
		for set := uint(1); set < 1<<len(b.factors); set++ {
			w := b.weight(base, d, set)
			total += w
			chance += w * math.Exp(b.looks(own, set))
		}
		chance *= math.Pow(0.5, float64(len(named)-len(hit))) / total
		root, _, _ := b.solve(both, d)
		sum += chance
		after += chance * bits2(root)
	}
	return math.Max(0, bits2(before)-after/sum)
}

// again is ReadAgain written out: given the set and the looks so far, the sign
// is there with chance qλ/(qλ+1-q), and the next look reads it with its error.
func (b brute) again(answers map[int]Outcome, d []float64, i int) float64 {
	before, _, _ := b.solve(answers, d)
	lam, e := b.lambda(i, answers[i]), b.signs[i].Reading
	yes, total := 0.0, 0.0
	for set := uint(1); set < 1<<len(b.factors); set++ {
		none := 1 - b.signs[i].Otherwise
		for _, l := range b.signs[i].Seen {
			if set>>l.To&1 == 1 {
				none *= 1 - l.Weight
			}
		}
		there := (1 - none) * lam / ((1-none)*lam + none)
		w := b.weight(answers, d, set)
		total += w
		yes += w * (there*(1-e) + (1-there)*e)
	}
	yes /= total
	after := 0.0
	for _, next := range []struct{ lam, chance float64 }{{lam * (1 - e) / e, yes}, {lam * e / (1 - e), 1 - yes}} {
		changed := map[int]Outcome{}
		for j, o := range answers {
			changed[j] = o
		}
		changed[i] = Outcome(math.Log(math.Min(12, math.Max(1.0/12, next.lam))))
		root, _, _ := b.solve(changed, d)
		after += next.chance * bits2(root)
	}
	return math.Max(0, bits2(before)-after)
}

// base draws a small network and a case for it. Links, groups, soft answers,
// missing answers, ties and breaks all occur.
func base(r *rand.Rand, factors, signs, most int) (*Network, brute, []Outcome, []float64) {
	weight := func() float64 { return []float64{0.25, 0.5, 0.75, 0.9}[r.IntN(4)] }
	order := r.Perm(factors)
	list := make([]Factor, factors)
	for k, f := range order {
		list[f].Prior = 0.02 + 0.3*r.Float64()
		for _, to := range order[k+1:] {
			if r.Float64() < 0.3 {
				list[f].Causes = append(list[f].Causes, Link{To: to, Weight: weight()})
			}
		}
		if r.Float64() < 0.6 {
			table := make([]float64, 4)
			for b := range table {
				table[b] = float64(r.IntN(3))
			}
			list[f].BreaksAt = BreakTable(table)
		}
	}
	seen := make([]Sign, signs)
	out := make([]Outcome, signs)
	for i := range seen {
		seen[i] = Sign{Otherwise: []float64{0.05, 0.1, 0.2, 0.35}[r.IntN(4)], Reading: []float64{0.2, 0.08, 0.1}[r.IntN(3)], Group: r.IntN(signs) - signs/2}
		for _, f := range r.Perm(factors)[:1+r.IntN(min(3, factors))] {
			seen[i].Seen = append(seen[i].Seen, Link{To: f, Weight: weight()})
		}
		out[i] = []Outcome{Unknown, Unknown, Yes, Yes, No, Soft(math.Exp(2 * r.NormFloat64())), Repeated(seen[i].Reading, 2, 0)}[r.IntN(7)]
	}
	n, err := New(list, seen, Options{MaxActive: most})
	if err != nil {
		panic(err)
	}
	var d []float64
	if n.Buckets() > 0 && r.Float64() < 0.7 {
		d = []float64{r.Float64(), r.Float64(), 0, 1}
	}
	if most == 0 {
		most = factors + 1
	}
	b := brute{factors: append(list, Factor{Prior: 0.07}), signs: seen, most: most}
	return n, b, out, d
}

func answered(out []Outcome) map[int]Outcome {
	m := map[int]Outcome{}
	for i, o := range out {
		m[i] = o
	}
	return m
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9) {
		t.Errorf("%s: got %.12f, want %.12f", what, got, want)
	}
}

func TestEqualsEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 150 {
		factors := 1 + r.IntN(8)
		most := []int{0, 0, 2, 3}[r.IntN(4)]
		n, b, out, d := base(r, factors, 1+r.IntN(12), most)
		p := n.Posterior(Evidence{Signs: out, Break: d})
		root, present, parent := b.solve(answered(out), d)
		for f := range factors {
			near(t, "root", p.Root[f], root[f])
			near(t, "present", p.Present[f], present[f])
			best := 0.0
			for _, v := range parent[f] {
				best = math.Max(best, v)
			}
			if (best == 0) != (p.Parent[f] < 0) || best > 0 && parent[f][p.Parent[f]] < best*(1-1e-9) {
				t.Errorf("factor %d: parent %d of %v", f, p.Parent[f], parent[f])
			}
		}
		near(t, "unlisted", p.Unlisted, root[factors])
		if t.Failed() {
			t.Fatalf("network %+v answers %v", b, out)
		}
	}
}

func TestBitsEqualEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for round := range 60 {
		signs := 3 + r.IntN(8)
		n, b, out, d := base(r, 1+r.IntN(6), signs, 0)
		s := n.NewSolver()
		s.Set(Evidence{Signs: out, Break: d})
		var q []Pattern
		for range 2 + r.IntN(2) {
			var p Pattern
			for _, i := range r.Perm(signs)[:1+r.IntN(3)] {
				p = append(p, Answer{Sign: i, Outcome: []Outcome{Yes, No, No, Unknown, Soft(3)}[r.IntN(5)]})
			}
			q = append(q, p)
		}
		near(t, "gain", s.Gain(q), b.gain(answered(out), d, q))
		i := r.IntN(signs)
		near(t, "read again", s.ReadAgain(i), b.again(answered(out), d, i))
		root, _, _ := b.solve(answered(out), d)
		near(t, "entropy", s.Entropy(), bits2(root))
		less := answered(out)
		delete(less, i)
		without, _, _ := b.solve(less, d)
		for f, c := range s.Contribution(i, nil) {
			want := math.Log(root[f]/(1-root[f])) - math.Log(without[f]/(1-without[f]))
			if math.Abs(c-want) > 1e-7 {
				t.Errorf("contribution of %d to %d: got %v, want %v", i, f, c, want)
			}
		}
		without, _, _ = b.solve(answered(out), nil)
		for f, c := range s.BreakContribution(nil) {
			want := math.Log(root[f]/(1-root[f])) - math.Log(without[f]/(1-without[f]))
			if math.Abs(c-want) > 1e-7 {
				t.Errorf("contribution of the break to %d: got %v, want %v", f, c, want)
			}
		}
		if t.Failed() {
			t.Fatalf("round %d", round)
		}
	}
}
