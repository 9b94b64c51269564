package engine

import (
	"fmt"
	"io/fs"
	"runtime"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/kept"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
	"rungwise/engine/ruletest"
	"rungwise/engine/triage"
)

// DiffOptions says how stored cases are compared.
type DiffOptions struct {
	Cache    string // folder in which results are kept; "" = none
	Program  string // whatever tells one build from another
	Progress func(done, total int)
}

// OpenFolder opens a folder to compare with: house rules, or a whole rule base,
// which has folders rules and checklists. House rules are laid over the trade.
func OpenFolder(t Trade, root fs.FS, name string, today time.Time) (*Engine, diag.List) {
	o := rule.Options{Rules: t.Rules, Checklists: t.Checklists, House: root, HousePath: name, On: today, NoCases: true}
	if whole(root) {
		o.House, o.HousePath = nil, ""
		o.Rules, _ = fs.Sub(root, "rules") // both names are valid
		o.Checklists, _ = fs.Sub(root, "checklists")
		o.RulesPath, o.ListsPath = name+"/rules", name+"/checklists"
	}
	base, ds := rule.Load(o)
	return made(base, ds, today)
}

func whole(root fs.FS) bool {
	for _, dir := range []string{"rules", "checklists"} {
		if info, err := fs.Stat(root, dir); err != nil || !info.IsDir() {
			return false
		}
	}
	return true
}

// DiffRules compares what two rule bases make of the case files of a folder.
func DiffRules(older, newer *Engine, dir string, o DiffOptions) (ruletest.Result, error) {
	paths, err := casefile.Folder(dir)
	if err != nil {
		return ruletest.Result{}, err
	}
	if len(paths) == 0 {
		return ruletest.Result{}, fmt.Errorf("%s: there is no case file in this folder", dir)
	}
	cases := make([]ruletest.Case, len(paths))
	for i, p := range paths {
		cases[i] = ruletest.Case{Path: p}
		if d, err := readStored(p); err == nil {
			cases[i].Hash = d.hash()
		} else {
			cases[i].Hash = kept.Key("unread", err.Error())
		}
	}
	store := keptOf(o.Cache, "diff", dir)
	defer store.Close()
	all := func(n int, do func(i int)) { each(n, runtime.GOMAXPROCS(0), o.Progress, do) }
	return ruletest.Compare(older.side(o.Program), newer.side(o.Program), cases, store, all), nil
}

func (e *Engine) side(program string) *ruletest.Side {
	return &ruletest.Side{Base: e.base, Model: e.model, Facts: e.stored, Key: e.stamp(program)}
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
