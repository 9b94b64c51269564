package ladder

import (
	"cmp"
	"math"
	"slices"
)

// Advice is a number of throws to add at one rung.
type Advice struct{ Rung, Throws int }

// Throws of one piece of advice: three at each end of the rungs that tell two answers apart, six where it is one rung.
// Source: house default; in simulation as good as a full search for the most telling throws.
const (
	throwsEach = 3
	throwsOne  = 6
)

func sqrt(x float64) float64 { return math.Sqrt(math.Max(0, x)) }

// advise says which throws would tell most, as far as today's limit leaves them.
func (v *Verdict) advise(m *model, p posterior) {
	v.AdviceNeeded = v.Kind == NotEnough || v.Kind == Range || v.Gap
	v.MoreThrowsCanSettle = true
	var wish []Advice
	switch {
	case v.Missing == MissingReference:
		wish = []Advice{{0, max(m.o.Thresholds.Reference, firstReference) - v.Rungs[0].N}}
	case v.Missing == MissingRungs:
		if next, _ := v.split(m.tested); next > 0 {
			wish = []Advice{{next, throwsEach}}
		}
	case v.Gap && v.Kind != NotEnough:
		wish = []Advice{{(v.After + v.Rung) / 2, throwsEach}}
	default:
		a, b := v.rivals(m)
		wish = apart(a, b)
		v.MoreThrowsCanSettle = m.canSettle(v, p, a, b, wish)
	}
	v.grant(wish, m.o.ThrowsLeft)
}

// rivals returns the two likeliest answers, the earlier one first. No break counts as one after the last tested rung.
func (v *Verdict) rivals(m *model) (a, b int) {
	type answer struct {
		rung int
		p    float64
	}
	answers := []answer{{m.tested[len(m.tested)-1] + 1, v.PNone}}
	for _, r := range m.tested {
		if r > 0 {
			answers = append(answers, answer{r, v.PBreak[r]})
		}
	}
	slices.SortStableFunc(answers, func(x, y answer) int { return cmp.Compare(y.p, x.p) })
	a, b = answers[0].rung, answers[1].rung
	return min(a, b), max(a, b)
}

// apart asks for throws at the rungs that tell a break at a from one at b: those from a up to before b, of which the
// first and the last are named.
func apart(a, b int) []Advice {
	if b-1 == a {
		return []Advice{{a, throwsOne}}
	}
	return []Advice{{a, throwsEach}, {b - 1, throwsEach}}
}

// canSettle says whether any number of throws at these rungs would carry what the leading one of the answers a and b
// still needs to reach its threshold. One
// rung with n readings carries D²/2(s²+σ²/n) nats: its healthy spread s stays however often it is thrown, so only what
// lies between n and no end of throws can still be gained. Without readings there is nothing to compute from.
func (m *model) canSettle(v *Verdict, p posterior, a, b int, at []Advice) bool {
	if len(m.blocks) == 0 || p.drop[a] == 0 {
		return true
	}
	lead, target := v.PBreak[a], m.o.Thresholds.Stuck
	if b < len(v.PBreak) && v.Rungs[b].Tested {
		lead = math.Max(lead, v.PBreak[b])
	} else if v.PNone > lead {
		lead, target = v.PNone, m.o.Thresholds.None
	}
	needed := math.Log(target/(1-target)) - math.Log(lead/(1-lead))
	gain := 0.0
	for _, w := range at {
		spread := m.l.Rungs[w.Rung].Share.Spread() / m.l.Rungs[0].Share.Mid() * v.SpreadTimes
		d, sd := p.drop[a], v.ThrowSD/m.reference
		gain += information(d, spread, sd, math.Inf(1)) - information(d, spread, sd, float64(v.Rungs[w.Rung].N))
	}
	return gain >= needed
}

// information is what n readings of one rung say about whether a drop d is there, in nats. All three sizes are fractions
// of the reference; n may be infinite.
func information(d, spread, sd, n float64) float64 {
	if n == 0 {
		return 0
	}
	return d * d / (2 * (spread*spread + sd*sd/n))
}

// grant keeps of the wish what today's limit leaves, shared evenly, and notes the rest for another day. A single throw
// at a rung tells too little to be worth it.
func (v *Verdict) grant(wish []Advice, left int) {
	total := 0
	for _, w := range wish {
		total += max(0, w.Throws)
	}
	if left >= 0 && left < total {
		if len(wish) > 1 && left/len(wish) < 2 {
			wish = wish[:1]
		}
		for i := range wish {
			wish[i].Throws = min(wish[i].Throws, left/len(wish))
		}
	}
	given := 0
	for _, w := range wish {
		if w.Throws > 1 || left < 0 && w.Throws > 0 {
			v.Advice = append(v.Advice, w)
			v.Rungs[w.Rung].ThrowsToAdd += w.Throws
			given += w.Throws
		}
	}
	v.ThrowsForAnotherDay = total - given
}
