package plan

import (
	"slices"

	"rungwise/engine/workload"
)

// Breaches judges days of ours as if they were planned from an input: with what was thrown before its start, the games
// of it and ahead, and the limits of its rules. It fails where those allow no plan at all. It believes nothing that a
// plan says of itself.
func Breaches(in Input, ours []workload.Day) ([]workload.Breach, error) {
	m := &maker{Input: in}
	if v, ok := m.value("athlete.age"); ok {
		m.age, m.ageKnown = int(v.N), true
	}
	row, err := in.Base.Workload.For(m.age, m.ageKnown)
	if err != nil {
		return nil, err
	}
	m.row = row
	m.calendar()
	days := slices.Clone(ours)
	for _, g := range in.Facts.Load.Games {
		known := slices.ContainsFunc(m.history, func(d workload.Day) bool { return d.On == g.On && d.Game > 0 })
		if g.On >= m.start && g.On <= m.end() && !known {
			days = append(days, g)
		}
	}
	return m.ledgerOf(days).All(), nil
}
