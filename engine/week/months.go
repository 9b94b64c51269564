package week

import (
	"fmt"
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/progress"
	"rungwise/engine/report"
	"rungwise/engine/stats"
)

const day = 24 * time.Hour

// weekly is how many days lie between two decisions.
const weekly = 7

// months fills what is longer than a week: when the next decision is due, the
// part of the year, drills on trial, and what has carried over.
func (m *maker) months(s progress.Settings) {
	m.w.Due = DueOn(m.Case.Log, m.On)
	m.w.Phase = m.phase()
	m.trials(s)
	m.carry()
}

// DueOn says when the weekly decision is due: a week after the last one that was
// logged, or after the first logged session.
func DueOn(log *casefile.Log, today time.Time) report.WeekDue {
	var d report.WeekDue
	sessions := log.Of(casefile.LogSession)
	if len(sessions) == 0 {
		return d
	}
	from := sessions[0].Day()
	if last, ok := log.Last(casefile.LogDecision); ok {
		d.Last, from = last.On, last.Day()
	}
	next := from.Add(weekly * day)
	d.Next, d.Now = next.Format(time.DateOnly), !next.After(today)
	return d
}

// Phase is the part of the year that the log last named, or "" where it names
// none.
func Phase(log *casefile.Log) string {
	e, _ := log.Last(casefile.LogPhase)
	return e.Phase
}

func (m *maker) phase() report.WeekPhase {
	p := report.WeekPhase{ID: "mound"}
	if m.Case.Load.Season == "in" {
		p.ID = "season"
	}
	if e, ok := m.Case.Log.Last(casefile.LogPhase); ok {
		p.ID, p.Since = e.Phase, e.On
	}
	p.Allows, p.Keeps = m.words("phase_"+p.ID+"_allows"), m.words("phase_"+p.ID+"_keeps")
	return p
}

// words is a sentence of the rule base, "" where a house took it out.
func (m *maker) words(id string) string {
	text, _ := m.Base.Words(id)
	return tidy(text)
}

// trials judges each drill on trial by the marks before and since it began.
func (m *maker) trials(s progress.Settings) {
	ended := m.Case.Log.Of(casefile.LogVerdict)
	for _, e := range m.Case.Log.Of(casefile.LogTrial) {
		t := report.WeekTrial{Drill: e.Drill, Title: m.title(e.Drill), From: e.On, Until: e.Until, Verdict: "running"}
		i := slices.IndexFunc(ended, func(v casefile.Entry) bool { return v.Drill == e.Drill && v.On >= e.On })
		switch {
		case i >= 0:
			t.Verdict, t.Words = ended[i].Outcome, "decided on "+ended[i].On
		case !m.day(e.Until).After(m.On):
			t.Verdict, t.Words = "due", m.tried(s, e)
		default:
			t.Words = m.tried(s, e)
		}
		m.w.Trials = append(m.w.Trials, t)
	}
}

func (m *maker) title(id string) string {
	if d, ok := m.Base.Drill(id); ok {
		return d.Title
	}
	return m.throw(id)
}

func (m *maker) day(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return m.On // entries are checked when they are read
	}
	return t
}

// tried says what speaks for keeping or dropping a drill: the marks at the rung
// that is worked on, in as many sessions before the trial as since.
func (m *maker) tried(s progress.Settings, trial casefile.Entry) string {
	var before, since []casefile.Entry
	rung := ""
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		if e.Rung != "" && len(e.Values()) > 0 {
			rung = e.Rung
		}
	}
	for _, e := range m.Case.Log.Of(casefile.LogSession) {
		if e.Rung != rung || len(e.Values()) == 0 {
			continue
		}
		if e.On < trial.On {
			before = append(before, e)
		} else {
			since = append(since, e)
		}
	}
	before = before[max(0, len(before)-s.Window):]
	since = since[max(0, len(since)-s.Window):]
	if rung == "" || len(before) < s.LeastSessions || len(since) < s.LeastSessions {
		return fmt.Sprintf("too few sessions to judge it: %d before and %d since, where %d each are needed", len(before), len(since), s.LeastSessions)
	}
	heldWas, was := marks(before)
	heldIs, is := marks(since)
	chance := better(beta(s, heldWas, was, len(before)), beta(s, heldIs, is, len(since)))
	words := fmt.Sprintf("at the %s the pattern held in %s of %d throws before and in %s of %d since; the chance is %s that it is better now",
		m.throw(rung), number(heldWas), was, number(heldIs), is, percent(chance))
	if chance >= s.PromoteChance {
		return words + ": keep it"
	}
	return words + ", which is not enough: drop it when its date comes, and change one thing at a time"
}

