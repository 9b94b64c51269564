package ladder

import (
	"rungwise/engine/stats"
)

// The verdicts on a ladder.
const (
	Stuck     = "stuck"      // it breaks at one rung
	Range     = "range"      // it breaks at one of two neighbours
	Slide     = "slide"      // it is lost slowly, at no single rung
	NoneFound = "none_found" // no break on the rungs that were tested
	NotEnough = "not_enough" // what was thrown cannot tell
	NotThrown = "not_thrown" // nothing was thrown
)

// What is missing where a verdict is NotEnough for want of throws, whatever they would show.
const (
	MissingReference = "reference"
	MissingRungs     = "rungs"
)

// Verdict is what a ladder says. Rungs are indices into Ladder.Rungs. Probabilities are as computed: whoever shows them
// rounds to 5 % and never says more than "over 95 %".
type Verdict struct {
	Kind        string
	Dip         bool    // with Stuck or Range: it returns after the rung more likely than not
	Rung        int     // with Stuck, Range: the (earlier) rung. With NotEnough the most likely one; -1 where there is none
	Next        int     // with Range: the later rung, else -1
	After       int     // the last tested rung before Rung: the break lies after After and no later than Rung; -1 without Rung
	Gap         bool    // rungs between After and Rung were not tested, so the break is only bounded
	Probability float64 // of what Kind says; with NotEnough of the likeliest answer

	PBreak               []float64 // by rung, 0 where not tested
	PNone, PDip, PSlide  float64   // no break; a break at one rung only, wherever; a slow slide
	SpeedLost            float64   // with a Rung: chance that a break there takes the speed
	PatternLost          float64   // and that it takes the pattern
	SomeUntested         bool      // so that NoneFound means no break that stays
	Missing              string    // with NotEnough: MissingReference, MissingRungs or nothing
	Rungs                []RungResult
	Advice               []Advice // more throws that would tell most, none where nothing was thrown
	AdviceNeeded         bool     // with NotEnough, Range or a Gap; else the verdict stands without them
	MoreThrowsCanSettle  bool     // false: no number of throws at these rungs will; look at the pattern on video
	ThrowsForAnotherDay  int      // throws of the advice that today's limit does not leave
	ThrowSD, SpreadTimes float64  // learned: throw-to-throw SD, and how many times the usual spread these rungs show
}

// RungResult is one rung by itself. Figures that need readings are 0 where Tested or N says that there are none.
type RungResult struct {
	Throw       string
	Tested      bool
	N           int     // readings used, of the first time it was thrown
	Mean, SD    float64 // in the unit of the readings; SD 0 for fewer than two
	Ratio       float64 // of the reference's mean; 0 where either was not measured
	Low, High   float64 // expected share of the reference, the range of 8 in 10 healthy carry-overs
	PBreak      float64
	Drop        float64 // percent of the reference beyond the middle of the expected share; negative where faster
	Marks       int
	Held        float64 // share of the marks held, partly counting half
	Misreads    []float64
	ThrowsToAdd int
}

// Judge reads a ladder. It returns an error, with every fault in it, where the ladder cannot be read at all; too little
// data is a verdict, not an error.
func Judge(l Ladder, o Options) (Verdict, error) {
	if err := l.Check(); err != nil {
		return Verdict{}, err
	}
	m := newModel(l, o)
	v := Verdict{Kind: NotThrown, Rung: -1, Next: -1, After: -1, PBreak: make([]float64, len(l.Rungs)),
		SomeUntested: len(m.tested) < len(l.Rungs), Rungs: m.results()}
	if len(m.tested) == 0 {
		return v, nil
	}
	p := m.posterior()
	v.fill(p)
	v.decide(m, p)
	v.bound(m)
	v.advise(m, p)
	return v, nil
}

func (v *Verdict) fill(p posterior) {
	v.PNone, v.PSlide = p.none, p.slide
	for r := range v.PBreak {
		v.PBreak[r] = p.at(r)
		v.Rungs[r].PBreak = p.at(r)
		v.PDip += p.dip[r]
	}
	v.ThrowSD, v.SpreadTimes = sqrt(p.variance), sqrt(p.spread2)
}

