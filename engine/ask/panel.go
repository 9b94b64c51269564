package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/triage"
)

// mostLeading is how many factors a panel shows.
const mostLeading = 3

// Panel is where the case stands, for a look aside. It is empty until the
// safety questions are answered.
type Panel struct {
	Says    string   // one sentence about the order, or about what is missing for one
	Leading []string // the factors that lead in words, first first
	Changed []string // what the last answer changed, in words; empty before any answer
	Unseen  []string // what would tell most, by title
}

// Panel works out where the case stands.
func (f *Flow) Panel() Panel {
	if _, open := f.safety(); open || f.state == Referred {
		return Panel{}
	}
	g, p := f.settled(), Panel{}
	if g != nil {
		p.Says = tidy(g.Says)
	}
	if _, broken := f.stuck(); len(f.c.Seen) == 0 && !broken {
		// an order would rest on nothing but how common each factor is
		p.Says = cmp.Or(p.Says, "Nothing was seen on video and no break was thrown yet, so nothing is ranked.")
		return p
	}
	r := f.ranking()
	p.Says = cmp.Or(p.Says, standing(r))
	for _, x := range leaders(r) {
		p.Leading = append(p.Leading, diag.Clean(leading(x)))
	}
	if f.given > 0 && f.was != nil {
		for _, c := range changes(f.was, r) {
			p.Changed = append(p.Changed, diag.Clean(c))
		}
	}
	for _, l := range f.telling() {
		if l.Bits >= worthAsking && len(p.Unseen) < mostLeading {
			p.Unseen = append(p.Unseen, diag.Clean(f.lookTitle(l)))
		}
	}
	return p
}

// ranking ranks the case, once for each of its states.
func (f *Flow) ranking() *triage.Result {
	if f.rank == nil {
		f.rank = &triage.Result{}
		f.model.Rank(f.athlete(), f.rank)
	}
	return f.rank
}

func leaders(r *triage.Result) []triage.Ranked { return r.Factors[:min(mostLeading, len(r.Factors))] }

// leading tells a factor on one line.
func leading(x triage.Ranked) string {
	out := fmt.Sprintf("%s: %s, %s", x.Factor.Title, cause.InWords(chance(x)), cause.InTenths(chance(x)))
	if x.Of != nil {
		out += "; likely follows from " + x.Of.Title
	}
	return out
}

// chance is the one that is told of a factor: that it is a cause, or of a
// consequence that it is there.
func chance(x triage.Ranked) float64 {
	if x.Of != nil {
		return x.Present
	}
	return x.Root
}

// standing puts the standing of a ranking into a sentence.
func standing(r *triage.Result) string {
	switch {
	case len(r.Factors) == 0 || !r.Explains:
		return "Nothing stands out yet."
	case r.Standing == cause.ClearFirst:
		return "One stands clearly first."
	case r.Standing == cause.LikelyFirst:
		return "One is likely first, not certain."
	case r.Standing == cause.WeakLead:
		return "One leads by a little."
	}
	return "No clear leader yet."
}

// leastChange is the change of a chance that is told although its word stays
// (house default).
const leastChange = 0.10

// changes tells what moved between two rankings, the first place before all.
func changes(was, is *triage.Result) []string {
	var out []string
	if len(was.Factors) > 0 && len(is.Factors) > 0 && was.Factors[0].Factor != is.Factors[0].Factor {
		out = append(out, fmt.Sprintf("%s is first now, before it was %s", is.Factors[0].Factor.Title, was.Factors[0].Factor.Title))
	}
	find := func(r *triage.Result, x triage.Ranked) int {
		return slices.IndexFunc(r.Factors, func(y triage.Ranked) bool { return y.Factor == x.Factor })
	}
	for _, x := range leaders(is) {
		at, to := find(was, x), cause.InWords(chance(x))
		if at < 0 {
			out = append(out, fmt.Sprintf("%s came up: %s", x.Factor.Title, to))
			continue
		}
		before := chance(was.Factors[at])
		switch from := cause.InWords(before); {
		case from != to:
			out = append(out, fmt.Sprintf("%s: %s, was %s", x.Factor.Title, to, from))
		case chance(x)-before >= leastChange:
			out = append(out, x.Factor.Title+": more likely")
		case before-chance(x) >= leastChange:
			out = append(out, x.Factor.Title+": less likely")
		}
	}
	for _, x := range leaders(was) {
		if find(is, x) < 0 {
			out = append(out, x.Factor.Title+" fell away")
		}
	}
	if len(out) == 0 {
		out = []string{"nothing in the order"}
	}
	return out
}

