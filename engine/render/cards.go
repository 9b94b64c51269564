package render

import (
	"regexp"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

func (w *writer) drillCards() {
	if len(w.r.Plan.Drills) == 0 {
		return
	}
	w.section("drills", w.say("head_drills"))
	w.add(part{cards: w.r.Plan.Drills})
}

// A line of a card: its label, and a value that is not escaped.
type cardLine struct{ Label, Text string }

// cardLines are what stands on the card of a drill under how it goes.
func cardLines(d report.Drill) []cardLine {
	effort := ""
	if d.Effort > 0 {
		effort = strconv.Itoa(d.Effort) + " %"
	}
	where := map[string]string{"flat": "flat ground", "slope": "off the slope", "either": "flat ground or slope"}[d.Where]
	all := []cardLine{
		{"Think of this only", d.Cue},
		{"Dose", d.Dose}, {"Effort", effort}, {"Where", orElse(where, d.Where)},
		{"You need", strings.Join(d.Equipment, ", ")},
		{"Then put it back", humble(d.PutBack)}, {"Done when", d.Exit}, {"Not with", d.NotWith},
	}
	var out []cardLine
	for _, l := range all {
		if strings.TrimSpace(l.Text) != "" {
			out = append(out, l)
		}
	}
	return out
}

// drillText is a card in Markdown.
func drillText(d report.Drill) string {
	lines := []string{"### " + esc(capital(d.Title))}
	if d.How != "" {
		lines = append(lines, "", esc(d.How))
	}
	lines = append(lines, "")
	for _, l := range cardLines(d) {
		lines = append(lines, "- "+bold(l.Label+":")+" "+esc(l.Text))
	}
	return strings.Join(lines, "\n")
}

// throwCards says how each throw of the plan is made.
func (w *writer) throwCards() {
	var items []string
	for _, t := range w.r.Plan.Throws {
		if t.InWords != "" {
			items = append(items, join(bold(esc(capital(t.Title))+"."), esc(t.InWords)))
		}
	}
	if len(items) > 0 {
		w.section("throws", orElse(w.say("head_throws"), "Your throws"))
		w.bullets(items...)
	}
}

func (w *writer) tests() {
	p := w.r.Plan
	w.section("tests", w.say("head_tests"))
	var items []string
	for _, d := range p.Drills {
		items = append(items, w.say("test_drill", "drill", capital(d.Title), "exit", strings.TrimRight(d.Exit, ". ")))
	}
	for _, t := range p.ExitTest {
		items = append(items, esc(sentence(t)))
	}
	w.bullets(unique(items)...)
	w.para(w.say("test_hold"))
	if len(p.ExitTest) == 0 {
		w.para(w.say("test_exit"))
	}
}

func (w *writer) film() {
	if len(w.r.Plan.Film) == 0 {
		return
	}
	w.section("film", w.say("head_film"))
	w.para(w.say("film_intro"))
	var items []string
	for _, f := range w.r.Plan.Film {
		items = append(items, orElse(w.say("film_clip", "clip", f), esc(f)))
	}
	w.bullets(items...)
	w.para(w.say("film_same_day"))
}

func (w *writer) retest() {
	w.section("retest", w.say("head_retest"))
	young := ""
	for _, c := range w.r.Cautions {
		if c.ID == "radar_under_19" {
			young = w.say("retest_under_19")
		}
	}
	w.para(w.say("retest"), young, w.say("retest_after"))
}

// limits lists what the plan keeps, with what it comes to.
func (w *writer) limits() {
	w.section("limits", w.say("head_limits"))
	var rows [][]string
	for _, l := range w.r.Plan.Limits {
		rows = append(rows, []string{esc(capital(l.Title)), esc(num(l.Cap)), esc(num(l.Planned))})
	}
	w.table([]string{"Limit", "Is", "Plan"}, rows)
}

// notes say what was taken for granted and what was cut, without what stands
// above already.
func (w *writer) notes() {
	said := map[string]bool{}
	for _, f := range w.r.Factors {
		said[w.say("consequence", "factor", f.Title, "upstream", f.OfTitle)] = true
	}
	var items []string
	for _, n := range w.r.Plan.Notes {
		if text := esc(sentence(daysInWords(n))); !said[text] {
			items = append(items, text)
		}
	}
	if len(items) > 0 {
		w.section("assumed", orElse(w.say("head_notes"), "What was assumed"))
		w.bullets(items...)
	}
}

// daysInWords writes the days of a message for people.
func daysInWords(s string) string {
	return regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b`).ReplaceAllStringFunc(s, dayMonth)
}

// healthCautions are those that stop or limit this athlete because of a health
// answer. They stand high on the page, since somebody has to look at them first.
func (w *writer) healthCautions() {
	w.cautionsIn("health", orElse(w.say("head_health"), "Before you begin"), func(c report.Caution) bool { return c.Private && c.Level != "note" })
}

// athleteCautions are those that rest on no health answer.
func (w *writer) athleteCautions() {
	w.cautions(orElse(w.say("head_cautions"), "Cautions"), func(c report.Caution) bool { return !c.Private })
}
