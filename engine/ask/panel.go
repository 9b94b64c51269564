package ask

import (
	"fmt"
	"math"
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
	Says    string    // one sentence about the order, or about what is missing for one
	Leading []Leading // the factors that lead, first first
	Changed []string  // what the last answer changed, in words; empty before any answer
	Unseen  []string  // what would tell most, by title
}

// Leading is one factor of a panel.
type Leading struct {
	Title, Words, Range string
	Of                  string // the factor that it likely follows from; "" = none
}

// Panel works out where the case stands.
func (f *Flow) Panel() Panel {
	if _, open := f.safety(); open || f.state == Referred {
		return Panel{}
	}
	_, broken := f.stuck()
	if len(f.c.Seen) == 0 && !broken {
		return Panel{Says: f.begun()}
	}
	r := f.ranking()
	p := Panel{Says: f.says(r)}
	for _, x := range r.Factors[:min(mostLeading, len(r.Factors))] {
		p.Leading = append(p.Leading, leading(x))
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

// begun says what is missing for an order: it would rest on nothing but how
// common each factor is.
func (f *Flow) begun() string {
	if g := f.settled(); g != nil {
		return tidy(g.Says)
	}
	return "Nothing was seen on video and no break was thrown yet, so nothing is ranked."
}

// ranking ranks the case, once for each of its states.
func (f *Flow) ranking() *triage.Result {
	if f.rank == nil {
		f.rank = &triage.Result{}
		f.model.Rank(f.athlete(), f.rank)
	}
	return f.rank
}

func leading(x triage.Ranked) Leading {
	out := Leading{Title: diag.Clean(x.Factor.Title), Words: cause.InWords(chance(x)), Range: cause.InTenths(chance(x))}
	if x.Of != nil {
		out.Of = diag.Clean(x.Of.Title)
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

// says puts the standing of a ranking into a sentence.
func (f *Flow) says(r *triage.Result) string {
	if g := f.settled(); g != nil {
		return tidy(g.Says)
	}
	if len(r.Factors) == 0 || !r.Explains {
		return "Nothing stands out yet."
	}
	switch r.Standing {
	case cause.ClearFirst:
		return "One stands clearly first."
	case cause.LikelyFirst:
		return "One is likely first, not certain."
	case cause.WeakLead:
		return "One leads by a little."
	}
	return "No clear leader yet."
}

// tidy joins text that was folded over lines.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

// leastChange is the change of a chance that is told although its word stays
// (house default).
const leastChange = 0.10

// changes tells what moved between two rankings, the first place before all.
func changes(was, is *triage.Result) []string {
	var out []string
	before, now := firstOf(was), firstOf(is)
	if now != "" && before != "" && now != before {
		out = append(out, fmt.Sprintf("%s is first now, before it was %s", now, before))
	}
	old := map[string]float64{}
	for _, x := range was.Factors {
		old[x.Factor.Title] = chance(x)
	}
	for _, x := range is.Factors[:min(mostLeading, len(is.Factors))] {
		before, listed := old[x.Factor.Title]
		from, to := cause.InWords(before), cause.InWords(chance(x))
		switch {
		case !listed:
			out = append(out, fmt.Sprintf("%s came up: %s", x.Factor.Title, to))
		case from != to:
			out = append(out, fmt.Sprintf("%s: %s, was %s", x.Factor.Title, to, from))
		case math.Abs(chance(x)-before) >= leastChange:
			out = append(out, fmt.Sprintf("%s: %s likely", x.Factor.Title, map[bool]string{true: "more", false: "less"}[chance(x) > before]))
		}
	}
	for _, x := range was.Factors[:min(mostLeading, len(was.Factors))] {
		if !slices.ContainsFunc(is.Factors, func(y triage.Ranked) bool { return y.Factor == x.Factor }) {
			out = append(out, x.Factor.Title+" fell away")
		}
	}
	if len(out) == 0 {
		out = []string{"nothing in the order"}
	}
	return out
}

func firstOf(r *triage.Result) string {
	if len(r.Factors) == 0 {
		return ""
	}
	return r.Factors[0].Factor.Title
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
	Skipped  int // left open on this visit
	Minutes  int // about how long that takes, at least 1 where something is open
}

// Progress counts what is answered and what is to come. In the telling order
// only what tells enough is to come.
func (f *Flow) Progress() Progress {
	var p Progress
	seconds := 0
	worth, reached := map[string]bool{}, f.state != Asking || f.reached()
	if reached {
		worth = f.toCome()
	} else if f.settled() == nil {
		p.Open, seconds = usualLooks, usualLooks*byEye
	}
	for _, it := range f.items() {
		now, _ := it.stands(f.c)
		switch {
		case now != "" && it.ID != "video.throw" && !f.again[it.ID]:
			p.Answered++
		case f.skipped[it.ID]:
			p.Skipped++
		case f.fixed(it) && f.isOpen(it) || it.Must && f.isOpen(it) || worth[it.ID]:
			p.Open++
			seconds += it.Seconds
		}
	}
	p.Minutes = (seconds + 59) / 60
	return p
}

// usualLooks is how many answers on video a case usually takes in the telling
// order; it stands in until the video is reached (house default).
const usualLooks = 24

// reached reports whether the present question is one that is asked on video or
// after it.
func (f *Flow) reached() bool {
	it, ok := f.item(f.now)
	return ok && !it.Must && (!f.fixed(it) || it.ID == "video.throw")
}

// toCome lists what is still worth asking, by id.
func (f *Flow) toCome() map[string]bool {
	out := map[string]bool{}
	if f.settled() != nil && !f.goOn {
		return out
	}
	if f.goOn || f.order == Video {
		for _, it := range f.items() {
			if it.Section == OnVideo && it.ID != "video.throw" || it.Section == Rungs || f.goOn {
				out[it.ID] = f.isOpen(it)
			}
		}
		return out
	}
	for _, it := range f.stuckItems() {
		out[it.ID] = f.isOpen(it)
	}
	for _, l := range f.telling() {
		if l.Bits < worthAsking {
			break
		}
		for _, id := range f.idsOf(l) {
			if it, ok := f.item(id); ok {
				out[id] = f.isOpen(it) || f.again[id]
			}
		}
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
		if now, _ := it.stands(f.c); now == "" && it.ID != "video.throw" {
			e.Open++
		}
	}
	g := f.gate()
	switch {
	case f.state == Referred && g != nil:
		e.Says, e.Do = tidy(g.Says), tidy(g.Do)
	case f.state == Complete:
		e.Says, e.Do = "Every question has its answer.", "Go on with `rungwise triage "+f.Path()+"`."
	case f.state == Enough && f.settled() != nil:
		e.Says, e.Do = tidy(f.settled().Says), tidy(f.settled().Do)
	case f.state == Enough:
		e.Says = "Nothing that is left would change the answer much, so the checklist stops here."
		e.Do = "Go on with `rungwise triage " + f.Path() + "`, or answer the rest as well."
	case f.state == Broken:
		e.Says, e.Do = "The file has faults now, so nothing more can be saved.", "Mend it and start again."
	default:
		e.Says = "Everything you answered is saved."
		e.Do = "`rungwise ask " + f.Path() + "` goes on where you left."
	}
	return e
}
