package compose

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// factor tells where a factor stands, what put it before or after another, and
// what would make it the first.
func (a *Asked) factor(f *rule.Factor) entry {
	x := entry{kind: "factor", Entry: f.Entry, reader: -1}
	if len(f.CanCause) > 0 {
		x.line("can bring about %s", a.links(f.CanCause))
	}
	for _, d := range a.Case.Disagrees {
		if d.Factor == f.ID { // it moves nothing
			x.line("%s puts it first, because: %s; the order here stays that of the rules", cmp.Or(d.By, "the coach"), d.Reason)
		}
	}
	x.more = func(w *report.Why) {
		found := a.full()
		t, c := found.Triage, composer{found}
		rows := c.factors()
		at := slices.IndexFunc(rows, func(r report.Factor) bool { return r.ID == f.ID })
		var more entry
		if at < 0 {
			a.unlisted(w, c, f)
		} else {
			row := rows[at]
			w.Says = fmt.Sprintf("%s is number %d of %d: %s, %s", f.Title, row.Rank, len(rows), row.Words, row.Range)
			if row.Of != nil {
				w.Says += ", most likely a consequence of " + row.OfTitle
			}
			w.Reasons = row.Reasons
			if len(rows) > 1 {
				w.Versus = a.versus(t.Factors[max(0, at-1)], t.Factors[max(1, at)])
			}
			if len(row.Unseen) > 0 {
				more.line("not seen yet: %s", strings.Join(row.Unseen, "; "))
			}
		}
		if at != 0 && t.Standing != "" {
			a.lift(&more, c, f)
		}
		w.Lines = append(w.Lines, more.lines...)
	}
	return x
}

// lift tells what would make a factor the first: one answer given, were it read
// otherwise, and one or two that are still open.
func (a *Asked) lift(x *entry, c composer, f *rule.Factor) {
	var otherwise []string
	for _, s := range c.shaky() {
		if s.FirstBecomes == f.ID {
			otherwise = append(otherwise, fmt.Sprintf("%s, %s (now %s)", s.Title, s.If, s.Now))
		}
	}
	open := a.lifts()[f.ID]
	if len(otherwise) > 0 {
		x.line("it would be first with one answer read otherwise: %s", strings.Join(otherwise, "; or "))
	}
	if len(open) > 0 {
		x.line("it would be first with what was not seen yet: %s", strings.Join(open, ", and "))
	}
	if len(otherwise)+len(open) == 0 {
		x.line("no one or two answers that are still open would make it first")
	}
}

func (a *Asked) lifted() map[string][]string {
	c, out := composer{a.full()}, map[string][]string{}
	for id, answers := range a.model.Lifts(a.at) {
		for _, x := range answers {
			title, value := c.answerWords(x.Fact, x.Value)
			out[id] = append(out[id], title+", "+value)
		}
	}
	return out
}

// unlisted tells why a factor is not in the list, and what comes before it.
func (a *Asked) unlisted(w *report.Why, c composer, f *rule.Factor) {
	t := c.Triage
	w.Says = fmt.Sprintf("%s is not listed: nothing that was seen makes it likely", f.Title)
	if t.Standing == "" {
		w.Says = fmt.Sprintf("nothing is ranked: %s", tidy(c.gate().Says))
	}
	for _, r := range a.model.Reasons(a.at, f) {
		w.Reasons = append(w.Reasons, c.reason(r))
	}
	if n := len(t.Factors); n > 0 {
		w.Versus = a.versus(t.Factors[n-1], triage.Ranked{Factor: f})
		w.Versus.SecondRange = "not listed"
	}
}

// mostParts is how many things are told that put one factor before another.
const mostParts = 6

// asGoodAsTied is under what difference of chance an order means nothing.
const asGoodAsTied = 0.01

// versus tells what puts factor x before factor y.
func (a *Asked) versus(x, y triage.Ranked) *report.Versus {
	v := &report.Versus{First: x.Factor.ID, FirstTitle: x.Factor.Title, FirstRange: cause.InTenths(x.Root),
		Second: y.Factor.ID, SecondTitle: y.Factor.Title, SecondRange: cause.InTenths(y.Root),
		Tied: math.Abs(x.Root-y.Root) < asGoodAsTied, Parts: []report.VersusPart{}}
	parts := a.model.Versus(a.at, x.Factor, y.Factor)
	for _, p := range parts[:min(mostParts, len(parts))] {
		part := report.VersusPart{Helps: v.First, Strength: p.Strength(), Weight: p.Weight}
		if p.Weight < 0 {
			part.Helps = v.Second
		}
		switch p.By {
		case triage.BySign:
			part.Rule, part.Title = p.Sign.ID, p.Sign.Title
			if p.Sign.When.Eval(a.Facts.Vector) == fact.No {
				part.Title = "not so: " + part.Title
			}
		case triage.ByBreak:
			part.Title = "where the pattern is lost"
		case triage.ByCommon:
			part.Title = "it is the more common of the two"
		}
		v.Parts = append(v.Parts, part)
	}
	return v
}
