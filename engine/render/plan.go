package render

import (
	"strings"

	"rungwise/engine/report"
)

// Plan writes the athlete's page as Markdown, in the second person: when to
// stop first, then what was seen, where it breaks, what comes first and why,
// the weeks, tests, cards of drills, what to film, the retest and the limits.
// Of the health answers it tells what they mean for him, the cautions that stop
// or limit, and nothing else. Without a plan in the record it says, in the gate's
// words, what comes instead.
func Plan(r *report.Report, o Options) string { return planDocument(r, o).markdown(r, o) }

func planDocument(r *report.Report, o Options) document {
	w := newWriter(r, o)
	w.title = orElse(w.say("head_plan"), esc("Throwing plan for "+r.Case))
	switch {
	case quiet(r):
		w.title = esc(r.Case)
		w.quiet(true)
		return w.document
	case r.Plan == nil:
		w.title = esc(r.Case)
		w.instead()
		return w.document
	}
	w.stopRules()
	w.healthCautions()
	w.intro()
	w.saw()
	w.where()
	w.first()
	w.unsure()
	w.before()
	w.weeks()
	w.parts()
	w.drillCards()
	w.throwCards()
	w.tests()
	w.film()
	w.retest()
	w.limits()
	w.notes()
	w.athleteCautions()
	w.sources(false, true)
	return w.document
}

// stopRules stand on top of every page that holds a throw.
func (w *writer) stopRules() {
	w.section("stop", w.say("head_stop"))
	w.para(w.say("stop_intro"))
	items := w.signs()
	for _, s := range w.r.Plan.Stop {
		items = append(items, esc(s))
	}
	w.bullets(unique(items)...)
	w.para(w.say("stop_who"))
	w.para(w.say("stop_tired_intro"))
	w.bullets(w.say("stop_tired_speed"), w.say("stop_tired_body"), w.say("stop_tired_time"))
	w.para(w.say("stop_no_catch_up"))
	w.para(bold(w.say("plan_deferral")))
}

// signs are the signs to stop at.
func (w *writer) signs() []string {
	return []string{w.say("stop_pain"), w.say("stop_numb"), w.say("stop_pop"), w.say("stop_colour"), w.say("stop_loss"), w.say("stop_body")}
}

func unique(items []string) []string {
	var out []string
	had := map[string]bool{}
	for _, i := range items {
		key := strings.ToLower(strings.Trim(i, " ."))
		if key != "" && !had[key] {
			had[key] = true
			out = append(out, i)
		}
	}
	return out
}

func (w *writer) intro() {
	w.section("intro", orElse(w.say("head_intro"), "What this is"))
	low := ""
	if w.r.Gate.Low {
		low = w.say("plan_low_confidence")
	}
	if id := w.r.Gate.Verdict; id != "go_on" {
		w.para(orElse(w.say(id+"_page"), esc(sentence(w.r.Gate.Says))), orElse(w.say(id+"_do", "n", "3"), esc(sentence(w.r.Gate.Do))))
		w.para(w.say(id+"_until"), w.say(id+"_trial", "date", dayMonth(w.r.Plan.Retest)))
		w.para(w.say("plan_span"), low)
		return
	}
	w.para(w.say("plan_intro"), w.say("plan_span"), low)
}

func (w *writer) saw() {
	w.section("saw", w.say("head_saw"))
	carry := w.r.CarryOver.Words
	switch carry {
	case "full", "partial", "none":
		w.para(orElse(w.say("saw_carry_"+carry), w.say("saw_carry_not_known")), w.say("saw_no_forecast"))
	default:
		w.para(w.say("saw_carry_not_known"), w.say("saw_no_forecast"))
	}
	if w.r.Confidence.Single {
		w.para(w.say("saw_one_column"))
		return
	}
	var items []string
	for _, row := range w.rows("differs") {
		items = append(items, w.say("saw_differs", "checkpoint", row.Title, "best", orElse(humble(row.Best), "not seen"),
			"stuck", orElse(humble(row.Stuck), "not seen")))
	}
	if len(items) > 0 {
		w.para(w.say("saw_intro"))
		w.bullets(items...)
	} else if len(w.r.Comparison.Rows) > 0 {
		w.para(w.say("saw_no_difference"))
	}
	w.para(w.named("saw_same", "same"))
}

// named says the checkpoints of one verdict in one sentence.
func (w *writer) named(id, verdict string) string {
	var names []string
	for _, row := range w.rows(verdict) {
		names = append(names, row.Title)
	}
	return w.say(id, "checkpoint", list(names))
}

func (w *writer) where() {
	l := w.r.Ladder
	w.section("breaks", w.say("head_breaks"))
	first := ""
	switch l.Verdict {
	case "stuck":
		first = orElse(w.say("breaks_stuck"), w.say("breaks_stuck_first"))
	case "range":
		first = w.say("breaks_range")
	case "slide":
		first = w.say("breaks_slide")
	}
	dip := ""
	if l.Dip {
		dip = w.say("breaks_dip")
	}
	w.para(first, w.lost(), dip)
	if shown(w.r) {
		w.para(w.say("breaks_chart"))
		w.add(part{chart: true})
	}
	if first == "" { // then the chart is what was thrown, and nothing breaks
		w.sections[len(w.sections)-1].head = "What you threw"
	}
}

