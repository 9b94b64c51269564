package triage

import (
	"math"
	"math/rand/v2"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
	"rungwise/engine/measure"
	"rungwise/engine/unit"
)

// An invented cohort for the embedded base: what is wrong is drawn from the
// base's own factors, what can be seen from its own signs, fact by fact, and
// then read with error. All of it is synthetic: it shows that the whole of the
// base holds together as a computation, and nothing about pitchers.

// pitcher is one invented athlete.
type pitcher struct {
	root  []bool
	truth Case // everything as it is
	seen  Case // as it was read
}

// cohort draws pitchers.
type cohort struct {
	m        *Model
	rng      *rand.Rand
	factors  []cause.Factor
	upstream []int // the factors, causes first
	signs    []cause.Sign
	near     []float64 // by sign: its share among its near-copies
	looks    []look
	wrong    float64 // reading error by eye
	unclear  float64 // share of looks that show nothing
}

// look is what one glance or question tells: the facts, and how they can end.
type look struct {
	checkpoint string // "" of a question
	slots      []int
	signs      []int // that read any of them
	ends       func(Case) []Case
}

func newCohort(m *Model, seed uint64, wrong float64) *cohort {
	c := &cohort{m: m, rng: rand.New(rand.NewPCG(seed, 77)), wrong: wrong, unclear: 0.12}
	c.factors, c.signs = m.base.Network()
	for len(c.upstream) < len(c.factors) {
		for f := range c.factors {
			if !slices.Contains(c.upstream, f) && c.settled(f) {
				c.upstream = append(c.upstream, f)
			}
		}
	}
	members := map[int]float64{}
	for _, s := range c.signs {
		members[s.Group]++
	}
	members[-1] = 1 // without a group
	for _, s := range c.signs {
		c.near = append(c.near, 1/members[s.Group])
	}
	for _, p := range m.base.Checklist.Checkpoints {
		c.add(look{checkpoint: p.ID, ends: func(now Case) []Case { return m.both(p.ID, now) }},
			fact.Best+"."+p.ID, fact.Stuck+"."+p.ID, fact.Changed+"."+p.ID)
	}
	for slot := range m.bySlot {
		if f := m.base.Catalogue.At(slot); f.Column == "" && !f.Constant && f.Name != "ladder.lost" && f.Name != "ladder.found" {
			c.add(look{ends: func(now Case) []Case { return m.answers(now, slot) }}, f.Name)
		}
	}
	return c
}

// settled reports whether all that can cause a factor stands before it.
func (c *cohort) settled(f int) bool {
	for up, x := range c.factors {
		if slices.ContainsFunc(x.Causes, func(l cause.Link) bool { return l.To == f }) && !slices.Contains(c.upstream, up) {
			return false
		}
	}
	return true
}

// add notes a look, if any sign reads it.
func (c *cohort) add(l look, names ...string) {
	for _, name := range names {
		if slot, ok := c.m.base.Catalogue.Slot(name); ok {
			l.slots, l.signs = append(l.slots, slot), append(l.signs, c.m.bySlot[slot]...)
		}
	}
	slices.Sort(l.signs)
	if l.signs = slices.Compact(l.signs); len(l.signs) > 0 {
		c.looks = append(c.looks, l)
	}
}

// draw makes one pitcher with at least one cause.
func (c *cohort) draw() pitcher {
	p := pitcher{root: make([]bool, len(c.factors))}
	for !slices.Contains(p.root, true) {
		for f := range p.root {
			p.root[f] = c.rng.Float64() < c.factors[f].Prior
		}
	}
	present := slices.Clone(p.root)
	for _, f := range c.upstream {
		for _, l := range c.factors[f].Causes {
			present[l.To] = present[l.To] || present[f] && c.rng.Float64() < l.Weight
		}
	}
	p.truth = c.facts(present, c.breaks(p.root))
	p.seen = c.read(p.truth)
	return p
}

// breaks draws the demand at which it is lost, from one of the causes.
func (c *cohort) breaks(root []bool) int {
	var causes []int
	for f, on := range root {
		if on {
			causes = append(causes, f)
		}
	}
	table := c.factors[causes[c.rng.IntN(len(causes))]].BreaksAt
	if table == nil {
		return c.rng.IntN(len(c.m.base.Demands))
	}
	return pick(c.rng, table)
}

// pick draws a place by weight.
func pick(rng *rand.Rand, weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	u := rng.Float64() * sum
	for i, w := range weights {
		if u -= w; u < 0 {
			return i
		}
	}
	return len(weights) - 1
}

