package triage

import (
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

func model(t testing.TB) *Model {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	m, err := New(b)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The base's own cases: for each factor one in which it leads, one in which it
// must not, one in which it is only the consequence (common practice, no
// source).
func TestBaseCases(t *testing.T) {
	m := model(t)
	if len(m.base.Cases) < 50 {
		t.Fatalf("only %d cases", len(m.base.Cases))
	}
	for _, f := range m.TestCases() {
		for _, line := range f.Lines {
			t.Errorf("%s: %s", f.Case.ID, line)
		}
	}
}
