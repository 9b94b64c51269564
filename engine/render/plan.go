package render

import (
	"slices"
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
	switch {
	case w.quiet(true):
		return w.document
	case r.Plan == nil:
		w.instead()
		return w.document
	}
	w.title = orElse(w.say("head_plan"), w.title)
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
	w.sources(false, planRules(r))
	return w.document
}

// stopRules stand on top of every page that holds a throw.
func (w *writer) stopRules() {
	w.section("stop", "head_stop")
	w.says("stop_intro")
	items := w.signs()
	for _, s := range w.r.Plan.Stop {
		items = append(items, esc(s))
	}
	w.bullets(unique(items)...)
	w.says("stop_who")
	w.says("stop_tired_intro")
	w.bullets(w.all([]string{"stop_tired_speed", "stop_tired_body", "stop_tired_time"})...)
	w.says("stop_no_catch_up")
	w.para(bold(w.say("plan_deferral")))
}

// signs are the signs to stop at.
func (w *writer) signs() []string {
	return w.all([]string{"stop_pain", "stop_numb", "stop_pop", "stop_colour", "stop_loss", "stop_body"})
}

func unique(items []string) []string {
	had := map[string]bool{"": true}
	return slices.DeleteFunc(items, func(i string) bool {
		key := strings.ToLower(strings.Trim(i, " ."))
		before := had[key]
		had[key] = true
		return before
	})
}

// healthCautions are those that stop or limit this athlete because of a health
// answer. They stand high on the page, since somebody has to look at them first.
func (w *writer) healthCautions() {
	w.cautions("health", "head_health", func(c report.Caution) bool { return c.Private && c.Level != "note" })
}

// athleteCautions are those that rest on no health answer.
func (w *writer) athleteCautions() {
	w.cautions("cautions", "head_cautions", func(c report.Caution) bool { return !c.Private })
}

// instead writes the athlete's page where the gate makes no plan, or where one
// was refused: what comes in its place, in plain and kind words.
func (w *writer) instead() {
	id := w.r.Gate.Verdict
	w.section("stop", "head_stop")
	w.says("stop_intro")
	w.bullets(w.signs()...)
	w.says("stop_who", "plan_deferral")
	w.healthCautions()
	w.section("gate", id+"_head")
	if head := &w.sections[len(w.sections)-1].head; *head == "" {
		*head = line(w.r.Gate.Says)
	}
	w.para(w.gatePage(), w.say(id+"_tested", "throw", list(w.tested())), w.gateDo())
	w.para(line(w.r.PlanRefused))
	switch id {
	case "restore":
		w.says("restore_until")
	case "not_enough":
		w.bullets(lines(w.r.Gate.Missing)...)
	}
	w.recorded()
	w.bullets(lines(w.r.Ladder.Advice)...)
	if shown(w.r) {
		w.section("breaks", "head_thrown")
		w.says("breaks_chart")
		w.add(part{chart: true})
	}
	w.athleteCautions()
	w.sources(false, nil)
}

// gatePage and gateDo say to the athlete what the gate says and asks.
func (w *writer) gatePage() string {
	return orElse(w.say(w.r.Gate.Verdict+"_page"), line(w.r.Gate.Says))
}

func (w *writer) gateDo() string {
	return orElse(w.say(w.r.Gate.Verdict+"_do", "n", "3"), line(w.r.Gate.Do))
}

// tested names the throws that were thrown, the reference drill apart.
func (w *writer) tested() []string {
	var out []string
	for _, g := range w.r.Ladder.Rungs {
		if g.N > 0 && g.Throw != w.r.Athlete.Reference {
			out = append(out, strings.TrimSpace(orElse(g.Title, humble(g.Throw))))
		}
	}
	return out
}

func (w *writer) intro() {
	w.section("intro", "head_intro")
	low := ""
	if w.r.Gate.Low {
		low = w.say("plan_low_confidence")
	}
	if id := w.r.Gate.Verdict; id != "go_on" {
		w.para(w.gatePage(), w.gateDo())
		w.para(w.say(id+"_until"), w.say(id+"_trial", "date", dayMonth(w.r.Plan.Retest)))
		w.para(w.say("plan_span"), low)
		return
	}
	w.para(w.say("plan_intro"), w.say("plan_span"), low)
}

