package cause

import (
	"math"
	"math/rand/v2"
	"slices"
)

// An invented world of 13 factors, 18 arrows, 26 signs and 5 demands, to score
// the computation on. All of it is synthetic: it shows that the computation
// works where its world is roughly as assumed, and nothing about pitchers.

var (
	linkWords      = []float64{0.25, 0.50, 0.75, 0.90}
	otherwiseWords = []float64{0.05, 0.10, 0.20, 0.35}
)

const (
	shift = iota
	back
	hinge
	cross
	posture
	tempo
	early
	armLate
	soft
	slot
	mound
	intent
	aim
	worldFactors
)

// nominal is the world as the words have it; the signs are listed feet up.
func nominal() ([]Factor, []Sign) {
	table := func(start, lift, slope, target, hitter float64) []float64 {
		return BreakTable([]float64{start, lift, slope, target, hitter})
	}
	f := make([]Factor, worldFactors)
	for k := range f {
		f[k].Prior = 0.07
	}
	f[shift].Prior, f[hinge].Prior, f[slot].Prior = 0.15, 0.15, 0.04
	f[shift].Causes = []Link{{early, .5}, {soft, .5}, {tempo, .25}, {hinge, .25}}
	f[back].Causes = []Link{{hinge, .5}}
	f[hinge].Causes = []Link{{cross, .5}, {soft, .25}, {posture, .25}, {early, .25}}
	f[cross].Causes = []Link{{early, .25}, {soft, .25}}
	f[tempo].Causes = []Link{{armLate, .5}}
	f[early].Causes = []Link{{armLate, .5}, {slot, .25}}
	f[posture].Causes = []Link{{slot, .5}, {early, .25}}
	f[mound].Causes = []Link{{tempo, .25}}
	f[intent].Causes = []Link{{posture, .25}}
	f[shift].BreaksAt = table(.5, .5, 0, 0, 0)
	f[back].BreaksAt = table(0, .5, 0, 0, 0)
	f[hinge].BreaksAt = table(0, .5, .25, 0, 0)
	f[cross].BreaksAt = table(0, 0, .5, .25, 0)
	f[posture].BreaksAt = table(.5, .25, 0, 0, 0)
	f[tempo].BreaksAt = table(.25, .25, 0, 0, 0)
	f[mound].BreaksAt = table(0, 0, .9, 0, 0)
	f[intent].BreaksAt = table(0, 0, 0, .25, .9)
	f[aim].BreaksAt = table(0, 0, 0, .9, .5)
	s := func(otherwise float64, seen ...Link) Sign {
		return Sign{Seen: seen, Otherwise: otherwise, Reading: 0.20, Group: -1}
	}
	return f, []Sign{
		s(.10, Link{back, .90}), s(.20, Link{back, .75}, Link{hinge, .25}),
		s(.10, Link{shift, .90}, Link{hinge, .25}), s(.10, Link{shift, .75}, Link{back, .25}),
		s(.20, Link{shift, .50}, Link{hinge, .50}),
		s(.10, Link{hinge, .90}, Link{back, .25}), s(.10, Link{hinge, .75}),
		s(.10, Link{cross, .90}), s(.20, Link{cross, .50}, Link{hinge, .25}),
		s(.10, Link{soft, .75}, Link{shift, .25}), s(.10, Link{soft, .90}), s(.20, Link{soft, .50}, Link{early, .25}),
		s(.10, Link{posture, .90}), s(.20, Link{posture, .50}, Link{slot, .25}),
		s(.10, Link{early, .90}, Link{cross, .25}), s(.20, Link{early, .75}),
		s(.10, Link{tempo, .90}), s(.10, Link{tempo, .75}, Link{armLate, .25}),
		s(.10, Link{armLate, .90}, Link{slot, .25}), s(.10, Link{armLate, .75}, Link{early, .25}),
		s(.10, Link{slot, .90}, Link{posture, .25}), s(.20, Link{slot, .75}, Link{posture, .25}),
		s(.10, Link{mound, .90}), s(.20, Link{mound, .75}, Link{shift, .25}),
		s(.10, Link{intent, .90}), s(.20, Link{aim, .90}, Link{armLate, .25}),
	}
}

// copyOf deep-copies a base.
func copyOf(f []Factor, s []Sign) ([]Factor, []Sign) {
	f, s = slices.Clone(f), slices.Clone(s)
	for k := range f {
		f[k].Causes, f[k].BreaksAt = slices.Clone(f[k].Causes), slices.Clone(f[k].BreaksAt)
	}
	for k := range s {
		s[k].Seen = slices.Clone(s[k].Seen)
	}
	return f, s
}

