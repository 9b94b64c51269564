package plan

import (
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/engine/workload"
)

// An Input is what a plan is made from. Base, Facts, Triage and Case must be there and belong together; On stands for
// today.
type Input struct {
	Base   *rule.Base
	Facts  *observe.Facts
	Triage *triage.Result
	Case   *casefile.Case
	On     time.Time
	Start  time.Time      // zero: the next training day after On
	Weeks  int            // 1 to 8; zero: 3
	Train  []time.Weekday // none: the case's, else Monday, Tuesday, Thursday and Saturday
	Mound  []time.Weekday // none: the case's, else Tuesday and Saturday
	Phase  Phase          // empty: by the case's season
}

// The weeks that one written plan covers (house default).
const (
	usualWeeks   = 3
	longestWeeks = 8
)

// A course is what kind of plan a case gets.
type course int

const (
	none     course = iota
	carry           // drills for what holds the pattern back, and ladder work
	restored        // the reference drill alone, until it is back
	trial           // the reference drill alone, until its worth is known
)

// Make writes the plan for a triaged case, or says in plain words why there is none. Where the gate refers, or a safety
// question is open, there is none, and the reason names no throw. The same input gives the same plan.
func Make(in Input) (p *report.Plan, refused string) {
	kind, refused := courseOf(in)
	if kind == none {
		return nil, refused
	}
	m, refused := newMaker(in, kind)
	if refused != "" {
		return nil, refused
	}
	return m.plan()
}

// courseOf reads the gate. Only a gate that says so opens a plan.
func courseOf(in Input) (course, string) {
	g := in.Triage.Gate
	if g == nil {
		return none, "the rules do not say that this is a question for a throwing plan"
	}
	switch {
	case g.Verdict == rule.Restore:
		return restored, ""
	case g.Verdict == rule.NotThisQuestion && g.Caution == learning:
		return trial, ""
	case g.Verdict == rule.GoOn:
		if first := leading(in.Triage); first != nil && first.ID == referenceFaded {
			return restored, ""
		}
		return carry, ""
	}
	return none, tidy(g.Says + " " + g.Do)
}

// maker writes one plan. Its sessions follow from days alone, so that a day made smaller is simply written again.
type maker struct {
	Input
	kind      course
	row       workload.Row
	age       int
	ageKnown  bool
	start     workload.Date
	train     []time.Weekday
	mound     []time.Weekday
	history   []workload.Day
	assumed   []string
	efforts   efforts
	reference *rule.Throw
	below     *rule.Throw // the rung below the stuck one; nil without ladder work
	stuck     *rule.Throw
	focus     []aim
	notes     []string
	floor     float64 // mph, 0 = not known
	result    Result
	written   []report.Session
	used      used
}

// used gathers what the sessions name, in the order in which they name it.
type used struct {
	drills []work
	throws []string
}

func newMaker(in Input, kind course) (*maker, string) {
	m := &maker{Input: in, kind: kind}
	if m.Weeks == 0 {
		m.Weeks = usualWeeks
	}
	if m.Weeks < 1 || m.Weeks > longestWeeks {
		return nil, "a plan covers 1 to 8 weeks"
	}
	if v, ok := m.value("athlete.age"); ok {
		m.age, m.ageKnown = int(v.N), true
	}
	row, err := in.Base.Workload.For(m.age, m.ageKnown)
	if err != nil {
		return nil, err.Error()
	}
	m.row, m.efforts = row, effortsOf(row.Weights)
	reference, ok := in.Base.Throw(in.Case.Reference.Throw)
	if !ok {
		return nil, "the case names no reference drill, and a plan is built on one"
	}
	m.reference = reference
	if kind == carry && !m.rungs() {
		return nil, "it is not known yet between which throws the pattern is lost"
	}
	m.floor = m.floorSpeed()
	m.calendar()
	if kind == carry {
		m.chooseFocus()
	}
	return m, ""
}

// rungs finds the stuck rung and the one below it. A slide has neither: its ladder work begins at the first rung.
func (m *maker) rungs() bool {
	l := m.Facts.Ladder
	if len(l.Rungs) < 2 {
		return false
	}
	below, stuck := 0, 1
	if v := l.Verdict; v.Rung > 0 && v.Rung < len(l.Rungs) {
		below, stuck = max(v.After, 0), v.Rung
	}
	m.below, m.stuck = &l.Rungs[below].Throw, &l.Rungs[stuck].Throw
	return true
}

// floorSpeed is the speed under which the reference counts as fading, in mph; 0
// where there is none. A drill on trial has none yet.
func (m *maker) floorSpeed() float64 {
	if m.kind == trial {
		return 0
	}
	return tenth(m.Facts.Floor.Speed)
}

// value is a fact's value, and whether it is known.
func (m *maker) value(name string) (fact.Value, bool) {
	slot, ok := m.Base.Catalogue.Slot(name)
	if !ok || slot >= len(m.Facts.Vector) || !m.Facts.Vector[slot].Known {
		return fact.Value{}, false
	}
	return m.Facts.Vector[slot], true
}

// yes reports whether a yes/no fact is known to hold.
func (m *maker) yes(name string) bool {
	v, ok := m.value(name)
	return ok && v.N == fact.Bool(true).N
}

// plan schedules, writes the sessions and gathers what they come to.
func (m *maker) plan() (*report.Plan, string) {
	m.result = Schedule(m.request())
	if len(m.result.Refused) > 0 {
		return nil, m.refusal()
	}
	m.settle()
	p := &report.Plan{Start: m.start.String(), Weeks: m.Weeks, Stage: m.stage(), Retest: m.retest().String(),
		Sessions: m.written, Changes: []string{}, Focus: m.focusWords(), Stop: m.stopRules()}
	m.sums(p)
	if m.floor > 0 {
		p.Floor = &report.Floor{Throw: m.reference.ID, Title: m.reference.Title, Speed: m.floor, Unit: speedUnit,
			Under: m.Facts.Moving.FloorBreaches, Of: m.Facts.Moving.FloorLast}
	}
	p.Drills, p.Throws, p.BuiltOn = m.cards(), m.throwCards(), m.builtOn()
	p.ExitTest, p.Film = m.exitTests(), m.film()
	p.Notes = m.allNotes()
	return p, ""
}

func (m *maker) refusal() string {
	var words []string
	for _, r := range m.result.Refused {
		words = append(words, r.Words)
	}
	return strings.Join(words, "; ")
}

func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

func tenth(v float64) float64 { return float64(int64(v*10+.5)) / 10 }
