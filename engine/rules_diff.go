package engine

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
	"rungwise/engine/ruletest"
	"rungwise/engine/triage"
	"rungwise/rules"
)

// DiffOptions says how stored cases are compared.
type DiffOptions struct {
	Cache    string // folder in which results are kept; "" = none
	Program  string // whatever tells one build from another
	Progress func(done, total int)
}

// OpenFolder opens a folder to compare with: house rules, or a whole rule base,
// which has folders rules and checklists.
func OpenFolder(root fs.FS, name string, today time.Time) (*Engine, diag.List) {
	o := rule.Options{Rules: rules.FS, Checklists: checklists.FS, House: root, HousePath: name, On: today, NoCases: true}
	if whole(root) {
		o.House, o.HousePath = nil, ""
		o.Rules, _ = fs.Sub(root, "rules") // both names are valid
		o.Checklists, _ = fs.Sub(root, "checklists")
		o.RulesPath, o.ListsPath = name+"/rules", name+"/checklists"
	}
	return made(rule.Load(o))(today)
}

func whole(root fs.FS) bool {
	for _, dir := range []string{"rules", "checklists"} {
		if info, err := fs.Stat(root, dir); err != nil || !info.IsDir() {
			return false
		}
	}
	return true
}

// made turns a loaded base into an engine.
func made(b *rule.Base, ds diag.List) func(time.Time) (*Engine, diag.List) {
	return func(today time.Time) (*Engine, diag.List) {
		if ds.Errors() > 0 {
			return nil, ds
		}
		model, err := triage.New(b)
		if err != nil {
			ds.Add(diag.Diagnostic{Place: diag.Place{Path: "rules"}, Code: "B599", Headline: err.Error()})
			return nil, ds
		}
		return &Engine{base: b, model: model, today: today}, ds
	}
}

// DiffRules compares what two rule bases make of the case files of a folder.
func DiffRules(older, newer *Engine, dir string, o DiffOptions) (ruletest.Result, error) {
	paths, err := CaseFiles(dir)
	if err != nil {
		return ruletest.Result{}, err
	}
	if len(paths) == 0 {
		return ruletest.Result{}, fmt.Errorf("%s: there is no case file in this folder", dir)
	}
	cases := make([]ruletest.Case, len(paths))
	for i, p := range paths {
		cases[i] = ruletest.Case{Path: p, Hash: fingerprint(p)}
	}
	var store *ruletest.Store
	if o.Cache != "" {
		store = ruletest.Open(o.Cache)
	}
	var tell func(int)
	if o.Progress != nil {
		tell = func(done int) { o.Progress(done, len(cases)) }
	}
	r := ruletest.Compare(older.side(o.Program), newer.side(o.Program), cases, store, tell)
	_ = store.Save() // what is not kept is computed again
	return r, nil
}

// fingerprint is the hash of a case file and its log. A file that cannot be read
// has the hash of nothing, and says so when it is read.
func fingerprint(path string) string {
	sum := sha256.New()
	log, err := casefile.LogOf(path)
	if err != nil {
		fmt.Fprintln(sum, err)
	}
	for _, p := range []string{path, log} {
		if f, err := casefile.Read(p); err == nil {
			fmt.Fprintf(sum, "%d\x00", len(f.Bytes))
			sum.Write(f.Bytes)
		}
	}
	return hex.EncodeToString(sum.Sum(nil))
}

func (e *Engine) side(program string) *ruletest.Side {
	return &ruletest.Side{Base: e.base, Model: e.model, Facts: e.stored,
		Key: fmt.Sprintf("%s %s %s %s", program, e.base.Hash, e.base.HouseHash, e.today.Format(time.DateOnly))}
}

// stored reads the facts of a case file.
func (e *Engine) stored(path string) (triage.Case, []string) {
	c, ds, err := e.Read(path)
	if err != nil {
		return triage.Case{}, []string{err.Error()}
	}
	if c == nil {
		return triage.Case{}, told(ds)
	}
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return triage.Case{}, []string{err.Error()}
	}
	return caseOf(facts), nil
}

// told lists the faults of a file, a line each.
func told(ds diag.List) []string {
	var out []string
	for _, d := range ds.Sorted() {
		if d.Level == diag.Error {
			out = append(out, fmt.Sprintf("%s:%d:%d %s", d.Path, d.Line, d.Col, d.Headline))
		}
	}
	return out
}
