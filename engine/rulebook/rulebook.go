// Package rulebook is what rule and case files look like: the whole base as a
// book for people, JSON Schemas for their editors, and the spacing of the files.
//
// Its invariant: everything that decides is in the book, in words and with its
// place, and nothing is in it that the rules do not say. What the program reads,
// the schema takes; it is narrower only in words that come from the rule base.
// Setting a file moves spaces and line ends and nothing else: every comment
// stays, what the file says is read again and compared before anything is handed
// back, and a file that was set comes back as it is. The same base gives the
// same bytes.
package rulebook

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/rule"
)

// Book is the rule base in chapters.
type Book struct {
	Title    string
	Intro    []string
	Chapters []Chapter
}

// Chapter is one kind of entries.
type Chapter struct {
	Title   string
	Intro   string
	Entries []Entry
}

// Entry is one entry: its words, and what decides as pairs of a label and text.
type Entry struct {
	ID, Title string
	Text      []string
	Facts     []Fact
	Changed   []string // what a house did to it, and why
	Place     string   // file:line
}

// Fact is a label and what stands behind it; Code is written as it is.
type Fact struct {
	Label, Text string
	Code        bool
}

// New makes the book of a base.
func New(b *rule.Base) Book {
	w := &writer{b}
	house := ""
	if b.House != "" {
		house = fmt.Sprintf(", with the house rules of %s (%s)", b.House, b.HouseHash)
	}
	return Book{Title: "Rule book", Intro: []string{
		fmt.Sprintf("Rule base %s (%s)%s: %d factors, %d signs, %d throws, %d drills, %d gates, %d cautions.", b.Version, b.Hash, house,
			len(b.Factors), len(b.Signs), len(b.Throws), len(b.Drills), len(b.Gates), len(b.Cautions)),
		"It does not diagnose pain. League rules and licensed clinicians come first."},
		Chapters: []Chapter{
			w.changes(),
			{"Gates", "Is it a carry-over question at all? In this order; the first gate that holds decides. What nobody answered is unknown, and an unknown gate does not decide.", w.entries(rule.Gates)},
			{"Limiting factors and their signs", "A sign counts for the factors it points to when it holds and against them when it is looked for and not there; one that nobody looked at counts nothing. Of signs in one group only the strongest counts.", w.factors()},
			{"Throws", "What each throw asks, and the part of a full-effort running throw inside which eight of ten healthy carry-overs stay.", w.entries(rule.Throws)},
			{"Drills", "", w.entries(rule.Drills)},
			{"Cautions", "", w.entries(rule.Cautions)},
			{"Alarming words", "A note with one of them is not written down as healthy: the question is put first.", w.entries(rule.AlarmsKey)},
			{"Limits", "A hard limit may only be made stricter.", slices.Concat(w.entries(rule.LimitsKey), w.entries(rule.ByAge), w.tables())},
			{"Checkpoints", "", w.checkpoints()},
			{"Sources", "", w.sources()},
		}}
}

type writer struct{ b *rule.Base }

// flat takes the line ends out of a text.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

// entries writes the entries of a concern as they tell of themselves.
func (w *writer) entries(concern string) []Entry {
	var out []Entry
	for _, x := range w.b.Told(concern) {
		e := w.told(x)
		e.fact("why", x.Why)
		e.fact("source", w.b.Cite(x.Source))
		out = append(out, e)
	}
	return out
}

func (w *writer) told(x rule.Told) Entry {
	e := Entry{ID: x.ID, Title: x.Title, Place: place(x.Origin)}
	for _, l := range x.Lines {
		if l.Label == "" {
			e.Text = append(e.Text, l.Text)
		} else {
			e.Facts = append(e.Facts, Fact{l.Label, l.Text, l.Code})
		}
	}
	for _, c := range x.Changes {
		e.Changed = append(e.Changed, changed(c))
	}
	return e
}

func changed(c rule.Change) string {
	text := fmt.Sprintf("%s by %s, because %s", map[string]string{"add": "added", "replace": "replaced", "set": "changed", "disable": "switched off"}[c.Kind], c.By, c.Because)
	if !c.Until.IsZero() {
		text += ", until " + c.Until.Format("2006-01-02")
	}
	return text
}

func place(p diag.Place) string {
	if p.Line == 0 {
		return p.Path
	}
	return fmt.Sprintf("%s:%d", p.Path, p.Line)
}

func (e *Entry) say(text string) {
	if t := flat(text); t != "" {
		e.Text = append(e.Text, t)
	}
}

func (e *Entry) fact(label, text string) {
	if t := flat(text); t != "" {
		e.Facts = append(e.Facts, Fact{Label: label, Text: t})
	}
}

func (w *writer) changes() Chapter {
	c := Chapter{Title: "What the house changed"}
	for _, x := range w.b.Changes {
		e := Entry{ID: x.ID, Title: strings.ReplaceAll(x.Concern, "_", " "), Place: place(x.Place)}
		e.say(changed(x) + ".")
		c.Entries = append(c.Entries, e)
	}
	return c
}

// factors are each followed by the signs that point to it first.
func (w *writer) factors() []Entry {
	var out []Entry
	signs := w.entries(rule.Signs)
	for _, f := range w.entries(rule.Factors) {
		out = append(out, f)
		for i, s := range w.b.Signs {
			if len(s.Seen) > 0 && s.Seen[0].ID == f.ID {
				signs[i].Title = "sign: " + signs[i].Title
				out = append(out, signs[i])
			}
		}
	}
	return out
}

// tables are the rows of the pitch table and of the innings.
func (w *writer) tables() []Entry {
	var out []Entry
	for _, r := range w.b.Workload.Table {
		e := Entry{ID: fmt.Sprintf("%d-%d", r.From, r.To), Title: "pitches a day and days of rest"}
		e.fact("most a day", fmt.Sprint(r.Daily))
		var rest []string
		for i, n := range r.Rest {
			rest = append(rest, fmt.Sprintf("up to %d: %d", n, i))
		}
		e.fact("days of rest", strings.Join(rest, ", "))
		e.fact("source", w.b.Cite(w.b.Workload.Source))
		out = append(out, e)
	}
	for _, r := range w.b.Workload.Innings {
		e := Entry{ID: fmt.Sprintf("%d-%d", r.From, r.To), Title: "innings in twelve months"}
		e.fact("most", fmt.Sprintf("%g", r.Most))
		out = append(out, e)
	}
	return out
}

func (w *writer) checkpoints() []Entry {
	var out []Entry
	for _, p := range w.b.Checklist.Checkpoints {
		e := Entry{ID: p.ID, Title: p.Title, Place: place(p.Place)}
		e.say(p.Ask)
		e.say(p.Help)
		e.fact("when", p.Moment)
		e.fact("camera", p.View)
		for _, a := range p.Answers {
			e.fact(a.ID, a.Label)
		}
		if m := p.Measure; m != nil {
			e.fact("measured in", fmt.Sprintf("%s, a difference up to %g is none", m.Unit, m.Tolerance))
		}
		e.fact("source", w.b.Cite(p.Source))
		out = append(out, e)
	}
	return out
}

func (w *writer) sources() []Entry {
	var out []Entry
	for _, x := range w.b.Told(rule.Sources) {
		e := w.told(x)
		e.Title = w.b.Cite(x.ID)
		out = append(out, e)
	}
	return out
}
