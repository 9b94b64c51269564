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
	f := Finding{Rules: []string{r.ID}, Case: b.example(settings)}
	f.Diagnostic = diag.Diagnostic{Place: b.PlaceIn(r.When, 0, utf8.RuneCountInString(r.When.Text())), Level: diag.Warning, Code: code,
		Headline: headline, Notes: b.tryIt(f.Case)}
	return f
}

// lintPairs tells of two signs for one factor that count one look twice: they
// read the same facts, or one holds whenever the other does; and of two that
// raise the factor whatever is seen. Signs of a common group are left out, since
// only the strongest of them counts, and so are those that never or always hold
// and those that say they stand beside the other on purpose.
func (b *Base) lintPairs(sound map[*cond.Condition]bool, tell func(Finding)) {
	for i := range b.Signs {
		for j := range b.Signs {
			s, t := &b.Signs[i], &b.Signs[j]
			both := shared(s, t)
			if i == j || len(both) == 0 {
				continue
			}
			same := slices.Equal(s.When.Reads(), t.When.Reads())
			grouped := s.Group != "" && s.Group == t.Group
			switch {
			case same && j < i && b.opposed(s, t, both, sound, tell):
			case same && j < i && !grouped:
				tell(b.copies(s, t, both))
			case !same && !grouped && sound[s.When] && sound[t.When] && contains(s.When.Reads(), t.When.Reads()):
				b.covered(s, t, both, tell)
			}
		}
	}
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
	for _, slot := range few {
		if !slices.Contains(many, slot) {
			return false
		}
	}
	return true
}

func (b *Base) copies(s, t *Sign, both []string) Finding {
	f := Finding{Rules: []string{s.ID, t.ID}, Case: s.Fires, Diagnostic: diag.Diagnostic{Place: s.Origin, Level: diag.Warning, Code: "L305",
		Headline: fmt.Sprintf("`%s` and `%s` read the same facts for %s", s.ID, t.ID, strings.Join(both, ", ")),
		Why:      "one look would count twice", Help: "join them, or give both the same group:",
		Notes: []string{fmt.Sprintf("`%s` is at %s: %s", t.ID, at(t.Origin), oneLine(t.When.Text()))}}}
	f.Notes = append(f.Notes, b.tryIt(f.Case)...)
	return f
}

// covered tells when t holds in every case in which s does.
func (b *Base) covered(s, t *Sign, both []string, tell func(Finding)) {
	c := cond.Covers(s.When, t.When)
	if !c.Analysed || !c.Covered || slices.Contains(s.Beside, t.ID) {
		return
	}
	f := b.finding(Rule{ID: s.ID, When: s.When}, "L310", fmt.Sprintf("whenever `%s` holds, `%s` holds too", s.ID, t.ID), c.Case)
	f.Level = diag.Note // a narrower sign beside a wider one may be meant
	f.Rules = []string{s.ID, t.ID}
	f.Why = fmt.Sprintf("both point to %s, so one look counts twice", strings.Join(both, ", "))
	f.Help = fmt.Sprintf("give both the same group:, so that only the stronger counts; or write beside: [%s] where it reads one look more", t.ID)
	f.Notes = append([]string{fmt.Sprintf("`%s` is at %s: %s", t.ID, at(t.Origin), oneLine(t.When.Text()))}, f.Notes...)
	tell(f)
}
