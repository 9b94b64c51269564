package render

import (
	"math"
	"slices"
	"strconv"

	"rungwise/engine/report"
)

// CoachPlan writes the coach's page of a plan as Markdown: reasons, chances and
// shaky answers, the load by day and week, the limits and what binds. It may
// hold health answers and says so.
func CoachPlan(r *report.Report, o Options) string { return coachDocument(r, o).markdown(r, o) }

func coachDocument(r *report.Report, o Options) document {
	w := newWriter(r, o)
	if w.quiet(false) {
		return w.document
	}
	w.title = orElse(w.say("coach_title"), w.title)
	w.section("private", "head_private")
	w.says("coach_private")
	w.findings()
	if r.Plan != nil {
		w.load(r.Plan)
		w.binding(r.Plan)
	} else if r.PlanRefused != "" {
		w.section("plan", "head_coach_plan")
		w.para(w.say("coach_no_plan"), line(r.PlanRefused))
	}
	w.coachCautions()
	w.granted()
	w.sources(true, planRules(r))
	return w.document
}

// load is the planned load by day with what made a day small, and by week
// beside its cap and its base; then what has changed and what was assumed.
func (w *writer) load(p *report.Plan) {
	w.section("plan", "head_coach_plan")
	w.says("coach_span")
	var rows [][]string
	for _, s := range p.Sessions {
		rows = append(rows, []string{esc(shortDay(s.Date)), esc(s.Kind), some(s.Throws), some(s.High), some(int(math.Round(s.Load))), esc(s.BoundWords)})
	}
	w.table([]string{"Day", "Kind", "All", "Hard", "Load", "Because"}, rows)
	w.says("coach_load")
	rows = nil
	for _, t := range p.Week {
		rows = append(rows, []string{"Week " + strconv.Itoa(t.Week), strconv.Itoa(t.Throws), strconv.Itoa(t.High), whole(t.Load), whole(t.Cap), whole(t.Base)})
	}
	w.table([]string{"Week", "All", "Hard", "Load", "Cap", "Base"}, rows)
	if len(p.Changes) > 0 {
		w.says("coach_changes")
		w.bullets(lines(p.Changes)...)
	}
	if len(p.Notes) > 0 {
		w.says("coach_notes")
		w.bullets(w.planNotes()...)
	}
}

// binding lists the limits with what the plan comes to, those that bind first.
func (w *writer) binding(p *report.Plan) {
	w.section("limits", "head_coach_limits")
	var first, rest [][]string
	for _, l := range p.Limits {
		row := []string{esc(capital(l.Title)), esc(num(l.Cap) + " " + l.Unit), esc(num(l.Planned))}
		if l.Binds {
			first = append(first, append(row, "yes"))
		} else {
			rest = append(rest, append(row, "no"))
		}
	}
	w.table([]string{"Limit", "Is", "Plan", "Binds"}, slices.Concat(first, rest))
}

// some writes a count in a cell; none is an empty cell.
func some(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
