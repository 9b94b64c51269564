package week

import (
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/stats"
)

// leastAthletes is from how many athletes on a share of passed problems is told
// (house default): from fewer it would be a league table of accidents.
const leastAthletes = 5

// Review counts what became of the closed problems in logs, by the factor that was
// worked on and by the drills that were thrown for it.
func Review(b *rule.Base, on time.Time, logs []*casefile.Log) *report.Review {
	r := &report.Review{Rungwise: "review/1", On: on.Format(time.DateOnly), Athletes: len(logs), Least: leastAthletes, Unread: []report.Unreadable{}}
	t := tally{factors: counts{}, drills: counts{}}
	for i, log := range logs {
		t.add(i, log)
	}
	r.Closed = t.closed
	r.Factors = t.factors.outcomes(func(id string) string {
		if f, ok := b.Factor(id); ok {
			return f.Title
		}
		return id
	})
	r.Drills = t.drills.outcomes(func(id string) string {
		if d, ok := b.Drill(id); ok {
			return d.Title
		}
		return id
	})
	r.Says = reviewSays(r)
	return r
}

// tally counts the closed problems of logs.
type tally struct {
	closed          int
	factors, drills counts
}

type counts map[string]*tallied

type tallied struct {
	athletes       map[int]bool
	closed, passed int
}

func (c counts) add(id string, athlete int, passed bool) {
	t := c[id]
	if t == nil {
		t = &tallied{athletes: map[int]bool{}}
		c[id] = t
	}
	t.athletes[athlete] = true
	t.closed++
	if passed {
		t.passed++
	}
}

// add counts one athlete's closed problems. The drills of a problem are those
// thrown since the one before it was closed, each once.
func (t *tally) add(athlete int, log *casefile.Log) {
	var drills []string
	for _, x := range log.Entries {
		for _, d := range x.Drills {
			if !slices.Contains(drills, d.Drill) {
				drills = append(drills, d.Drill)
			}
		}
		if x.What != casefile.LogClose {
			continue
		}
		passed := x.Outcome == "passed"
		t.closed++
		t.factors.add(x.Factor, athlete, passed)
		for _, d := range drills {
			t.drills.add(d, athlete, passed)
		}
		drills = nil
	}
}

// outcomes lists the counts by name; a share is told from enough athletes only.
func (c counts) outcomes(title func(string) string) []report.Outcome {
	out := []report.Outcome{}
	for id, t := range c {
		o := report.Outcome{ID: id, Title: title(id), Athletes: len(t.athletes), Closed: t.closed, Passed: t.passed}
		if o.Athletes >= leastAthletes {
			i := stats.Wilson(float64(t.passed), float64(t.closed), .95)
			o.Low, o.High = &i.Low, &i.High
		}
		out = append(out, o)
	}
	slices.SortFunc(out, func(a, b report.Outcome) int { return strings.Compare(a.ID, b.ID) })
	return out
}

func reviewSays(r *report.Review) []string {
	says := []string{"These are counts of what was closed, and no trial: who was given which drill was not left to chance."}
	few := func(o report.Outcome) bool { return o.Low == nil }
	if slices.ContainsFunc(r.Factors, few) || slices.ContainsFunc(r.Drills, few) {
		says = append(says, "Where fewer than five athletes stand behind a line, no share is told: it would rank accidents.")
	}
	if r.Closed == 0 {
		says = append(says, "No problem is closed yet; `rungwise log FILE --close passed` closes one.")
	}
	return append(says, "The lines stand in the order of their names, not of their success.")
}