// shown reports whether there is anything to draw on a ladder chart.
func shown(r *report.Report) bool {
	for _, g := range r.Ladder.Rungs {
		if g.N > 0 || len(g.Speeds) > 0 {
			return true
		}
	}
	return false
}

// lost says what goes at the break: the pattern, the speed, or both.
func (w *writer) lost() string {
	l := w.r.Ladder
	if l.Verdict != "stuck" {
		return ""
	}
	speed := l.GapPercent != nil && *l.GapPercent >= .5
	pattern := l.Held != nil && *l.Held < .8
	switch {
	case speed && pattern:
		return w.say("breaks_both")
	case speed:
		return w.say("breaks_speed")
	case pattern:
		return w.say("breaks_pattern", "held", num(float64(int(10**l.Held+.5))), "of", "10")
	}
	return ""
}

// first says what is worked on first, and why.
func (w *writer) first() {
	p := w.r.Plan
	if len(p.Focus) == 0 {
		return
	}
	w.section("first", w.say("head_first"))
	if len(p.Focus) > 1 {
		w.para(w.say("first_two", "factor", p.Focus[0].Title, "factor2", p.Focus[1].Title))
	}
	for i, f := range p.Focus {
		chance := ""
		if x, ok := w.factor(f.Factor); ok {
			chance = w.say("first_chance", "words", x.Words, "range", x.Range)
		}
		if i > 0 {
			w.para(bold(esc(capital(f.Title))+"."), esc(f.InWords), w.say("first_why", "why", f.Why), chance)
			continue
		}
		w.para(w.say("first_lead", "factor", f.Title, "in_words", f.InWords), w.say("first_why", "why", f.Why), chance)
		w.para(w.consequences())
		if f.OnSlope {
			w.para(w.say("first_slope"))
		}
	}
	w.para(w.say("first_one_change"), w.say("stage_"+p.Stage), w.say("stage_weeks"))
	w.para(esc(p.BuiltOn))
}

func (w *writer) factor(id string) (report.Factor, bool) {
	for _, f := range w.r.Factors {
		if f.ID == id {
			return f, true
		}
	}
	return report.Factor{}, false
}

// consequences names what most likely follows from what is worked on, by the
// factor that brings it about.
func (w *writer) consequences() string {
	var order []string
	follow := map[string][]string{}
	for _, f := range w.r.Factors {
		if f.Role != "consequence" || f.OfTitle == "" || f.Private {
			continue
		}
		if follow[f.OfTitle] == nil {
			order = append(order, f.OfTitle)
		}
		follow[f.OfTitle] = append(follow[f.OfTitle], f.Title)
	}
	if len(order) == 0 {
		return ""
	}
	out := []string{w.say("first_upstream")}
	for _, of := range order {
		out = append(out, w.say("consequence", "factor", list(follow[of]), "upstream", of))
	}
	return join(out...)
}

// unsure says what the answer hangs on. Screens of the body are no business of
// this page.
func (w *writer) unsure() {
	c := w.r.Confidence
	if len(w.r.Factors) == 0 {
		return
	}
	w.section("unsure", w.say("head_unsure"))
	second := ""
	if len(c.Tied) > 0 {
		second = w.factorTitle(c.Tied[0])
	}
	lead := ""
	if len(w.r.Factors) > 0 {
		lead = w.r.Factors[0].Title
	}
	learning := ""
	for _, k := range w.r.Cautions {
		if k.ID == "learning" {
			learning = w.say("unsure_learning")
		}
	}
	w.para(orElse(w.say("unsure_"+c.Level, "factor", capital(lead), "factor2", second), w.say("unsure_weak_lead")), learning)
	var items []string
	for _, s := range w.r.Shaky {
		if !strings.HasPrefix(s.Fact, "screen.") && len(items) < 2 {
			items = append(items, w.say("unsure_shaky", "fact", orElse(s.Title, s.Fact), "other", humble(s.If),
				"now", orElse(humble(s.Now), "not seen"), "factor", orElse(s.FirstTitle, humble(s.FirstBecomes))))
		}
	}
	for _, n := range w.r.NextLook {
		if !strings.HasPrefix(n.Fact, "screen.") && len(items) < 3 {
			items = append(items, w.say("unsure_next", "clip", orElse(n.Film, n.Title)))
		}
	}
	w.bullets(items...)
	w.para(w.named("saw_unclear", "unclear"), w.named("saw_unseen", "unseen"))
}

func (w *writer) before() {
	w.section("before", w.say("head_before"))
	w.para(w.say("before_intro"))
	w.bullets(w.say("before_arm"), w.say("before_feeling"), w.say("before_well"), w.say("before_rest"), w.say("before_other"), w.say("before_gun"))
}
