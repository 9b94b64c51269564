package cause

import "math"

// overlay puts into the tables what the pattern changes against the case: the
// near-copies that counted are taken out, those that count then are put in. It
// tells whether the case had an answer in a group that the pattern names.
func (s *Solver) overlay(p Pattern) bool {
	s.begin()
	s.collect(p)
	met := false
	for _, g := range s.groups {
		s.gather(g, p)
		s.resolve()
		for k, a := range s.pairs {
			met = met || s.share[a.Sign] > 0
			if s.share[a.Sign] == s.shares[k] && s.signs[a.Sign] == a.Outcome {
				continue
			}
			s.count(a.Sign, s.signs[a.Sign], -s.share[a.Sign])
			s.count(a.Sign, a.Outcome, s.shares[k])
		}
	}
	return met
}

// collect lists the groups that the patterns name, each once.
func (s *Solver) collect(patterns ...Pattern) {
	s.groups = s.groups[:0]
	for _, p := range patterns {
		s.collectOne(p)
	}
}

func (s *Solver) collectOne(p Pattern) {
next:
	for _, a := range p {
		if a.Sign < 0 || a.Sign >= len(s.signs) {
			continue
		}
		g := s.n.signs[a.Sign].group
		for _, known := range s.groups {
			if known == g {
				continue next
			}
		}
		s.groups = append(s.groups, g)
	}
}

// Gain is the information in bits that a question is expected to give, whose
// answer will be one of the patterns: the fall of H, the sum over all causes of
// the binary entropy of their root chance. The chance of a pattern is that of
// its looks given all that is known, the strongest of each group alone, over
// the sum for all patterns; a group that another pattern answers and this one
// leaves open counts 1/2. What the case says about the signs named is set aside
// first. A question that would not lower H is worth 0.
func (s *Solver) Gain(question []Pattern) float64 {
	if s.setAside(question) {
		s.solve()
		gain := s.gain(question)
		copy(s.signs, s.saved)
		s.solve()
		return gain
	}
	return s.gain(question)
}

// setAside makes the named signs unknown and tells whether any was known.
func (s *Solver) setAside(question []Pattern) bool {
	copy(s.saved, s.signs)
	any := false
	for _, p := range question {
		for _, a := range p {
			if a.Sign >= 0 && a.Sign < len(s.signs) && s.signs[a.Sign].answered() {
				s.signs[a.Sign] = Unknown
				any = true
			}
		}
	}
	return any
}

func (s *Solver) gain(question []Pattern) float64 {
	s.collect(question...)
	named := len(s.groups)
	sum, after := 0.0, 0.0
	for _, p := range question {
		answered := s.alone(p)
		s.apply(s.w, s.alt)
		total := s.n.states.tally(s.alt, s.sum)
		chance := total * math.Pow(0.5, float64(named-answered))
		if s.overlay(p) {
			s.apply(s.w, s.alt)
			total = s.n.states.tally(s.alt, s.sum)
		}
		sum += chance
		after += chance * entropy(s.sum, total)
	}
	if sum == 0 {
		return 0
	}
	return max(0, entropy(s.root, 1)-after/sum)
}

// alone puts the pattern's own looks into the tables, the strongest of each
// group, and counts the groups answered.
func (s *Solver) alone(p Pattern) int {
	s.begin()
	s.collect(p)
	answered := 0
	for _, g := range s.groups {
		s.pairs = s.pairs[:0]
		for _, i := range s.n.groups[g] {
			if o, named := p.of(i); named && o.answered() {
				s.pairs = append(s.pairs, Answer{Sign: i, Outcome: o})
			}
		}
		s.resolve()
		for k, a := range s.pairs {
			s.count(a.Sign, a.Outcome, s.shares[k])
		}
		if len(s.pairs) > 0 {
			answered++
		}
	}
	return answered
}

// ReadAgain is the expected information in bits of one more look at a sign,
// read with the sign's own error. Looks at one sign share what is truly there;
// together they are held within 1/12 and 12 as Repeated is.
func (s *Solver) ReadAgain(i int) float64 {
	if i < 0 || i >= len(s.signs) {
		return 0
	}
	now := s.n.signs[i].weigh(s.signs[i])
	after := 0.0
	for _, look := range [...]Outcome{Yes, No} {
		next := now + s.n.signs[i].weigh(look)
		chance := s.expect(i, now, next, look)
		one := [1]Answer{{Sign: i, Outcome: hold(next)}}
		s.overlay(one[:])
		s.apply(s.w, s.alt)
		total := s.n.states.tally(s.alt, s.sum)
		after += chance * entropy(s.sum, total)
	}
	return max(0, entropy(s.root, 1)-after)
}

// expect is the chance that one more look at the sign says look.
func (s *Solver) expect(i int, now, next, look Outcome) float64 {
	s.begin()
	g := &s.n.signs[i]
	before, then := g.credence(now), g.credence(next)
	seen := g.credence(look)
	own := s.small[:len(g.chance)]
	for x, q := range g.chance {
		own[x] = likelihood(then, q) / likelihood(before, q)
	}
	s.multiply(g, own)
	s.apply(s.w, s.alt)
	sum := 0.0
	for _, p := range s.alt {
		sum += p
	}
	return sum * (1 - seen) * (1 - before) / (1 - then)
}

// Contribution copies into dst what the sign's answer adds to the log odds of
// each cause to be one by itself: with it minus without it. Without the
// strongest of near-copies the next strongest counts. An unanswered sign, or
// one that a stronger near-copy overrules, adds 0 everywhere.
func (s *Solver) Contribution(i int, dst []float64) []float64 {
	one := [1]Answer{{Sign: i, Outcome: Unknown}}
	return s.difference(s.With(one[:], dst))
}

// BreakContribution is the same for where the pattern is lost.
func (s *Solver) BreakContribution(dst []float64) []float64 {
	s.alt[0] = 0
	for i := 1; i < len(s.w); i++ {
		s.alt[i] = s.w[i] * s.n.states.prior[i] / s.prior[i]
	}
	total := s.n.states.tally(s.alt, s.sum)
	dst = append(dst[:0], s.sum...)
	scale(dst, 1/total)
	return s.difference(dst)
}

func (s *Solver) difference(without []float64) []float64 {
	for f, p := range without {
		without[f] = bounded(s.root[f]) - bounded(p)
	}
	return without
}

// bounded is the log odds, kept finite.
func bounded(p float64) float64 {
	const least = 1e-12
	return logOdds(min(max(p, least), 1-least))
}

// entropy is H in bits of root sums over this total.
func entropy(root []float64, total float64) float64 {
	h := 0.0
	for _, r := range root {
		h += binaryEntropy(r / total)
	}
	return h
}

func binaryEntropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}

// Entropy is H of the case as it is set, in bits.
func (s *Solver) Entropy() float64 { return entropy(s.root, 1) }

// Gain is Solver.Gain for a single question.
func (n *Network) Gain(e Evidence, question []Pattern) float64 { return n.solved(e).Gain(question) }

// ReadAgain is Solver.ReadAgain for a single sign.
func (n *Network) ReadAgain(e Evidence, sign int) float64 { return n.solved(e).ReadAgain(sign) }

// Contribution is Solver.Contribution for a single sign.
func (n *Network) Contribution(e Evidence, sign int) []float64 {
	return n.solved(e).Contribution(sign, nil)
}

func (n *Network) solved(e Evidence) *Solver {
	s := n.NewSolver()
	s.Set(e)
	return s
}
