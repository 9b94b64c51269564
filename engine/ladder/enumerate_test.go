package ladder

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The posterior by enumeration, written apart from the model: every single reading has its place in one large
// covariance (no block means, no closed form for the drop), every way to break is spelled out, elimination and the beta
// function are done by hand. Only the options are shared.

// wayToBreak is one way a ladder can break, with the part of the drop that rung r shows and the chance that its pattern is lost.
type wayToBreak struct {
	at      int // 0: none, -1: slide
	p       float64
	slow    func(r int) float64
	unheld  func(r int) float64
	anyDrop bool
}

func enumerate(l Ladder, o Options) (at []float64, none, slide float64) {
	at = make([]float64, len(l.Rungs))
	var logs []float64
	hs := spell(l, o)
	for _, h := range hs {
		logs = append(logs, math.Log(h.p)+marksByHand(l, h)+readingsByHand(l, o, h))
	}
	total := logSum(logs)
	for i, h := range hs {
		p := math.Exp(logs[i] - total)
		switch h.at {
		case 0:
			none += p
		case -1:
			slide += p
		default:
			at[h.at] += p
		}
	}
	return at, none, slide
}

func spell(l Ladder, o Options) []wayToBreak {
	never := func(int) float64 { return 0 }
	p, last := o.Prior, len(l.Rungs)-1
	line := func(r int) float64 { return float64(r) / float64(last) }
	hs := []wayToBreak{{0, p.None, never, never, false}, {-1, p.Slide, line, line, true}}
	var tested []int
	for i, r := range l.Rungs {
		if i > 0 && (len(r.Speeds) > 0 || len(r.Marks) > 0) {
			tested = append(tested, i)
		}
	}
	for i, k := range tested {
		gap := k
		if i > 0 {
			gap = k - tested[i-1]
		}
		after := 99
		if i+1 < len(tested) {
			after = tested[i+1]
		}
		from := func(k int) func(int) float64 {
			return func(r int) float64 {
				if r >= k {
					return 1
				}
				return 0
			}
		}
		halved := func(r int) float64 {
			if r == k {
				return .5
			}
			return from(k)(r)
		}
		only := func(r int) float64 {
			if r == k {
				return 1
			}
			return 0
		}
		w := p.Stay * float64(gap) / float64(last)
		hs = append(hs,
			wayToBreak{k, w * p.Both * .65, from(k), from(k), true},
			wayToBreak{k, w * p.Both * .25, halved, from(k), true},
			wayToBreak{k, w * p.Both * .10, from(after), from(k), true},
			wayToBreak{k, w * p.SpeedOnly * .75, from(k), never, true},
			wayToBreak{k, w * p.SpeedOnly * .25, halved, never, true},
			wayToBreak{k, w * p.PatternOnly, never, from(k), false})
		if i+1 < len(tested) {
			w := p.Dip / float64(last)
			hs = append(hs,
				wayToBreak{k, w * p.Both, only, only, true},
				wayToBreak{k, w * p.SpeedOnly, only, never, true},
				wayToBreak{k, w * p.PatternOnly, never, only, false})
		}
	}
	return hs
}

func marksByHand(l Ladder, h wayToBreak) float64 {
	beta := func(a, b float64) float64 {
		x, _ := math.Lgamma(a)
		y, _ := math.Lgamma(b)
		z, _ := math.Lgamma(a + b)
		return math.Exp(x + y - z)
	}
	sum := 0.0
	for r, g := range l.Rungs {
		if len(g.Marks) == 0 {
			continue
		}
		y, n := 0.0, float64(len(g.Marks))
		for _, m := range g.Marks {
			y += m
		}
		if g.OneMark {
			y, n = 2*y, 2
		}
		f := (1 + .7*(n-1)) / n
		y, n = y*f, n*f
		any := .1 * beta(y+1, n-y+1) / beta(1, 1)
		held := .9*beta(y+4.5, n-y+.75)/beta(4.5, .75) + any
		lost := .9*beta(y+1, n-y+3)/beta(1, 3) + any
		sum += math.Log((1-h.unheld(r))*held + h.unheld(r)*lost)
	}
	return sum
}

