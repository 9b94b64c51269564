package ladder

import (
	"math"

	"rungwise/engine/stats"
)

// speedFit is how well one shape of lost speed explains the readings: the log likelihood, and what it makes of the size
// of the drop (a fraction of the reference), of the throw-to-throw variance and of the squared multiple of the spread.
type speedFit struct{ log, drop, variance, spread2 float64 }

// term is one point of the grid over SD, spread and drop, for one shape.
type term struct{ log, drop, variance, spread2 float64 }

// fitSpeeds returns the fit of every shape, in closed form for each point of the grid: a drop moves the readings along
// the shape, so only two products for each shape are needed whatever the number of drops. It returns zeros where there
// is no reading to compare.
func (m *model) fitSpeeds() []speedFit {
	fits := make([]speedFit, len(m.shapes))
	if len(m.blocks) == 0 {
		return fits
	}
	x, df, ss := m.equivalents()
	terms := make([][]term, len(m.shapes))
	cov := make([]float64, len(x)*len(x))
	for _, sd := range m.sdGrid() {
		within := math.Log(sd.Weight) - df*math.Log(sd.Value) - ss/(2*sd.Value*sd.Value)
		for _, spread := range m.o.Noise.Spread {
			m.covariance(cov, sd.Value, spread.Value)
			g, ok := stats.NewGaussian(cov, len(x))
			if !ok {
				continue
			}
			base := within + math.Log(spread.Weight) - g.LogDet()/2
			at := term{base, 0, sd.Value * sd.Value, spread.Value * spread.Value}
			m.addTerms(terms, g, x, at)
		}
	}
	for i := range fits {
		fits[i] = sum(terms[i])
	}
	return fits
}

// equivalents returns the blocks' means as reference throws around the reference's mean, and the pooled within-block
// degrees of freedom and sum of squares.
func (m *model) equivalents() (x []float64, df, ss float64) {
	for _, b := range m.blocks {
		x = append(x, stats.Mean(b.kept)/b.share-m.reference)
		df += float64(len(b.kept) - 1)
		ss += stats.SumSquares(b.kept)
	}
	return x, df, ss
}

func (m *model) addTerms(terms [][]term, g *stats.Gaussian, x []float64, at term) {
	products := g.Products(x, append([][]float64{x}, m.shapes...))
	xx := products[0].UU
	for i, p := range products[1:] {
		if i == 0 {
			terms[i] = append(terms[i], term{at.log - xx/2, 0, at.variance, at.spread2})
			continue
		}
		for _, d := range m.o.Prior.Drops {
			a := d.Value * m.reference
			q := xx + 2*a*p.XU + a*a*p.UU
			terms[i] = append(terms[i], term{at.log + math.Log(d.Weight) - q/2, d.Value, at.variance, at.spread2})
		}
	}
}

// sum adds the terms of one shape and takes the means over them; without a term the readings say nothing.
func sum(terms []term) speedFit {
	if len(terms) == 0 {
		return speedFit{}
	}
	top := math.Inf(-1)
	for _, t := range terms {
		top = math.Max(top, t.log)
	}
	var total float64
	var f speedFit
	for _, t := range terms {
		w := math.Exp(t.log - top)
		total += w
		f.drop += w * t.drop
		f.variance += w * t.variance
		f.spread2 += w * t.spread2
	}
	return speedFit{top + math.Log(total), f.drop / total, f.variance / total, f.spread2 / total}
}

// posterior is what is believed once the ladder is read.
type posterior struct {
	stay, dip         []float64 // by rung
	none, slide       float64
	speed, pattern    []float64 // by rung: chance that the break there takes the speed, the pattern, joint with it
	drop              []float64 // by rung: expected drop of a break that stays there
	variance, spread2 float64   // expected throw-to-throw variance and squared multiple of the spread
}

func (p posterior) at(rung int) float64 { return p.stay[rung] + p.dip[rung] }

func (m *model) posterior() posterior {
	fits := m.fitSpeeds()
	logs := make([]float64, len(m.hypotheses))
	top := math.Inf(-1)
	for i, h := range m.hypotheses {
		logs[i] = math.Log(h.prior) + m.logMarks(h) + fits[h.shape].log
		top = math.Max(top, logs[i])
	}
	total := 0.0
	for i := range logs {
		logs[i] = math.Exp(logs[i] - top)
		total += logs[i]
	}
	n := len(m.l.Rungs)
	p := posterior{stay: make([]float64, n), dip: make([]float64, n), speed: make([]float64, n),
		pattern: make([]float64, n), drop: make([]float64, n)}
	for i, h := range m.hypotheses {
		p.take(h, logs[i]/total, fits[h.shape])
	}
	for r := range p.drop {
		if p.speed[r] > 0 {
			p.drop[r] /= p.speed[r]
		}
	}
	return p
}

func (p *posterior) take(h hypothesis, w float64, f speedFit) {
	p.variance += w * f.variance
	p.spread2 += w * f.spread2
	switch h.kind {
	case none:
		p.none += w
		return
	case slide:
		p.slide += w
		return
	case stay:
		p.stay[h.rung] += w
	case dip:
		p.dip[h.rung] += w
	}
	p.speed[h.rung] += w * step(h.speed)
	p.pattern[h.rung] += w * step(h.pattern)
	p.drop[h.rung] += w * step(h.speed) * f.drop
}