func marks(entries []casefile.Entry) (held float64, n int) {
	for _, e := range entries {
		for _, v := range e.Values() {
			held, n = held+v, n+1
		}
	}
	return held, n
}

// beta reads marks of sessions together: those of one session are alike, so they
// count for less than one each.
func beta(s progress.Settings, held float64, n, sessions int) stats.Beta {
	weight := 1 / (1 + s.Correlation*(float64(n)/float64(sessions)-1))
	return stats.Beta{A: s.Prior, B: s.Prior}.Posterior(held*weight, (float64(n)-held)*weight)
}

// steps is how finely two chances are set against each other.
const steps = 200

// better is the chance that the second share lies above the first.
func better(was, is stats.Beta) float64 {
	sum := 0.0
	for i := range steps {
		sum += 1 - is.CDF(was.Quantile((float64(i)+.5)/steps))
	}
	return sum / steps
}

// carry sets the gain of the drill beside that of the mound.
func (m *maker) carry() {
	c := &m.w.Carry
	c.Unit = "mph"
	c.Drill, c.Mound = m.Facts.Carry.Drill, m.Facts.Carry.Mound
	noise := m.Base.Value("gain_noise", 1.5)
	switch {
	case c.Drill == nil || c.Mound == nil:
		c.Says = "not known: it takes two dated speeds in the drill and two on the mound"
	case *c.Drill <= noise:
		c.Says = fmt.Sprintf("the drill changed by %+.1f mph and the mound by %+.1f: there is no gain in the drill that could carry over", *c.Drill, *c.Mound)
	case *c.Mound <= noise:
		c.Says = fmt.Sprintf("the drill gained %.1f mph and the mound %+.1f, no more than a good day: nothing has carried over yet", *c.Drill, *c.Mound)
	default:
		c.Says = fmt.Sprintf("the drill gained %.1f mph and the mound %.1f: %.0f %% of it", *c.Drill, *c.Mound, 100**c.Mound / *c.Drill)
	}
}

func tenths(v float64) float64 {
	if v < 0 {
		return -tenth(-v)
	}
	return tenth(v)
}

// Onward returns the facts with the throw that the log has moved on or back to
// since the newest ladder in the place of the one at which that ladder broke: a
// plan works there next. Without such a decision they are the facts as they are.
func Onward(f *observe.Facts, c *casefile.Case) *observe.Facts {
	to := Moved(c)
	i := slices.IndexFunc(f.Ladder.Rungs, func(r observe.Rung) bool { return r.Throw.ID == to })
	if to == "" || i < 0 || f.Ladder.Verdict.Rung < 1 {
		return f
	}
	out := *f
	out.Ladder.Verdict.Rung = max(i, 1)
	out.Ladder.Verdict.After = out.Ladder.Verdict.Rung - 1
	return &out
}

// Moved is the throw that the newest decision to move since the newest ladder
// named, "" = none.
func Moved(c *casefile.Case) string {
	to := ""
	for _, e := range c.Log.Of(casefile.LogDecision) {
		since := c.Ladder() == nil || e.Day().After(c.Ladder().On)
		if since && (e.Decision == string(progress.Promote) || e.Decision == string(progress.StepBack)) {
			to = e.To
		}
	}
	return to
}
