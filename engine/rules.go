package engine

import (
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"time"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
	"rungwise/engine/rulebook"
	"rungwise/engine/ruletest"
	"rungwise/engine/source"
)

// Checked is a rule base that was looked over.
type Checked struct {
	Base  *rule.Base
	List  diag.List // every fault; with none, what weakens the base as a whole
	Files []string  // that were read, as messages call them

	Judged Judgement // by what it does; zero where it was not judged
}

// Levels lists the levels below a fault, as they are counted.
func (c Checked) Levels() []string { return []string{diag.Warning.String(), diag.Note.String()} }

// Checker checks houses over a base, whose files it read once.
type Checker struct {
	content *rule.Content
	files   []string
}

// NewChecker reads a base. quick leaves the base's own cases unread,
// which no house can break.
func NewChecker(t Trade, quick bool) *Checker {
	return &Checker{content: rule.Read(rule.Options{Rules: t.Rules, Checklists: t.Checklists, NoCases: quick}),
		files: append(yamlFiles(t.Rules, "rules"), yamlFiles(t.Checklists, "checklists")...)}
}

// Check lays a house over the base and returns everything that is wrong or odd.
// A nil house checks the base itself.
func (k *Checker) Check(house fs.FS, name string, today time.Time) Checked {
	b, ds := k.content.Load(house, name, today)
	c := Checked{Base: b, List: ds, Files: slices.Clone(k.files)}
	if ds.Errors() == 0 {
		c.List = append(c.List, rule.Diagnostics(b.Lint())...).Sorted()
	}
	if house != nil {
		c.Files = append(c.Files, yamlFiles(house, name)...)
	}
	return c
}

func yamlFiles(fsys fs.FS, name string) []string {
	var out []string
	_ = fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && source.IsYAML(p) {
			out = append(out, path.Join(filepath.ToSlash(name), p))
		}
		return nil // what cannot be read was told when it was loaded
	})
	return out
}

// Report makes the report of a check for other programs.
func (c Checked) Report() diag.Report {
	return diag.Report{Tool: "rungwise", Version: c.Base.Version, Name: "rules check", List: c.List, Checks: diag.Files(c.Files)}
}

// Mend returns a file with the sure mends of its diagnostics made, and how many
// there were.
func (c Checked) Mend(name string, b []byte) ([]byte, int) { return ruletest.Mend(name, b, c.List) }

// TestRules runs the examples and cases, all of them or those of the ids named.
func (e *Engine) TestRules(only []string) ruletest.Tested { return ruletest.Run(e.model, only) }

// TestNames lists what TestRules can be asked for.
func (e *Engine) TestNames() []string { return ruletest.Names(e.base) }

// Suite gathers what the examples and cases say, to measure how well they hold
// the rules. The engine must have been opened with its cases.
func (e *Engine) Suite() *ruletest.Suite { return ruletest.New(e.base) }

// Scope is whose rules are measured: the house's where there is one, else all.
func (e *Engine) Scope() ruletest.Scope { return ruletest.Scope(e.base.House != "") }

// Condition returns every fault of a condition as somebody types it.
func (e *Engine) Condition(text string) diag.List {
	_, faults := cond.Compile(text, e.base.Catalogue)
	var out diag.List
	for _, f := range faults {
		d := f.Diagnostic
		d.Place = diag.Place{Path: "condition", Line: 1, Col: f.From + 1, Width: max(1, f.To-f.From), Text: text}
		out.Add(d)
	}
	return out
}

// Schema writes the JSON Schema of a kind of file: case or house.
func (e *Engine) Schema(kind string) ([]byte, error) {
	if kind == "case" {
		return rulebook.Case(e.base)
	}
	return rulebook.House(e.base)
}

// WhatIf is the file of a case in which nothing is known but what is set, such as
// those that a check proposes.
func WhatIf() *source.File {
	return source.New("what if", []byte("rungwise: case/1\nathlete: {code: what-if}\n"))
}
