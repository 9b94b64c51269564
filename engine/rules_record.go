package engine

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/rulebook"
	"rungwise/engine/ruletest"
)

// factKind is the list of names that stands beside those of the entries.
const factKind = "facts"

// AllNames is every list of names in the rule base, facts last.
func (e *Engine) AllNames() []report.Names {
	var out []report.Names
	for _, l := range e.Lists() {
		names := report.Names{Kind: l.Kind}
		for _, x := range l.Entries {
			names.List = append(names.List, report.Name{ID: x.ID, Title: x.Title})
		}
		out = append(out, names)
	}
	facts := report.Names{Kind: factKind}
	for c, i := e.base.Catalogue, 0; i < c.Len(); i++ {
		facts.List = append(facts.List, report.Name{ID: c.At(i).Name, Title: c.At(i).About})
	}
	return append(out, facts)
}

// Effective is the merged rule base with the origin of every value: the entries
// that go by a name, "" for all, or only what the house changed.
func (e *Engine) Effective(name string, changed bool) (*report.Effective, error) {
	out := &report.Effective{Rungwise: "effective/1", Version: e.base.Version, Entries: []report.EffectiveEntry{}}
	for _, x := range e.base.Effective() {
		if (name == "" || x.ID == name) && (!changed || len(x.Changes) > 0) {
			out.Entries = append(out.Entries, effective(x))
		}
	}
	if name == "" || len(out.Entries) > 0 {
		return out, nil
	}
	if id := e.idOf(name); id != name {
		return e.Effective(id, changed)
	}
	near, _ := diag.Nearest(name, e.Names())
	return nil, &Unnamed{Name: name, Near: near}
}

func effective(x rule.EffectiveEntry) report.EffectiveEntry {
	at := func(p diag.Place) string { return fmt.Sprintf("%s:%d", p.Path, p.Line) }
	out := report.EffectiveEntry{Concern: x.Concern, ID: x.ID, At: at(x.Origin), Disabled: x.Disabled, Fingerprint: x.Fingerprint,
		Values: []report.EffectiveValue{}, Changes: []report.EffectiveWish{}}
	for _, f := range x.Fields {
		out.Values = append(out.Values, report.EffectiveValue{Key: f.Key, Text: f.Text, At: at(f.Place), House: f.House})
	}
	for _, c := range x.Changes {
		w := report.EffectiveWish{Kind: c.Kind, Because: c.Because, By: c.By, At: at(c.Place)}
		if !c.Until.IsZero() {
			w.Until = c.Until.Format(time.DateOnly)
		}
		out.Changes = append(out.Changes, w)
	}
	return out
}

// RulesDiff is what a comparison of two rule bases found.
type RulesDiff struct {
	Rungwise string           `json:"rungwise"`
	Cases    int              `json:"cases"`
	Kept     int              `json:"kept"`
	Unread   int              `json:"unread"`
	Changes  []ruletest.Step  `json:"changes"`
	Deltas   []ruletest.Delta `json:"differences"`
}

// Differences is the record of a comparison.
func Differences(r ruletest.Result) RulesDiff {
	return RulesDiff{"rules-diff/1", r.Cases, r.Known, r.Unread, append([]ruletest.Step{}, r.Changes...), append([]ruletest.Delta{}, r.Deltas...)}
}

// Lost reports whether a case does not load any more.
func (r RulesDiff) Lost() bool {
	return slices.ContainsFunc(r.Deltas, func(d ruletest.Delta) bool { return len(d.New.Faults) > 0 })
}

// Measured is how well the examples and cases hold the rules, as far as it was
// measured.
type Measured struct {
	Coverage *Covered
	Mutation *ruletest.Mutation
}

// Covered is how the conditions were met.
type Covered struct {
	All, Whole int
	Lacking    []ruletest.Coverage // not met from every side
}

// MeasureRules measures the examples and cases of the rules in scope. With a path
// the cases that would notice what they miss are written there; written is their
// number.
func (e *Engine) MeasureRules(coverage, mutate bool, path string) (m Measured, written int, err error) {
	s := e.Suite()
	if coverage {
		all := s.Coverage()
		m.Coverage = &Covered{All: len(all), Lacking: slices.DeleteFunc(slices.Clone(all), ruletest.Coverage.Complete)}
		m.Coverage.Whole = len(all) - len(m.Coverage.Lacking)
	}
	if !mutate && path == "" {
		return m, 0, nil
	}
	found := s.Mutate(e.Scope())
	m.Mutation = &found
	if path == "" {
		return m, 0, nil
	}
	text, n := s.WriteCases(found.Missed, e.Scope() == ruletest.HouseOnly)
	if n > 0 {
		err = casefile.Create(path, text)
	}
	return m, n, err
}

// Book is the merged base as a book.
func (e *Engine) Book() rulebook.Book { return rulebook.New(e.base) }

// CheckSign says what is wrong with one part of a new sign: id, when, factor,
// strength, or any other, which only has to be there; nil for nothing.
func (e *Engine) CheckSign(part, text string) error {
	wrong := func(format string, args ...any) error { return &Typed{part, fmt.Errorf(format, args...)} }
	_, there := e.base.Sign(text)
	switch {
	case part == "id" && !goodID(text):
		return wrong("an id cannot be %q: write small letters, digits and underscores", text)
	case part == "id" && there:
		return wrong("there is a sign %s already", text)
	case text == "":
		return wrong("an answer is needed here")
	case part == "factor":
		if id, err := e.Named("factors", text); err == nil {
			text = id
		}
		return among(wrong, text, e.SignFactors())
	case part == "strength":
		return among(wrong, text, []string{"strong", "moderate", "weak"})
	case part == "when":
		var b strings.Builder
		if err := e.Condition(text).Write(&b); err != nil || b.Len() > 0 {
			return wrong("%s", strings.TrimRight(b.String(), "\n"))
		}
	}
	return nil
}

// SignFactors lists what a sign can point to.
func (e *Engine) SignFactors() []string {
	var out []string
	for _, f := range e.base.Factors {
		out = append(out, f.ID)
	}
	return out
}

func among(wrong func(string, ...any) error, text string, words []string) error {
	near, close := diag.Nearest(text, words)
	switch {
	case slices.Contains(words, text):
		return nil
	case close:
		return wrong("there is no %q; did you mean %s?", text, near)
	}
	return wrong("there is no %q; choose one of: %s", text, strings.Join(words, ", "))
}

func goodID(s string) bool {
	return s != "" && s[0] >= 'a' && s[0] <= 'z' && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789_") == ""
}
