package cause

import "slices"

// Role tells whether a factor that is likely there is a problem of its own.
type Role int

// The roles, for factors that are more likely there than not.
const (
	Absent      Role = iota // there with a chance below one half: no role
	Own                     // most likely its own problem
	Either                  // its own or a consequence of its parent
	Consequence             // most likely a consequence of its chain
)

// Bounds of the roles, as the share root/present (house default).
const (
	presentFrom      = 0.50
	ownFrom          = 0.60
	consequenceUntil = 0.40
)

// Posterior is the result for one case, by factor.
type Posterior struct {
	Root     []float64 // chance that it is a cause by itself
	Present  []float64 // chance that it is there, by itself or brought about
	Role     []Role
	Parent   []int   // the upstream factor that explains it most, -1 where none can
	Unlisted float64 // chance that something no factor names is a cause
}

// Posterior solves one case.
func (n *Network) Posterior(e Evidence) Posterior {
	var p Posterior
	n.solved(e).Posterior(&p)
	return p
}

// Posterior writes the result for the case that is set, reusing p's memory.
func (s *Solver) Posterior(p *Posterior) {
	n := s.n.Factors()
	p.Root = append(p.Root[:0], s.root[:n]...)
	p.Unlisted = s.root[n]
	p.Present = slices.Grow(p.Present[:0], n)[:n]
	p.Role = slices.Grow(p.Role[:0], n)[:n]
	p.Parent = slices.Grow(p.Parent[:0], n)[:n]
	s.spread(p.Present, s.arrows)
	s.parents(p.Parent, s.arrows, s.fits[:n])
	for f := range n {
		p.Role[f] = role(p.Present[f], p.share(f))
	}
}

func role(present, share float64) Role {
	switch {
	case present < presentFrom:
		return Absent
	case share >= ownFrom:
		return Own
	case share <= consequenceUntil:
		return Consequence
	}
	return Either
}

// share is how much of the factor's presence it owes to itself.
func (p *Posterior) share(f int) float64 {
	if p.Present[f] == 0 {
		return 1
	}
	return p.Root[f] / p.Present[f]
}

// Chain lists the upstream factors that explain f, the nearest first and the
// head last: it is followed while a factor owes no more than 0.40 of its
// presence to itself.
func (p *Posterior) Chain(f int) []int {
	var chain []int
	for at := p.Parent[f]; at >= 0; at = p.Parent[at] {
		chain = append(chain, at)
		if p.share(at) > consequenceUntil {
			break
		}
	}
	return chain
}

// spread sums, for each factor, the states in which it is active, and for each
// arrow P(state) own, over the states with both ends active.
func (s *Solver) spread(present, arrows []float64) {
	st := &s.n.states
	clear(s.sum)
	clear(arrows)
	copy(s.alt, s.w)
	for i := len(s.alt) - 1; i > 0; i-- {
		below := s.alt[i]
		s.alt[st.parent[i]] += below
		s.sum[st.last[i]] += below
		for _, e := range st.arrow[st.arrows[i]:st.arrows[i+1]] {
			arrows[e] += below * st.own[i]
		}
	}
	copy(present, s.sum)
}

// parents finds for each factor the arrow with the largest sum over the states
// of P(state) weight / P(factor there | state).
func (s *Solver) parents(dst []int, arrows, best []float64) {
	clear(best)
	for f := range dst {
		dst[f] = -1
	}
	for k, e := range s.n.edges {
		if v := arrows[k] * e.weight / s.n.factors[e.to].Prior; v > best[e.to] {
			best[e.to], dst[e.to] = v, e.from
		}
	}
}
