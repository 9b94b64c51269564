package ask

import (
	"cmp"
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/triage"
)

// worthAsking is the least fall of the doubt, in bits, for which the checklist
// goes on by itself; mostClips is how often one checkpoint of one throw is
// looked at (house defaults).
const (
	worthAsking = 0.05
	mostClips   = 3
)

// secondID is the question for the second video. What is seen on it says the
// answer, so nothing is written.
const secondID = "video.throw"

// items lists every question that the case as it stands can be asked, in the
// order of the sections and, on video, of the throw.
func (f *Flow) items() []item {
	out := f.safetyItems()
	of := func(section string, make func(checklist.Question) item) {
		for _, q := range f.base.Checklist.Questions {
			if sectionOf(q) == section {
				out = append(out, make(q))
			}
		}
	}
	of(Athlete, asked)
	out = slices.Concat(out, f.loadItems(), f.drillItems(), f.ladderItems(), f.videoItems(), f.stuckItems())
	of(Others, f.screenItem)
	return out
}

func (f *Flow) item(id string) (item, bool) {
	items := f.items()
	i := slices.IndexFunc(items, func(it item) bool { return it.ID == id })
	if i < 0 {
		return item{}, false
	}
	return items[i], true
}

// videoItems asks for each checkpoint in the drill and beside it.
func (f *Flow) videoItems() []item {
	drill, second := f.c.Reference.Throw, f.Second()
	out := []item{f.secondItem()}
	for _, p := range f.base.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue // told rung by rung
		}
		if drill != "" {
			out = append(out, f.look(p, drill, second, false))
		}
		if second != "" {
			out = append(out, f.look(p, second, drill, true))
		}
	}
	return out
}

// Second is the throw on the second video, set beside the drill: the one chosen
// on this visit, else the one that was looked at, else the stuck rung, else the
// throw to a catcher.
func (f *Flow) Second() string {
	at, _ := f.stuck()
	if at == f.c.Reference.Throw {
		at = ""
	}
	usual := usualMound
	if !slices.Contains(f.vocab.Throws, usual) {
		usual = ""
	}
	return cmp.Or(f.second, f.facts.Compared, at, usual)
}

// secondItem asks which throw the second video shows.
func (f *Flow) secondItem() item {
	answers := f.throwAnswers(f.maybeSecond)
	if i := slices.IndexFunc(answers, func(a fact.Answer) bool { return a.ID == f.Second() }); i > 0 {
		answers = slices.Concat(answers[i:i+1], answers[:i], answers[i+1:])
	}
	it := item{topic: "video", Question: Question{
		ID: secondID, Section: OnVideo, Title: "the second video", Ask: "Which throw do you have on video, to set beside the drill?",
		Help: f.words("help_second_video"), Options: options(answers), Seconds: quick,
	}}
	it.stands = func(*casefile.Case) (string, string) {
		if f.second == "" && f.facts.Compared == "" {
			return "", ""
		}
		return f.title(f.Second()), f.Second()
	}
	it.read = func(r Reply) (change, error) {
		o, ok := it.Options.Pick(r.Text)
		if !ok {
			return change{}, it.wrong(r.Text)
		}
		f.second = o.ID
		f.looks, f.known = nil, false
		return change{words: o.Label}, nil
	}
	return it
}

// maybeSecond reports whether a throw can be set beside the drill: the stuck
// rung and those after it, or where no ladder says more any throw off a mound
// and the one suggested.
func (f *Flow) maybeSecond(id string) bool {
	if id == f.c.Reference.Throw {
		return false
	}
	if _, ok := f.stuck(); ok {
		for _, r := range f.facts.Ladder.Rungs[f.facts.Ladder.Verdict.Rung:] {
			if r.Throw.ID == id {
				return f.c.Ladder().Rung(id) != nil
			}
		}
		return false
	}
	t, ok := f.base.Throw(id)
	return ok && t.OnMound || id == f.Second()
}

