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
	Parent   []int     // the upstream factor that explains it most, -1 where none can
	Unlisted float64   // chance that something no factor names is a cause
	strength []float64 // of the parent
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
	s.present(p.Present)
	s.parents(p)
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

// present adds up the states in which each factor is active.
func (s *Solver) present(dst []float64) {
	st := &s.n.states
	clear(s.sum)
	for i, w := range s.w {
		for _, f := range st.active[st.start[i]:st.start[i+1]] {
			s.sum[f] += w
		}
	}
	copy(dst, s.sum)
}

// parents finds for each factor the arrow with the largest sum over the states
// of P(state) weight / P(factor there | state).
func (s *Solver) parents(p *Posterior) {
	st := &s.n.states
	n := len(p.Root)
	p.Parent = slices.Grow(p.Parent[:0], n)[:n]
	p.strength = slices.Grow(p.strength[:0], len(s.n.edges)+n)[:len(s.n.edges)+n]
	clear(p.strength)
	sums, best := p.strength[:len(s.n.edges)], p.strength[len(s.n.edges):]
	for i, w := range s.w {
		for k := st.arrows[i]; k < st.arrows[i+1]; k++ {
			sums[st.arrow[k]] += w * st.arrowOwn[k]
		}
	}
	for f := range p.Parent {
		p.Parent[f] = -1
	}
	for k, e := range s.n.edges {
		if v := sums[k] * e.weight / s.n.factors[e.to].Prior; v > best[e.to] {
			best[e.to], p.Parent[e.to] = v, e.from
		}
	}
}