// readingsByHand integrates over the three grids for single readings.
func readingsByHand(l Ladder, o Options, h wayToBreak) float64 {
	type reading struct {
		rung       int
		v, t, e, s float64
	}
	var rs []reading
	thrown, ref := 0.0, 0.0
	for i, g := range l.Rungs {
		e := g.Share.Mid() / l.Rungs[0].Share.Mid()
		made := math.Max(float64(len(g.Speeds)), float64(len(g.Marks)))
		for _, v := range g.Speeds {
			rs = append(rs, reading{i, v, thrown + (made+1)/2, e, g.Share.Spread() / l.Rungs[0].Share.Mid()})
			if i == 0 {
				ref += v / float64(len(g.Speeds))
			}
		}
		thrown += made
	}
	usual := o.Noise.SDYouth
	if l.Trained {
		usual = o.Noise.SDTrained
	}
	drops := o.Prior.Drops
	if !h.anyDrop {
		drops = []Weighted{{0, 1}}
	}
	var logs []float64
	for _, z := range []float64{-1.8, -.9, 0, .9, 1.8} {
		sd := usual * math.Exp(.35*z)
		for _, tau := range o.Noise.Spread {
			for _, d := range drops {
				n := len(rs)
				c, x := make([][]float64, n), make([]float64, n)
				for i, a := range rs {
					c[i] = make([]float64, n)
					x[i] = a.v - a.e*ref*(1-d.Value*h.slow(a.rung))
					for j, b := range rs {
						k := 2500 + ref*ref*tau.Value*tau.Value*.004*.004*math.Min(float64(a.rung), float64(b.rung)) + .015*.015*a.t*b.t
						if a.rung == b.rung {
							k += ref * ref * tau.Value * tau.Value * a.s * a.s
						}
						c[i][j] = k * a.e * b.e
						if i == j {
							c[i][j] += sd * sd
						}
					}
				}
				logs = append(logs, -z*z/2+math.Log(tau.Weight)+math.Log(d.Weight)+logDensityByHand(c, x))
			}
		}
	}
	return logSum(logs)
}

// logDensityByHand eliminates the covariance c row by row: the pivots give the determinant, the changed x the form.
func logDensityByHand(c [][]float64, x []float64) float64 {
	out := 0.0
	for i := range x {
		out -= (math.Log(c[i][i]) + x[i]*x[i]/c[i][i]) / 2
		for j := i + 1; j < len(x); j++ {
			f := c[j][i] / c[i][i]
			x[j] -= f * x[i]
			for k := i; k < len(x); k++ {
				c[j][k] -= f * c[i][k]
			}
		}
	}
	return out
}

func logSum(xs []float64) float64 {
	top, sum := math.Inf(-1), 0.0
	for _, x := range xs {
		top = math.Max(top, x)
	}
	for _, x := range xs {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

// smallLadder draws a ladder of three to five rungs with a few readings and marks, some rungs without either.
func smallLadder(r *rand.Rand) Ladder {
	l := Ladder{Trained: r.IntN(2) == 0}
	level := 60 + 30*r.Float64()
	n := 3 + r.IntN(3)
	for i := range n {
		mid := 1 - .08*r.Float64()
		g := Rung{Throw: string(rune('a' + i)), Share: Share{mid - .02, mid + .02}}
		if i == 0 && r.IntN(2) == 0 {
			g.Share = Share{1, 1}
		}
		if i == 0 || r.IntN(4) > 0 {
			for range 1 + r.IntN(2) + 2*int(step(i == 0)) {
				g.Speeds = append(g.Speeds, level*mid*(1-.05*step(i >= n/2))+r.NormFloat64())
			}
		}
		for range r.IntN(4) {
			g.Marks = append(g.Marks, float64(r.IntN(3))/2)
		}
		g.OneMark = len(g.Marks) == 1 && r.IntN(2) == 0
		l.Rungs = append(l.Rungs, g)
	}
	return l
}

func TestPosteriorAgainstEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 40 {
		l := smallLadder(r)
		v := judge(t, l)
		at, none, slide := enumerate(l, Defaults())
		near(t, "none", v.PNone, none, 1e-9)
		near(t, "slide", v.PSlide, slide, 1e-9)
		sum := v.PNone + v.PSlide
		for k := range at {
			near(t, "break", v.PBreak[k], at[k], 1e-9)
			sum += v.PBreak[k]
		}
		near(t, "sum", sum, 1, 1e-9)
	}
}
