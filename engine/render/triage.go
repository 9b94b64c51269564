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

func triageDocument(r *report.Report, o Options) document {
	w := newWriter(r, o)
	if w.quiet(false) {
		return w.document
	}
	w.title = orElse(w.say("coach_title"), w.title)
	w.findings()
	w.coachCautions()
	w.granted()
	w.sources(true, nil)
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

// quiet writes all that may be said where nothing may be said about throwing,
// and reports whether that is so; an athlete is also told what to bring along.
func (w *writer) quiet(athlete bool) bool {
	if !quiet(w.r) {
		return false
	}
	refer := w.r.Gate.Verdict == "refer"
	if refer {
		w.section("gate_stop", "refer_head")
	} else {
		w.section("gate_stop", "not_enough_head")
	}
	w.para(line(w.r.Gate.Says), line(orElse(w.r.Gate.Do, kept["refer_do"])))
	w.bullets(lines(w.r.Gate.Missing)...)
	w.recorded()
	w.says("refer_no_diagnosis")
	if athlete && refer {
		w.says("refer_bring", "refer_kind")
	}
	w.cautions("before_anything_else", "head_before_all", stopping)
	w.section("deferral", "head_deferral")
	w.says("stop_who", "plan_deferral")
	w.section("sources", "head_sources")
	w.madeWith(nil)
	return true
}

// stops puts the signs to stop at above everything else.
func (w *writer) stops() {
	w.cautions("before_anything_else", "head_before_all", stopping)
	if len(w.sections) == 0 {
		w.section("cautions", "head_before_all")
	}
	w.says("coach_not_a_diagnosis")
}

func stopping(c report.Caution) bool { return c.Level == "stop" }

// coachCautions are those that stop nothing.
func (w *writer) coachCautions() {
	w.cautions("cautions", "head_cautions", func(c report.Caution) bool { return !stopping(c) })
}

func (w *writer) cautions(id, head string, which func(report.Caution) bool) {
	var items []string
	for _, c := range w.r.Cautions {
		if which(c) {
			items = append(items, esc(c.Text))
		}
	}
	w.listed(id, head, items...)
}

func (w *writer) gate() {
	g := w.r.Gate
	w.section("gate", "head_gate")
	verdict := "verdict_" + g.Verdict
	if g.Verdict == "go_on" && g.Low {
		verdict += "_low"
	}
	w.para(bold(w.say(verdict)), line(g.Says), line(g.Do))
	var why []string
	for _, t := range g.Why {
		why = append(why, sentence(t))
	}
	w.para(w.say("gate_why", "why", strings.Join(why, " ")))
	if len(g.Missing) > 0 {
		w.says("gate_missing")
		w.bullets(lines(g.Missing)...)
	}
}

// recorded tells what in the record the safety screen rests on.
func (w *writer) recorded() {
	if w.r.Gate.Screen && len(w.r.Gate.Why) > 1 {
		w.bullets(lines(w.r.Gate.Why[1:])...)
	}
}

func (w *writer) carryOver() {
	w.section("carry_over", "head_carry_over")
	c := w.r.CarryOver
	if c.DrillGain == nil || c.MoundGain == nil {
		w.says("carry_unknown")
		return
	}
	weeks := ""
	if c.Weeks != nil {
		weeks = count(int(math.Round(*c.Weeks)), "week")
	}
	gains := []string{"reference", capital(orElse(w.r.Athlete.RefTitle, "drill")), "weeks", weeks,
		"drill_gain", signed(*c.DrillGain), "mound_gain", signed(*c.MoundGain)}
	w.para(bold(orElse(w.say("carried_"+c.Words), w.say("carried_not_known"))),
		orElse(w.say("carry_gains", gains...), w.say("carry_gains_undated", gains...)))
	w.says("carry_no_forecast")
}

func (w *writer) breaks() {
	l := w.r.Ladder
	w.section("ladder", "head_breaks")
	w.para(bold(w.ladderVerdict()), w.ladderMore())
	if slices.ContainsFunc(l.Rungs, func(g report.Rung) bool { return g.N > 0 }) {
		w.add(part{chart: true})
	}
	w.bullets(lines(l.Advice)...)
	w.bullets(lines(l.Flags)...)
}

// ladderVerdict is the verdict in one line.
func (w *writer) ladderVerdict() string {
	l := w.r.Ladder
	id := "coach_" + orElse(l.Verdict, "not_thrown")
	return orElse(w.say(id, "words", cause.InWords(l.Probability), "range", cause.InTenths(l.Probability)), w.say(id+"_only"))
}

// ladderMore is what else the ladder says: the pattern, the drop, a dip.
func (w *writer) ladderMore() string {
	l := w.r.Ladder
	var out []string
	if l.Held != nil && l.Rung != "" {
		out = append(out, w.say("coach_held", "held", tenths(*l.Held)))
	}
	if l.GapPercent != nil && *l.GapPercent > 0 {
		out = append(out, w.say("coach_under", "n", num(math.Round(*l.GapPercent))))
	}
	if l.Almost != nil && *l.Almost {
		out = append(out, w.say("coach_almost"))
	}
	if l.Dip {
		out = append(out, w.say("coach_dip"))
	}
	return join(out...)
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

// differs puts the checkpoints side by side: what differs in a table, then what
// is unclear and what was not seen by name, and the rest in one line.
func (w *writer) differs() {
	if len(w.r.Comparison.Rows) == 0 {
		return
	}
	w.section("compared", "head_compared")
	w.says("compared_throws")
	var rows [][]string
	for _, row := range w.rows("differs") {
		rows = append(rows, []string{esc(row.Title), esc(w.seen(row.Best)), esc(w.seen(row.Stuck)), esc(row.Moment)})
	}
	w.table([]string{"Look at", "Drill", "There", "When"}, rows)
	if len(rows) == 0 {
		w.says("compared_alike")
	}
	w.footing()
	var unclear []string
	for _, row := range w.rows("unclear") {
		pair := ""
		if row.Best != "" || row.Stuck != "" {
			pair = line(w.raw("compared_pair", "best", w.seen(row.Best), "stuck", w.seen(row.Stuck)))
		}
		unclear = append(unclear, join(bold(w.say("saw_unclear", "checkpoint", row.Title)), pair, line(row.Note)))
	}
	w.bullets(unclear...)
	w.para(led(w.named("compared_unseen", "unseen")))
	w.para(led(w.named("compared_same", "same")))
}

// footing says what the settled rows rest on: the clips behind them, and what
// to keep in mind about the camera.
func (w *writer) footing() {
	var out []string
	for _, row := range slices.Concat(w.rows("differs"), w.rows("same")) {
		clips := []string{"best", row.BestFrom, "stuck", row.StuckFrom}
		from := orElse(w.say("clips_both", clips...), orElse(w.say("clips_drill", clips...), w.say("clips_there", clips...)))
		if text := join(from, line(row.Note)); text != "" {
			out = append(out, join(bold(line(row.Title)), text))
		}
	}
	w.bullets(out...)
}

func (w *writer) rows(verdict string) []report.Row {
	var out []report.Row
	for _, row := range w.r.Comparison.Rows {
		if row.Verdict == verdict {
			out = append(out, row)
		}
	}
	return out
}

// named says the checkpoints of one verdict in one sentence.
func (w *writer) named(id, verdict string) string {
	var names []string
	for _, row := range w.rows(verdict) {
		names = append(names, row.Title)
	}
	return w.say(id, "checkpoint", list(names))
}

// seen is an answer for people.
func (w *writer) seen(s string) string { return orElse(humble(s), w.raw("not_seen")) }

// shakyShown is how many shaky answers are told one by one.
const shakyShown = 4

func (w *writer) confidence() {
	c := w.r.Confidence
	w.section("confidence", "head_confidence")
	w.para(line(c.Says))
	var items []string
	for i, s := range w.r.Shaky {
		if i == shakyShown {
			items = append(items, w.plural("coach_shaky_more", len(w.r.Shaky)-i))
			break
		}
		items = append(items, orElse(w.shaky("coach_shaky", s), w.shaky("coach_shaky_only", s)))
	}
	var tied []string
	for _, id := range c.Tied {
		tied = append(tied, w.factorTitle(id))
	}
	items = append(items, w.say("coach_tied", "factor", list(tied)))
	if c.Single {
		items = append(items, w.say("coach_single"))
	}
	if c.Unlisted >= .05 {
		items = append(items, w.say("coach_unlisted", "words", cause.InWords(c.Unlisted), "range", cause.InTenths(c.Unlisted)))
	}
	w.bullets(items...)
}

// shaky says what would come first with another answer.
func (w *writer) shaky(id string, s report.Shaky) string {
	return w.say(id, "fact", orElse(s.Title, s.Fact), "now", w.seen(s.Now), "other", humble(s.If), "factor", orElse(s.FirstTitle, humble(s.FirstBecomes)))
}

func (w *writer) nextLook() {
	var items []string
	for _, n := range w.r.NextLook {
		title, ask := orElse(n.Title, n.Fact), n.Ask
		if strings.EqualFold(title, ask) {
			ask = ""
		}
		items = append(items, join(bold(esc(capital(title))+"."), esc(ask), line(w.raw("coach_film", "clip", n.Film))))
	}
	w.listed("next", "head_next", items...)
}

func (w *writer) granted() {
	w.section("assumed", "head_assumed")
	w.bullets(lines(w.r.Assumed)...)
	var items []string
	for _, d := range w.r.Disagrees {
		who := strings.TrimSuffix(orElse(d.By, "the coach")+", "+dayMonth(d.On), ", ")
		items = append(items, join(w.say("coach_disagrees", "factor", w.factorTitle(d.Factor)), line(who+": "+d.Reason)))
	}
	w.bullets(items...)
}

func (w *writer) factor(id string) (report.Factor, bool) {
	i := slices.IndexFunc(w.r.Factors, func(f report.Factor) bool { return f.ID == id })
	if i < 0 {
		return report.Factor{}, false
	}
	return w.r.Factors[i], true
}

func (w *writer) factorTitle(id string) string {
	f, _ := w.factor(id)
	return orElse(f.Title, humble(id))
}
