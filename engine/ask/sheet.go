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
	p := paper{f, withAnswers}
	form := template.New("sheet").Funcs(template.FuncMap{"tidy": tidy, "section": p.section})
	var b strings.Builder
	if err := template.Must(form.Parse(sheetText)).Execute(&b, p.filled()); err != nil {
		panic(err) // the form and its words are both ours
	}
	return b.String()
}

// sheet is what stands in the blanks of the form.
type sheet struct {
	Code, Path    string
	Refers        *rule.Gate // the gate that refers the athlete; nil = none does
	Unanswered    bool       // a safety question is open
	Screen, Video []line
	Shooting, Day string
	Shots, Thrown []string
	Ladder        Question
	Throws        int        // how many a rung has room for
	Told          []Question // what is told rung by rung
}

// line is one question on paper and the boxes to tick.
type line struct {
	Question
	Boxes       string
	First, Last bool // of the lines about its checkpoint
}

// section is the questions under one heading.
type section struct {
	Heading string
	Lines   []line
}

// paper is a sheet in the making.
type paper struct {
	*Flow
	answers bool
}

func (p paper) filled() sheet {
	s := sheet{Code: p.Code(), Path: p.Path(), Screen: p.screen(), Video: p.video(), Shooting: p.words("help_shots"), Shots: p.shots(),
		Day: "____________", Thrown: p.thrown(), Ladder: p.rungsItem().Question, Throws: throwsARung,
		Told: []Question{p.tellable("effort_reported"), p.tellable("release_miss"), p.tellable("focus_reported")}}
	if g := p.gate(); g != nil && g.Verdict == rule.Refer {
		s.Refers = g
	}
	if on := p.ladder().On; !on.IsZero() {
		s.Day = on.Format(time.DateOnly)
	}
	s.Day = whichDay + " " + s.Day
	_, s.Unanswered = p.safety()
	return s
}

func (p paper) section(name, heading string) section {
	s := section{Heading: heading}
	for _, it := range p.items() {
		if it.Section == name {
			s.Lines = append(s.Lines, p.line(it))
		}
	}
	return s
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

// screen is every safety question, with the answers that end everything.
func (p paper) screen() []line {
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
	return p.base.Refers(v)
}

// shots lists the clips of both throws, by where the camera stands.
func (p paper) shots() []string {
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

// ladder is the one whose throws the sheet shows; an empty one where it is blank.
func (p paper) ladder() *casefile.Ladder {
	if l := p.c.Ladder(); l != nil && p.answers {
		return l
	}
	return &casefile.Ladder{}
}

// thrown is a row of the table for each rung of the ladder in the file, else of
// one of small steps from the drill.
func (p paper) thrown() []string {
	throws := p.path()
	if l := p.c.Ladder(); l != nil {
		throws = nil
		for _, r := range l.Rungs {
			throws = append(throws, r.Throw)
		}
	} else if len(throws) == 0 {
		throws = []string{usualMound}
	}
	l := p.ladder()
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

// video is every checkpoint with a line for each of the two throws.
func (p paper) video() []line {
	var out []line
	last := ""
	for _, it := range p.videoItems()[1:] {
		l := p.line(it)
		l.First, last = it.topic != last, it.topic
		out = append(out, l)
	}
	return out
}
