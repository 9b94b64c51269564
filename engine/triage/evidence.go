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

// Decide returns the gate that decides a case and the cautions that go with it,
// and ranks where the gate goes on. It leaves out the reasons, what is shaky and
// what to look at next, which take most of a run's time.
func (m *Model) Decide(c Case) *Result {
	r := &Result{}
	r.Gate, r.Missing = m.gate(c.Vector)
	r.Cautions = m.cautions(c.Vector)
	if !refuses(r.Gate) {
		m.rank(m.evidence(c), r)
	}
	return r
}
