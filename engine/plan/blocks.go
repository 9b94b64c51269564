package plan

import (
	"math"
	"strconv"

	"rungwise/engine/report"
	"rungwise/engine/stats"
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
	return report.Block{What: whatLadder, Title: s.stuck.Title, Throw: s.stuck.ID, Throws: n, Effort: s.hard(s.stuck), Exit: s.stuckExit(n), Rule: s.stuck.ID}
}

func (s *session) inTurn(n int) report.Block {
	title := s.words("in_turn", "reference", s.reference.Title, "throw", s.stuck.Title)
	sessions := s.trialSessions()
	held, of := s.wall(n/2, sessions, false, s.wantRate()), n/2*sessions
	return report.Block{What: whatInTurn, Title: title, Throw: s.stuck.ID, Throws: n, Effort: s.hard(s.stuck), Rule: "interleaved_sessions",
		Exit: s.words("exit_interleaved", "throw", s.stuck.Title, "held", strconv.Itoa(held), "of", strconv.Itoa(of), "n", strconv.Itoa(sessions))}
}

// stuckExit says when the rung is passed: by marks of whole sessions pooled, and by speed where it may be measured.
func (m *maker) stuckExit(n int) string {
	sessions := m.window3()
	held := strconv.Itoa(m.wall(n, sessions, m.measured(), m.wantRate()))
	of := strconv.Itoa(n * sessions)
	if !m.measured() {
		return m.words("exit_stuck_no_gun", "held", held, "of", of, "n", strconv.Itoa(sessions))
	}
	return m.words("exit_stuck", "held", held, "of", of, "n", strconv.Itoa(sessions),
		"planned", strconv.FormatFloat(m.Base.Value("promote_speed", 2), 'f', -1, 64))
}

func (m *maker) window3() int { return max(1, int(m.Base.Value("window_sessions", 3))) }

// A rate is a share of throws held, how sure one has to be of it, and on which side.
type rate struct {
	share, chance, unmeasured float64
	below                     bool
}

func (m *maker) wantRate() rate {
	return rate{share: m.Base.Value("promote_rate", .65), chance: m.Base.Value("promote_chance", .8), unmeasured: m.Base.Value("promote_chance_unmeasured", .9)}
}

func (m *maker) backRate() rate {
	back := m.Base.Value("back_chance", .8)
	return rate{share: m.Base.Value("back_rate", .5), chance: back, unmeasured: back, below: true}
}

// wall is the fewest throws held of so many sessions of n marks that show a rate (for a rate that is too low: the
// most). The marks of one session are alike, so each counts for less. House default, by the pooled rule.
func (m *maker) wall(n, sessions int, measured bool, r rate) int {
	weight := 1 / (1 + m.Base.Value("marks_correlation", .1)*float64(n-1))
	prior := m.Base.Value("marks_prior", 1.5)
	chance := r.chance
	if !measured {
		chance = max(chance, r.unmeasured)
	}
	total := n * sessions
	shows := func(held int) bool {
		under := stats.Beta{A: prior, B: prior}.Posterior(float64(held)*weight, float64(total-held)*weight).CDF(r.share)
		if r.below {
			return under >= chance
		}
		return 1-under >= chance
	}
	if r.below {
		held := total
		for held > 0 && !shows(held) {
			held--
		}
		return held
	}
	held := 0
	for held < total && !shows(held) {
		held++
	}
	return held
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
