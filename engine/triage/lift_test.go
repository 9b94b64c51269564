package triage

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/fact"
)

// What is told does bring the factor to the front, and no one or two open answers
// drawn at random bring one there that was not told, or with fewer than were told.
func TestLifts(t *testing.T) {
	m := model(t)
	rng := rand.New(rand.NewPCG(20261128, 1))
	told := 0
	for _, k := range m.base.Cases {
		if !strings.HasPrefix(k.ID, "mound_") || told > size(4, 1000) {
			continue
		}
		c := m.Given(m.base.GoingOn(k.Given))
		lifts := m.Lifts(c)
		for id, answers := range lifts {
			told++
			slots, values := make([]int, len(answers)), make([]fact.Value, len(answers))
			for i, a := range answers {
				slots[i], _ = m.base.Catalogue.Slot(a.Fact)
				v, err := m.base.Catalogue.At(slots[i]).Parse(a.Value)
				if err != nil {
					t.Fatal(err)
				}
				values[i] = v
			}
			if got := m.frontWith(c, slots, values); got != id {
				t.Errorf("%s was to come first with %v, it is %s", id, answers, got)
			}
		}
		now := m.frontWith(c, nil, nil)
		open := m.openSlots(c)
		for range size(300, 5000) {
			slots := []int{open[rng.IntN(len(open))], open[rng.IntN(len(open))]}[:1+rng.IntN(2)]
			values := make([]fact.Value, len(slots))
			for i, slot := range slots {
				values[i] = m.any(rng, slot)
			}
			got := m.frontWith(c, slots, values)
			if answers := lifts[got]; got != now && got != "" && (len(answers) == 0 || len(answers) > len(slots)) {
				t.Errorf("%s comes first with %v of %v, told was %v", got, values, m.named(slots), answers)
			}
		}
	}
	if told < 5 {
		t.Errorf("only %d were told", told)
	}
}

// frontWith is the first factor of a case with some answers given, "" where a
// gate then refuses.
func (m *Model) frontWith(c Case, slots []int, values []fact.Value) string {
	c.Vector = slices.Clone(c.Vector)
	for i, slot := range slots {
		m.give(&c, given{slot, values[i]})
	}
	if refuses(m.base.Deciding(c.Vector)) {
		return ""
	}
	s := m.network.NewSolver()
	s.Set(m.Evidence(c))
	return m.base.Factors[m.first(s.Roots(nil))].ID
}

func (m *Model) openSlots(c Case) []int {
	var out []int
	for slot, v := range c.Vector {
		f := m.base.Catalogue.At(slot)
		column := f.Column == fact.Best || f.Column == fact.Stuck
		if !v.Known && (column || m.asked(f.Name)) {
			out = append(out, slot)
		}
	}
	return out
}

func (m *Model) any(rng *rand.Rand, slot int) fact.Value {
	f := m.base.Catalogue.At(slot)
	switch f.Kind {
	case fact.YesNo:
		return fact.Bool(rng.IntN(2) == 0)
	case fact.Choice:
		return fact.Num(float64(rng.IntN(len(f.Answers))))
	}
	return fact.Num(f.Low + (f.High-f.Low)*rng.Float64())
}

func (m *Model) named(slots []int) []string {
	var out []string
	for _, s := range slots {
		out = append(out, m.base.Catalogue.At(s).Name)
	}
	return out
}
