package ruletest

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/rule"
)

// Step is one difference between two rule bases.
type Step struct {
	Concern string   `json:"concern"`
	ID      string   `json:"id"`
	What    string   `json:"what"`            // added, removed or changed, and how
	Place   string   `json:"place,omitempty"` // file:line in the newer base, else in the older
	readers []string // of a limit: the rules that read it
}

// reads reports whether a rule reads the limit of the step.
func (s Step) reads(id string) bool { return slices.Contains(s.readers, id) }

// steps lists how the newer base differs from the older in what decides: signs,
// factors, gates, cautions and the limits that conditions read.
func steps(older, newer *rule.Base) []Step {
	out := limitSteps(older, newer)
	out = append(out, between(rule.Signs, older.Signs, newer.Signs, func(s rule.Sign) rule.Entry { return s.Entry }, signText)...)
	out = append(out, between(rule.Factors, older.Factors, newer.Factors, func(f rule.Factor) rule.Entry { return f.Entry }, factorText)...)
	out = append(out, between(rule.Gates, older.Gates, newer.Gates, func(g rule.Gate) rule.Entry { return g.Entry }, gateText)...)
	return append(out, between(rule.Cautions, older.Cautions, newer.Cautions, func(c rule.Caution) rule.Entry { return c.Entry }, cautionText)...)
}

func between[T any](concern string, older, newer []T, entry func(T) rule.Entry, text func(T) []part) []Step {
	var out []Step
	was := map[string]T{}
	for _, o := range older {
		was[entry(o).ID] = o
	}
	for _, n := range newer {
		e := entry(n)
		o, there := was[e.ID]
		delete(was, e.ID)
		if !there {
			out = append(out, Step{Concern: concern, ID: e.ID, What: "added", Place: at(e)})
		} else if how := differing(text(o), text(n)); how != "" {
			out = append(out, Step{Concern: concern, ID: e.ID, What: "changed: " + how, Place: changedAt(e)})
		}
	}
	for _, o := range older {
		if _, gone := was[entry(o).ID]; gone {
			out = append(out, Step{Concern: concern, ID: entry(o).ID, What: "removed", Place: at(entry(o))})
		}
	}
	return out
}

func at(e rule.Entry) string { return fmt.Sprintf("%s:%d", e.Origin.Path, e.Origin.Line) }

// changedAt is where a house's last change to an entry stands, else the entry.
func changedAt(e rule.Entry) string {
	if n := len(e.Changes); n > 0 {
		return fmt.Sprintf("%s:%d", e.Changes[n-1].Place.Path, e.Changes[n-1].Place.Line)
	}
	return at(e)
}

// part is one thing about an entry that decides, in words.
type part struct{ name, text string }

// differing names the parts that differ, with both texts where they are short.
func differing(a, b []part) string {
	var out []string
	for i := range a {
		switch {
		case a[i].text == b[i].text:
		case len(a[i].text)+len(b[i].text) > 80:
			out = append(out, a[i].name)
		default:
			out = append(out, fmt.Sprintf("%s %s -> %s", a[i].name, cmp.Or(a[i].text, "none"), cmp.Or(b[i].text, "none")))
		}
	}
	return strings.Join(out, "; ")
}

func words(links []rule.Link) string {
	var out []string
	for _, l := range links {
		out = append(out, l.ID+" "+l.Word)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func signText(s rule.Sign) []part {
	return []part{{"when", s.When.Text()}, {"points to", words(s.Seen)}, {"otherwise", s.Otherwise}, {"group", s.Group}, {"reading", s.Reading}}
}

func factorText(f rule.Factor) []part {
	return []part{{"how_common", f.HowCommon}, {"can_cause", words(f.CanCause)}, {"breaks_at", words(f.BreaksAt)}}
}

func gateText(g rule.Gate) []part {
	return []part{{"when", anyOf(g.When, g.Also)}, {"verdict", g.Verdict}, {"needs", strings.Join(g.Needs, ", ")}, {"unless", anyOf(g.Unless, nil)}}
}

func cautionText(c rule.Caution) []part {
	return []part{{"when", anyOf(c.When, c.Also)}, {"level", c.Level}}
}

// anyOf writes a condition, if there is one, and what a house added to it.
func anyOf(when *cond.Condition, also []*cond.Condition) string {
	text := ""
	if when != nil {
		text = when.Text()
	}
	for _, c := range also {
		text += " or " + c.Text()
	}
	return text
}

// limitSteps lists the named numbers that differ, with the rules that read them.
func limitSteps(older, newer *rule.Base) []Step {
	var out []Step
	for _, n := range newer.Limits {
		o, there := older.Limit(n.ID)
		if !there || o.Value == n.Value {
			continue
		}
		s := Step{Concern: rule.LimitsKey, ID: n.ID, What: fmt.Sprintf("changed: %g -> %g", o.Value, n.Value), Place: changedAt(n.Entry)}
		word := regexp.MustCompile(`\blimit\.` + n.ID + `\b`)
		for _, r := range newer.Conditions() {
			if word.MatchString(r.When.Text()) {
				s.readers = append(s.readers, r.ID)
			}
		}
		out = append(out, s)
	}
	return out
}
