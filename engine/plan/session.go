package plan

import (
	"slices"

	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// A session in the making: what is left of the day's counts, by class.
type session struct {
	*maker
	kind   Kind
	week   int  // from 0
	slope  bool // the athlete is on the mound that day
	left   counts
	groups []group
	back   workload.Effort // class of the whole throws after a drill
	nth    int             // which mound session of the plan, from 0
	all    int             // which session of the plan, from 0
}

// leastWarm and mostWarm bound the easy throws that a session keeps for warming up (house default).
const (
	leastWarm = 5
	mostWarm  = 10
)

// leastLadder is the fewest throws at the rung below and at the stuck rung together: two and three (house default).
const leastLadder = 5

// sessions writes every day anew from its counts.
func (m *maker) sessions() {
	m.written, m.used = nil, used{}
	mound, all := 0, 0
	for i, d := range m.result.Days {
		s := session{maker: m, kind: d.Kind, week: i / 7, left: countsOf(d.Day), nth: mound, all: all,
			slope: slices.Contains(m.mound, d.On.Weekday())}
		out := report.Session{Date: d.On.String(), Weekday: d.On.Weekday().String(), Week: i/7 + 1, Kind: string(d.Kind), Blocks: []report.Block{}}
		switch d.Kind {
		case Mound, Drill, Light:
			out.Blocks = s.blocks()
			if m.kind != carry && d.Kind == Mound {
				out.Kind = string(Drill) // the reference drill alone, and not from the mound
			}
			all++
			if d.Kind == Mound {
				mound++
			}
		}
		m.total(&out, d)
		out.BoundBy, out.BoundWords = bound(d)
		m.written = append(m.written, out)
	}
}

// blocks fills one day.
func (s *session) blocks() []report.Block {
	if s.maker.kind != carry {
		return s.referenceOnly()
	}
	hard := s.hardWork()
	s.choose()
	drills := s.drillBlocks()
	more := s.more()
	out := append([]report.Block{s.warmUp(s.left.spend(workload.Low, s.left[workload.Low]))}, drills...)
	return s.named(append(append(out, more...), hard...))
}

// more puts moderate throws that no drill needs into whole throws: at the rung below on a mound day, else of the
// reference drill.
func (s *session) more() []report.Block {
	n := s.left.spend(workload.Moderate, s.left[workload.Moderate])
	if s.kind == Mound {
		return []report.Block{s.asked(s.ladderBelow(n), s.efforts.half)}
	}
	return []report.Block{s.asked(s.keepUp(n), s.efforts.half)}
}

// named leaves out empty blocks and remembers the throws of the others.
func (s *session) named(blocks []report.Block) []report.Block {
	blocks = slices.DeleteFunc(blocks, func(b report.Block) bool { return b.Throws == 0 && b.Drill == "" })
	for _, b := range blocks {
		s.useThrow(b.Throw)
		if b.What == whatInTurn {
			s.useThrow(s.reference.ID)
		}
	}
	return blocks
}

func (m *maker) useThrow(id string) {
	if id != "" && !slices.Contains(m.used.throws, id) {
		m.used.throws = append(m.used.throws, id)
	}
}

// hardWork is what goes to the mound: keep-up throws, then the rung below, the stuck rung, and throws in turn. It is
// settled first, since these throws may not give way to drills.
func (s *session) hardWork() []report.Block {
	if s.kind != Mound {
		return nil
	}
	keepClass, belowClass, stuckClass := s.classOf(s.reference), s.classOf(s.below), s.classOf(s.stuck)
	keep := int(s.Base.Value("keep_up_throws", 3))
	if keepClass == workload.High && s.left[keepClass] < keep+leastLadder {
		keep = min(keep, max(1, s.left[keepClass]/3))
	}
	out := []report.Block{s.keepUp(s.left.spend(keepClass, keep))}
	turn := s.inTurnThrows(s.left[stuckClass])
	s.left.spend(stuckClass, turn)
	below, stuck := s.split(belowClass, stuckClass)
	out = append(out, s.ladderBelow(s.left.spend(belowClass, below)))
	out = append(out, s.ladderStuck(s.left.spend(stuckClass, stuck)), s.inTurn(turn))
	return out
}

func (m *maker) classOf(t *rule.Throw) workload.Effort { return m.efforts.class(m.hard(t)) }

// split deals what is left of the hard throws over the rung below and the stuck one: half and half in the first week,
// then one to two, and never fewer than two below where there is room. A rung that is not thrown hard takes a few
// moderate throws instead.
func (s *session) split(belowClass, stuckClass workload.Effort) (below, stuck int) {
	n := s.left[stuckClass]
	if stuckClass != workload.High {
		n = min(n, leastLadder)
	}
	if belowClass != stuckClass {
		return 3, n
	}
	below = n / 3
	if s.week == 0 {
		below = n / 2
	}
	if n >= leastLadder {
		below = max(below, 2)
	}
	return below, n - below
}

// inTurnThrows is how many throws go in turn: pairs, for the first sessions of an athlete who almost has it, and only
// beside full ladder work.
func (s *session) inTurnThrows(hard int) int {
	if !s.yes("ladder.almost") || s.nth >= s.trialSessions() || s.classOf(s.stuck) != workload.High {
		return 0
	}
	n := min(int(s.Base.Value("interleaved_throws", 8)), hard-leastLadder) / 2 * 2
	if n < 4 {
		return 0
	}
	return n
}

func (m *maker) trialSessions() int { return int(m.Base.Value("interleaved_sessions", 3)) }

// referenceOnly is a session of the reference drill alone, easily first and then harder; the first two sessions of a
// plan have no hard throws.
func (s *session) referenceOnly() []report.Block {
	low := s.left[workload.Low]
	easy := min(5, max(0, low-leastWarm))
	out := []report.Block{s.warmUp(low - easy), s.asked(s.keepUp(easy), s.efforts.gentle),
		s.asked(s.keepUp(s.left[workload.Moderate]), s.efforts.half)}
	if s.all >= 2 {
		out = append(out, s.keepUp(s.left[workload.High]))
	}
	return s.named(out)
}
