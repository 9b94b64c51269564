package cause

import (
	"math"
	"math/bits"
	"slices"
)

// Evidence is all that is known of one case.
type Evidence struct {
	Signs []Outcome // by sign; missing ones are Unknown
	// Break is the chance that the pattern is lost at each demand. Nil, or of
	// another length than the tables of the factors, is unknown.
	Break []float64
}

// Answer is the outcome of one sign.
type Answer struct {
	Sign    int
	Outcome Outcome
}

// Pattern is what one answer to a question says about signs. An Unknown in it
// takes back what was known; of two answers to one sign the later counts.
type Pattern []Answer

// Solver holds the working memory for one network and the case it was last set
// to. It allocates nothing after NewSolver, and is not safe for concurrent use.
type Solver struct {
	n       *Network
	signs   []Outcome // the case set, one per sign
	breakAt []float64 // the break, empty when unknown
	prior   []float64 // of each state, with the break

	share []float64 // how much each sign counts: 0, 1, or 1/m among m tied near-copies
	w     []float64 // chance of each state, sums to 1
	root  []float64 // chance that each factor is a cause by itself

	ratio   []lookup // by table: what multiplies the states now
	touched []int    // the tables in use

	alt    []float64 // states under changed evidence
	sum    []float64 // root sums of alt
	small  []float64
	pairs  []Answer
	shares []float64
	groups []int
	saved  []Outcome
	fits   []float64 // by factor: how well the break fits it
	arrows []float64 // sums by arrow
}

// NewSolver makes the working memory; the case starts with nothing known.
func (n *Network) NewSolver() *Solver {
	members := 1
	for _, g := range n.groups {
		members = max(members, len(g))
	}
	s := &Solver{
		n:       n,
		signs:   make([]Outcome, len(n.signs)),
		breakAt: make([]float64, 0, n.buckets),
		prior:   slices.Clone(n.states.prior),
		share:   make([]float64, len(n.signs)),
		w:       make([]float64, len(n.states.prior)),
		root:    make([]float64, len(n.factors)),
		ratio:   make([]lookup, len(n.tables)),
		touched: make([]int, 0, len(n.tables)),
		alt:     make([]float64, len(n.states.prior)),
		sum:     make([]float64, len(n.factors)),
		small:   make([]float64, tableSize),
		pairs:   make([]Answer, 0, members),
		shares:  make([]float64, members),
		groups:  make([]int, 0, len(n.groups)),
		saved:   make([]Outcome, len(n.signs)),
		fits:    make([]float64, len(n.factors)),
		arrows:  make([]float64, len(n.edges)),
	}
	s.solve()
	return s
}

// Set takes a case and solves it.
func (s *Solver) Set(e Evidence) {
	for i := range s.signs {
		s.signs[i] = Unknown
		if i < len(e.Signs) && e.Signs[i].answered() {
			s.signs[i] = e.Signs[i]
		}
	}
	if at := s.n.known(e.Break); !slices.Equal(at, s.breakAt) {
		s.breakAt = append(s.breakAt[:0], at...)
		s.readBreak()
	}
	s.solve()
}

// known is the break, or nothing if it cannot be used.
func (n *Network) known(at []float64) []float64 {
	sum := 0.0
	for _, p := range at {
		if !(p >= 0) {
			return nil
		}
		sum += p
	}
	if len(at) != n.buckets || !(sum > 0) || math.IsInf(sum, 1) {
		return nil
	}
	return at
}

// Roots copies the chance of each factor, and last of the unlisted cause, to be
// a cause by itself into dst, which it returns (grown if too short).
func (s *Solver) Roots(dst []float64) []float64 { return append(dst[:0], s.root...) }

// With copies the root chances that the case would have with the pattern over it.
func (s *Solver) With(p Pattern, dst []float64) []float64 {
	s.overlay(p)
	s.apply(s.w, s.alt)
	total := s.n.states.tally(s.alt, s.sum)
	dst = append(dst[:0], s.sum...)
	scale(dst, 1/total)
	return dst
}

// solve computes the states from nothing.
func (s *Solver) solve() {
	s.begin()
	for g, members := range s.n.groups {
		s.gather(g, nil)
		s.resolve()
		for k, i := range members {
			s.share[i] = s.shares[k]
			s.count(i, s.signs[i], s.shares[k])
		}
	}
	for _, t := range s.touched {
		s.level(t)
	}
	s.apply(s.prior, s.w)
	copy(s.alt, s.w)
	total := s.n.states.tally(s.alt, s.root)
	scale(s.w, 1/total)
	scale(s.root, 1/total)
}

// begin forgets the tables in use.
func (s *Solver) begin() { s.touched = s.touched[:0] }

// gather lists the members of a group with their outcomes under the pattern.
func (s *Solver) gather(group int, p Pattern) {
	s.pairs = s.pairs[:0]
	for _, i := range s.n.groups[group] {
		a := Answer{Sign: i, Outcome: s.signs[i]}
		if o, named := p.of(i); named {
			a.Outcome = o
		}
		s.pairs = append(s.pairs, a)
	}
}

