package ask

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"text/template"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

//go:embed sheet.tmpl
var sheetText string

// throwsARung is how many throws a rung has room for on paper (house default).
const throwsARung = 5

// Sheet writes the checklist for paper, as Markdown: what to film from where,
// and every question with boxes. The boxes are blank, so that whoever looks
// answers without the answers of somebody else; withAnswers ticks what is saved.
// A case that is referred gets only what to do, and until the safety questions
// are answered nothing about throws is printed.
func (f *Flow) Sheet(withAnswers bool) string {
	t := template.Must(template.New("sheet").Funcs(template.FuncMap{"tidy": tidy}).Parse(sheetText))
	var b strings.Builder
	if err := t.Execute(&b, paper{f, withAnswers}); err != nil {
		panic(err) // the form and its words are both ours
	}
	return b.String()
}

// paper is what the form of the sheet asks for.
type paper struct {
	*Flow
	answers bool
}

// line is one question on paper and the boxes to tick.
type line struct {
	Question
	Boxes       string
	First, Last bool // of the lines about its checkpoint
}

// stood is what is saved as the sheet shows it: nothing, unless it was asked for.
func (p paper) stood(it item) (words, id string) {
	if !p.answers {
		return "", ""
	}
	return it.stands(p.c)
}

func (p paper) line(it item) line {
	words, saved := p.stood(it)
	var out []string
	for _, o := range it.Options {
		out = append(out, box(o.ID == saved)+" "+o.Label)
	}
	if it.Typed != "" {
		space := "____________"
		if words != "" && saved == "" {
			space = words
		}
		out = append(out, space+" ("+it.Typed+")")
	}
	if it.Unseen {
		out = append(out, box(saved == casefile.CouldNotSee)+" could not see")
	}
	return line{Question: it.Question, Boxes: strings.Join(out, "  "), Last: it.Second || it.Beside == ""}
}

func box(ticked bool) string {
	if ticked {
		return "☒"
	}
	return "☐"
}

// Refers is the gate that refers the athlete, nil where none does.
func (p paper) Refers() *rule.Gate {
	if g := p.gate(); g != nil && g.Verdict == rule.Refer {
		return g
	}
	return nil
}

// Unanswered reports whether a safety question is open.
func (p paper) Unanswered() bool {
	_, open := p.safety()
	return open
}

// Screen is every safety question, with the answers that end everything.
func (p paper) Screen() []line {
	var out []line
	for _, q := range p.base.Checklist.Questions {
		if sectionOf(q) != Safety {
			continue
		}
		it := asked(q)
		l := line{Question: it.Question}
		_, saved := p.stood(it)
		for _, o := range it.Options {
			l.Boxes += box(o.ID == saved) + " " + o.Label
			if p.stops(q, o.ID) {
				l.Boxes += " (**stop**)"
			}
			l.Boxes += "  "
		}
		out = append(out, l)
	}
	return out
}

// stops reports whether an answer alone refers at the age that is told; where it
// hurts is taken together with soreness, and who cleared with a clearance.
func (p paper) stops(q checklist.Question, id string) bool {
	v := p.base.Catalogue.Vector()
	put := func(name, value string) {
		if slot, ok := p.base.Catalogue.Slot(name); ok {
			v[slot], _ = p.base.Catalogue.At(slot).Parse(value)
		}
	}
	if age, told := p.c.Answer("athlete.age"); told {
		put("athlete.age", age)
	}
	switch q.Name() {
	case "screen.where":
		put("screen.pain", "soreness")
	case "screen.surgery_by":
		put("screen.surgery", "cleared")
	}
	put(q.Name(), id)
	return slices.ContainsFunc(p.base.Gates, func(g rule.Gate) bool { return g.Verdict == rule.Refer && g.Truth(v) == fact.Yes })
}

// Shots lists the clips of both throws, by where the camera stands.
func (p paper) Shots() []string {
	var views []string
	moments := map[string][]string{}
	for _, c := range p.base.Checklist.Checkpoints {
		if c.Phase == checklist.Task {
			continue
		}
		if !slices.Contains(views, c.View) {
			views = append(views, c.View)
		}
		if !slices.Contains(moments[c.View], c.Moment) {
			moments[c.View] = append(moments[c.View], c.Moment)
		}
	}
	var out []string
	for _, throw := range slices.Compact([]string{p.c.Reference.Throw, p.Second()}) {
		for _, v := range views {
			if throw != "" {
				out = append(out, fmt.Sprintf("%s, camera %s: %s", p.title(throw), v, strings.Join(moments[v], "; ")))
			}
		}
	}
	return out
}

// section is the questions under one heading.
type section struct {
	Heading string
	Lines   []line
}

// Section is the questions of a section.
func (p paper) Section(name, heading string) section {
	s := section{Heading: heading}
	for _, it := range p.items() {
		if it.Section == name {
			s.Lines = append(s.Lines, p.line(it))
		}
	}
	return s
}

// Words is a sentence of the rules.
func (p paper) Words(id string) string { return p.words(id) }

// Throws is how many throws a rung has room for.
func (p paper) Throws() int { return throwsARung }

// Rungs is the question for the ladder.
func (p paper) Rungs() Question { return p.rungsItem().Question }

// thrown is the ladder whose throws the sheet shows; an empty one where blank.
func (p paper) thrown() casefile.Ladder {
	if l := p.c.Ladder(); l != nil && p.answers {
		return *l
	}
	return casefile.Ladder{}
}

// Day asks for the day of the ladder.
func (p paper) Day() string {
	if on := p.thrown().On; !on.IsZero() {
		return whichDay + " " + on.Format(time.DateOnly)
	}
	return whichDay + " ____________"
}

// Thrown is a row of the table for each rung of the ladder in the file, else of
// one of small steps from the drill.
func (p paper) Thrown() []string {
	throws := p.path()
	if l := p.c.Ladder(); l != nil {
		throws = nil
		for _, r := range l.Rungs {
			throws = append(throws, r.Throw)
		}
	} else if len(throws) == 0 {
		throws = []string{usualMound}
	}
	l := p.thrown()
	var out []string
	for _, throw := range throws {
		row := []string{p.title(throw), strings.TrimSpace(strings.Repeat("____ ", throwsARung)),
			strings.TrimSpace(strings.Repeat("☐ ", throwsARung)), "____", "", ""}
		if r := l.Rung(throw); r != nil {
			if len(r.Speeds) > 0 {
				row[1] = speedsText(r.Speeds)
			}
			if words, _ := stoodMarks(*r); words != "" {
				row[2] = words
			}
			if r.Effort != nil {
				row[3] = fmt.Sprintf("%g", *r.Effort)
			}
			row[4], row[5] = strings.ReplaceAll(r.Miss, "_", " "), r.Focus
		}
		out = append(out, strings.Join(row, " | "))
	}
	return out
}

// Told is what is told rung by rung.
func (p paper) Told() []Question {
	return []Question{p.tellable("effort_reported"), p.tellable("release_miss"), p.tellable("focus_reported")}
}

// Video is every checkpoint with a line for each of the two throws.
func (p paper) Video() []line {
	var out []line
	last := ""
	for _, it := range p.videoItems()[1:] {
		l := p.line(it)
		l.First, last = it.topic != last, it.topic
		out = append(out, l)
	}
	return out
}
