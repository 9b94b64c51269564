package plan

import (
	"slices"

	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// work is one drill in a session with its dose.
type work struct {
	factor    *rule.Factor
	drill     *rule.Drill
	sets, per int
	slope     bool
}

// throws is how many balls it throws.
func (w work) throws() int {
	if w.drill.Throws == 0 {
		return 0
	}
	return w.sets * w.per
}

// A group is drills followed by the whole throws that put them back.
type group struct {
	works []work
	throw string // whole throw
	back  int    // how many
}

// choose fills the groups of a session: which drills, with which dose, and how many whole throws after them. Where
// there is no room for all, one drill alone is tried, from the newest of the first focus back to the easiest.
func (s *session) choose() {
	s.back = workload.Low
	if s.left[workload.Moderate] > 0 {
		s.back = workload.Moderate
	}
	var groups []group
	for n := range s.focus {
		var works []work
		for _, d := range s.drillsOf(n) {
			works = append(works, s.work(n, d))
		}
		groups = append(groups, s.grouped(works)...)
	}
	if s.place(groups) {
		return
	}
	for n := range s.focus {
		for _, d := range slices.Backward(s.reached(n)) {
			if s.place([]group{{works: []work{s.work(n, d)}}}) {
				return
			}
		}
	}
}

// place gives groups their throws; it reports whether any found room, and takes nothing where none did.
func (s *session) place(groups []group) bool {
	was := s.left
	s.groups = groups
	budget := s.left
	budget[workload.Low] -= min(budget[workload.Low], min(max(leastWarm, budget[workload.Low]*2/5), mostWarm))
	s.reserve(&budget)
	s.dose(&budget)
	if len(s.groups) == 0 {
		s.left = was
		return false
	}
	s.putBacks()
	return true
}

// grouped says after which drills whole throws stand: after every one where there is one focus, once for the drills of
// each focus where there are two.
func (s *session) grouped(works []work) []group {
	if len(works) == 0 {
		return nil
	}
	if len(s.focus) > 1 {
		return []group{{works: works}}
	}
	var out []group
	for _, w := range works {
		out = append(out, group{works: []work{w}})
	}
	return out
}

func (s *session) work(n int, d *rule.Drill) work {
	return work{factor: s.focus[n].factor, drill: d, slope: d.Slope == "slope" || d.Slope == "either" && s.slope && s.onSlope()}
}

// drillsOf lists the drills of a focus for this day, easier first: the newest it has come to and, with one focus or
// before the first ball is thrown, the one before.
func (s *session) drillsOf(n int) []*rule.Drill {
	list := s.reached(n)
	if len(list) < 2 {
		return list
	}
	before, newest := list[len(list)-2], list[len(list)-1]
	if len(s.focus) == 1 || n == 0 && before.Throws == 0 {
		return []*rule.Drill{before, newest}
	}
	return []*rule.Drill{newest}
}

// reached lists the drills that a focus has come to and that have room on this day; those for the slope only where
// there is one, or nothing else.
func (s *session) reached(n int) []*rule.Drill {
	list := s.focus[n].drills[:s.window(n, s.week)+1]
	list = slices.DeleteFunc(slices.Clone(list), func(d *rule.Drill) bool { return !s.fits(d) })
	if !s.slope {
		if flat := slices.DeleteFunc(slices.Clone(list), func(d *rule.Drill) bool { return d.Slope == "slope" }); len(flat) > 0 {
			return flat
		}
	}
	return list
}

// fits reports whether a drill's effort has room on this kind of day at all.
func (s *session) fits(d *rule.Drill) bool {
	return d.Throws == 0 || s.left[s.efforts.weights.Class(d.Effort)] > 0
}

// reserve keeps room for the whole throws before the drills take it all; where there is too little, the last group
// goes.
func (s *session) reserve(budget *counts) {
	for len(s.groups) > 0 && budget[s.back] < 2*len(s.groups) {
		s.groups = s.groups[:len(s.groups)-1]
	}
	for i := range s.groups {
		g := &s.groups[i]
		last := g.works[len(g.works)-1]
		g.throw = s.whole(last.drill.PutBack, last.slope)
		g.back = min(max(last.drill.PutBackThrows, 1), budget[s.back]/(len(s.groups)-i))
		budget[s.back] -= g.back
		s.left[s.back] -= g.back
	}
}

// dose gives the newest drill of a focus its throws before the one it came from, and the first focus before the
// second, and keeps a small set for each of those that follow. A drill that gets too few is left out, and its whole throws with it where it was alone.
func (s *session) dose(budget *counts) {
	list := s.byNeed()
	for i, w := range list {
		class := s.efforts.weights.Class(w.drill.Effort)
		room := budget[class]
		for _, later := range list[i+1:] {
			if s.efforts.weights.Class(later.drill.Effort) == class && room >= 2*leastDose {
				room -= min(leastDose, later.drill.Throws)
			}
		}
		w.sets, w.per = fit(w.drill, room)
		budget[class] -= w.throws()
		s.left[class] -= w.throws()
	}
	s.groups = slices.DeleteFunc(s.groups, func(g group) bool {
		for _, w := range g.works {
			if w.sets > 0 {
				return false
			}
		}
		s.left[s.back] += g.back
		return true
	})
	for i := range s.groups {
		s.groups[i].works = slices.DeleteFunc(s.groups[i].works, func(w work) bool { return w.sets == 0 })
	}
}

// byNeed lists the drills of a session, the one that needs its throws most first.
func (s *session) byNeed() []*work {
	var out []*work
	for i := range s.groups {
		for k := len(s.groups[i].works) - 1; k >= 0; k-- {
			out = append(out, &s.groups[i].works[k])
		}
	}
	if len(s.focus) == 1 {
		slices.Reverse(out)
	}
	return out
}

// leastDose is the fewest throws of a drill that are worth a set (house default).
const leastDose = 3

// fit makes a drill's dose small enough for what is left: fewer throws a set, then fewer sets, never fewer than three
// throws a set. A move without a ball always fits.
func fit(d *rule.Drill, left int) (sets, per int) {
	if d.Throws == 0 {
		return max(d.Sets, 1), max(d.Reps, 1)
	}
	for sets := d.Sets; sets > 0; sets-- {
		if per := min(d.Throws, left/sets); per >= min(leastDose, d.Throws) {
			return sets, per
		}
	}
	return 0, 0
}

// putBacks deals the moderate throws that are left over the groups: whole throws are what the drills are for.
func (s *session) putBacks() {
	for i := 0; s.back == workload.Moderate && len(s.groups) > 0 && s.left[s.back] > 0; i++ {
		s.groups[i%len(s.groups)].back++
		s.left[s.back]--
	}
}

// drillBlocks writes the groups.
func (s *session) drillBlocks() []report.Block {
	effort := s.efforts.half
	if s.back == workload.Low {
		effort = s.efforts.gentle
	}
	var out []report.Block
	for _, g := range s.groups {
		for _, w := range g.works {
			out = append(out, s.isolation(w))
			s.useDrill(w)
		}
		out = append(out, s.putBack(g, effort))
	}
	return out
}

// useDrill remembers a drill for its card, with the largest dose it is given.
func (m *maker) useDrill(w work) {
	i := slices.IndexFunc(m.used.drills, func(u work) bool { return u.drill == w.drill })
	switch {
	case i < 0:
		m.used.drills = append(m.used.drills, w)
	case w.sets*w.per > m.used.drills[i].sets*m.used.drills[i].per:
		w.slope = w.slope || m.used.drills[i].slope
		m.used.drills[i] = w
	default:
		m.used.drills[i].slope = m.used.drills[i].slope || w.slope
	}
}

// whole is the throw that puts a drill back: the drill's own, off the slope where the drill went off the slope, and on
// flat ground to the net where there is no mound that day.
func (s *session) whole(id string, slope bool) string {
	t, ok := s.Base.Throw(id)
	switch {
	case !ok:
		return id
	case slope && !t.OnMound:
		return s.variant(t, 1)
	case t.OnMound && !slope && !s.slope:
		return s.variant(t, 0)
	}
	return id
}

// variant is the throw that differs from another only in the surface (0 flat, 1 slope) and, on flat ground, asks
// nothing of the aim; the throw itself where the rules have none.
func (m *maker) variant(t *rule.Throw, ground int) string {
	want := slices.Clone(t.Demands)
	for i, d := range m.Base.Demands {
		switch d.ID {
		case surface:
			want[i] = ground
		case "aim", "pitches", "batter":
			if ground == 0 {
				want[i] = 0
			}
		}
	}
	for _, other := range m.Base.Throws {
		if slices.Equal(other.Demands, want) {
			return other.ID
		}
	}
	return t.ID
}
