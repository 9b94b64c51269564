package render

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

// Ladder writes a ladder by itself as Markdown: where it breaks, what to throw
// next, what each step adds, what has changed since the ladder before, and how
// the drills compare that could be the reference.
func Ladder(r *report.Report, o Options) string {
	w := newWriter(r, o)
	if w.quiet(false) {
		return w.markdown(r, o)
	}
	w.stops()
	if v := r.Gate.Verdict; v != "go_on" && v != "none_found" {
		w.gate()
	}
	w.breaks()
	if p := r.Ladder.Page; p != nil {
		w.throwNext(p.Next)
		w.steps("head_steps", p.Steps)
		w.since(p)
		w.candidates(p)
	}
	w.coachCautions()
	w.section("deferral", "head_deferral")
	w.says("plan_deferral")
	w.madeWith(nil)
	return w.markdown(r, o)
}

// throwNext says which throws to make on which day.
func (w *writer) throwNext(n *report.NextThrows) {
	if n == nil {
		return
	}
	w.section("throw_next", "head_throw_next")
	switch {
	case n.Video:
		w.says("throw_next_video")
		return
	case n.Order == "":
		w.para(w.say("throw_next_nothing"), line(n.Bound))
		return
	}
	begins, about := "", ""
	if n.Fresh {
		begins = w.say("throw_next_fresh")
	}
	if n.About > 0 {
		about = w.say("throw_next_about", "n", strconv.Itoa(n.About))
	}
	w.para(line(w.raw("throw_next_order", "order", n.Order, "why", n.Why)), begins, about)
	if n.NoDay {
		w.para(line(orElse(w.raw("throw_next_no_day", "limit", n.Bound), w.raw("throw_next_no_day_at_all"))))
		return
	}
	for _, d := range n.Days {
		var parts []string
		for _, p := range d.Parts {
			parts = append(parts, esc(fmt.Sprintf("%d × %s", p.Throws, p.Title)))
		}
		w.bullets(bold(esc(shortDay(d.On))) + ": " + strings.Join(parts, ", ") + " (" + count(d.Throws, "throw") + ")")
	}
	if today := len(n.Days) > 0 && n.Days[0].On == w.r.On; !today && n.Bound != "" {
		w.para(w.plural("throw_next_room", n.Room, "limit", n.Bound))
	}
	if n.Waits > 0 {
		w.para(w.plural("throw_next_waits", n.Waits))
	}
	w.para(esc(n.Note))
	w.says("throw_next_how")
}

// steps lists what each step adds, and what would halve a large one.
func (w *writer) steps(head string, steps []report.Step) {
	var items []string
	for _, s := range steps {
		text := line(w.raw("step", "throw", capital(s.Title), "adds", s.Adds))
		if s.Places > 1 {
			text = join(text, w.say("step_between", "between", s.Between))
		}
		items = append(items, join(text, w.say("step_instead", "throw", capital(list(s.Instead)))))
	}
	w.listed("steps", head, items...)
}

// since tells what moved since the ladder before.
func (w *writer) since(p *report.LadderPage) {
	if len(p.Changes) == 0 {
		return
	}
	w.section("since", "head_since", "date", dayMonth(p.Since))
	var rows [][]string
	for _, c := range p.Changes {
		rows = append(rows, []string{esc(capital(c.Title)), signed(tenth(c.Percent)) + " %",
			fmt.Sprintf("%s to %s %%", signed(tenth(c.Low)), signed(tenth(c.High))), humble(c.Says)})
	}
	w.table([]string{"Throw", "Change", "Between", "Says"}, rows)
	w.says("since_how")
}

func tenth(v float64) float64 { return math.Round(v*10) / 10 }

// candidates sets drills side by side that could be the reference.
func (w *writer) candidates(p *report.LadderPage) {
	if len(p.Candidates) == 0 {
		return
	}
	w.section("candidates", "head_candidates")
	if p.Found {
		w.para(bold(w.say("candidates_best", "drill", capital(p.Candidates[0].Title))))
	} else {
		w.para(bold(w.say("candidates_none")))
	}
	var items []string
	for _, c := range p.Candidates {
		words := slices.Clone(c.Words)
		if c.Behind > 0 {
			words = append(words, w.raw("candidate_behind", "n", num(tenth(c.Behind)), "low", num(tenth(c.Low)), "high", num(tenth(c.High))))
		}
		items = append(items, line(c.Title+": "+list(words)))
	}
	w.bullets(items...)
	w.says("candidates_how")
}

// BuiltLadder writes a ladder that was built and not thrown.
func BuiltLadder(b *report.BuiltLadder, o Options) string {
	if len(b.Rungs) == 0 {
		return ""
	}
	w := newWriter(&report.Report{}, o)
	w.title = w.say("head_built", "throw", b.Rungs[0].Title)
	w.section("ladder", "")
	var rows [][]string
	for i, g := range b.Rungs {
		adds, band := "", ""
		if i > 0 {
			adds, band = b.Steps[i-1].Adds, fmt.Sprintf("%.0f to %.0f %%", 100*g.Expected[0], 100*g.Expected[1])
		}
		title := g.Title
		if g.Measured {
			title += " (measured)"
		}
		rows = append(rows, []string{strconv.Itoa(i + 1), esc(title), esc(adds), band})
	}
	w.table([]string{"No", "Throw", "What it adds", "Usual speed, of the first"}, rows)
	w.para(esc(b.Note))
	large := slices.DeleteFunc(slices.Clone(b.Steps), func(s report.Step) bool { return s.Places <= 1 && len(s.Instead) == 0 })
	w.steps("head_steps_large", large)
	w.section("deferral", "head_deferral")
	w.says("plan_deferral")
	return w.markdown(w.r, o)
}