func (w *writer) saw() {
	w.section("saw", "head_saw")
	w.para(orElse(w.say("saw_carry_"+w.r.CarryOver.Words), w.say("saw_carry_not_known")), w.say("saw_no_forecast"))
	if w.r.Confidence.Single {
		w.says("saw_one_column")
		return
	}
	var items []string
	for _, row := range w.rows("differs") {
		items = append(items, w.say("saw_differs", "checkpoint", row.Title, "best", w.seen(row.Best), "stuck", w.seen(row.Stuck)))
	}
	if len(items) > 0 {
		w.says("saw_intro")
		w.bullets(items...)
	} else if len(w.r.Comparison.Rows) > 0 {
		w.says("saw_no_difference")
	}
	w.para(w.named("saw_same", "same"))
}

func (w *writer) where() {
	l := w.r.Ladder
	first := ""
	switch l.Verdict {
	case "stuck":
		first = orElse(w.say("breaks_stuck"), w.say("breaks_stuck_first"))
	case "range", "slide":
		first = w.say("breaks_" + l.Verdict)
	}
	head := "head_breaks"
	if first == "" { // then the chart is what was thrown, and nothing breaks
		head = "head_thrown"
	}
	w.section("breaks", head)
	dip := ""
	if l.Dip {
		dip = w.say("breaks_dip")
	}
	w.para(first, w.lost(), dip)
	if shown(w.r) {
		w.says("breaks_chart")
		w.add(part{chart: true})
	}
}

// shown reports whether there is anything to draw on a ladder chart.
func shown(r *report.Report) bool {
	return slices.ContainsFunc(r.Ladder.Rungs, func(g report.Rung) bool { return g.N > 0 || len(g.Speeds) > 0 })
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
	w.section("first", "head_first")
	if len(p.Focus) > 1 {
		w.para(w.say("first_two", "factor", p.Focus[0].Title, "factor2", p.Focus[1].Title))
	}
	for i, f := range p.Focus {
		x, _ := w.factor(f.Factor)
		why, chance := w.say("first_why", "why", f.Why), w.say("first_chance", "words", x.Words, "range", x.Range)
		if i > 0 {
			w.para(bold(esc(capital(f.Title))+"."), esc(f.InWords), why, chance)
			continue
		}
		w.para(w.say("first_lead", "factor", f.Title, "in_words", f.InWords), why, chance)
		w.para(w.consequences()...)
		if f.OnSlope {
			w.says("first_slope")
		}
	}
	w.says("first_one_change", "stage_"+p.Stage, "stage_weeks")
	w.para(esc(p.BuiltOn))
}

// consequences names what most likely follows from what is worked on, by the
// factor that brings it about.
func (w *writer) consequences() []string {
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
		return nil
	}
	out := []string{w.say("first_upstream")}
	for _, of := range order {
		out = append(out, w.say("consequence", "factor", list(follow[of]), "upstream", of))
	}
	return out
}

// unsure says what the answer hangs on. Screens of the body are no business of
// this page.
func (w *writer) unsure() {
	c := w.r.Confidence
	if len(w.r.Factors) == 0 {
		return
	}
	w.section("unsure", "head_unsure")
	second, learning := "", ""
	if len(c.Tied) > 0 {
		second = w.factorTitle(c.Tied[0])
	}
	if slices.ContainsFunc(w.r.Cautions, func(k report.Caution) bool { return k.ID == "learning" }) {
		learning = w.say("unsure_learning")
	}
	level := w.say("unsure_"+c.Level, "factor", capital(w.r.Factors[0].Title), "factor2", second)
	w.para(orElse(level, w.say("unsure_weak_lead")), learning)
	var items []string
	for _, s := range w.r.Shaky {
		if !strings.HasPrefix(s.Fact, "screen.") && len(items) < 2 {
			items = append(items, w.shaky("unsure_shaky", s))
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
	w.section("before", "head_before")
	w.says("before_intro")
	w.bullets(w.all([]string{"before_arm", "before_feeling", "before_well", "before_rest", "before_other", "before_gun"})...)
}
