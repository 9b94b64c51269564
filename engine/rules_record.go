package engine

import (
	"fmt"
	"slices"
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
	facts := report.Names{Kind: factKind}
	for c, i := e.base.Catalogue, 0; i < c.Len(); i++ {
		facts.List = append(facts.List, report.Name{ID: c.At(i).Name, Title: c.At(i).About})
	}
	return append(e.Lists(), facts)
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
