package plan

import (
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/rule"
)

func TestTheFirstThrowThatHadItIsNamed(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 11, d, 0, 0, 0, 0, time.UTC) }
	ladder := func(d int, one bool, marks ...float64) casefile.Ladder {
		return casefile.Ladder{On: day(d), Rungs: []casefile.Rung{{Throw: "flat_lift", Marks: marks, OneMark: one}}}
	}
	session := func(on, rung string, marks ...string) casefile.Entry {
		return casefile.Entry{What: casefile.LogSession, On: on, Rung: rung, Marks: marks}
	}
	for _, c := range []struct {
		name    string
		ladders []casefile.Ladder
		log     []casefile.Entry
		want    string // day and number, "" = none
	}{
		{"none held", []casefile.Ladder{ladder(9, false, 0, 0.5, 0)}, nil, ""},
		{"on the ladder", []casefile.Ladder{ladder(9, false, 0, 1, 1)}, nil, "2026-11-09 2"},
		{"one mark for the rung names no throw", []casefile.Ladder{ladder(9, true, 1)}, nil, ""},
		{"in the log", []casefile.Ladder{ladder(9, false, 0, 0)}, []casefile.Entry{session("2026-11-14", "flat_lift", "no", "partly", "yes")}, "2026-11-14 3"},
		{"at another rung", nil, []casefile.Entry{session("2026-11-14", "slope_net", "yes")}, ""},
		{"the earliest", []casefile.Ladder{ladder(20, false, 1)}, []casefile.Entry{session("2026-11-14", "flat_lift", "no", "yes")}, "2026-11-14 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := &casefile.Case{Ladders: c.ladders}
			if c.log != nil {
				k.Log = &casefile.Log{Entries: c.log}
			}
			m := &maker{Input: Input{Case: k}, stuck: &rule.Throw{Entry: rule.Entry{ID: "flat_lift"}}}
			first, ok := m.firstHeld()
			got := ""
			if ok {
				got = first.on.Format(time.DateOnly) + " " + strings.TrimSpace(string(rune('0'+first.number)))
			}
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
