package triage

// Brief triages a case without reasons, without what is shaky and without the
// next look: what a list of many athletes needs, at a fraction of the time. Gate,
// cautions and the order of the factors are those of Run.
func (m *Model) Brief(c Case) *Result {
	r := &Result{}
	r.Gate, r.Missing = m.gate(c.Vector)
	r.OnScreen = r.Gate != nil && r.Gate.Reads(m.base.Catalogue, "screen.")
	r.Cautions = m.cautions(c.Vector)
	if !refuses(r.Gate) {
		m.rank(m.evidence(c), r)
	}
	return r
}
