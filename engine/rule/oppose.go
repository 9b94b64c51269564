package rule

import (
	"fmt"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
)

// opposed tells of two signs of which exactly one holds whatever is seen: the
// factor is then raised by a look and by its opposite.
func (b *Base) opposed(s, t *Sign, both []string, sound map[*cond.Condition]bool, tell func(Finding)) bool {
	if !sound[s.When] || !sound[t.When] {
		return false
	}
	example, ok := cond.Opposed(s.When, t.When)
	if !ok {
		return false
	}
	f := b.between(s.Entry, t.Entry, s.When, t.When, "L312", fmt.Sprintf("`%s` holds exactly when `%s` does not", s.ID, t.ID), example)
	f.Rules = f.Rules[:1]
	f.Why = fmt.Sprintf("both point to %s, so it is raised whatever is seen", strings.Join(both, ", "))
	f.Help = "take one of the two out, or let it point to another factor"
	tell(f)
	return true
}

// lintGates tells of a gate that can never decide, because one before it holds
// whenever it does.
func (b *Base) lintGates(sound map[*cond.Condition]bool, tell func(Finding)) {
	for i := range b.Gates {
		later := &b.Gates[i]
		if later.When == nil || !sound[later.When] || len(later.Also) > 0 {
			continue
		}
		for j := range b.Gates[:i] {
			first := &b.Gates[j]
			if first.When == nil || len(first.slots) > 0 || !sound[first.When] || later.house && before(later) < before(first) {
				continue
			}
			if c := cond.Covers(later.When, first.When); c.Analysed && c.Covered {
				tell(b.hidden(later, first, c.Case))
				break
			}
		}
	}
}

// before is the turn at which Deciding looks at a gate that a house has added or
// widened, and at which it has looked at one of the base.
func before(g *Gate) int {
	switch {
	case g.Verdict == Refer:
		return 0
	case g.Refuses():
		return 1
	}
	return 2
}

func (b *Base) hidden(later, first *Gate, example []cond.Setting) Finding {
	f := b.between(later.Entry, first.Entry, later.When, first.When, "L313", fmt.Sprintf("the gate `%s` never decides", later.ID), example)
	f.Why = fmt.Sprintf("whenever it holds, `%s` holds too, and that stands before it", first.ID)
	f.Help = "narrow the gate before it, or take this one out"
	return f
}

// lintBeside tells of a sign that says it stands beside a wider one and does
// not.
func (b *Base) lintBeside(tell func(Finding)) {
	for i := range b.Signs {
		s := &b.Signs[i]
		for _, id := range s.Beside {
			t, ok := b.Sign(id)
			if !ok {
				continue
			}
			c := cond.Covers(s.When, t.When)
			if c.Analysed && (!c.Covered || len(shared(s, t)) == 0) {
				f := b.finding(Rule{ID: s.ID, When: s.When}, "L311", fmt.Sprintf("`%s` is not the narrower of the two beside `%s`", s.ID, id), c.Case)
				f.Level, f.Rules, f.Help = diag.Note, []string{s.ID, id}, "take it out of beside:"
				tell(f)
			}
		}
	}
}
