package rule

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
)

// lintConditions tells of conditions that can never hold, always hold, or carry
// a clause without effect. It returns those that do hold in some cases only.
func (b *Base) lintConditions(tell func(Finding)) (sound map[*cond.Condition]bool) {
	sound = map[*cond.Condition]bool{}
	for _, r := range b.Conditions() {
		a := r.When.Analyse()
		sound[r.When] = a.Outlook == cond.Sometimes
		switch a.Outlook {
		case cond.Never:
			b.never(r, a, tell)
		case cond.Always:
			f := b.finding(r, "L308", "this condition always holds", a.Holds)
			f.Why, f.Help = "it holds whatever is seen, so it says nothing", "check the numbers and the answers it names"
			tell(f)
		case cond.Sometimes:
			for _, idle := range a.Idle {
				f := b.finding(r, "L309", "this part has no effect", idle.Case)
				f.Place = b.PlaceIn(r.When, idle.From, idle.To)
				f.Why, f.Help = "with it and without it the condition comes out the same in every case", "take it out, or change what it compares"
				tell(f)
			}
		}
	}
	return sound
}

func (b *Base) never(r Rule, a cond.Analysis, tell func(Finding)) {
	f := b.finding(r, "L301", "this condition can never hold", a.Fails)
	f.Help = "did you mean `or`, or one of the two the other way round?"
	if n := len(a.Clash); n > 0 {
		last := a.Clash[n-1]
		f.Place = b.PlaceIn(r.When, last.From, last.To)
		f.Under = "no case fits this"
		if n > 1 {
			f.Under = fmt.Sprintf("never together with `%s`", a.Clash[0].Text)
		}
	}
	tell(f)
}

// finding starts a finding about one condition, placed under the whole of it.
func (b *Base) finding(r Rule, code, headline string, settings []cond.Setting) Finding {
	var example Example
	for _, s := range settings {
		example = append(example, b.pair(s.Slot, s.Value))
	}
	place := b.PlaceIn(r.When, 0, utf8.RuneCountInString(r.When.Text()))
	f := b.showing(diag.Diagnostic{Place: place, Level: diag.Warning, Code: code, Headline: headline}, example)
	f.Rules = []string{r.ID}
	return f
}

// between starts a finding about a sign or a gate and another one beside it.
func (b *Base) between(one, other Entry, when, beside *cond.Condition, code, headline string, settings []cond.Setting) Finding {
	f := b.finding(Rule{ID: one.ID, When: when}, code, headline, settings)
	f.Rules = []string{one.ID, other.ID}
	f.Notes = append([]string{stands(other, beside)}, f.Notes...)
	return f
}

// stands tells where an entry stands and what its condition is.
func stands(e Entry, when *cond.Condition) string {
	return fmt.Sprintf("`%s` is at %s: %s", e.ID, at(e.Origin), oneLine(when.Text()))
}

// How much is compared of many signs that read alike, so that the work and the
// text stay bounded however many there are.
const (
	mostCompared  = 40     // conditions over the same facts, each with each
	mostCoverings = 20_000 // pairs of which one reads more than the other
)

// reading is the signs that read the same facts, each condition for the same
// factors once.
type reading struct {
	slots []int
	signs []*Sign
	more  int // conditions beyond the most that are compared
}

// readings groups the signs by what they read, and tells of those that are the
// same over again.
func (b *Base) readings(tell func(Finding)) []*reading {
	var out []*reading
	byReads, first := map[string]*reading{}, map[string]*Sign{}
	for i := range b.Signs {
		s := &b.Signs[i]
		reads := fmt.Sprint(s.When.Reads())
		key := fmt.Sprint(reads, oneLine(s.When.Text()), s.Group, shared(s, s))
		if before := first[key]; before != nil {
			if both := shared(s, before); s.Group == "" && len(both) > 0 {
				tell(b.copies(s, before, both))
			}
			continue
		}
		first[key] = s
		r := byReads[reads]
		if r == nil {
			r = &reading{slots: s.When.Reads()}
			byReads[reads] = r
			out = append(out, r)
		}
		if len(r.signs) == mostCompared {
			r.more++
			continue
		}
		r.signs = append(r.signs, s)
	}
	return out
}

