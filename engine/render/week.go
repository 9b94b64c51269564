package render

import (
	"fmt"

	"rungwise/engine/report"
)

// Week writes the weekly decision as Markdown: the decision first, what it rests
// on, then what is longer than a week. Where throwing is to stop, it says that
// and whom to see, and nothing else.
func Week(r *report.Week, o Options) string {
	w := newWriter(&report.Report{Case: r.Case, On: r.On, Rules: r.Rules}, o)
	w.title = orElse(w.say("week_title"), w.title)
	w.section("decision", "")
	w.para(bold(line(r.Says)), line(r.Do))
	w.bullets(each(r.Reasons, func(x report.WeekReason) string { return line(x.Words) })...)
	if r.Decision == "stop" || r.Decision == "not_asked" {
		w.section("stop", "")
		w.says("refer_no_diagnosis", "page_deferral")
		return w.markdown(nil, o)
	}
	w.section("numbers", "head_numbers")
	w.bullets(each(r.Numbers, func(n report.WeekNumber) string { return line(n.Words) })...)
	if r.Due.Now {
		w.para(w.say("week_due_now", "date", dayMonth(r.Due.Next)), w.say("week_due_when"))
	} else if r.Due.Next != "" {
		w.para(w.say("week_due", "date", dayMonth(r.Due.Next)), w.say("week_due_when"))
	}
	w.section("months", "head_months")
	w.bullets(append([]string{w.phase(r.Phase), line(w.raw("week_carry", "says", r.Carry.Says))}, each(r.Trials, w.trial)...)...)
	w.listed("relook", "head_relook", each(r.Relook, func(x report.Relook) string { return line(x.Words) })...)
	w.twoLadders(r.Ladders)
	w.section("load", "head_load")
	w.bullets(line(r.Load.Says))
	w.listed("notes", "head_week_notes", lines(r.Notes)...)
	w.section("made", "")
	w.says("page_deferral")
	w.says("plan_made")
	return w.markdown(nil, o)
}

func each[T any](of []T, words func(T) string) []string {
	out := make([]string, len(of))
	for i, x := range of {
		out[i] = words(x)
	}
	return out
}

// trial tells of a drill on trial.
func (w *writer) trial(t report.WeekTrial) string {
	values := []string{"from", dayMonth(t.From), "date", dayMonth(t.Until), "drill", t.Title, "why", t.Words}
	return line(orElse(w.raw("trial_"+t.Verdict, values...), w.raw("trial_"+t.Verdict+"_only", values...)))
}

// phase tells the part of the year, what it allows and what it keeps.
func (w *writer) phase(p report.WeekPhase) string {
	name := orElse(w.say("phase_since_"+p.ID, "date", dayMonth(p.Since)), w.say("phase_"+p.ID))
	return join(name, esc(p.Allows), esc(p.Keeps))
}

// twoLadders sets the newest ladder beside the one before.
func (w *writer) twoLadders(changes []report.WeekChange) {
	if len(changes) == 0 {
		return
	}
	w.section("ladders", "head_two_ladders", "date", dayMonth(changes[0].After), "from", dayMonth(changes[0].Before))
	var rows [][]string
	for _, c := range changes {
		says := map[string]string{"faster": "faster", "slower": "slower"}[c.Says]
		rows = append(rows, []string{esc(c.Title), fmt.Sprintf("%+.1f %%", c.Percent), fmt.Sprintf("%+.1f to %+.1f", c.Within[0], c.Within[1]), orElse(says, "too little to see")})
	}
	w.table([]string{"Throw", "Change", "Within", "So"}, rows)
	w.says("two_ladders_how")
}

// Line is a value as one line of text that no terminal reads as a command.
func Line(s string) string { return plain(s) }
