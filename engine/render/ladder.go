package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/report"
)

// Ladder writes a ladder by itself as Markdown: where it breaks, what to throw
// next, what each step adds, what has changed since the ladder before, and how
// the drills compare that could be the reference.
func Ladder(r *report.Report, o Options) string {
	w := newWriter(r, o)
	w.title = esc(r.Case)
	if quiet(r) {
		w.quiet(false)
		return w.markdown(r, o)
	}
	w.stops()
	if v := r.Gate.Verdict; v != "go_on" && v != "none_found" {
		w.gate()
	}
	w.ladderAlone()
	if p := r.Ladder.Page; p != nil {
		w.throwNext(p.Next)
		w.steps("What each step adds", p.Steps)
		w.since(p)
		w.candidates(p)
	}
	w.cautions("Cautions", func(c report.Caution) bool { return c.Level != "stop" })
	w.section("deferral", "Who comes first")
	w.para(w.say("plan_deferral"))
	w.madeWith("")
	return w.markdown(r, o)
}

// ladderAlone is the verdict with the chart, for a ladder that was not thrown yet
// the chart alone.
func (w *writer) ladderAlone() {
	l := w.r.Ladder
	w.section("ladder", "Where it breaks")
	w.para(bold(w.ladderVerdict()), w.ladderMore())
	if len(l.Rungs) > 0 && slices.ContainsFunc(l.Rungs, func(g report.Rung) bool { return g.N > 0 }) {
		w.add(part{chart: true})
	}
	w.bullets(escAll(l.Advice)...)
	w.bullets(escAll(l.Flags)...)
}

// throwNext says which throws to make on which day.
func (w *writer) throwNext(n *report.NextThrows) {
	if n == nil {
		return
	}
	w.section("throw_next", "Throw this next")
	if n.Video {
		w.para("More throws will not settle it. Look at the pattern on video, at the rungs named above.")
		return
	}
	if n.Order == "" {
		w.para("Nothing.", esc(sentence(capital(n.Bound))))
		return
	}
	begins := ""
	if n.Fresh {
		begins = "It begins a new ladder."
	}
	w.para(esc(sentence("Order: "+n.Order+", "+n.Why)), begins, w.about(n))
	if n.NoDay {
		w.para(esc(sentence("No day of the next four weeks leaves room for it" + bracket(n.Bound))))
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
		w.para(esc(sentence(fmt.Sprintf("Today's limits leave %s%s", count(n.Room, "throw"), bracket(n.Bound)))))
	}
	if n.Waits > 0 {
		w.para(esc(sentence(fmt.Sprintf("The day has room for no more; the other %s wait for another day", count(n.Waits, "throw")))))
	}
	if n.Note != "" {
		w.para(esc(n.Note))
	}
	w.para("Full effort, full rest between throws, and marks for whether the pattern held. End with three throws of the reference drill where the day leaves room.")
}

func (w *writer) about(n *report.NextThrows) string {
	if n.About == 0 {
		return ""
	}
	return fmt.Sprintf("Some %d throws in all on average; each step depends on the one before.", n.About)
}

func bracket(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// steps lists what each step adds, and what would halve a large one.
func (w *writer) steps(head string, steps []report.Step) {
	if len(steps) == 0 {
		return
	}
	w.section("steps", head)
	var items []string
	for _, s := range steps {
		text := s.Title + ": " + s.Adds
		if s.Places > 1 && s.Between != "" {
			text += fmt.Sprintf(". A large step: a throw in between would have %s", s.Between)
		}
		if len(s.Instead) > 0 {
			text += ". " + capital(list(s.Instead)) + " would do as well"
		}
		items = append(items, esc(sentence(text)))
	}
	w.bullets(items...)
}

// since tells what moved since the ladder before.
func (w *writer) since(p *report.LadderPage) {
	if len(p.Changes) == 0 {
		return
	}
	w.section("since", "Since "+dayMonth(p.Since))
	var rows [][]string
	for _, c := range p.Changes {
		says := map[string]string{"faster": "faster", "slower": "slower", "cannot_be_seen": "cannot be seen"}[c.Says]
		rows = append(rows, []string{esc(capital(c.Title)), signed(tenthOf(c.Percent)) + " %",
			fmt.Sprintf("%s to %s %%", signed(tenthOf(c.Low)), signed(tenthOf(c.High))), says})
	}
	w.table([]string{"Throw", "Change", "Between", "Says"}, rows)
	w.para("The first line is the reference drill against itself; the others are each rung against the reference of its own day.")
}

func tenthOf(v float64) float64 { return math.Round(v*10) / 10 }

// candidates sets drills side by side that could be the reference.
func (w *writer) candidates(p *report.LadderPage) {
	if len(p.Candidates) == 0 {
		return
	}
	w.section("candidates", "Which drill to build on")
	if p.Found {
		w.para(bold(esc(sentence(capital(p.Candidates[0].Title) + " shows this athlete's pattern best"))))
	} else {
		w.para(bold("None of them can serve as a reference yet."))
	}
	var items []string
	for _, c := range p.Candidates {
		words := slices.Clone(c.Words)
		if c.Behind > 0 {
			words = append(words, fmt.Sprintf("%s %% behind the best (%s to %s)", num(tenthOf(c.Behind)), num(tenthOf(c.Low)), num(tenthOf(c.High))))
		}
		items = append(items, esc(sentence(capital(c.Title)+": "+list(words))))
	}
	w.bullets(items...)
	w.para("Speed orders only what passes: a drill is chosen for its positions.")
}

// BuiltLadder writes a ladder that was built and not thrown.
func BuiltLadder(b *report.BuiltLadder, o Options) string {
	if len(b.Rungs) == 0 {
		return ""
	}
	w := newWriter(&report.Report{}, o)
	w.title = esc("From " + b.Rungs[0].Title + " to the game")
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
		rows = append(rows, []string{fmt.Sprintf("%d", i+1), esc(title), esc(adds), band})
	}
	w.table([]string{"No", "Throw", "What it adds", "Usual speed, of the first"}, rows)
	if b.Note != "" {
		w.para(esc(b.Note))
	}
	var large []report.Step
	for _, s := range b.Steps {
		if s.Places > 1 || len(s.Instead) > 0 {
			large = append(large, s)
		}
	}
	w.steps("Steps to look at", large)
	w.section("deferral", "Who comes first")
	w.para(w.say("plan_deferral"))
	return w.markdown(w.r, o)
}
