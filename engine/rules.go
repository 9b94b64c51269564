package engine

import (
	"io/fs"
	"time"

	"rungwise/checklists"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/rules"
)

// CheckRules loads the embedded base with a house's rules over it and returns
// everything that is wrong or odd. A nil house checks the base itself.
func CheckRules(house fs.FS, path string, today time.Time) (*rule.Base, diag.List) {
	return rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, House: house, HousePath: path, On: today})
}

// Tested is the outcome of the examples and cases of a rule base.
type Tested struct {
	Examples, Cases int
	BadExamples     []rule.ExampleFailure
	BadCases        []triage.Failure
}

// Failed reports whether anything did not come out as it says, or nothing was
// run at all.
func (t Tested) Failed() bool {
	return len(t.BadExamples)+len(t.BadCases) > 0 || t.Examples+t.Cases == 0
}

// TestRules runs every example and every case.
func (e *Engine) TestRules() Tested {
	t := Tested{Cases: len(e.base.Cases), BadExamples: e.base.TestExamples(), BadCases: e.model.TestCases()}
	for _, s := range e.base.Signs {
		t.Examples += count(s.Fires, s.Still)
	}
	for _, g := range e.base.Gates {
		t.Examples += count(g.Fires, g.Still)
	}
	for _, c := range e.base.Cautions {
		t.Examples += count(c.Fires, c.Still)
	}
	return t
}

func count(examples ...rule.Example) int {
	n := 0
	for _, x := range examples {
		if len(x) > 0 {
			n++
		}
	}
	return n
}