// lintPairs tells of two signs for one factor that count one look twice: they
// read the same facts, or one holds whenever the other does; and of two that
// raise the factor whatever is seen. Signs of a common group are left out, since
// only the strongest of them counts, and so are those that never or always hold
// and those that say they stand beside the other on purpose.
func (b *Base) lintPairs(sound map[*cond.Condition]bool, tell func(Finding)) {
	all, left := b.readings(tell), mostCoverings
	for _, r := range all {
		for i, s := range r.signs {
			for _, t := range r.signs[:i] {
				if both := shared(s, t); len(both) > 0 && !b.opposed(s, t, both, sound, tell) && !grouped(s, t) {
					tell(b.copies(s, t, both))
				}
			}
		}
		for _, wider := range all {
			if left > 0 && len(wider.slots) < len(r.slots) && contains(r.slots, wider.slots) {
				left -= b.coverings(r, wider, sound, tell)
			}
		}
		if r.more > 0 {
			tell(Finding{Rules: []string{r.signs[0].ID}, Case: r.signs[0].Fires, Diagnostic: diag.Diagnostic{Place: r.signs[0].Origin, Level: diag.Note, Code: "L314",
				Headline: fmt.Sprintf("%d conditions read the same facts as `%s`", len(r.signs)+r.more-1, r.signs[0].ID),
				Why:      fmt.Sprintf("only the first %d are compared with each other", mostCompared), Help: "join signs that say nearly the same"}})
		}
	}
}

func grouped(s, t *Sign) bool { return s.Group != "" && s.Group == t.Group }

// coverings compares the signs that read some facts with those that read fewer
// of them, and tells how many pairs there were.
func (b *Base) coverings(narrow, wide *reading, sound map[*cond.Condition]bool, tell func(Finding)) int {
	n := 0
	for _, s := range narrow.signs {
		for _, t := range wide.signs {
			if both := shared(s, t); len(both) > 0 && !grouped(s, t) && sound[s.When] && sound[t.When] {
				b.covered(s, t, both, tell)
				n++
			}
		}
	}
	return n
}

// shared lists the factors to which both signs point.
func shared(s, t *Sign) []string {
	var both []string
	for _, l := range s.Seen {
		if pointsTo(*t, l.ID) {
			both = append(both, l.ID)
		}
	}
	return both
}

// contains reports whether all of the slots in few are among those in many.
func contains(many, few []int) bool {
	return !slices.ContainsFunc(few, func(slot int) bool { return !slices.Contains(many, slot) })
}

func (b *Base) copies(s, t *Sign, both []string) Finding {
	f := b.showing(diag.Diagnostic{Place: s.Origin, Level: diag.Warning, Code: "L305",
		Headline: fmt.Sprintf("`%s` and `%s` read the same facts for %s", s.ID, t.ID, strings.Join(both, ", ")),
		Why:      "one look would count twice", Help: "join them, or give both the same group:", Notes: []string{stands(t.Entry, t.When)}}, s.Fires)
	f.Rules = []string{s.ID, t.ID}
	return f
}

// covered tells when t holds in every case in which s does.
func (b *Base) covered(s, t *Sign, both []string, tell func(Finding)) {
	c := cond.Covers(s.When, t.When)
	if !c.Analysed || !c.Covered || slices.Contains(s.Beside, t.ID) {
		return
	}
	f := b.between(s.Entry, t.Entry, s.When, t.When, "L310", fmt.Sprintf("whenever `%s` holds, `%s` holds too", s.ID, t.ID), c.Case)
	f.Level = diag.Note // a narrower sign beside a wider one may be meant
	f.Why = fmt.Sprintf("both point to %s, so one look counts twice", strings.Join(both, ", "))
	f.Help = fmt.Sprintf("give both the same group:, so that only the stronger counts; or write beside: [%s] where it reads one look more", t.ID)
	tell(f)
}
