package ask

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/rule"
)

// throwsARung is how many throws a rung has room for on paper (house default).
const throwsARung = 5

// Sheet writes the checklist for paper, as Markdown: what to film from where,
// and every question with boxes. The boxes are blank, so that whoever looks
// answers without the answers of somebody else; withAnswers ticks what is saved.
// A case that is referred gets only what to do, and until the safety questions
// are answered nothing about throws is printed.
func (f *Flow) Sheet(withAnswers bool) string {
	p := paper{Flow: f, answers: withAnswers}
	return p.sheet()
}

// paper is one sheet in the making.
type paper struct {
	*Flow
	answers bool
}

// stood is what is saved as the sheet shows it: nothing, unless it was asked for.
func (f paper) stood(it item) (words, id string) {
	if !f.answers {
		return "", ""
	}
	return it.stands(f.c)
}

// thrown is the ladder whose throws the sheet shows; nil for a blank one.
func (f paper) thrown() *casefile.Ladder {
	if !f.answers {
		return nil
	}
	return f.c.Ladder()
}

func (f paper) sheet() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Checklist for %s\n\n", f.c.Code)
	if g := f.gate(); g != nil && g.Verdict == rule.Refer {
		fmt.Fprintf(&b, "%s\n\n%s\n", tidy(g.Says), tidy(g.Do))
		return b.String()
	}
	b.WriteString("Day: ____________  Who looked: ____________\n\n")
	f.sheetSafety(&b)
	if _, open := f.safety(); open {
		fmt.Fprintf(&b, "What to film and what to look at is printed once these are answered: `rungwise ask %s`.\n", f.Path())
		return b.String()
	}
	f.sheetShots(&b)
	f.sheetSection(&b, Athlete, "The athlete and the last weeks")
	f.sheetSection(&b, Drill, "Drill and mound")
	f.sheetLadder(&b)
	f.sheetVideo(&b)
	f.sheetSection(&b, Rungs, "At the stuck rung")
	f.sheetSection(&b, Others, "Only with the result of a qualified person")
	fmt.Fprintf(&b, "\nType it in with `rungwise ask %s`.\n", f.Path())
	return b.String()
}

// sheetSafety prints the safety questions with the answers that end everything.
func (f paper) sheetSafety(b *strings.Builder) {
	b.WriteString("## Safety first\n\nAsk these before anything is thrown. With an answer marked **stop** nothing is thrown, and the " +
		"athlete sees a licensed clinician first.\n\n")
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) != Safety {
			continue
		}
		it := asked(q)
		_, saved := f.stood(it)
		fmt.Fprintf(b, "- **%s.** %s\n  ", q.Title, tidy(q.Ask))
		for _, o := range it.Options {
			stop := ""
			if f.stops(q, o.ID) {
				stop = " (**stop**)"
			}
			fmt.Fprintf(b, "%s %s%s  ", box(o.ID == saved), o.Label, stop)
		}
		b.WriteString("\n")
	}
	b.WriteString("\n")
}

// stops reports whether an answer alone refers at the age that is told; where it
// hurts is taken together with soreness, and who cleared with a clearance.
func (f *Flow) stops(q checklist.Question, id string) bool {
	v := f.base.Catalogue.Vector()
	put := func(name, value string) {
		if slot, ok := f.base.Catalogue.Slot(name); ok {
			v[slot], _ = f.base.Catalogue.At(slot).Parse(value)
		}
	}
	if age, told := f.c.Answer("athlete.age"); told {
		put("athlete.age", age)
	}
	switch q.Name() {
	case "screen.where":
		put("screen.pain", "soreness")
	case "screen.surgery_by":
		put("screen.surgery", "cleared")
	}
	put(q.Name(), id)
	return f.base.Refers(v)
}

func box(ticked bool) string {
	if ticked {
		return "☒"
	}
	return "☐"
}

// sheetShots lists the clips, by where the camera stands.
func (f paper) sheetShots(b *strings.Builder) {
	b.WriteString("## Shots\n\nopen: the camera stands at the chest side, square to the line to the target, hip high. behind: behind the " +
		"rubber, on the line to the target. front: behind the catcher. The same place for both throws, three clips of each.\n\n")
	var views []string
	moments := map[string][]string{}
	for _, p := range f.base.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue
		}
		if !slices.Contains(views, p.View) {
			views = append(views, p.View)
		}
		if !slices.Contains(moments[p.View], p.Moment) {
			moments[p.View] = append(moments[p.View], p.Moment)
		}
	}
	for _, throw := range f.sheetThrows() {
		for _, v := range views {
			fmt.Fprintf(b, "- ☐ %s, camera %s: %s\n", f.title(throw), v, strings.Join(moments[v], "; "))
		}
	}
	b.WriteString("\n")
}

