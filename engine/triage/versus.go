package triage

import (
	"math"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/rule"
)

// What moves one factor before another.
const (
	BySign   = "sign"   // an answered sign
	ByBreak  = "break"  // where the pattern is lost
	ByCommon = "common" // how common the two are
)

// Part is one thing that puts a factor before another, or holds it back. Weight
// is what it adds to the log odds of the first over the second.
type Part struct {
	By     string
	Sign   *rule.Sign // of BySign
	Weight float64
}

// Strength tells the weight in a word.
func (p Part) Strength() string { return Reason{Weight: p.Weight}.Strength() }

// Versus tells what puts factor a before factor b in a case, the weightiest
// first. It counts what a sign of one does to the other too, since a factor
// upstream explains one downstream away. Parts that weigh next to nothing are
// left out.
func (m *Model) Versus(c Case, a, b *rule.Factor) []Part {
	i, j := m.index(a), m.index(b)
	if i < 0 || j < 0 {
		return nil
	}
	e := m.Evidence(c)
	s := m.network.NewSolver()
	s.Set(e)
	var parts []Part
	add := func(p Part) {
		if math.Abs(p.Weight) >= leastWeight {
			parts = append(parts, p)
		}
	}
	var gains []float64
	for k := range m.base.Signs {
		if e.Signs[k] == cause.Unknown {
			continue
		}
		gains = s.Contribution(k, gains)
		add(Part{By: BySign, Sign: &m.base.Signs[k], Weight: gains[i] - gains[j]})
	}
	gains = s.BreakContribution(gains)
	add(Part{By: ByBreak, Weight: gains[i] - gains[j]})
	add(Part{By: ByCommon, Weight: odds(a.Prior) - odds(b.Prior)})
	title := func(p Part) string {
		if p.Sign != nil {
			return p.Sign.Title
		}
		return p.By
	}
	return heaviest(parts, func(p Part) float64 { return math.Abs(p.Weight) }, title)
}

func (m *Model) index(f *rule.Factor) int {
	return slices.IndexFunc(m.base.Factors, func(x rule.Factor) bool { return x.ID == f.ID })
}

func odds(p float64) float64 { return math.Log(p / (1 - p)) }
