package plan

import (
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
	"rungwise/engine/workload"
)

// words fills a sentence of the rules' wording; the pairs are the placeholders and what stands for them. A sentence
// that a house left out is empty.
func (m *maker) words(id string, pairs ...string) string {
	text, _ := m.Base.Words(id)
	var fill []string
	for i := 0; i+1 < len(pairs); i += 2 {
		fill = append(fill, "{"+pairs[i]+"}", pairs[i+1])
	}
	return tidy(strings.NewReplacer(fill...).Replace(text))
}

// note adds a sentence to the plan's notes, once.
func (m *maker) note(id string, pairs ...string) { m.say(m.words(id, pairs...)) }

func (m *maker) say(text string) {
	if text != "" && !slices.Contains(m.notes, text) {
		m.notes = append(m.notes, text)
	}
}

func plain(id string) string { return strings.ReplaceAll(id, "_", " ") }

// day writes a date for people.
func day(d workload.Date) string { return d.Time().Format("2 January 2006") }

func speed(mph float64) string { return strconv.FormatFloat(mph, 'f', 1, 64) }

// stopRules are the signs at which the athlete stops at once.
func (m *maker) stopRules() []string {
	return []string{m.words("stop_pain"), m.words("stop_numb"), m.words("stop_pop"), m.words("stop_colour"), m.words("stop_loss"), m.words("stop_body")}
}

// stage is the stage of learning (Fitts and Posner 1967) that the athlete is in with this pattern: by how often it
// held at the stuck rung, and the first one while nothing is known or the drill itself is new.
func (m *maker) stage() string {
	held, ok := m.value("ladder.pattern_held")
	switch {
	case !ok || m.kind != carry || m.yes("reference.learning") || held.N < m.Base.Value("almost_low", 40):
		return "cognitive"
	case held.N <= m.Base.Value("almost_high", 80):
		return "associative"
	}
	return "autonomous"
}

// exitTests are the tests of the whole plan.
func (m *maker) exitTests() []string {
	switch m.kind {
	case restored:
		return []string{m.restoreTest()}
	case trial:
		return []string{m.words("not_this_question_trial", "date", day(m.decideOn())), m.words("exit_keep_up_look")}
	}
	if !m.worksAtStuck() {
		return []string{m.words("test_exit", "rung", m.stuck.Title)}
	}
	wall := m.Facts.Moving.Wall(m.Facts.Moving.Window)
	return []string{m.stuckExit(), m.words("test_back", "held", strconv.Itoa(wall.Back), "of", strconv.Itoa(wall.Of)), m.words("test_back_twice"),
		m.words("test_exit", "rung", m.stuck.Title)}
}

func (m *maker) restoreTest() string {
	if m.floor > 0 {
		return m.words("restore_until", "floor", speed(m.floor), "unit", speedUnit)
	}
	return m.words("restore_until_look", "reference", m.reference.Title)
}

// decideOn is when a drill on trial is kept or dropped: at the plan's end, and not before the first weeks, in which
// most of a gain is learning, are over.
func (m *maker) decideOn() workload.Date {
	on := m.end() + 1
	if first := m.Case.Reference.FirstThrown; !first.IsZero() {
		on = max(on, workload.DateOf(first)+workload.Date(m.Base.Value("learning_days", 28))+1)
	}
	return on
}

// worksAtStuck reports whether a session holds throws at the stuck rung as it is thrown.
func (m *maker) worksAtStuck() bool {
	return slices.ContainsFunc(m.written, func(s report.Session) bool {
		return slices.ContainsFunc(s.Blocks, func(b report.Block) bool {
			return b.What == whatLadder && b.Throw == m.stuck.ID && m.efforts.class(b.Effort) == m.classOf(m.stuck)
		})
	})
}

// allNotes gathers what was assumed, what was cut and why.
func (m *maker) allNotes() []string {
	notes := m.notes
	m.notes = []string{}
	if m.Triage.Gate.LowConfidence {
		m.note("plan_low_confidence")
	}
	if m.kind == carry && !m.Triage.Explains {
		m.note("unsure_no_factor")
	}
	if m.kind == trial {
		m.note("note_trial_only", "reference", m.reference.Title)
	}
	for _, n := range notes {
		m.say(n)
	}
	m.noteConsequences()
	m.noteLimits()
	if most, capped := m.row.MostMeasured(); capped && m.mostMeasured() > 0 {
		m.note("note_gun", "n", strconv.Itoa(m.mostMeasured()), "cap", strconv.Itoa(most))
	}
	for _, a := range append(slices.Clone(m.assumed), m.result.Assumed...) {
		m.say(a)
	}
	return m.notes
}

func (m *maker) noteConsequences() {
	if m.kind != carry {
		return
	}
	for _, f := range m.Triage.Factors {
		if f.Of != nil {
			m.note("consequence", "factor", f.Factor.Title, "upstream", f.Of.Title, "retest", day(m.retest()))
		}
	}
}

// noteLimits says what each limit cut.
func (m *maker) noteLimits() {
	if m.empty() {
		for _, s := range m.written {
			if s.BoundBy != "" {
				m.note("note_no_room", "limit", s.BoundWords)
				break
			}
		}
	}
	for _, c := range m.cuts() {
		m.note("note_limit", "n", strconv.Itoa(c.days), "limit", c.words)
	}
}