// lookTitle names an observation for people.
func (f *Flow) lookTitle(l triage.Look) string {
	if q, ok := f.base.Checklist.Question(l.Fact); ok {
		return q.Title
	}
	x, ok := f.base.Catalogue.Lookup(l.Fact)
	if !ok {
		return strings.NewReplacer("_", " ", ".", " ").Replace(l.Fact)
	}
	if p, ok := f.base.Checklist.Checkpoint(x.Checkpoint); ok {
		if x.Column == fact.Changed {
			return p.Title + ", another clip"
		}
		return p.Title
	}
	return x.About
}

// Progress is how far the visit has come.
type Progress struct {
	Answered int // answers on disk
	Open     int // questions the checklist still means to ask, at most
	Minutes  int // about how long that takes, at least 1 where something is open
}

// usualLooks is how many answers on video a case usually takes in the telling
// order; it stands in until the video is reached (house default).
const usualLooks = 24

// Progress counts what is answered and what is to come. In the telling order
// only what tells enough is to come.
func (f *Flow) Progress() Progress {
	var p Progress
	var worth map[string]bool
	seconds := 0
	if f.state != Asking || f.reached() {
		worth = f.toCome()
	} else if f.settled() == nil {
		p.Open, seconds = usualLooks, usualLooks*byEye
	}
	for _, it := range f.items() {
		now, _ := it.stands(f.c)
		switch {
		case now != "" && it.ID != secondID && !f.again[it.ID]:
			p.Answered++
		case f.skipped[it.ID]:
		case (f.fixed(it) || it.Must) && f.isOpen(it) || worth[it.ID]:
			p.Open++
			seconds += it.Seconds
		}
	}
	p.Minutes = (seconds + 59) / 60
	return p
}

// reached reports whether the present question is one that is asked on video or
// after it.
func (f *Flow) reached() bool {
	it, ok := f.item(f.now)
	return ok && !it.Must && (!f.fixed(it) || it.ID == secondID)
}

// toCome lists what is still worth asking besides what has its place before the
// video, by id.
func (f *Flow) toCome() map[string]bool {
	out := map[string]bool{}
	if f.settled() != nil && !f.goOn {
		return out
	}
	all, telling := f.goOn || f.order == Video, map[string]bool{}
	if !all {
		for _, l := range f.telling() {
			for _, id := range f.idsOf(l) {
				telling[id] = l.Bits >= worthAsking || telling[id]
			}
		}
	}
	for _, it := range f.items() {
		asked := it.Section == Rungs || telling[it.ID] || all && it.Section == OnVideo && it.ID != secondID || f.goOn
		out[it.ID] = asked && (f.isOpen(it) || telling[it.ID] && f.again[it.ID])
	}
	return out
}

// Ending says why nothing is asked any more, and what to do.
type Ending struct {
	State State
	Says  string // what was found, a sentence
	Do    string // what to do next; may be empty
	Open  int    // questions that stay open
}

// Ending describes the end. While a question is being asked it describes an
// early leave.
func (f *Flow) Ending() Ending {
	e := Ending{State: f.state}
	for _, it := range f.items() {
		if now, _ := it.stands(f.c); now == "" && it.ID != secondID {
			e.Open++
		}
	}
	g, onward := f.gate(), "Go on with `rungwise triage "+f.Path()+"`"
	if f.state == Enough {
		g = f.settled()
	}
	switch {
	case g != nil && (f.state == Referred || f.state == Enough):
		e.Says, e.Do = tidy(g.Says), tidy(g.Do)
	case f.state == Complete:
		e.Says, e.Do = "Every question has its answer.", onward+"."
	case f.state == Enough:
		e.Says = "Nothing that is left would change the answer much, so the checklist stops here."
		e.Do = onward + ", or answer the rest as well."
	case f.state == Broken:
		e.Says, e.Do = "The file has faults now, so nothing more can be saved.", "Mend it and start again."
	default:
		e.Says, e.Do = "Everything you answered is saved.", "`rungwise ask "+f.Path()+"` goes on where you left."
	}
	return e
}