// next finds the question that comes now, or why there is none: what belongs to
// a clinician, then the safety questions, what has its place before the video,
// answers that work has made old, what tells most, and what was noted at the
// stuck rung. There it stops by itself; asked to go on, it asks whatever is open.
func (f *Flow) next() {
	f.state = Asking
	if f.now = f.over(); f.now != "" {
		return
	}
	if f.refused() {
		f.state = Referred
		return
	}
	if id, ok := f.safety(); ok {
		f.now = id
		return
	}
	items := f.items()
	open := func(when func(item) bool) string {
		i := slices.IndexFunc(items, func(it item) bool { return f.isOpen(it) && when(it) })
		if i < 0 {
			return ""
		}
		return items[i].ID
	}
	first := open(func(it item) bool { return it.ID != secondID || f.fixed(it) })
	f.now = cmp.Or(open(f.fixed), open(func(it item) bool { return f.aged[it.ID] }))
	if f.now == "" && f.goOn && f.order == Video {
		f.now = first // everything is asked, so nothing need be weighed
	}
	if f.now == "" {
		if f.now = f.worth(items); f.now != "" && f.order == Video {
			f.now = cmp.Or(first, f.now)
		}
	}
	if f.now == "" {
		f.now = open(func(it item) bool { return f.goOn || it.Section == Rungs && f.settled() == nil })
	}
	switch {
	case f.now != "":
	case first != "":
		f.state = Enough
	default:
		f.state = Complete
	}
}

// fixed reports whether a question has its place before the video.
func (f *Flow) fixed(it item) bool {
	if it.ID == secondID {
		return len(it.Options) > 1 && f.settled() == nil
	}
	return it.Section == Athlete || it.Section == Drill || it.Section == Ladder
}

func (f *Flow) isOpen(it item) bool {
	switch {
	case f.skipped[it.ID]:
		return false
	case it.ID == rungsID:
		return !f.rungsIn
	}
	now, _ := it.stands(f.c)
	return now == "" || f.aged[it.ID]
}

// worth returns the open question that tells most, "" where none tells enough
// to be asked.
func (f *Flow) worth(items []item) string {
	if f.settled() != nil && !f.goOn {
		return ""
	}
	for _, l := range f.telling() {
		if l.Bits < worthAsking && !f.goOn {
			return ""
		}
		for _, id := range f.idsOf(l) {
			i := slices.IndexFunc(items, func(it item) bool { return it.ID == id })
			if i >= 0 && (f.isOpen(items[i]) || f.onceMore(l, id)) {
				return id
			}
		}
	}
	return ""
}

// onceMore reports whether a checkpoint that is measured and still unclear is
// to be looked at on another clip, and marks it so.
func (f *Flow) onceMore(l triage.Look, id string) bool {
	if !strings.HasPrefix(l.Fact, fact.Changed+".") || f.skipped[id] || f.looked[id] {
		return false
	}
	if o := f.c.Observed(lookOf(id)); o == nil || len(o.Looks) >= mostClips {
		return false
	}
	f.again[id] = true
	return true
}

// telling lists what would tell most, worked out once for each state of the case.
func (f *Flow) telling() []triage.Look {
	if !f.known {
		f.looks, f.known = f.model.NextLook(f.athlete()), true
	}
	return f.looks
}

func (f *Flow) athlete() triage.Case {
	return triage.Case{Vector: f.facts.Vector, Lambda: f.facts.Lambda, Unsure: f.facts.Unsure, Break: f.facts.Ladder.Break}
}

// idsOf names the questions behind an observation, the drill's first.
func (f *Flow) idsOf(l triage.Look) []string {
	column, name, _ := strings.Cut(l.Fact, ".")
	switch column {
	case fact.Best, fact.Stuck, fact.Changed:
		return []string{lookID(name, f.c.Reference.Throw), lookID(name, f.Second())}
	case "rung":
		at, ok := f.stuck()
		switch {
		case !ok:
			return nil
		case name == "net_miss":
			return []string{rungID(f.netMiss(at))}
		}
		return []string{rungID(at, name)}
	}
	return []string{l.Fact}
}
