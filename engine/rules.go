package engine

import (
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"time"

	"rungwise/checklists"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
	"rungwise/engine/rulebook"
	"rungwise/engine/ruletest"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/rules"
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

// Checker checks houses over the embedded base, whose files it read once.
type Checker struct {
	content *rule.Content
	files   []string
}

// NewChecker reads the embedded base. quick leaves the base's own cases unread,
// which no house can break.
func NewChecker(quick bool) *Checker {
	return &Checker{content: rule.Read(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: quick}),
		files: append(yamlFiles(rules.FS, "rules"), yamlFiles(checklists.FS, "checklists")...)}
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

// Tested is the outcome of the examples and cases of a rule base.
type Tested struct {
	Examples, Cases int
	Bad             int // examples and cases that do not come out as they say
	List            diag.List
	Checks          []diag.Check
	version         string
}

// Failed reports whether anything did not come out as it says, or nothing was
// run at all.
func (t Tested) Failed() bool { return t.Bad > 0 || t.Examples+t.Cases == 0 }

// Report makes the report of a test for other programs.
func (t Tested) Report() diag.Report {
	return diag.Report{Tool: "rungwise", Version: t.version, Name: "rules test", List: t.List, Checks: t.Checks}
}

// TestRules runs the examples and cases, all of them or those of the ids named:
// signs, gates, cautions, cases, and factors that cases are about. The second
// list holds the names that nothing has.
func (e *Engine) TestRules(only []string) (Tested, []string) {
	t := Tested{version: e.base.Version}
	wanted := e.wanted(only)
	own := map[string]diag.List{}
	check := func(id, group string) {
		t.Checks = append(t.Checks, diag.Check{Name: id, Group: group, Covers: func(d diag.Diagnostic) bool {
			return slices.ContainsFunc(own[id], func(x diag.Diagnostic) bool { return x.Place == d.Place && x.Headline == d.Headline })
		}})
	}
	bad := func(id string, list ...diag.Diagnostic) {
		t.Bad++
		own[id] = append(own[id], list...)
		t.List = append(t.List, list...)
	}
	for _, x := range e.exampled() {
		if wanted(x.entry.ID) && x.n > 0 {
			t.Examples += x.n
			check(x.entry.ID, "examples")
		}
	}
	for _, f := range e.base.TestExamples() {
		if wanted(f.ID) {
			bad(f.ID, f.Diagnostic)
		}
	}
	for i := range e.base.Cases {
		if k := &e.base.Cases[i]; wanted(k.ID) {
			t.Cases++
			check(k.ID, "cases")
		}
	}
	for _, f := range e.model.TestCases() {
		if wanted(f.Case.ID) {
			bad(f.Case.ID, failures(f)...)
		}
	}
	return t, e.unknown(only)
}

// failures puts a case that failed into diagnostics, one for each line.
func failures(f triage.Failure) diag.List {
	var out diag.List
	at := f.Case.Expect.Place
	if at.Line == 0 {
		at = f.Case.NotExpect.Place
	}
	for _, line := range f.Lines {
		d := diag.Diagnostic{Place: at, Code: "V206", Headline: f.Case.ID + ": " + line, Notes: slices.Clone(f.Notes),
			Help: "change the rule, or what the case expects"}
		if f.Vacuous {
			d.Code, d.Help = "V207", "give a value on the no side"
		}
		out.Add(d)
	}
	return out
}

// exampled lists what has examples, and how many.
func (e *Engine) exampled() []struct {
	entry rule.Entry
	n     int
} {
	var out []struct {
		entry rule.Entry
		n     int
	}
	put := func(x rule.Entry, examples ...rule.Example) {
		n := len(slices.DeleteFunc(examples, func(x rule.Example) bool { return len(x) == 0 }))
		out = append(out, struct {
			entry rule.Entry
			n     int
		}{x, n})
	}
	for _, s := range e.base.Signs {
		put(s.Entry, s.Fires, s.Still)
	}
	for _, g := range e.base.Gates {
		put(g.Entry, g.Fires, g.Still)
	}
	for _, c := range e.base.Cautions {
		put(c.Entry, c.Fires, c.Still)
	}
	return out
}

// wanted reports what is asked for: the ids themselves, and for a rule or a
// factor the cases that expect something of it.
func (e *Engine) wanted(only []string) func(id string) bool {
	if len(only) == 0 {
		return func(string) bool { return true }
	}
	ids := map[string]bool{}
	for _, id := range only {
		ids[id] = true
	}
	for i := range e.base.Cases {
		k := &e.base.Cases[i]
		for _, x := range []rule.Expectation{k.Expect, k.NotExpect} {
			for _, id := range slices.Concat([]string{x.First}, x.FirstTwo, x.Possible, x.Fires, x.Silent, x.Cautions) {
				if id != "" && slices.Contains(only, id) {
					ids[k.ID] = true
				}
			}
		}
	}
	return func(id string) bool { return ids[id] }
}

// unknown lists the names that no rule, factor or case has.
func (e *Engine) unknown(only []string) []string {
	known := e.TestNames()
	var out []string
	for _, id := range only {
		if !slices.Contains(known, id) {
			out = append(out, id)
		}
	}
	return out
}

// TestNames lists what TestRules can be asked for.
func (e *Engine) TestNames() []string {
	var out []string
	for _, x := range e.exampled() {
		out = append(out, x.entry.ID)
	}
	for _, f := range e.base.Factors {
		out = append(out, f.ID)
	}
	for _, c := range e.base.Cases {
		out = append(out, c.ID)
	}
	return out
}

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
		out.Add(diag.Diagnostic{Place: diag.Place{Path: "condition", Line: 1, Col: f.From + 1, Width: max(1, f.To-f.From), Text: text},
			Level: f.Level, Code: f.Code, Headline: f.Headline, Under: f.Under, Why: f.Why, Help: f.Help})
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
