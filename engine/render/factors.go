package render

import (
	"fmt"
	"math"
	"slices"
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
	w.section("factors", "What most likely holds it back")
	for i, f := range w.r.Factors {
		w.subhead(fmt.Sprintf("%d. %s", i+1, esc(capital(f.Title))))
		w.para(bold(esc(roleWords(f))), esc(chanceWords(f)))
		w.bullets(reasons(f)...)
		if len(f.Unseen) > 0 {
			w.para(w.say("coach_unseen", "checkpoint", list(humbleAll(f.Unseen))))
		}
		if f.Role == "lead" && f.LooksLike != "" {
			w.para(w.say("coach_looks_like", "why", sentence(f.LooksLike)))
		}
	}
}

func roleWords(f report.Factor) string {
	switch f.Role {
	case "lead":
		return "Work on this first."
	case "consequence":
		if f.OfTitle == "" {
			return "Most likely a consequence. Look at it again later."
		}
		return "Most likely follows from: " + f.OfTitle + ". Look at it again once that is better."
	}
	return "Not the first thing."
}

// chanceWords tell how likely a factor is; of a consequence, how likely it is
// there at all.
func chanceWords(f report.Factor) string {
	text := strings.Trim(f.Words+", "+f.Range, ", ")
	if f.Role == "consequence" && text != "" {
		text = "that it is there: " + text
	}
	return sentence(text)
}

// reasons lists what speaks for and against a factor, the heaviest first.
func reasons(f report.Factor) []string {
	sorted := slices.Clone(f.Reasons)
	slices.SortStableFunc(sorted, func(a, b report.Reason) int {
		switch x, y := math.Abs(a.Weight), math.Abs(b.Weight); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return strings.Compare(a.Rule, b.Rule)
	})
	var out []string
	weak, left := 0, 0
	for _, g := range sorted {
		if g.Strength == "weak" && g.Says != "against" {
			if weak++; weak > weakShown {
				left++
				continue
			}
		}
		out = append(out, join(bold(saysWords(g)), esc(reasonWords(g))))
	}
	if left > 0 {
		out = append(out, esc("And "+count(left, "weaker sign")+", listed at the end."))
	}
	return out
}

// reasonWords say what was seen and why it counts. The reason of a sign tells
// what its presence means, so it is left out where the sign is not there.
func reasonWords(g report.Reason) string {
	title := capital(orElse(g.Title, humble(g.Rule)))
	switch {
	case g.Holds != nil && !*g.Holds:
		return sentence("Looked for, and not there: " + orElse(g.Title, humble(g.Rule)))
	case g.Holds == nil && g.Says == "against":
		return sentence("Does not speak for it: " + orElse(g.Title, humble(g.Rule)))
	}
	return strings.TrimSpace(sentence(title) + " " + sentence(g.Why))
}

func saysWords(g report.Reason) string {
	says := "For"
	if g.Says == "against" {
		says = "Against"
	}
	if g.Strength == "" {
		return says + "."
	}
	return esc(says + ", " + g.Strength + ".")
}

// sources closes every page: citations, the ids of the rules where they are
// wanted, and which rule base spoke.
func (w *writer) sources(rules, plan bool) {
	w.section("sources", orElse(w.say("head_sources"), "Where this comes from"))
	var items []string
	for _, s := range w.r.Sources {
		items = append(items, esc(s.Cite+provenance(s.Provenance)+"."))
	}
	w.bullets(items...)
	if rules {
		w.ruleIDs()
	}
	if plan {
		w.madeWith(ids(planRules(w.r)))
	} else {
		w.madeWith("")
	}
}

// provenance says how far a source was read; one that was only recalled says so.
func provenance(p string) string {
	switch p {
	case "", "seen":
		return ""
	case "quoted":
		return " (quoted in another page)"
	case "memory":
		return " (from memory, not checked)"
	}
	return " (" + p + ")"
}

// ruleIDs names the signs behind each factor and the gate.
func (w *writer) ruleIDs() {
	var items []string
	if w.r.Gate.ID != "" {
		items = append(items, "gate: "+ids([]string{w.r.Gate.ID}))
	}
	for _, f := range w.r.Factors {
		var names []string
		for _, g := range f.Reasons {
			names = append(names, g.Rule)
		}
		if len(names) > 0 {
			items = append(items, esc(f.Title)+": "+ids(names))
		}
	}
	var names []string
	for _, c := range w.r.Cautions {
		names = append(names, c.ID)
	}
	if len(names) > 0 {
		items = append(items, "cautions: "+ids(names))
	}
	if len(items) > 0 {
		w.para("Rules that spoke:")
		w.bullets(items...)
	}
}

// planRules lists the ids of the entries that a plan was made from, once each.
func planRules(r *report.Report) []string {
	if r.Plan == nil {
		return nil
	}
	var out []string
	add := func(id string) {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, f := range r.Plan.Focus {
		add(f.Factor)
	}
	for _, s := range r.Plan.Sessions {
		for _, b := range s.Blocks {
			add(b.Rule)
		}
	}
	for _, d := range r.Plan.Drills {
		add(d.ID)
	}
	for _, l := range r.Plan.Limits {
		add(l.ID)
	}
	return out
}

// madeWith says which rules spoke, so that the page can be made again.
func (w *writer) madeWith(planIDs string) {
	if planIDs != "" {
		w.para("Rules in this plan: " + planIDs)
	}
	made := w.say("plan_made")
	if made == "" {
		made = esc("Made on " + dayMonth(w.r.On) + " with rule base " + w.r.Rules.Version + ", " + w.r.Rules.Hash + ".")
	}
	house := ""
	if w.r.Rules.House != nil {
		house = orElse(w.say("plan_house"), esc("House rules in force: "+*w.r.Rules.House+"."))
	}
	w.para(made, house)
}

func ids(names []string) string { return esc(strings.Join(names, ", ")) }

func humbleAll(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = humble(id)
	}
	return out
}

func escAll(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = esc(sentence(t))
	}
	return out
}

func sentences(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = sentence(t)
	}
	return out
}

// bold marks text that is escaped already.
func bold(s string) string {
	if s == "" {
		return ""
	}
	return "**" + s + "**"
}

func capital(s string) string {
	c := []rune(s)
	if len(c) == 0 {
		return ""
	}
	return strings.ToUpper(string(c[:1])) + string(c[1:])
}

// signed writes a gain with its sign.
func signed(v float64) string {
	if v > 0 {
		return "+" + num(v)
	}
	return num(v)
}

// idOf makes a fragment name of a heading of ours.
func idOf(head string) string { return strings.ReplaceAll(strings.ToLower(head), " ", "_") }
