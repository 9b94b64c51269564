package triage

import "rungwise/engine/cause"

// Evidence returns what each sign of the base says of a case, in the order of
// the signs.
func (m *Model) Evidence(c Case) cause.Evidence { return m.evidence(c) }

// RankEvidence ranks the factors from what the signs say, wherever that came
// from. The result holds factors without reasons and nothing else.
func (m *Model) RankEvidence(e cause.Evidence) *Result {
	r := &Result{}
	m.rank(e, r)
	return r
}
