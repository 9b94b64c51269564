package render

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

// weakShown is how many weak reasons for a factor are told in full; the rest are
// counted, and stand by id with the sources. What speaks against is always told.
const weakShown = 2

func (w *writer) factors() {
	if len(w.r.Factors) == 0 {
		return
	}
	w.section("factors", "head_factors")
	for i, f := range w.r.Factors {
		w.subhead(strconv.Itoa(i+1) + ". " + esc(capital(f.Title)))
		w.para(bold(w.role(f)), w.chance(f))
		w.bullets(w.reasons(f)...)
		var unseen []string
		for _, name := range f.Unseen {
			unseen = append(unseen, humble(name))
		}
		w.para(w.say("coach_unseen", "checkpoint", list(unseen)))
		if f.Role == "lead" {
			w.para(w.say("coach_looks_like", "why", sentence(f.LooksLike)))
		}
	}
}

func (w *writer) role(f report.Factor) string {
	switch f.Role {
	case "lead":
		return w.say("role_lead")
	case "consequence":
		return orElse(w.say("role_consequence_of", "upstream", f.OfTitle), w.say("role_consequence"))
	}
	return w.say("role_possible")
}

// chance tells how likely a factor is; of a consequence, how likely it is there
// at all.
func (w *writer) chance(f report.Factor) string {
	id := "chance"
	if f.Role == "consequence" {
		id = "chance_there"
	}
	return line(w.raw(id, "words", f.Words, "range", f.Range))
}

// reasons lists what speaks for and against a factor, the heaviest first.
func (w *writer) reasons(f report.Factor) []string {
	sorted := slices.Clone(f.Reasons)
	slices.SortStableFunc(sorted, func(a, b report.Reason) int {
		return cmp.Or(cmp.Compare(math.Abs(b.Weight), math.Abs(a.Weight)), strings.Compare(a.Rule, b.Rule))
	})
	var out []string
	weak := 0
	for _, g := range sorted {
		if g.Strength == "weak" && g.Says != "against" {
			if weak++; weak > weakShown {
				continue
			}
		}
		out = append(out, join(bold(w.say("reason_"+g.Says, "strength", g.Strength)), esc(w.reason(g))))
	}
	if weak > weakShown {
		out = append(out, w.plural("reasons_more", weak-weakShown))
	}
	return out
}

// reason says what was seen and why it counts. The reason of a sign tells what
// its presence means, so it is left out where the sign is not there.
func (s speaker) reason(g report.Reason) string {
	title := orElse(g.Title, humble(g.Rule))
	switch {
	case g.Holds != nil && !*g.Holds:
		if g.Is != "" {
			return s.raw("reason_short", "sign", title, "value", g.Is, "asked", g.Asks)
		}
		return s.raw("reason_absent", "sign", title)
	case g.Holds == nil && g.Says == "against":
		return s.raw("reason_silent", "sign", title)
	}
	return strings.TrimSpace(sentence(title) + " " + sentence(g.Why))
}

// sources closes every page: citations, the ids of the rules where they are
// wanted, and which rule base spoke.
func (w *writer) sources(rules bool, planned []string) {
	w.section("sources", "head_sources")
	var items []string
	for _, s := range w.r.Sources {
		items = append(items, orElse(w.say("source_"+s.Provenance, "source", s.Cite), w.say("source_seen", "source", s.Cite)))
	}
	w.bullets(items...)
	if rules {
		w.ruleIDs()
	}
	w.madeWith(planned)
}

// ruleIDs names the signs behind each factor, the gate and the cautions.
func (w *writer) ruleIDs() {
	var items []string
	add := func(what string, names []string) {
		if len(names) > 0 {
			items = append(items, esc(what)+": "+esc(strings.Join(names, ", ")))
		}
	}
	add("gate", filled([]string{w.r.Gate.ID}))
	for _, f := range w.r.Factors {
		var names []string
		for _, g := range f.Reasons {
			names = append(names, g.Rule)
		}
		add(f.Title, names)
	}
	var names []string
	for _, c := range w.r.Cautions {
		names = append(names, c.ID)
	}
	add("cautions", names)
	if len(items) > 0 {
		w.says("rules_spoke")
		w.bullets(items...)
	}
}

// madeWith says which rules spoke, so that the page can be made again.
func (w *writer) madeWith(planned []string) {
	w.para(w.say("rules_planned", "rules", strings.Join(planned, ", ")))
	w.says("plan_made", "plan_house")
}
