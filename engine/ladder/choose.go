package ladder

import (
	"slices"

	"rungwise/engine/stats"
)

// Candidate is one drill that might become an athlete's reference.
type Candidate struct {
	Throw    string
	Share    Share
	Speeds   []float64 // of one day, the same day and gun for all candidates
	Better   Answer    // are its positions better than the mound's?
	Learning bool      // within the first four weeks on the drill
	Worked   Answer    // did it gain beyond noise over some weeks?
}

// Answer is yes, no, or not known.
type Answer int

// The three answers. Unknown is the zero value: it is never taken for a no.
const (
	Unknown Answer = iota
	Yes
	No
)

// Why a candidate stands where it does, in the order in which Choose gives them.
const (
	ReasonFewThrows       = "few_throws"       // under three readings: speed says nothing
	ReasonPositionsWorse  = "positions_worse"  // no better positions than the mound: not a reference
	ReasonPositionsUnseen = "positions_unseen" // film it first
	ReasonNeverWorked     = "never_worked"
	ReasonLearning        = "learning" // the gain may be learning
	ReasonBest            = "best"     // fastest for what the drill lets one expect
	ReasonSlower          = "slower"   // behind the best by more than can be chance
	ReasonTooClose        = "too_close"
)

// Ranked is a candidate in its place, with the percent by which it is behind the best for what its drill lets one expect
// (0 where that cannot be told), an interval of 95 % for it, and why.
type Ranked struct {
	Throw    string
	Behind   float64
	Interval stats.Interval
	Fit      bool // may serve as a reference now
	Reasons  []string
}

// Choose orders candidates: those that may serve first, then by speed against what each drill lets one expect, in the
// given order where that is equal. found is false where none may serve yet. A drill may serve with three readings,
// better positions than the mound, a gain that was not refuted, and after its first weeks. A pattern is chosen for its
// positions: speed only orders what passes.
func Choose(cs []Candidate, o Options, trained bool) (ranked []Ranked, found bool) {
	sd := o.withinSD(Ladder{Trained: trained})
	type scored struct {
		Ranked
		level, variance float64
	}
	var all []scored
	for _, c := range cs {
		s := scored{Ranked: Ranked{Throw: c.Throw, Reasons: c.objections()}}
		s.Fit = len(s.Reasons) == 0
		if len(c.Speeds) > 0 && c.Share.Check() == nil {
			mid := c.Share.Mid()
			s.level = stats.Mean(c.Speeds) / mid
			own := c.Share.Spread() / mid * s.level
			s.variance = own*own + sd*sd/(mid*mid*float64(len(c.Speeds)))
		}
		all = append(all, s)
	}
	slices.SortStableFunc(all, func(a, b scored) int {
		if a.Fit != b.Fit {
			return int(step(b.Fit) - step(a.Fit))
		}
		return sign3(b.level - a.level)
	})
	for i, s := range all {
		if best := all[0]; i > 0 && best.Fit && best.level > 0 && s.level > 0 {
			s.Behind = 100 * (1 - s.level/best.level)
			half := 196 * sqrt(s.variance+best.variance) / best.level
			s.Interval = stats.Interval{Low: s.Behind - half, High: s.Behind + half}
			if s.Interval.Low > 0 {
				s.Reasons = append(s.Reasons, ReasonSlower)
			} else {
				s.Reasons = append(s.Reasons, ReasonTooClose)
			}
		} else if s.Fit {
			s.Reasons = append(s.Reasons, ReasonBest)
		}
		ranked = append(ranked, s.Ranked)
	}
	return ranked, len(all) > 0 && all[0].Fit
}

// objections lists what keeps a drill from serving as a reference now.
func (c Candidate) objections() []string {
	var out []string
	for _, x := range []struct {
		holds  bool
		reason string
	}{
		{len(c.Speeds) < 3, ReasonFewThrows}, {c.Better == No, ReasonPositionsWorse}, {c.Better == Unknown, ReasonPositionsUnseen},
		{c.Worked == No, ReasonNeverWorked}, {c.Learning, ReasonLearning},
	} {
		if x.holds {
			out = append(out, x.reason)
		}
	}
	return out
}

func sign3(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