// truth jitters every strength by about .5 logit and adds 3 arrows and 6 links
// that nobody wrote down.
func truth(r *rand.Rand) ([]Factor, []Sign) {
	f, s := copyOf(nominal())
	jitter := func(p float64) float64 { return 1 / (1 + math.Exp(-math.Log(p/(1-p))-0.5*r.NormFloat64())) }
	for k := range f {
		f[k].Prior = jitter(f[k].Prior)
		for l := range f[k].Causes {
			f[k].Causes[l].Weight = jitter(f[k].Causes[l].Weight)
		}
	}
	for k := range s {
		s[k].Otherwise = jitter(s[k].Otherwise)
		for l := range s[k].Seen {
			s[k].Seen[l].Weight = jitter(s[k].Seen[l].Weight)
		}
	}
	order := upstreamFirst(f)
	for range 3 {
		a := r.IntN(len(order) - 1)
		b := a + 1 + r.IntN(len(order)-a-1)
		f[order[a]].Causes = addLink(f[order[a]].Causes, Link{order[b], jitter(0.35)})
	}
	for range 6 {
		k := r.IntN(len(s))
		s[k].Seen = addLink(s[k].Seen, Link{r.IntN(worldFactors), jitter(0.35)})
	}
	return f, s
}

func addLink(list []Link, l Link) []Link {
	for _, x := range list {
		if x.To == l.To {
			return list
		}
	}
	return append(list, l)
}

// staff is what a staff writes down: a share of the words one level off, and a
// share of the links forgotten.
func staff(r *rand.Rand, wrong, forgotten, reading float64) ([]Factor, []Sign) {
	f, s := copyOf(nominal())
	off := func(words []float64, p float64) float64 {
		if r.Float64() >= wrong {
			return p
		}
		k := slices.Index(words, p) + 1 - 2*r.IntN(2)
		return words[min(max(k, 0), len(words)-1)]
	}
	links := func(list []Link) (kept []Link) {
		for _, l := range list {
			if r.Float64() >= forgotten {
				kept = append(kept, Link{l.To, off(linkWords, l.Weight)})
			}
		}
		return kept
	}
	for k := range f {
		f[k].Prior = off([]float64{0.04, 0.07, 0.15}, f[k].Prior)
		f[k].Causes = links(f[k].Causes)
	}
	for k := range s {
		s[k].Otherwise = off(otherwiseWords, s[k].Otherwise)
		s[k].Seen = links(s[k].Seen)
		s[k].Reading = reading
	}
	return f, s
}

// pitcher is one invented case: what is truly so and what was read.
type pitcher struct {
	root, present [worldFactors]bool
	there         []bool // by sign
	halo          float64
	evidence      Evidence
}

// look reads a sign once. The halo of the video tilts all its readings one way.
func (p *pitcher) look(r *rand.Rand, i int, wrong float64) Outcome {
	e := min(0.5, wrong*math.Exp(p.halo))
	if p.there[i] {
		e = min(0.5, wrong*math.Exp(-p.halo))
	}
	if (r.Float64() < e) != p.there[i] {
		return Yes
	}
	return No
}

// draw makes one case with at least one cause; wrong is the reading error and
// unclear the share of signs that cannot be seen.
func draw(r *rand.Rand, f []Factor, s []Sign, wrong, unclear float64) pitcher {
	p := pitcher{halo: 0.4 * r.NormFloat64(), there: make([]bool, len(s))}
	for any := false; !any; {
		for k := range f {
			p.root[k] = r.Float64() < f[k].Prior
			any = any || p.root[k]
		}
	}
	p.present = p.root
	for _, k := range upstreamFirst(f) {
		for _, l := range f[k].Causes {
			if p.present[k] && r.Float64() < l.Weight {
				p.present[l.To] = true
			}
		}
	}
	p.evidence.Signs = make([]Outcome, len(s))
	for i, x := range s {
		p.there[i] = r.Float64() < x.Chance(func(k int) bool { return p.present[x.Seen[k].To] })
		if look := p.look(r, i, wrong); r.Float64() >= unclear {
			p.evidence.Signs[i] = look
		}
	}
	p.evidence.Break = p.breaks(r, f)
	return p
}

// breaks draws the demand at which the pattern is lost, from one of the causes.
func (p *pitcher) breaks(r *rand.Rand, f []Factor) []float64 {
	d := make([]float64, 5)
	var causes []int
	for k, on := range p.root {
		if on {
			causes = append(causes, k)
		}
	}
	at := r.IntN(len(d))
	if table := f[causes[r.IntN(len(causes))]].BreaksAt; table != nil {
		u := r.Float64()
		for at = 0; at < len(d)-1 && u >= table[at]; at++ {
			u -= table[at]
		}
	}
	d[at] = 1
	return d
}

// points is the plain alternative: points for a sign seen, half of them back
// for one that was looked for and not there.
func points(f []Factor, s []Sign, e Evidence) []float64 {
	score := make([]float64, len(f))
	for k, x := range f {
		score[k] = 10 * x.Prior
		if x.BreaksAt != nil {
			for b, p := range e.Break {
				score[k] += 2 * p * x.BreaksAt[b]
			}
		}
	}
	for i, x := range s {
		for _, l := range x.Seen {
			switch worth := 4 * l.Weight * (1 - x.Otherwise); e.Signs[i] {
			case Yes:
				score[l.To] += worth
			case No:
				score[l.To] -= worth / 2
			}
		}
	}
	return score
}
