package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/report"
)

// Triage writes the coach's triage as Markdown: what stops a throw first, then
// the gate, what carried over, where the throw breaks, what differs, what most
// likely holds it back, how sure that is and what to look at next; sources and
// rule ids come last.
func Triage(r *report.Report, o Options) string { return triageDocument(r, o).markdown(r, o) }

// A writer puts one record into a document.
type writer struct {
	builder
	speaker
	r *report.Report
}

func newWriter(r *report.Report, o Options) *writer {
	return &writer{builder: builder{lists: o.width() < narrow}, speaker: newSpeaker(r, o), r: r}
}

func triageDocument(r *report.Report, o Options) document {
	w := newWriter(r, o)
	w.title = orElse(w.say("coach_title"), esc(r.Case))
	if quiet(r) {
		w.title = esc(r.Case)
		w.quiet(false)
		return w.document
	}
	w.findings()
	w.cautions("Cautions", func(c report.Caution) bool { return c.Level != "stop" })
	w.granted()
	w.sources(true, false)
	return w.document
}

// findings is what was found out, in the order in which a coach asks.
func (w *writer) findings() {
	w.stops()
	w.gate()
	w.carryOver()
	w.breaks()
	w.differs()
	w.factors()
	w.confidence()
	w.nextLook()
}

// quiet writes all that may be said where nothing may be said about throwing;
// an athlete is also told what to bring along.
func (w *writer) quiet(athlete bool) {
	head := w.say("refer_head")
	if w.r.Gate.Verdict != "refer" {
		head = w.say("not_enough_head")
	}
	w.section("gate_stop", head)
	w.para(esc(sentence(w.r.Gate.Says)), esc(sentence(orElse(w.r.Gate.Do, keep("refer_do")))))
	w.bullets(escAll(w.r.Gate.Missing)...)
	w.recorded()
	w.para(w.say("refer_no_diagnosis"))
	if athlete && w.r.Gate.Verdict == "refer" {
		w.para(w.say("refer_bring"), w.say("refer_kind"))
	}
	w.cautions("Before anything else", func(c report.Caution) bool { return c.Level == "stop" })
	w.section("deferral", "Who comes first")
	w.para(w.say("stop_who"), w.say("plan_deferral"))
	w.section("sources", "Where this comes from")
	w.madeWith("")
}

// stops puts the signs to stop at above everything else.
func (w *writer) stops() {
	w.cautions("Before anything else", func(c report.Caution) bool { return c.Level == "stop" })
	if len(w.sections) == 0 {
		w.section("cautions", "Before anything else")
	}
	w.para(w.say("coach_not_a_diagnosis"))
}

func (w *writer) cautions(head string, which func(report.Caution) bool) {
	var items []string
	for _, c := range w.r.Cautions {
		if which(c) {
			items = append(items, esc(c.Text))
		}
	}
	if len(items) > 0 {
		w.section(idOf(head), head)
		w.bullets(items...)
	}
}

// verdicts are the answers of the gate, in words.
func verdictWords(g report.Gate) string {
	switch g.Verdict {
	case "go_on":
		if g.Low {
			return "Yes, with low confidence."
		}
		return "Yes."
	case "restore":
		return "Not yet, the drill comes first."
	case "not_this_question":
		return "No, this is another question."
	case "none_found":
		return "There is nothing to carry over that is not carried."
	case "not_enough":
		return "That cannot be said yet."
	}
	return ""
}

func (w *writer) gate() {
	g := w.r.Gate
	w.section("gate", "Is it a carry-over question?")
	w.para(bold(verdictWords(g)), esc(sentence(g.Says)), esc(sentence(g.Do)))
	var why []string
	for _, t := range g.Why {
		why = append(why, sentence(t))
	}
	if len(why) > 0 {
		w.para(esc("Why: " + strings.Join(why, " ")))
	}
	if len(g.Missing) > 0 {
		w.para("What is missing:")
		w.bullets(escAll(g.Missing)...)
	}
}

func (w *writer) carryOver() {
	w.section("carry_over", "What carried over")
	c := w.r.CarryOver
	if c.DrillGain == nil || c.MoundGain == nil {
		w.para("Not known. It takes two dated speeds in the drill and two on the mound over the same weeks.")
		return
	}
	over := ""
	if c.Weeks != nil {
		over = " over " + count(int(math.Round(*c.Weeks)), "week")
	}
	gains := fmt.Sprintf("%s: %s %s%s. Mound: %s %s.", capital(orElse(w.r.Athlete.RefTitle, "drill")), signed(*c.DrillGain), c.Unit, over,
		signed(*c.MoundGain), c.Unit)
	w.para(bold(carryWords(c.Words)), esc(gains))
	w.para("Measured, and no forecast: the speed of the drill says nothing about the speed from the mound.")
}

func carryWords(id string) string {
	switch id {
	case "full":
		return "It carried over."
	case "partial":
		return "A part carried over."
	case "none":
		return "Nothing beyond noise carried over."
	}
	return "How much carried over is not known."
}

