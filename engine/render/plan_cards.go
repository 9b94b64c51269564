package render

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

// A card is one drill of the plan; its texts are not escaped.
type card struct {
	Title, How string
	Cue        cardLine
	Lines      []cardLine
}

// A line of a card: its label, and a value.
type cardLine struct{ Label, Text string }

func (w *writer) drillCards() {
	w.section("drills", "head_drills")
	var cards []card
	for _, d := range w.r.Plan.Drills {
		cards = append(cards, w.card(d))
	}
	if len(cards) > 0 {
		w.add(part{cards: cards})
	}
}

func (w *writer) card(d report.Drill) card {
	effort := ""
	if d.Effort > 0 {
		effort = strconv.Itoa(d.Effort) + " %"
	}
	c := card{Title: plain(capital(d.Title)), How: plain(d.How), Cue: cardLine{w.raw("card_cue"), plain(d.Cue)}}
	for _, l := range []cardLine{
		{"card_dose", d.Dose}, {"card_effort", effort}, {"card_where", orElse(w.raw("where_"+d.Where), d.Where)},
		{"card_need", strings.Join(d.Equipment, ", ")}, {"card_put_back", humble(d.PutBack)}, {"card_exit", d.Exit}, {"card_not_with", d.NotWith},
	} {
		if text := plain(l.Text); text != "" {
			c.Lines = append(c.Lines, cardLine{w.raw(l.Label), text})
		}
	}
	return c
}

func (c card) markdown() string {
	text := "### " + esc(c.Title) + "\n"
	if c.How != "" {
		text += "\n" + esc(c.How) + "\n"
	}
	for _, l := range append([]cardLine{c.Cue}, c.Lines...) {
		if l.Text != "" {
			text += "\n- " + bold(esc(l.Label)+":") + " " + esc(l.Text)
		}
	}
	return text
}

// throwCards says how each throw of the plan is made.
func (w *writer) throwCards() {
	var items []string
	for _, t := range w.r.Plan.Throws {
		if t.InWords != "" {
			items = append(items, join(bold(esc(capital(t.Title))+"."), esc(t.InWords)))
		}
	}
	w.listed("throws", "head_throws", items...)
}

func (w *writer) tests() {
	p := w.r.Plan
	w.section("tests", "head_tests")
	var items []string
	for _, d := range p.Drills {
		items = append(items, w.say("test_drill", "drill", capital(d.Title), "exit", strings.TrimRight(d.Exit, ". ")))
	}
	w.bullets(unique(append(items, lines(p.ExitTest)...))...)
	w.says("test_hold")
	if len(p.ExitTest) == 0 {
		w.says("test_exit")
	}
}

func (w *writer) film() {
	if len(w.r.Plan.Film) == 0 {
		return
	}
	w.section("film", "head_film")
	w.says("film_intro")
	var items []string
	for _, f := range w.r.Plan.Film {
		items = append(items, orElse(w.say("film_clip", "clip", f), esc(f)))
	}
	w.bullets(items...)
	w.says("film_same_day")
}

func (w *writer) retest() {
	w.section("retest", "head_retest")
	young := ""
	if slices.ContainsFunc(w.r.Cautions, func(c report.Caution) bool { return c.ID == "radar_under_19" }) {
		young = w.say("retest_under_19")
	}
	w.para(w.say("retest"), young, w.say("retest_after"))
}

// limits lists what the plan keeps, with what it comes to.
func (w *writer) limits() {
	w.section("limits", "head_limits")
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
	items := slices.DeleteFunc(w.planNotes(), func(n string) bool { return said[n] })
	w.listed("assumed", "head_notes", items...)
}

// planNotes are the notes of the plan with their days written for people.
func (w *writer) planNotes() []string {
	var out []string
	for _, n := range w.r.Plan.Notes {
		out = append(out, line(regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b`).ReplaceAllStringFunc(n, dayMonth)))
	}
	return out
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