// facts draws what is so: each look again and again, given all others, by how
// well the signs that read it fit what is wrong.
func (c *cohort) facts(present []bool, at int) Case {
	out := c.bare(at)
	chance := make([]float64, len(c.signs))
	for i, s := range c.signs {
		chance[i] = s.Chance(func(k int) bool { return present[s.Seen[k].To] })
	}
	for range 5 {
		for _, l := range c.looks {
			ends := l.ends(open(out, l))
			if len(ends) == 0 {
				continue // a number that is only compared with others
			}
			weights := make([]float64, len(ends))
			for k, end := range ends {
				weights[k] = c.fit(l, end, chance)
			}
			out = ends[pick(c.rng, weights)]
		}
	}
	return out
}

// bare is a case of which only the break is known.
func (c *cohort) bare(at int) Case {
	out := Case{Vector: c.m.base.Catalogue.Vector(), Break: make([]float64, len(c.m.base.Demands))}
	out.Break[at] = 1
	for name, value := range map[string]string{"ladder.found": "yes", "ladder.lost": c.m.base.Demands[at].ID} {
		slot, _ := c.m.base.Catalogue.Slot(name)
		if x, err := c.m.base.Catalogue.At(slot).Parse(value); err == nil {
			out.Vector[slot] = x
		}
	}
	return out
}

// open is a case in which a look was not made.
func open(now Case, l look) Case {
	now.Vector = slices.Clone(now.Vector)
	for _, slot := range l.slots {
		now.Vector[slot] = fact.Value{}
	}
	return now
}

// fit is how well the signs of a look fit; near-copies share one voice.
func (c *cohort) fit(l look, end Case, chance []float64) float64 {
	fit := 1.0
	for _, i := range l.signs {
		switch c.m.base.Signs[i].When.Eval(end.Vector) {
		case fact.Yes:
			fit *= math.Pow(chance[i], c.near[i])
		case fact.No:
			fit *= math.Pow(1-chance[i], c.near[i])
		}
	}
	return fit
}

// read looks at everything once, with errors; some looks show nothing.
func (c *cohort) read(truth Case) Case {
	seen := truth
	seen.Vector, seen.Lambda = slices.Clone(truth.Vector), map[int]float64{}
	for _, l := range c.looks {
		switch f := c.m.base.Catalogue.At(l.slots[0]); {
		case c.rng.Float64() < c.unclear:
			seen = open(seen, l)
		case l.checkpoint != "" && f.Kind == fact.Number:
			c.measure(&seen, l)
		case l.checkpoint != "":
			c.misread(&seen, l.slots[c.rng.IntN(2)], c.wrong)
		case f.Kind != fact.Number && c.m.asked(f.Name):
			c.misread(&seen, l.slots[0], c.wrong/2)
		}
	}
	return seen
}

// misread takes an answer for one of its neighbours, with a chance.
func (c *cohort) misread(seen *Case, slot int, chance float64) {
	if c.rng.Float64() >= chance {
		return
	}
	near := c.m.neighbours(slot, seen.Vector[slot])
	c.m.put(seen, slot, near[c.rng.IntN(len(near))])
}

// measure takes three clips of each throw, with errors, and compares them.
func (c *cohort) measure(seen *Case, l look) {
	p, _ := c.m.base.Checklist.Checkpoint(l.checkpoint)
	s := measure.Spec{Unit: unit.Unit(p.Measure.Unit), Tolerance: p.Measure.Tolerance, ThrowSD: p.Measure.ThrowSD, BetweenDays: p.Measure.BetweenDays}
	var clips [2][]measure.Reading
	for side, slot := range l.slots[:2] {
		sum := 0.0
		for range 3 {
			r := measure.Stated(unit.Quantity{Value: seen.Vector[slot].N, Unit: s.Unit})
			r.Value += math.Hypot(r.SD, s.ThrowSD) * c.rng.NormFloat64()
			clips[side], sum = append(clips[side], r), sum+r.Value
		}
		seen.Vector[slot] = fact.Num(sum / 3)
	}
	v, changed := measure.Compare(clips[0], clips[1], s), l.slots[2]
	seen.Lambda[changed] = v.Lambda
	seen.Vector[changed] = map[measure.Call]fact.Value{measure.Differs: fact.Bool(true), measure.Same: fact.Bool(false)}[v.Call]
}