func (f paper) sheetThrows() []string {
	var out []string
	for _, id := range []string{f.c.Reference.Throw, f.Second()} {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// sheetSection prints the questions of a section, each with its boxes or a line
// to write on.
func (f paper) sheetSection(b *strings.Builder, section, heading string) {
	var items []item
	for _, it := range f.items() {
		if it.Section == section {
			items = append(items, it)
		}
	}
	if len(items) == 0 {
		return
	}
	fmt.Fprintf(b, "## %s\n\n", heading)
	for _, it := range items {
		words, saved := f.stood(it)
		fmt.Fprintf(b, "- **%s.** %s\n  %s\n", label(it.Question), tidy(it.Ask), boxes(it.Question, words, saved))
	}
	b.WriteString("\n")
}

// boxes is the line on which a question is answered.
func boxes(q Question, words, saved string) string {
	var out []string
	for _, o := range q.Options {
		out = append(out, box(o.ID == saved)+" "+o.Label)
	}
	if q.Typed != "" {
		line := "____________"
		if words != "" && saved == "" {
			line = words
		}
		out = append(out, line+" ("+q.Typed+")")
	}
	if q.Unseen {
		out = append(out, box(saved == "could_not_see")+" could not see")
	}
	return strings.Join(out, "  ")
}

// sheetLadder prints the rungs to throw, or those that were thrown.
func (f paper) sheetLadder(b *strings.Builder) {
	b.WriteString("## The ladder\n\n")
	day := "____________"
	if l := f.thrown(); l != nil && !l.On.IsZero() {
		day = l.On.Format(time.DateOnly)
	}
	fmt.Fprintf(b, "%s One radar gun, %d throws a rung. Held: did the pattern of the drill hold in that throw?\n\n%s %s\n\n",
		tidy(f.rungsItem().Ask), throwsARung, whichDay, day)
	b.WriteString("| Throw | Speeds | Held | Effort % | Miss | Focus |\n| --- | --- | --- | --- | --- | --- |\n")
	empty := strings.TrimSpace(strings.Repeat("____ ", throwsARung))
	for _, throw := range f.sheetRungs() {
		speeds, held, effort, miss, focus := empty, strings.TrimSpace(strings.Repeat("☐ ", throwsARung)), "____", "", ""
		if l := f.thrown(); l != nil && l.Rung(throw) != nil {
			r := l.Rung(throw)
			if len(r.Speeds) > 0 {
				speeds = strings.Trim(fmt.Sprintf("%.1f", r.Speeds), "[]")
			}
			if words, _ := stoodMarks(l, throw); words != "" {
				held = words
			}
			if r.Effort != nil {
				effort = fmt.Sprintf("%g", *r.Effort)
			}
			miss, focus = strings.ReplaceAll(r.Miss, "_", " "), r.Focus
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s |\n", f.title(throw), speeds, held, effort, miss, focus)
	}
	for _, id := range []string{"effort_reported", "release_miss", "focus_reported"} {
		if p, ok := f.base.Checklist.Checkpoint(id); ok {
			var words []string
			for _, a := range p.Answers {
				words = append(words, a.Label)
			}
			fmt.Fprintf(b, "\n%s: %s", p.Title, tidy(p.Ask))
			if len(words) > 0 {
				fmt.Fprintf(b, " (%s)", strings.Join(words, ", "))
			}
			b.WriteString("\n")
		}
	}
	b.WriteString("\n")
}

// sheetRungs is the ladder in the file, else one of small steps from the drill.
func (f paper) sheetRungs() []string {
	var out []string
	if l := f.c.Ladder(); l != nil {
		for _, r := range l.Rungs {
			out = append(out, r.Throw)
		}
		return out
	}
	if path := f.path(); len(path) > 0 {
		return path
	}
	return []string{usualMound}
}

// sheetVideo prints every checkpoint with a line for each of the two throws.
func (f paper) sheetVideo(b *strings.Builder) {
	b.WriteString("## On video, in the order of the throw\n\n")
	last := ""
	for _, it := range f.videoItems() {
		if it.ID == "video.throw" {
			continue
		}
		if it.topic != last {
			fmt.Fprintf(b, "**%s.** %s (%s)\n\n", it.Title, tidy(it.Ask), it.Film)
			last = it.topic
		}
		words, saved := f.stood(it)
		fmt.Fprintf(b, "- %s: %s\n", it.Throw, boxes(it.Question, words, saved))
		if it.Second || it.Beside == "" {
			b.WriteString("\n")
		}
	}
}
