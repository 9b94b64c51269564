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

	"rungwise/engine/cond"
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
		Chapters: []Chapter{w.changes(), w.gates(), w.factors(), w.throws(), w.drills(), w.cautions(), w.alarms(), w.limits(), w.checkpoints(), w.sources()}}
}

type writer struct{ b *rule.Base }

// flat takes the line ends out of a text.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func (w *writer) entry(e rule.Entry) Entry {
	out := Entry{ID: e.ID, Title: e.Title, Place: place(e.Origin)}
	for _, c := range e.Changes {
		out.Changed = append(out.Changed, changed(c))
	}
	return out
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

func (e *Entry) code(label string, cs ...*cond.Condition) {
	var out []string
	for _, c := range cs {
		if c != nil {
			out = append(out, flat(c.Text()))
		}
	}
	if len(out) > 0 {
		e.Facts = append(e.Facts, Fact{Label: label, Text: strings.Join(out, " or "), Code: true})
	}
}

// from ends an entry with its why and its source.
func (w *writer) from(e *Entry, x rule.Entry) Entry {
	e.fact("why", x.Why)
	e.fact("source", w.b.Cite(x.Source))
	return *e
}

func links(list []rule.Link) string {
	var out []string
	for _, l := range list {
		out = append(out, l.ID+" ("+strings.ReplaceAll(l.Word, "_", " ")+")")
	}
	return strings.Join(out, ", ")
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

func (w *writer) gates() Chapter {
	c := Chapter{Title: "Gates", Intro: "Is it a carry-over question at all? In this order; the first gate that holds decides. What nobody answered is unknown, and an unknown gate does not decide."}
	for _, g := range w.b.Gates {
		e := w.entry(g.Entry)
		e.say(g.Says)
		e.say(g.Do)
		e.fact("verdict", strings.ReplaceAll(g.Verdict, "_", " "))
		e.code("when", append([]*cond.Condition{g.When}, g.Also...)...)
		e.fact("needs an answer to", strings.Join(g.Needs, ", "))
		e.code("unless it is known that", g.Unless)
		c.Entries = append(c.Entries, w.from(&e, g.Entry))
	}
	return c
}

func (w *writer) factors() Chapter {
	c := Chapter{Title: "Limiting factors and their signs", Intro: "A sign counts for the factors it points to when it holds and against them when it is looked for and not there; one that nobody looked at counts nothing. Of signs in one group only the strongest counts."}
	for _, f := range w.b.Factors {
		e := w.entry(f.Entry)
		e.say(f.InWords)
		e.fact("phase", strings.ReplaceAll(f.Phase, "_", " "))
		e.fact("how common", f.HowCommon)
		e.fact("can cause", links(f.CanCause))
		e.fact("breaks at", links(f.BreaksAt))
		e.fact("looks like it and is not", f.LooksLike)
		e.fact("drills", w.drillsOf(f))
		c.Entries = append(c.Entries, w.from(&e, f.Entry))
		for _, s := range w.b.Signs {
			if slices.ContainsFunc(s.Seen, func(l rule.Link) bool { return l.ID == f.ID }) && s.Seen[0].ID == f.ID {
				c.Entries = append(c.Entries, w.sign(s))
			}
		}
	}
	return c
}

func (w *writer) drillsOf(f rule.Factor) string {
	if f.NoDrills {
		return "none: drills cannot reach it"
	}
	var out []string
	for _, d := range w.b.DrillsFor(f.ID) {
		out = append(out, d.ID)
	}
	return strings.Join(out, ", ")
}

func (w *writer) sign(s rule.Sign) Entry {
	e := w.entry(s.Entry)
	e.Title = "sign: " + e.Title
	e.code("when", s.When)
	e.fact("points to", links(s.Seen))
	e.fact("seen otherwise", s.Otherwise)
	e.fact("group", s.Group)
	e.fact("reading", s.Reading)
	e.fact("stands beside", strings.Join(s.Beside, ", "))
	return w.from(&e, s.Entry)
}

func (w *writer) throws() Chapter {
	c := Chapter{Title: "Throws", Intro: "What each throw asks, and the part of a full-effort running throw inside which eight of ten healthy carry-overs stay."}
	for _, t := range w.b.Throws {
		e := w.entry(t.Entry)
		e.say(t.InWords)
		var asks []string
		for i, d := range w.b.Demands {
			if t.Demands[i] > 0 {
				asks = append(asks, strings.ReplaceAll(d.ID, "_", " ")+": "+strings.ReplaceAll(d.Values[t.Demands[i]], "_", " "))
			}
		}
		e.fact("asks", strings.Join(asks, ", "))
		e.fact("share", share(t.Share))
		for _, s := range t.ByAge {
			e.fact(fmt.Sprintf("share under %d years", s.AgeBelow), share(s))
		}
		e.fact("counts as a pitch", yesNo(t.HighEffort))
		e.fact("off a mound", yesNo(t.OnMound))
		c.Entries = append(c.Entries, w.from(&e, t.Entry))
	}
	return c
}

func share(s rule.Share) string { return fmt.Sprintf("%.1f to %.1f %%", 100*s.Low, 100*s.High) }

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func (w *writer) drills() Chapter {
	c := Chapter{Title: "Drills"}
	for _, d := range w.b.Drills {
		e := w.entry(d.Entry)
		e.say(d.How)
		e.fact("cue", d.Cue)
		e.fact("for", strings.Join(d.Factors, ", "))
		e.fact("loads", strings.Join(d.Loads, ", "))
		e.fact("step", fmt.Sprint(d.Step))
		e.fact("dose", dose(d))
		e.fact("equipment", strings.Join(d.Equipment, ", "))
		e.fact("put back", fmt.Sprintf("%d whole throws of %s straight after", d.PutBackThrows, d.PutBack))
		e.fact("learned when", d.Exit)
		if d.MinAge > 0 {
			e.fact("from", fmt.Sprintf("%d years", d.MinAge))
		}
		e.fact("not with", d.NotWith)
		c.Entries = append(c.Entries, w.from(&e, d.Entry))
	}
	return c
}

func dose(d rule.Drill) string {
	if d.Throws == 0 {
		return fmt.Sprintf("%d sets of %d, no throw", d.Sets, d.Reps)
	}
	return fmt.Sprintf("%d sets of %d throws at %g %% effort, %s", d.Sets, d.Throws, d.Effort,
		map[string]string{"flat": "on flat ground", "slope": "on the slope", "either": "flat or on the slope"}[d.Slope])
}

func (w *writer) cautions() Chapter {
	c := Chapter{Title: "Cautions"}
	for _, k := range w.b.Cautions {
		e := w.entry(k.Entry)
		e.say(k.Text)
		e.fact("level", k.Level)
		e.code("when", append([]*cond.Condition{k.When}, k.Also...)...)
		if k.When == nil {
			e.fact("when", "always")
		}
		c.Entries = append(c.Entries, w.from(&e, k.Entry))
	}
	return c
}

func (w *writer) alarms() Chapter {
	c := Chapter{Title: "Alarming words", Intro: "A note with one of them is not written down as healthy: the question is put first."}
	for _, l := range w.b.AlarmLists {
		e := w.entry(l.Entry)
		for _, f := range []Fact{{Label: "words", Text: strings.Join(l.Words, ", ")}, {Label: "harmless", Text: strings.Join(l.Harmless, ", ")}, {Label: "beside", Text: strings.Join(l.Beside, ", ")}} {
			if f.Text != "" {
				e.fact(f.Label, f.Text)
			}
		}
		c.Entries = append(c.Entries, w.from(&e, l.Entry))
	}
	return c
}

func (w *writer) limits() Chapter {
	c := Chapter{Title: "Limits", Intro: "A hard limit may only be made stricter."}
	for _, l := range w.b.Limits {
		e := w.entry(l.Entry)
		hard := ""
		if l.Hard {
			hard = " (hard)"
		}
		e.fact("value", fmt.Sprintf("%g %s%s", l.Value, l.Unit, hard))
		c.Entries = append(c.Entries, w.from(&e, l.Entry))
	}
	for _, l := range w.b.ByAge {
		e := w.entry(l.Entry)
		e.fact("value", fmt.Sprintf("%g to 14 years, %g to 18, %g above: %s (hard)", l.To14, l.To18, l.Adult, l.Unit))
		c.Entries = append(c.Entries, w.from(&e, l.Entry))
	}
	for _, r := range w.b.Workload.Table {
		e := Entry{ID: fmt.Sprintf("%d-%d", r.From, r.To), Title: "pitches a day and days of rest"}
		e.fact("most a day", fmt.Sprint(r.Daily))
		var rest []string
		for i, n := range r.Rest {
			rest = append(rest, fmt.Sprintf("up to %d: %d", n, i))
		}
		e.fact("days of rest", strings.Join(rest, ", "))
		e.fact("source", w.b.Cite(w.b.Workload.Source))
		c.Entries = append(c.Entries, e)
	}
	for _, r := range w.b.Workload.Innings {
		e := Entry{ID: fmt.Sprintf("%d-%d", r.From, r.To), Title: "innings in twelve months"}
		e.fact("most", fmt.Sprintf("%g", r.Most))
		c.Entries = append(c.Entries, e)
	}
	return c
}

func (w *writer) checkpoints() Chapter {
	c := Chapter{Title: "Checkpoints"}
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
		c.Entries = append(c.Entries, e)
	}
	return c
}

func (w *writer) sources() Chapter {
	c := Chapter{Title: "Sources"}
	for _, s := range w.b.Sources {
		e := w.entry(s.Entry)
		e.Title = s.Cite
		e.say(s.Says)
		e.fact("read", s.Provenance)
		c.Entries = append(c.Entries, e)
	}
	return c
}
