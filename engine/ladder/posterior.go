package ladder

import (
	"math"
	"slices"

	"rungwise/engine/stats"
)

// speedFit is how well one shape of lost speed explains the readings: the log likelihood, and what it makes of the size
// of the drop (a fraction of the reference), of the throw-to-throw variance and of the squared multiple of the spread.
type speedFit struct{ log, drop, variance, spread2 float64 }

// point is one pair of throw-to-throw SD and multiple of the healthy spread.
type point struct{ variance, spread2 float64 }

// grid collects log likelihoods: for each shape those of all its drops at the first point, then at the second, and so on.
type grid struct {
	points []point
	drops  []Weighted
	logs   [][]float64
}

// fitSpeeds returns the fit of every shape, in closed form for each point of the grid: a drop moves the readings along
// the shape, so only two products for each shape are needed whatever the number of drops. It returns zeros where there
// is no reading to compare.
func (m *model) fitSpeeds() []speedFit {
	fits := make([]speedFit, len(m.shapes))
	if len(m.blocks) == 0 {
		return fits
	}
	x, df, ss := m.equivalents()
	directions := append([][]float64{x}, m.shapes...)
	g := m.emptyGrid()
	cov := make([]float64, len(x)*len(x))
	for _, sd := range m.sdGrid() {
		within := math.Log(sd.Weight) - df*math.Log(sd.Value) - ss/(2*sd.Value*sd.Value)
		for _, spread := range m.o.Noise.Spread {
			m.covariance(cov, sd.Value, spread.Value)
			gauss, ok := stats.NewGaussian(cov, len(x))
			if !ok {
				continue
			}
			g.points = append(g.points, point{sd.Value * sd.Value, spread.Value * spread.Value})
			base := within + math.Log(spread.Weight) - gauss.LogDet()/2
			g.add(base, m.reference, gauss.Products(x, directions))
		}
	}
	for i := range fits {
		fits[i] = g.fit(i)
	}
	return fits
}

func (m *model) emptyGrid() *grid {
	g := &grid{drops: m.o.Prior.Drops, logs: make([][]float64, len(m.shapes))}
	for i := range g.logs {
		g.logs[i] = make([]float64, 0, len(m.sdGrid())*len(m.o.Noise.Spread)*len(g.drops))
	}
	return g
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

// add notes one point: products are those of the readings themselves and then of every shape, the first of which has no
// drop.
func (g *grid) add(base, reference float64, products []stats.Product) {
	xx := products[0].UU
	g.logs[0] = append(g.logs[0], base-xx/2)
	for i, p := range products[2:] {
		for _, d := range g.drops {
			a := d.Value * reference
			q := xx + 2*a*p.XU + a*a*p.UU
			g.logs[i+1] = append(g.logs[i+1], base+math.Log(d.Weight)-q/2)
		}
	}
}

// fit adds up the likelihoods of one shape and takes the means over them; without a point the readings say nothing.
func (g *grid) fit(shape int) speedFit {
	logs := g.logs[shape]
	if len(logs) == 0 {
		return speedFit{}
	}
	top := slices.Max(logs)
	each := len(logs) / len(g.points)
	var total float64
	var f speedFit
	for i, l := range logs {
		w := math.Exp(l - top)
		total += w
		if shape > 0 {
			f.drop += w * g.drops[i%each].Value
		}
		f.variance += w * g.points[i/each].variance
		f.spread2 += w * g.points[i/each].spread2
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