// decide gives the verdict by the thresholds, after checking that enough was thrown for any.
func (v *Verdict) decide(m *model, p posterior) {
	t := m.o.Thresholds
	best, pair, pairAt := v.likeliest(m)
	v.Missing = m.missing()
	switch {
	case v.Missing != "":
		v.Kind, v.Probability = NotEnough, v.PBreak[max(best, 0)]
	case best > 0 && v.PBreak[best] >= t.Stuck:
		v.Kind, v.Rung, v.Probability = Stuck, best, v.PBreak[best]
	case v.PNone >= t.None:
		v.Kind, v.Probability = NoneFound, v.PNone
	case pair >= t.Pair:
		v.Kind, v.Rung, v.Next, v.Probability = Range, m.tested[pairAt], m.tested[pairAt+1], pair
	case v.PSlide >= t.Slide:
		v.Kind, v.Probability = Slide, v.PSlide
	default:
		v.Kind, v.Rung = NotEnough, best
		v.Probability = max(v.PBreak[max(best, 0)], v.PNone, v.PSlide)
	}
	if v.Rung > 0 && v.PBreak[v.Rung] > 0 {
		at := v.PBreak[v.Rung]
		v.Dip = v.Kind != NotEnough && p.dip[v.Rung] > p.stay[v.Rung]
		v.SpeedLost, v.PatternLost = p.speed[v.Rung]/at, p.pattern[v.Rung]/at
	}
}

// likeliest returns the likeliest rung (-1 for none) and the likeliest pair of neighbours among the tested rungs, told
// by its chance and the place of its first in m.tested.
func (v *Verdict) likeliest(m *model) (best int, pair float64, pairAt int) {
	best = -1
	for i, r := range m.tested {
		if r == 0 {
			continue
		}
		if best < 0 || v.PBreak[r] > v.PBreak[best] {
			best = r
		}
		if i+1 < len(m.tested) && v.PBreak[r]+v.PBreak[m.tested[i+1]] > pair {
			pair, pairAt = v.PBreak[r]+v.PBreak[m.tested[i+1]], i
		}
	}
	return best, pair, pairAt
}

// missing says what there is too little of for any verdict: readings of the reference (marks, where the whole ladder was
// thrown without a radar gun), or tested rungs.
func (m *model) missing() string {
	n := 0
	if len(m.blocks) == 0 {
		n = len(m.l.Rungs[0].Marks)
		if m.l.Rungs[0].OneMark {
			n = m.o.Thresholds.Reference // one mark stands for all its throws
		}
	}
	for _, b := range m.blocks {
		if b.rung == 0 {
			n += len(b.kept)
		}
	}
	switch {
	case n < m.o.Thresholds.Reference:
		return MissingReference
	case len(m.tested) < m.o.Thresholds.Tested:
		return MissingRungs
	}
	return ""
}

// bound finds the last tested rung before the break.
func (v *Verdict) bound(m *model) {
	if v.Rung < 0 {
		return
	}
	v.After = 0
	for _, r := range m.tested {
		if r < v.Rung {
			v.After = r
		}
	}
	v.Gap = v.After < v.Rung-1
}

// results describes every rung by itself.
func (m *model) results() []RungResult {
	out := make([]RungResult, len(m.l.Rungs))
	for i, r := range m.l.Rungs {
		mid, half := m.l.expected(i)
		out[i] = RungResult{Throw: r.Throw, Low: mid - half, High: mid + half, Misreads: m.misreads[i], Marks: len(r.Marks)}
		if len(r.Marks) > 0 {
			out[i].Held = stats.Mean(r.Marks)
		}
	}
	for _, r := range m.tested {
		out[r].Tested = true
	}
	measured := m.referenceMeasured()
	for _, b := range m.blocks {
		if res := &out[b.rung]; res.N == 0 {
			m.measure(res, b, measured)
		}
	}
	return out
}

func (m *model) referenceMeasured() bool {
	for _, b := range m.blocks {
		if b.rung == 0 {
			return true
		}
	}
	return false
}

func (m *model) measure(res *RungResult, b block, measured bool) {
	res.N, res.Mean = len(b.kept), stats.Mean(b.kept)
	if res.N > 1 {
		res.SD = stats.SD(b.kept)
	}
	if measured {
		res.Ratio = res.Mean / m.reference
		res.Drop = 100 * (b.share - res.Ratio)
	}
}

// Almost says whether the athlete almost has it at the stuck rung (the earlier one of a range), so that a trial of
// interleaved throws is worth it: the pattern held in 40-80 % of its throws, or the speed there was lost by no more than
// 3 % of the reference. known is false without a stuck rung, or with nothing seen on it that could tell.
// Source: house default.
func (v Verdict) Almost() (almost, known bool) {
	if v.Kind != Stuck && v.Kind != Range {
		return false, false
	}
	r := v.Rungs[v.Rung]
	part := r.Marks > 0 && r.Held >= .40 && r.Held <= .80
	little := r.Ratio > 0 && r.Drop <= 3
	return part || little, r.Marks > 0 || r.Ratio > 0
}
