package triage

import (
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// gate returns the gate that decides, and which of the facts it needs are
// not known.
func (m *Model) gate(v fact.Vector) (*rule.Gate, []string) {
	g := m.base.Deciding(v)
	if g == nil {
		return nil, nil
	}
	var missing []string
	for _, name := range g.Needs {
		if slot, ok := m.base.Catalogue.Slot(name); ok && !v[slot].Known {
			missing = append(missing, name)
		}
	}
	return g, missing
}

// cautions returns the cautions that hold, in the order of the base. One whose
// condition is unknown is not said.
func (m *Model) cautions(v fact.Vector) []*rule.Caution {
	var out []*rule.Caution
	for i := range m.base.Cautions {
		if c := &m.base.Cautions[i]; c.Truth(v) == fact.Yes {
			out = append(out, c)
		}
	}
	return out
}
