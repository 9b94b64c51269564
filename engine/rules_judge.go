package engine

import (
	"cmp"
	"fmt"
	"io/fs"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/judge"
	"rungwise/engine/rule"
	"rungwise/engine/source"
)

// How many athletes are drawn to judge a house by what it does: in seconds, and
// with --deep.
const (
	ShortJudging = 200
	DeepJudging  = 3000
)

// Athletes are stored case files, and the day on which they are read.
type Athletes struct {
	Files fs.FS
	On    time.Time
}

// Judgement is what was found about a house by what it does.
type Judgement struct {
	judge.Judged
	List diag.List
}

// Judge makes plans for stored and n drawn athletes under a checked house and
// counts them again as the base alone counts. Every finding is a fault at the line
// of the house that did it. A nil house judges the base itself. The stored
// athletes are read as on their own day, so that they do not grow old. It fails
// where they cannot be read.
func (k *Checker) Judge(c Checked, house fs.FS, name string, today time.Time, stored Athletes, n int) (Judgement, error) {
	base, ds := k.content.Load(nil, "", today)
	if ds.Errors() > 0 || c.List.Errors() > 0 {
		return Judgement{}, nil // told by the check
	}
	cases, err := storedCases(base, stored)
	if err != nil {
		return Judgement{}, err
	}
	j, err := judge.New(base, cases, stored.On)
	if err != nil {
		return Judgement{}, err
	}
	found, err := j.House(c.Base, n)
	if err != nil {
		return Judgement{}, err
	}
	j.Blame(found.Findings, c.Base, func(keep func(rule.Change) bool) *rule.Base {
		some, ds := k.content.LoadSome(house, name, today, keep)
		if ds.Errors() > 0 {
			return nil
		}
		return some
	})
	out := Judgement{Judged: found}
	for _, f := range found.Findings {
		out.List.Add(fault(f, name))
	}
	return out, nil
}

// fault is a finding as a fault at the line that did it.
func fault(f judge.Finding, name string) diag.Diagnostic {
	d := diag.Diagnostic{Place: diag.Place{Path: cmp.Or(name, "rules")}, Code: "J601", Headline: "the rules break their own limits: " + f.String()}
	if f.Change != nil {
		d.Place, d.Headline = f.Change.Place, fmt.Sprintf("this change to `%s` makes the house looser than the base", f.Change.ID)
		d.Notes = []string{f.String()}
		d.Help = "take it out, or make it stricter"
	}
	return d
}

// storedCases reads case files with a base's names.
func storedCases(base *rule.Base, stored Athletes) ([]*casefile.Case, error) {
	names, err := fs.Glob(stored.Files, "*.yaml")
	if err != nil {
		return nil, err
	}
	v := (&Engine{base: base, today: stored.On}).vocabulary()
	var out []*casefile.Case
	for _, n := range names {
		f, err := source.Open(stored.Files, n, n)
		if err != nil {
			return nil, err
		}
		c, ds := casefile.Parse(f, v)
		if c == nil {
			return nil, fmt.Errorf("a stored athlete cannot be read: %s", ds.Sorted()[0].Headline)
		}
		out = append(out, c)
	}
	return out, nil
}
