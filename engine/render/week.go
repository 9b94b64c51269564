package render

import (
	"fmt"
	"strings"

	"rungwise/engine/report"
)

// Week writes the weekly decision as Markdown: the decision first, what it rests
// on, then what is longer than a week. Where throwing is to stop, it says that
// and whom to see, and nothing else.
func Week(w *report.Week, o Options) string {
	b := &builder{lists: o.width() < narrow}
	b.title = esc(w.Case + ", week to " + dayMonth(w.On))
	b.section("decision", "")
	b.para("**" + esc(sentence(w.Says)) + "** " + esc(sentence(w.Do)))
	b.bullets(reasonItems(w.Reasons)...)
	if w.Decision == "stop" || w.Decision == "not_asked" {
		b.section("stop", "")
		b.para(esc(keep("refer_no_diagnosis")), esc(keep("plan_deferral")))
		return b.markdown(nil, o)
	}
	weekNumbers(b, w)
	weekMonths(b, w)
	weekAges(b, w)
	b.section("load", "Load")
	b.bullets(esc(sentence(w.Load.Says)))
	b.section("notes", "Notes")
	var notes []string
	for _, n := range w.Notes {
		notes = append(notes, esc(sentence(n)))
	}
	b.bullets(notes...)
	b.section("made", "")
	b.para(esc(keep("plan_deferral")))
	b.para(esc(fmt.Sprintf("Made on %s with rule base %s, %s.", dayMonth(w.On), w.Rules.Version, w.Rules.Hash)))
	return b.markdown(nil, o)
}

func reasonItems(reasons []report.WeekReason) []string {
	var out []string
	for _, r := range reasons {
		out = append(out, esc(sentence(r.Words)))
	}
	return out
}

func weekNumbers(b *builder, w *report.Week) {
	b.section("numbers", "What it rests on")
	var items []string
	for _, n := range w.Numbers {
		items = append(items, esc(sentence(n.Words)))
	}
	b.bullets(items...)
	if w.Due.Next != "" {
		words := "The next decision is due from " + dayMonth(w.Due.Next) + " on."
		if w.Due.Now {
			words = "A decision is due since " + dayMonth(w.Due.Next) + "."
		}
		b.para(esc(words + " It is taken at the end of a session, never in the middle."))
	}
}

func weekMonths(b *builder, w *report.Week) {
	b.section("months", "The longer run")
	items := []string{esc(phaseWords(w.Phase)), esc(sentence("carry-over: " + w.Carry.Says))}
	for _, t := range w.Trials {
		words := fmt.Sprintf("on trial from %s to %s: %s", dayMonth(t.From), dayMonth(t.Until), t.Title)
		switch t.Verdict {
		case "due":
			words += "; its date has come, keep or drop"
		case "keep":
			words = "kept: " + t.Title
		case "drop":
			words = "dropped: " + t.Title
		}
		items = append(items, esc(sentence(join2(words, t.Words))))
	}
	b.bullets(items...)
}

func join2(a, b string) string {
	if b == "" {
		return a
	}
	return a + "; " + b
}

func phaseWords(p report.WeekPhase) string {
	name := map[string]string{"velocity": "Velocity block", "mound": "Mound phase", "season": "Season", "time_off": "Time off"}[p.ID]
	if p.Since != "" {
		name += " since " + dayMonth(p.Since)
	}
	return strings.TrimSpace(name + ". " + p.Allows + " " + p.Keeps)
}

func weekAges(b *builder, w *report.Week) {
	b.section("relook", "To be looked at again")
	var items []string
	for _, r := range w.Relook {
		items = append(items, esc(sentence(r.Words)))
	}
	b.bullets(items...)
	if len(w.Ladders) == 0 {
		return
	}
	b.section("ladders", fmt.Sprintf("The ladder of %s beside that of %s", dayMonth(w.Ladders[0].After), dayMonth(w.Ladders[0].Before)))
	var rows [][]string
	for _, c := range w.Ladders {
		says := map[string]string{"faster": "faster", "slower": "slower"}[c.Says]
		rows = append(rows, []string{esc(c.Title), fmt.Sprintf("%+.1f %%", c.Percent), fmt.Sprintf("%+.1f to %+.1f", c.Within[0], c.Within[1]), orElse(says, "too little to see")})
	}
	b.table([]string{"Throw", "Change", "Within", "So"}, rows)
	b.para("The first line is the drill itself; the others are how each throw moved against the drill of its own day, in percent of the drill.")
}

// Line is a value as one line of text that no terminal reads as a command.
func Line(s string) string { return plain(s) }
