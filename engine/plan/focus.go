package plan

import (
	"slices"

	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/engine/workload"
)

// The factors that a plan treats in another way than by drills on flat ground, by their names in the rules.
const (
	physicalLimit  = "physical_limit"
	referenceFaded = "reference_faded"
	fewSlopeThrows = "few_slope_throws"
	slopeTiming    = "slope_timing"
	learning       = "learning" // the caution of a gate that puts a drill on trial
	surface        = "surface"  // the demand that the slope adds
)

// How near a second factor must come to be worked on beside the first: as a share of the first's chance, and by
// itself (house default).
const (
	secondShare = 0.5
	secondLeast = 0.25
)

// An aim is a factor that the plan works on, with the drills that fit the athlete, easiest to feel first.
type aim struct {
	factor  *rule.Factor
	drills  []*rule.Drill
	onSlope bool
}

// leading is the first factor that is no consequence of another.
func leading(t *triage.Result) *rule.Factor {
	for _, f := range t.Factors {
		if f.Role != triage.Consequence {
			return f.Factor
		}
	}
	return nil
}

// candidates are the factors in order without consequences. Where nothing else is listed, the head that the first
// consequence follows from stands for it.
func candidates(t *triage.Result) []triage.Ranked {
	var out []triage.Ranked
	for _, f := range t.Factors {
		if f.Role != triage.Consequence {
			out = append(out, f)
		}
	}
	if len(out) == 0 && len(t.Factors) > 0 && t.Factors[0].Of != nil {
		head := t.Factors[0]
		out = append(out, triage.Ranked{Factor: head.Of, Root: head.Present, Role: triage.Possible})
	}
	return out
}

// chooseFocus takes one or two factors that drills can reach. What nothing explains well gets no drill: a guess would
// cost weeks.
func (m *maker) chooseFocus() {
	first := 0.0
	if m.Triage.Explains {
		for _, c := range candidates(m.Triage) {
			if len(m.focus) == 2 || len(m.focus) == 1 && (c.Root < secondShare*first || c.Root < secondLeast) {
				break
			}
			if a, ok := m.reach(c); ok {
				if len(m.focus) == 0 {
					first = c.Root
				}
				m.focus = append(m.focus, a)
			}
		}
	}
	if len(m.focus) == 0 {
		m.note("note_no_focus")
	}
}

// reach finds the drills of a factor, or notes why there are none.
func (m *maker) reach(c triage.Ranked) (aim, bool) {
	if c.Factor.ID == physicalLimit {
		m.note("first_refer", "factor", c.Factor.Title)
		return aim{}, false
	}
	a := aim{factor: c.Factor, onSlope: m.slopeBreaks() || c.Factor.ID == slopeTiming || c.Factor.ID == fewSlopeThrows}
	screened := false
	for _, d := range m.Base.DrillsFor(c.Factor.ID) {
		switch {
		case m.screenFailed(d):
			screened = true
			m.note("note_screened", "drill", d.Title)
		case d.Weighted && !m.row.Weighted(), d.MinAge > 0 && (!m.ageKnown || m.age < d.MinAge):
			m.note("note_weighted", "drill", d.Title)
		case m.efforts.weights.Class(d.Effort) == workload.High:
			m.note("note_too_hard", "drill", d.Title)
		default:
			a.drills = append(a.drills, d)
		}
	}
	switch {
	case len(a.drills) == 0 && screened:
		m.note("note_no_drills_screened", "factor", c.Factor.Title)
	case len(a.drills) == 0:
		m.note("note_no_drills", "factor", c.Factor.Title)
	}
	return a, len(a.drills) > 0
}

// screenFailed reports whether a drill loads a part of the body whose screen was
// failed.
func (m *maker) screenFailed(d *rule.Drill) bool {
	return slices.ContainsFunc(d.Loads, func(part string) bool {
		slot, ok := m.Base.Catalogue.Slot("screen." + part + "_screen")
		v := m.Facts.Vector
		return ok && slot < len(v) && v[slot].Known && m.Base.Catalogue.At(slot).Format(v[slot]) == "failed"
	})
}

// slopeBreaks reports whether it is the slope, and nothing beside it, at which the pattern goes.
func (m *maker) slopeBreaks() bool {
	lost := m.Facts.Ladder.Lost
	return len(lost) == 1 && lost[0] == surface
}

// onSlope reports whether the drills go on the slope.
func (m *maker) onSlope() bool {
	return slices.ContainsFunc(m.focus, func(a aim) bool { return a.onSlope })
}

// window is how far the drills of the n-th focus have come in a week (from 0): up to which of them. The first focus
// begins with its two easiest, the first of which is mostly a move without a ball; the second begins with one. No week
// goes further than one drill.
func (m *maker) window(n, week int) int {
	last := len(m.focus[n].drills) - 1
	from := 0
	if n == 0 {
		from = min(1, last)
	}
	if m.Weeks < 2 {
		return from
	}
	return from + min(week, week*(last-from)/(m.Weeks-1))
}

// focusWords writes the focus for the record.
func (m *maker) focusWords() []report.Focus {
	out := []report.Focus{}
	for _, a := range m.focus {
		out = append(out, report.Focus{Factor: a.factor.ID, Title: a.factor.Title, InWords: tidy(a.factor.InWords), Why: tidy(a.factor.Why), OnSlope: a.onSlope})
	}
	return out
}
