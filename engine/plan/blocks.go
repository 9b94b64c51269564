package plan

import (
	"math"
	"strconv"

	"rungwise/engine/report"
)

// The parts of a session, in the order in which they stand.
const (
	whatWarmUp    = "warm_up"
	whatIsolation = "isolation"
	whatPutBack   = "put_back"
	whatKeepUp    = "keep_up"
	whatLadder    = "ladder"
	whatInTurn    = "interleaved"
)

// speedUnit is the unit of every speed in a plan.
const speedUnit = "mph"

func (s *session) warmUp(n int) report.Block {
	return report.Block{What: whatWarmUp, Title: s.words("block_warm_up"), Throws: n, Effort: s.efforts.easy, Exit: s.words("exit_warm_up"), Rule: "block_warm_up"}
}

func (s *session) isolation(w work) report.Block {
	title := w.drill.Title
	if w.slope && w.drill.Slope != "slope" {
		title = s.words("on_slope", "drill", title)
	}
	return report.Block{What: whatIsolation, Title: title, Drill: w.drill.ID, Throws: w.throws(), Sets: dose(w),
		Effort: int(math.Round(w.drill.Effort)), Cue: tidy(w.drill.Cue), Exit: tidy(w.drill.Exit), Rule: w.drill.ID}
}

func dose(w work) string { return strconv.Itoa(w.sets) + "x" + strconv.Itoa(w.per) }

func (s *session) putBack(g group, effort int) report.Block {
	from := g.works[len(g.works)-1].drill
	return report.Block{What: whatPutBack, Title: s.title(g.throw), Throw: g.throw, Throws: g.back, Effort: effort, Exit: s.words("exit_put_back"), Rule: from.ID}
}

// keepUp is throws of the reference drill, hard where it is thrown hard, against its floor.
func (s *session) keepUp(n int) report.Block {
	b := report.Block{What: whatKeepUp, Title: s.reference.Title, Throw: s.reference.ID, Throws: n, Effort: s.hard(s.reference), Rule: "keep_up_throws"}
	b.Exit = s.words("exit_keep_up_look")
	if s.floor > 0 && s.measures() >= n {
		floor := s.floor
		b.Floor, b.Unit = &floor, speedUnit
		b.Exit = s.words("exit_keep_up", "floor", speed(floor), "unit", speedUnit)
	}
	return b
}

// asked is a block at another effort than full: then there is no floor to hold it against.
func (s *session) asked(b report.Block, effort int) report.Block {
	b.Effort, b.Floor, b.Unit, b.Exit = effort, nil, "", s.words("exit_easy")
	return b
}

func (s *session) ladderBelow(n int) report.Block {
	return report.Block{What: whatLadder, Title: s.below.Title, Throw: s.below.ID, Throws: n, Effort: s.hard(s.below),
		Exit: s.words("exit_below", "held", strconv.Itoa(max(n-1, 1)), "of", strconv.Itoa(n)), Rule: s.below.ID}
}

func (s *session) ladderStuck(n int) report.Block {
	return report.Block{What: whatLadder, Title: s.stuck.Title, Throw: s.stuck.ID, Throws: n, Effort: s.hard(s.stuck), Exit: s.stuckExit(), Rule: s.stuck.ID}
}

func (s *session) inTurn(n int) report.Block {
	title := s.words("in_turn", "reference", s.reference.Title, "throw", s.stuck.Title)
	sessions := s.trialSessions()
	wall := s.Facts.Moving.Wall(n / 2 * sessions)
	return report.Block{What: whatInTurn, Title: title, Throw: s.stuck.ID, Throws: n, Effort: s.hard(s.stuck), Rule: "interleaved_sessions",
		Exit: s.words("exit_interleaved", "throw", s.stuck.Title, "held", strconv.Itoa(wall.Promote), "of", strconv.Itoa(wall.Of), "n", strconv.Itoa(sessions))}
}

// stuckExit says when the rung is passed: by the newest marks read together, and by speed where it may be measured. It
// is the rule that the weekly decision keeps, whatever a session holds.
func (m *maker) stuckExit() string {
	rule := m.Facts.Moving
	wall := rule.Wall(rule.Window)
	held, of, most := strconv.Itoa(wall.Promote), strconv.Itoa(wall.Of), strconv.Itoa(rule.DayMarks)
	if !m.measured() {
		return m.words("exit_stuck_no_gun", "held", held, "of", of, "n", most)
	}
	return m.words("exit_stuck", "held", held, "of", of, "n", most, "planned", strconv.FormatFloat(rule.PromoteSpeed, 'f', -1, 64))
}

// measured reports whether throws of the ladder may be measured in every session.
func (m *maker) measured() bool {
	_, capped := m.row.MostMeasured()
	return !capped
}

// measures is how many hard throws of a session may be measured against the floor.
func (m *maker) measures() int {
	most, capped := m.row.MostMeasured()
	if !capped {
		return math.MaxInt
	}
	return most
}

// title names a throw for people.
func (m *maker) title(id string) string {
	if t, ok := m.Base.Throw(id); ok {
		return t.Title
	}
	return plain(id)
}

// cards are the drills of the plan, each once, as they first come.
func (m *maker) cards() []report.Drill {
	out := []report.Drill{}
	for _, w := range m.used.drills {
		d := w.drill
		card := report.Drill{ID: d.ID, Title: d.Title, Factor: w.factor.ID, How: tidy(d.How), Cue: tidy(d.Cue), Effort: int(math.Round(d.Effort)),
			Dose: dose(w), Equipment: append([]string{}, d.Equipment...), Where: where(w), PutBack: m.title(d.PutBack), Exit: tidy(d.Exit), NotWith: tidy(d.NotWith), Source: d.Source}
		out = append(out, card)
	}
	return out
}

func where(w work) string {
	if w.slope {
		return "slope"
	}
	return w.drill.Slope
}

func (m *maker) throwCards() []report.Throw {
	out := []report.Throw{}
	for _, id := range m.used.throws {
		if t, ok := m.Base.Throw(id); ok {
			out = append(out, report.Throw{ID: t.ID, Title: t.Title, InWords: tidy(t.InWords)})
		}
	}
	return out
}
