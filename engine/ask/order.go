package ask

import (
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// worthAsking is the least fall of the doubt, in bits, for which the checklist
// goes on by itself; mostClips is how often one checkpoint of one throw is
// looked at (house defaults).
const (
	worthAsking = 0.05
	mostClips   = 3
)

// items lists every question that the case as it stands can be asked, in the
// order of the sections and, on video, of the throw.
func (f *Flow) items() []item {
	out := f.safetyItems()
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) == Athlete {
			out = append(out, asked(q))
		}
	}
	out = append(out, f.loadItems()...)
	out = append(out, f.drillItems()...)
	out = append(out, f.ladderItems()...)
	out = append(out, f.videoItems()...)
	out = append(out, f.stuckItems()...)
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) == Others {
			out = append(out, f.screenItem(q))
		}
	}
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
	if f.second != "" {
		return f.second
	}
	if f.facts.Compared != "" {
		return f.facts.Compared
	}
	if at, ok := f.stuck(); ok && at != f.c.Reference.Throw {
		return at
	}
	if slices.Contains(f.vocab.Throws, usualMound) {
		return usualMound
	}
	return ""
}

// secondItem asks which throw the second video shows. Nothing is written: what
// is seen on it says it.
func (f *Flow) secondItem() item {
	suggested := f.Second()
	answers := f.throwAnswers(f.maybeSecond)
	slices.SortStableFunc(answers, func(a, b fact.Answer) int { return first(b.ID == suggested) - first(a.ID == suggested) })
	it := item{topic: "video", Question: Question{
		ID: "video.throw", Section: OnVideo, Title: "the second video", Ask: "Which throw do you have on video, to set beside the drill?",
		Help:    "Best is the stuck rung, else the next throw after it that was filmed, from the same place as the drill.",
		Options: options(answers), Seconds: quick,
	}}
	it.stands = func(*casefile.Case) (string, string) {
		if f.second == "" && f.facts.Compared == "" {
			return "", ""
		}
		return f.title(f.Second()), f.Second()
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		o, ok := shown.pick(r.Text)
		if !ok {
			return change{}, shown.wrong(r.Text)
		}
		f.second = o.ID
		f.looks, f.known = nil, false
		return change{words: o.Label}, nil
	}
	return it
}

func first(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// maybeSecond reports whether a throw can be set beside the drill: the stuck
// rung and those after it, or where no ladder says more any throw off a mound
// and the one suggested.
func (f *Flow) maybeSecond(id string) bool {
	if id == f.c.Reference.Throw {
		return false
	}
	if _, ok := f.stuck(); ok {
		at := f.facts.Ladder.Verdict.Rung
		for _, r := range f.facts.Ladder.Rungs[at:] {
			if r.Throw.ID == id {
				return f.c.Ladder().Rung(id) != nil
			}
		}
		return false
	}
	t, ok := f.base.Throw(id)
	return ok && t.OnMound || id == f.Second()
}

// next finds the question that comes now, or why there is none.
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
	for _, it := range items {
		if f.fixed(it) && f.isOpen(it) {
			f.now = it.ID
			return
		}
	}
	for _, it := range items {
		if f.aged[it.ID] && f.isOpen(it) {
			f.now = it.ID
			return
		}
	}
	in := f.firstOpen(items)
	if f.goOn && f.order == Video && in != "" {
		f.now = in // everything is asked, so nothing need be weighed
		return
	}
	if id := f.worth(items); id != "" {
		f.now = id
		if f.order == Video && in != "" {
			f.now = in
		}
		return
	}
	f.rest(items)
}

// rest asks what was noted at the stuck rung, and then stops by itself; asked
// to go on, it asks whatever is open.
func (f *Flow) rest(items []item) {
	for _, it := range items {
		if f.isOpen(it) && (f.goOn || it.Section == Rungs && f.settled() == nil) {
			f.now = it.ID
			return
		}
	}
	f.state = Complete
	if f.firstOpen(items) != "" {
		f.state = Enough
	}
}

// fixed reports whether a question has its place before the video.
func (f *Flow) fixed(it item) bool {
	if it.ID == "video.throw" {
		return len(it.Options) > 1 && f.settled() == nil
	}
	return it.Section == Athlete || it.Section == Drill || it.Section == Ladder
}

func (f *Flow) isOpen(it item) bool {
	if f.skipped[it.ID] {
		return false
	}
	if it.ID == "ladder.rungs" {
		return !f.rungsIn
	}
	now, _ := it.stands(f.c)
	return now == "" || f.aged[it.ID]
}

func (f *Flow) firstOpen(items []item) string {
	for _, it := range items {
		if f.isOpen(it) && (it.ID != "video.throw" || f.fixed(it)) {
			return it.ID
		}
	}
	return ""
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
			if i >= 0 && (f.isOpen(items[i]) || f.onceMore(l, items[i])) {
				return id
			}
		}
	}
	return ""
}

// onceMore reports whether a checkpoint that is measured and still unclear is
// to be looked at on another clip, and marks it so.
func (f *Flow) onceMore(l triage.Look, it item) bool {
	if !strings.HasPrefix(l.Fact, fact.Changed+".") || f.skipped[it.ID] || f.looked[it.ID] {
		return false
	}
	checkpoint, throw, _ := strings.Cut(strings.TrimPrefix(it.ID, "seen."), "/")
	if o := f.c.Observed(checkpoint, throw); o == nil || len(o.Looks) >= mostClips {
		return false
	}
	f.again[it.ID] = true
	return true
}

// settled returns the gate that makes the video needless: the drill has to be
// restored first, or no break was found.
func (f *Flow) settled() *rule.Gate {
	if g := f.gate(); g != nil && (g.Verdict == rule.Restore || g.Verdict == rule.NoneFound) {
		return g
	}
	return nil
}

// gate returns the gate that decides.
func (f *Flow) gate() *rule.Gate { return f.base.Deciding(f.facts.Vector) }

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
	column, checkpoint, _ := strings.Cut(l.Fact, ".")
	drill, second := f.c.Reference.Throw, f.Second()
	switch column {
	case fact.Best, fact.Stuck, fact.Changed:
		return []string{lookID(checkpoint, drill), lookID(checkpoint, second)}
	case "rung":
		if at, ok := f.stuck(); ok {
			return f.rungIDs(checkpoint, at)
		}
		return nil
	}
	return []string{l.Fact}
}

func (f *Flow) rungIDs(what, at string) []string {
	if what == "net_miss" {
		if net := f.lastNet(f.facts.Ladder.Rungs, at); net != "" {
			return []string{"ladder." + net + ".miss"}
		}
	}
	return []string{"ladder." + at + "." + what}
}
