package ruletest

import (
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// hybrid is the old base with one change of the new one. Conditions of the two
// may number the facts differently, so what a sign says is taken from the side
// that the sign came from.
type hybrid struct {
	model *triage.Model
	signs []origin
}

// origin is the sign's place in the base it came from.
type origin struct {
	newer bool
	index int
}

// mix makes the hybrid of a step, or nil for a step that moves no factor by
// itself.
func mix(older, newer *rule.Base, s Step) *hybrid {
	h := &hybrid{}
	base := *older
	base.Signs, base.Factors = nil, slices.Clone(older.Factors)
	take := func(i int, fromNew bool) {
		from := older
		if fromNew {
			from = newer
		}
		base.Signs = append(base.Signs, from.Signs[i])
		h.signs = append(h.signs, origin{fromNew, i})
	}
	for i, sign := range older.Signs {
		j := slices.IndexFunc(newer.Signs, func(n rule.Sign) bool { return n.ID == sign.ID })
		ours := s.Concern == rule.Signs && s.ID == sign.ID || s.Concern == rule.LimitsKey && s.reads(sign.ID)
		switch {
		case !ours:
			take(i, false)
		case j >= 0:
			take(j, true)
		}
	}
	switch s.Concern {
	case rule.Signs:
		if s.What == "added" {
			take(slices.IndexFunc(newer.Signs, func(n rule.Sign) bool { return n.ID == s.ID }), true)
		}
	case rule.Factors:
		base.Factors = withFactor(base.Factors, newer.Factors, s.ID)
	case rule.LimitsKey:
	default:
		return nil
	}
	model, err := triage.New(&base)
	if err != nil { // the change stands only together with another
		return nil
	}
	h.model = model
	return h
}

// withFactor puts one factor of the newer list into the older one, in its place
// where it is there, else behind it; a factor the newer list lacks goes.
func withFactor(older, newer []rule.Factor, id string) []rule.Factor {
	is := func(f rule.Factor) bool { return f.ID == id }
	i, j := slices.IndexFunc(older, is), slices.IndexFunc(newer, is)
	switch {
	case j < 0:
		return slices.Delete(older, i, i+1)
	case i < 0:
		return append(older, newer[j])
	}
	older[i] = newer[j]
	return older
}

// order ranks a case with what the signs of either side say of it.
func (h *hybrid) order(older, newer cause.Evidence) []Factor {
	e := cause.Evidence{Signs: make([]cause.Outcome, len(h.signs)), Break: older.Break}
	for i, o := range h.signs {
		from := older
		if o.newer {
			from = newer
		}
		e.Signs[i] = from.Signs[o.index]
	}
	return ranked(h.model.RankEvidence(e))
}
