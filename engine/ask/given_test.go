package ask

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
)

// given is what somebody who knows the whole case answers to a question; "" is
// for what the case does not say.
func given(c *casefile.Case, id string) string {
	if v, ok := c.Answer(id); ok {
		return v
	}
	if rest, ok := strings.CutPrefix(id, "seen."); ok {
		checkpoint, throw, _ := strings.Cut(rest, "/")
		if o := c.Observed(checkpoint, throw); o != nil {
			var all []string
			for _, l := range o.Looks {
				all = append(all, l.Text())
			}
			return strings.Join(all, "; ")
		}
		return ""
	}
	if rest, ok := strings.CutPrefix(id, "ladder."); ok && c.Ladder() != nil {
		return givenRung(c.Ladder(), rest)
	}
	day := func(d time.Time) string {
		if d.IsZero() {
			return ""
		}
		return d.Format(time.DateOnly)
	}
	bests := func(list []casefile.Best) string {
		var out []string
		for _, b := range list {
			out = append(out, fmt.Sprintf("%s %.1f", b.On.Format(time.DateOnly), b.Speed))
		}
		return strings.Join(out, ", ")
	}
	switch id {
	case "reference.throw":
		return c.Reference.Throw
	case "reference.first_thrown":
		return day(c.Reference.FirstThrown)
	case "reference.last_thrown":
		return day(c.Reference.LastThrown)
	case "reference.best":
		return bests(c.Reference.Best)
	case "mound.best":
		return bests(c.Mound)
	case "load.last_high_effort":
		return day(c.Load.LastHighEffort)
	case "load.weeks":
		var out []string
		for _, w := range c.Load.Weeks {
			out = append(out, fmt.Sprintf("%d/%d", w.Throws, w.High))
		}
		return strings.Join(out, " ")
	case "video.throw":
		for _, o := range c.Seen {
			if o.Throw != c.Reference.Throw {
				return o.Throw
			}
		}
	}
	return ""
}

func givenRung(l *casefile.Ladder, rest string) string {
	if rest == "on" {
		return l.On.Format(time.DateOnly)
	}
	throw, what, _ := strings.Cut(rest, ".")
	r := l.Rung(throw)
	if r == nil {
		return ""
	}
	switch what {
	case "held":
		var out []string
		for _, m := range r.Marks {
			out = append(out, map[float64]string{1: "y", 0: "n", 0.5: "p"}[m])
		}
		return strings.Join(out, " ")
	case "effort":
		if r.Effort != nil {
			return fmt.Sprint(*r.Effort)
		}
	case "miss":
		return r.Miss
	case "focus":
		return r.Focus
	}
	return ""
}

// rungLines is a ladder as it is typed or pasted.
func rungLines(l *casefile.Ladder) []string {
	var out []string
	for _, r := range l.Rungs {
		line := r.Throw
		for _, s := range r.Speeds {
			line += fmt.Sprintf(" %.1f", s)
		}
		out = append(out, line)
	}
	return append(out, "done")
}

// answerAll answers a visit to its end as somebody who knows the whole case.
// Each step is told with the question and what was answered; "" was skipped.
func answerAll(t *testing.T, f *Flow, c *casefile.Case, step func(Question, string)) {
	t.Helper()
	var lines []string
	if l := c.Ladder(); l != nil {
		lines = rungLines(l)
	}
	for n := 0; f.State() == Asking; n++ {
		if n > 300 {
			t.Fatalf("no end: still at %s", f.Question().ID)
		}
		q := f.Question()
		text := given(c, q.ID)
		if q.ID == "ladder.rungs" && len(lines) > 0 {
			text, lines = lines[0], lines[1:]
		}
		if text == "" || q.Again {
			text = ""
			if err := f.Keep(); err != nil {
				t.Fatal(q.ID, err)
			}
		} else if _, err := f.Answer(Reply{Text: text}); err != nil {
			t.Fatalf("%s: %q: %v", q.ID, text, err)
		}
		if step != nil {
			step(q, text)
		}
	}
}