// of is the pattern's outcome for the sign.
func (p Pattern) of(sign int) (Outcome, bool) {
	for k := len(p) - 1; k >= 0; k-- {
		if p[k].Sign == sign {
			return p[k].Outcome, true
		}
	}
	return Unknown, false
}

// tieShare is how close two strengths are that count as equal.
const tieShare = 1e-9

// resolve sets shares for the gathered near-copies: the strongest counts alone,
// and equally strong ones share, so that neither order nor number matters.
func (s *Solver) resolve() {
	most, last, answered := 0.0, 0, 0
	for k, a := range s.pairs {
		s.shares[k] = 0
		if a.Outcome.answered() {
			answered++
			last = k
		}
	}
	if answered <= 1 {
		if answered == 1 {
			s.shares[last] = 1
		}
		return
	}
	for k, a := range s.pairs {
		if a.Outcome.answered() {
			s.shares[k] = s.n.signs[a.Sign].strength(a.Outcome)
			most = max(most, s.shares[k])
		}
	}
	tied := 0.0
	for k := range s.pairs {
		if s.shares[k] >= most*(1-tieShare) {
			tied++
		}
	}
	for k := range s.pairs {
		if s.shares[k] >= most*(1-tieShare) {
			s.shares[k] = 1 / tied
		} else {
			s.shares[k] = 0
		}
	}
}

// count multiplies the sign's table by its likelihood to the power of share.
func (s *Solver) count(i int, o Outcome, share float64) {
	if share == 0 {
		return
	}
	g := &s.n.signs[i]
	own := s.small[:len(g.chance)]
	c := g.credence(o)
	for x, q := range g.chance {
		own[x] = power(likelihood(c, q), share)
	}
	s.multiply(g, own)
}

func power(x, share float64) float64 {
	switch share {
	case 1:
		return x
	case -1:
		return 1 / x
	}
	return math.Pow(x, share)
}

// multiply spreads factors over sets of the sign's own factors to its table.
func (s *Solver) multiply(g *sign, own []float64) {
	t := s.ratio[g.table][:len(g.sub)]
	for _, k := range s.touched {
		if k == g.table {
			for x, y := range g.sub {
				t[x] *= own[y]
			}
			return
		}
	}
	s.touched = append(s.touched, g.table)
	for x, y := range g.sub {
		t[x] = own[y]
	}
}

// level scales a table to a largest entry of 1, so that many answers cannot
// make every state vanish.
func (s *Solver) level(t int) {
	all := s.ratio[t][:1<<bits.OnesCount32(s.n.tables[t].factors)]
	most := 0.0
	for _, x := range all {
		most = max(most, x)
	}
	scale(all, 1/most)
}

// apply multiplies the states of from by the tables in use into to.
func (s *Solver) apply(from, to []float64) {
	k := 0
	for ; k+1 < len(s.touched); k += 2 {
		a, b := s.touched[k], s.touched[k+1]
		multiplyTwo(to, from, &s.ratio[a], &s.ratio[b], s.n.tables[a].index, s.n.tables[b].index)
		from = to
	}
	if k < len(s.touched) {
		a := s.touched[k]
		multiplyOne(to, from, &s.ratio[a], s.n.tables[a].index)
		return
	}
	if len(s.touched) == 0 {
		copy(to, from)
	}
}

func multiplyOne(to, from []float64, a *lookup, ia []uint16) {
	from, ia = from[:len(to)], ia[:len(to)]
	for i := range to {
		to[i] = from[i] * a[ia[i]%tableSize]
	}
}

func multiplyTwo(to, from []float64, a, b *lookup, ia, ib []uint16) {
	from, ia, ib = from[:len(to)], ia[:len(to)], ib[:len(to)]
	for i := range to {
		to[i] = from[i] * (a[ia[i]%tableSize] * b[ib[i]%tableSize])
	}
}

// The chance of a break at a demand is a floor plus a share of the mean table of
// the active factors, each weighted by its chance to be a cause by itself.
const (
	breakFloor = 0.04
	breakShare = 0.80
)

// readBreak multiplies the prior of the states by the likelihood of the break.
// A factor without a table breaks anywhere.
func (s *Solver) readBreak() {
	copy(s.prior, s.n.states.prior)
	if len(s.breakAt) == 0 {
		return
	}
	sum := 0.0
	for _, p := range s.breakAt {
		sum += p
	}
	for f, x := range s.n.factors {
		s.fits[f] = 1 / float64(len(s.breakAt))
		if x.BreaksAt != nil {
			s.fits[f] = 0
			for b, p := range s.breakAt {
				s.fits[f] += p / sum * x.BreaksAt[b]
			}
		}
	}
	st := &s.n.states
	mean, own := s.alt, s.w // by state: sums over its active factors
	mean[0], own[0] = 0, 0
	for i := 1; i < len(mean); i++ {
		p := st.parent[i]
		own[i] = own[p] + st.own[i]
		mean[i] = mean[p] + st.own[i]*s.fits[st.last[i]]
		s.prior[i] *= breakFloor + breakShare*mean[i]/own[i]
	}
}

func scale(list []float64, by float64) {
	for i := range list {
		list[i] *= by
	}
}
