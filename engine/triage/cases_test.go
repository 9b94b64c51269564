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
