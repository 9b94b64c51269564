package plan

import (
	"slices"
	"strconv"
	"time"

	"rungwise/engine/casefile"
)

// firstThrow is a throw that held the pattern: the day and which of that day's
// throws it was, counted from 1.
type firstThrow struct {
	on     time.Time
	number int
}

// firstHeld finds the first throw at the stuck rung that had it, on a ladder or
// in the log. A mark for a whole rung names no throw.
func (m *maker) firstHeld() (first firstThrow, ok bool) {
	take := func(on time.Time, number int) {
		if !on.IsZero() && (!ok || on.Before(first.on)) {
			first, ok = firstThrow{on, number}, true
		}
	}
	for _, l := range m.Case.Ladders {
		r := l.Rung(m.stuck.ID)
		if r == nil || r.OneMark {
			continue
		}
		if i := slices.Index(r.Marks, casefile.Held); i >= 0 {
			take(l.On, i+1)
		}
	}
	if m.Case.Log == nil {
		return first, ok
	}
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		if i := slices.Index(e.Marks, "yes"); e.Rung == m.stuck.ID && i >= 0 {
			take(e.Day(), i+1)
		}
	}
	return first, ok
}

// builtOn tells the athlete which throw to build on; "" where none had it yet.
func (m *maker) builtOn() string {
	if m.stuck == nil {
		return ""
	}
	first, ok := m.firstHeld()
	if !ok {
		return ""
	}
	return m.words("first_held", "date", first.on.Format("2 January 2006"), "throw", m.stuck.Title, "n", strconv.Itoa(first.number))
}
