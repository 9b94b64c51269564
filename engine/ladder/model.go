package ladder

import (
	"math"

	"rungwise/engine/stats"
)

// kind is what happens on a ladder.
type kind int

const (
	none kind = iota
	stay
	dip
	slide
)

// hypothesis is one way in which this ladder could have come about.
type hypothesis struct {
	kind           kind
	rung           int // where it breaks; 0 where it does not
	prior          float64
	shape          int // which shape of lost speed, 0 = none
	speed, pattern bool
}

// model holds what the likelihoods need: the blocks, the shapes that lost speed can take over them, the marks.
type model struct {
	o          Options
	l          Ladder
	blocks     []block
	reference  float64 // mean speed of the reference's first block
	shapes     [][]float64
	marks      []markOdds
	tested     []int // rungs with readings that can be used or marks, ascending
	hypotheses []hypothesis
	misreads   [][]float64
}

func newModel(l Ladder, o Options) *model {
	m := &model{o: o, l: l}
	m.blocks, m.misreads = l.blocks(o)
	seen := make([]bool, len(l.Rungs))
	for i, r := range l.Rungs {
		m.marks = append(m.marks, r.odds())
		seen[i] = len(r.Marks) > 0
	}
	for _, b := range m.blocks {
		seen[b.rung] = true
	}
	for i, s := range seen {
		if s {
			m.tested = append(m.tested, i)
		}
	}
	m.reference = m.referenceMean()
	m.shapes = [][]float64{make([]float64, len(m.blocks))}
	m.lay()
	return m
}

// referenceMean returns the mean of the first run of reference throws, or, where none can be used, what the other rungs
// make of it.
func (m *model) referenceMean() float64 {
	total, n := 0.0, 0.0
	for _, b := range m.blocks {
		mean := stats.Mean(b.kept)
		if b.rung == 0 {
			return mean
		}
		total += mean / b.share
		n++
	}
	return total / n
}

// shape adds a shape of lost speed, as the part of the drop that each rung shows, and returns its number.
func (m *model) shape(lost func(rung int) float64) int {
	u := make([]float64, len(m.blocks))
	for i, b := range m.blocks {
		u[i] = lost(b.rung)
	}
	m.shapes = append(m.shapes, u)
	return len(m.shapes) - 1
}

// lay writes down the hypotheses. A break that stays is seen at the first tested rung at or after it, so untested rungs
// hand their chance on; a dip at an untested rung, and a break after the last tested one, cannot be seen and are left out.
func (m *model) lay() {
	p := m.o.Prior
	each := 1 / float64(len(m.l.Rungs)-1)
	m.add(none, 0, p.None, 0, false, false)
	full := make([]int, len(m.tested)+1) // the last: a loss that starts after everything tested
	for i, k := range m.tested {
		if k > 0 {
			full[i] = m.shape(func(r int) float64 { return step(r >= k) })
		}
	}
	before := 0
	for i, k := range m.tested {
		if k == 0 {
			continue
		}
		half := m.shape(func(r int) float64 { return step(r >= k) - .5*step(r == k) })
		stays := p.Stay * each * float64(k-before)
		m.add(stay, k, stays*p.Both*(1-p.Half-p.Lag), full[i], true, true)
		m.add(stay, k, stays*p.Both*p.Half, half, true, true)
		m.add(stay, k, stays*p.Both*p.Lag, full[i+1], true, true)
		m.add(stay, k, stays*p.SpeedOnly*(1-p.Half), full[i], true, false)
		m.add(stay, k, stays*p.SpeedOnly*p.Half, half, true, false)
		m.add(stay, k, stays*p.PatternOnly, 0, false, true)
		if i < len(m.tested)-1 {
			m.layDip(k, p.Dip*each)
		}
		before = k
	}
	last := float64(len(m.l.Rungs) - 1)
	slope := m.shape(func(r int) float64 { return float64(r) / last })
	m.add(slide, 0, p.Slide, slope, true, true)
}

func (m *model) layDip(k int, prior float64) {
	p := m.o.Prior
	only := m.shape(func(r int) float64 { return step(r == k) })
	m.add(dip, k, prior*p.Both, only, true, true)
	m.add(dip, k, prior*p.SpeedOnly, only, true, false)
	m.add(dip, k, prior*p.PatternOnly, 0, false, true)
}

func (m *model) add(k kind, rung int, prior float64, shape int, speed, pattern bool) {
	m.hypotheses = append(m.hypotheses, hypothesis{k, rung, prior, shape, speed, pattern})
}

func step(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// logMarks returns the log likelihood of all marks under h.
func (m *model) logMarks(h hypothesis) float64 {
	total := 0.0
	last := float64(len(m.l.Rungs) - 1)
	for r, odds := range m.marks {
		switch {
		case h.pattern && h.kind == slide:
			total += odds.partly(float64(r) / last)
		case h.pattern && (r == h.rung || h.kind == stay && r > h.rung):
			total += odds.lost
		default:
			total += odds.held
		}
	}
	return total
}

// covariance fills the covariance of the reference-equivalent block means for one throw-to-throw SD and one multiple of
// the healthy spread. A rung's own departure from its share is common to all its blocks, the reference's included: where
// the reference is no running throw, its share is as uncertain as any other's.
func (m *model) covariance(cov []float64, sd, spread float64) {
	n, days, s := m.o.Noise, m.severalDays(), m.reference*spread
	size := len(m.blocks)
	for i, a := range m.blocks {
		for j, b := range m.blocks {
			c := n.Level*n.Level + s*s*n.Walk*n.Walk*float64(min(a.rung, b.rung))
			if a.rung == b.rung {
				own := m.l.Rungs[a.rung].Share.Spread() / m.l.Rungs[0].Share.Mid()
				c += s * s * own * own
			}
			if a.day == b.day {
				c += n.Drift * n.Drift * a.mid * b.mid
				if days {
					c += m.reference * m.reference * n.Day * n.Day
				}
			}
			if i == j {
				c += sd * sd / (float64(len(a.kept)) * a.share * a.share)
			}
			cov[i*size+j] = c
		}
	}
}

func (m *model) severalDays() bool {
	for _, b := range m.blocks {
		if b.day != m.blocks[0].day {
			return true
		}
	}
	return false
}

// sdGrid returns five throw-to-throw SDs around the usual one with their lognormal prior weights.
func (m *model) sdGrid() []Weighted {
	usual := m.o.withinSD(m.l)
	var grid []Weighted
	for _, z := range [...]float64{-1.8, -.9, 0, .9, 1.8} {
		grid = append(grid, Weighted{usual * math.Exp(m.o.Noise.SDLog*z), math.Exp(-z * z / 2)})
	}
	return grid
}
