package render

import "strings"

// instead writes the athlete's page where the gate makes no plan, or where one
// was refused: what comes in its place, in plain and kind words.
func (w *writer) instead() {
	id := w.r.Gate.Verdict
	w.section("stop", w.say("head_stop"))
	w.para(w.say("stop_intro"))
	w.bullets(w.say("stop_pain"), w.say("stop_numb"), w.say("stop_pop"), w.say("stop_loss"))
	w.para(w.say("stop_who"), w.say("plan_deferral"))
	w.section("gate", orElse(w.say(id+"_head"), esc(sentence(w.r.Gate.Says))))
	page := w.say(id + "_page")
	do := w.say(id+"_do", "n", "3")
	if page == "" {
		page = esc(sentence(w.r.Gate.Says))
	}
	if do == "" {
		do = esc(sentence(w.r.Gate.Do))
	}
	w.para(page, w.say(id+"_tested", "throw", list(w.tested())), do)
	w.para(esc(sentence(w.r.PlanRefused)))
	switch id {
	case "restore":
		w.para(w.say("restore_until"))
	case "not_enough":
		w.bullets(escAll(w.r.Gate.Missing)...)
	}
	w.recorded()
	w.bullets(escAll(w.r.Ladder.Advice)...)
	if shown(w.r) {
		w.section("breaks", "What you threw")
		w.para(w.say("breaks_chart"))
		w.add(part{chart: true})
	}
	w.athleteCautions()
	w.sources(false, false)
}

// recorded tells what in the record the safety screen rests on.
func (w *writer) recorded() {
	if w.r.Gate.Screen && len(w.r.Gate.Why) > 1 {
		w.bullets(escAll(w.r.Gate.Why[1:])...)
	}
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
