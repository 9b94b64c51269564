package render

import (
	"math"
	"strconv"

	"rungwise/engine/report"
)

// CoachPlan writes the coach's page of a plan as Markdown: reasons, chances and
// shaky answers, the load by day and week, the limits and what binds. It may
// hold health answers and says so.
func CoachPlan(r *report.Report, o Options) string { return coachDocument(r, o).markdown(r, o) }

func coachDocument(r *report.Report, o Options) document {
	w := newWriter(r, o)
	w.title = orElse(w.say("coach_title"), esc(r.Case))
	if quiet(r) {
		w.title = esc(r.Case)
		w.quiet(false)
		return w.document
	}
	w.section("private", "For staff")
	w.para(orElse(w.say("coach_private"), "This page is for staff. It may hold health answers; do not hand it on."))
	w.findings()
	w.load()
	w.binding()
	w.cautions("Cautions", func(c report.Caution) bool { return c.Level != "stop" })
	w.granted()
	w.sources(true, true)
	return w.document
}

// load is the planned load by day with what made a day small, and by week
// beside its cap and its base.
func (w *writer) load() {
	p := w.r.Plan
	if p == nil {
		if w.r.PlanRefused != "" {
			w.section("plan", "The plan")
			w.para("There is none.", esc(sentence(w.r.PlanRefused)))
		}
		return
	}
	w.section("plan", "The plan")
	w.para(esc(count(p.Weeks, "week") + " from " + dayMonth(p.Start) + ", retest on " + dayMonth(p.Retest) + "."))
	var rows [][]string
	for _, s := range p.Sessions {
		rows = append(rows, []string{esc(shortDay(s.Date)), esc(s.Kind), some(s.Throws), some(s.High), some(int(math.Round(s.Load))), esc(s.BoundWords)})
	}
	w.table([]string{"Day", "Kind", "All", "Hard", "Load", "Because"}, rows)
	w.para("Load is in full-effort throws: an easy throw counts for less, and for more than it feels.")
	rows = nil
	for _, t := range p.Week {
		rows = append(rows, []string{"Week " + strconv.Itoa(t.Week), strconv.Itoa(t.Throws), strconv.Itoa(t.High), whole(t.Load), whole(t.Cap), whole(t.Base)})
	}
	w.table([]string{"Week", "All", "Hard", "Load", "Cap", "Base"}, rows)
	w.changes()
}

func (w *writer) changes() {
	if c := w.r.Plan.Changes; len(c) > 0 {
		w.para("Against the plan before:")
		w.bullets(escAll(c)...)
	}
	if n := w.r.Plan.Notes; len(n) > 0 {
		w.para("What was assumed, and what was cut:")
		items := make([]string, len(n))
		for i, text := range n {
			items[i] = esc(sentence(daysInWords(text)))
		}
		w.bullets(items...)
	}
}

// binding lists the limits with what the plan comes to, those that bind first.
func (w *writer) binding() {
	p := w.r.Plan
	if p == nil || len(p.Limits) == 0 {
		return
	}
	w.section("limits", "Limits")
	var rows [][]string
	for _, first := range []bool{true, false} {
		for _, l := range p.Limits {
			if l.Binds == first {
				rows = append(rows, []string{esc(capital(l.Title)), esc(num(l.Cap) + " " + l.Unit), esc(num(l.Planned)), yes(l.Binds)})
			}
		}
	}
	w.table([]string{"Limit", "Is", "Plan", "Binds"}, rows)
}

// some writes a count in a cell; none is an empty cell.
func some(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func shortDay(day string) string {
	t, ok := date(day)
	if !ok {
		return day
	}
	return t.Format("Mon 2 Jan")
}