func (w *writer) breaks() {
	l := w.r.Ladder
	w.section("ladder", "Where it breaks")
	w.para(bold(w.ladderVerdict()), w.ladderMore())
	if slices.ContainsFunc(l.Rungs, func(g report.Rung) bool { return g.N > 0 }) {
		w.add(part{chart: true})
	}
	w.bullets(escAll(l.Advice)...)
	w.bullets(escAll(l.Flags)...)
}

// ladderVerdict is the verdict in one line, escaped.
func (w *writer) ladderVerdict() string {
	l := w.r.Ladder
	sure := []string{"words", cause.InWords(l.Probability), "range", percent(l.Probability)}
	switch l.Verdict {
	case "stuck":
		return orElse(w.say("coach_stuck", sure...), esc("Stuck at: "+w.base["rung"]+"."))
	case "range":
		return orElse(w.say("coach_range", sure...), esc("Lost between two throws, at the latest here: "+w.base["rung_to"]+"."))
	case "slide":
		return "Lost little by little, not at one throw."
	case "none_found":
		return "No break found in what was thrown."
	case "not_enough":
		return "The throws so far do not show where it breaks."
	}
	return "No ladder has been thrown yet."
}

// ladderMore is what else the ladder says: the pattern, the drop, a dip.
func (w *writer) ladderMore() string {
	l := w.r.Ladder
	var out []string
	if l.Held != nil && l.Rung != "" {
		out = append(out, "The pattern held in "+tenths(*l.Held)+" of the throws there.")
	}
	if l.GapPercent != nil && *l.GapPercent > 0 {
		out = append(out, "The speed is some "+num(math.Round(*l.GapPercent))+" % under what that throw should keep.")
	}
	if l.Almost != nil && *l.Almost {
		out = append(out, "The athlete almost has it.")
	}
	if l.Dip {
		out = append(out, "Further on it comes back.")
	}
	return esc(strings.Join(out, " "))
}

// tenths tells a share of throws roughly.
func tenths(p float64) string {
	switch n := math.Round(10 * p); {
	case n <= 0:
		return "none"
	case n >= 10:
		return "all"
	default:
		return fmt.Sprintf("about %.0f in 10", n)
	}
}

// shakyShown is how many shaky answers are told one by one.
const shakyShown = 4

func (w *writer) confidence() {
	c := w.r.Confidence
	w.section("confidence", "How sure this is")
	w.para(esc(sentence(c.Says)))
	var items []string
	for i, s := range w.r.Shaky {
		if i == shakyShown {
			items = append(items, esc("And on "+count(len(w.r.Shaky)-i, "other answer")+" like these, each by itself."))
			break
		}
		items = append(items, w.hangsOn(s))
	}
	if len(c.Tied) > 0 {
		items = append(items, esc("Cannot be told apart from the first: "+list(w.factorTitles(c.Tied))+"."))
	}
	if c.Single {
		items = append(items, "Ranked from one throw alone, since the other column is empty.")
	}
	if c.Unlisted >= .05 {
		items = append(items, esc("Something that is not on the list may be behind it: "+percent(c.Unlisted)+"."))
	}
	w.bullets(items...)
}

func (w *writer) hangsOn(s report.Shaky) string {
	now, first := orElse(humble(s.Now), "not seen"), orElse(s.FirstTitle, humble(s.FirstBecomes))
	return orElse(w.say("coach_shaky", "fact", orElse(s.Title, s.Fact), "now", now, "other", humble(s.If), "factor", first),
		esc("Hangs on one answer: "+orElse(s.Title, s.Fact)+"."))
}

func (w *writer) nextLook() {
	if len(w.r.NextLook) == 0 {
		return
	}
	w.section("next", "Look at this next")
	var items []string
	for _, n := range w.r.NextLook {
		film := ""
		if n.Film != "" {
			film = esc(sentence("film " + n.Film))
		}
		title, ask := orElse(n.Title, n.Fact), n.Ask
		if strings.EqualFold(title, ask) {
			ask = ""
		}
		items = append(items, join(bold(esc(capital(title))+"."), esc(ask), film))
	}
	w.bullets(items...)
}

func (w *writer) granted() {
	w.section("assumed", "Taken for granted")
	w.bullets(escAll(sentences(w.r.Assumed))...)
	var items []string
	for _, d := range w.r.Disagrees {
		who := orElse(d.By, "the coach")
		items = append(items, join(w.say("coach_disagrees", "factor", w.factorTitle(d.Factor)),
			esc(sentence(strings.TrimSuffix(who+", "+dayMonth(d.On), ", ")+": "+d.Reason))))
	}
	w.bullets(items...)
}

func (w *writer) factorTitle(id string) string {
	for _, f := range w.r.Factors {
		if f.ID == id {
			return f.Title
		}
	}
	return humble(id)
}

func (w *writer) factorTitles(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = w.factorTitle(id)
	}
	return out
}
