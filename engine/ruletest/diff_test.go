package ruletest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/kept"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/rules"
)

// side loads the embedded base with a house over it. Its cases are the base's
// own, by id; one named in unread cannot be read.
func side(t *testing.T, house string, unread ...string) *Side {
	t.Helper()
	o := rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC)}
	if house != "" {
		o.House = fstest.MapFS{"club.yaml": {Data: []byte("extends: base\n" + house)}}
	}
	b, ds := rule.Load(o)
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	m, err := triage.New(b)
	if err != nil {
		t.Fatal(err)
	}
	return &Side{Base: b, Model: m, Key: b.Hash + b.HouseHash, Facts: func(path string) (triage.Case, []string) {
		if slices.Contains(unread, path) {
			return triage.Case{}, []string{path + ": the answer was renamed"}
		}
		for _, c := range b.Cases {
			if c.ID == path {
				return m.Given(c.Given), nil
			}
		}
		return triage.Case{}, []string{"no case " + path}
	}}
}

func inOrder(n int, do func(i int)) {
	for i := range n {
		do(i)
	}
}

func all(s *Side) []Case {
	var out []Case
	for _, c := range s.Base.Cases {
		if !strings.HasPrefix(c.ID, "edge_") {
			out = append(out, Case{c.ID, "hash of " + c.ID})
		}
	}
	return out
}

func TestSameRulesChangeNothing(t *testing.T) {
	s := side(t, "")
	r := Compare(s, s, all(s), nil, inOrder)
	if len(r.Deltas) != 0 || len(r.Changes) != 0 || r.Cases < 70 {
		t.Errorf("got %+v", r)
	}
}

// One change at a time: it alone is told as responsible.
func TestTheRuleResponsibleIsTold(t *testing.T) {
	older := side(t, "")
	for _, c := range []struct{ name, house, concern, id, what string }{
		{"sign switched off", "signs:\n  - {id: shift_late_only_when_stuck, disable: true, because: a, by: b}\n", rule.Signs, "shift_late_only_when_stuck", "removed"},
		{"sign weakened", "signs:\n  - {id: hinge_lost_when_stuck, set: {otherwise: often}, because: a, by: b}\n", rule.Signs, "hinge_lost_when_stuck", "changed: otherwise seldom -> often"},
		{"factor made common", "factors:\n  - {id: arm_late, set: {how_common: rare}, because: a, by: b}\n", rule.Factors, "arm_late", "changed: how_common"},
		{"limit moved", "limits:\n  - {id: few_slope_throws, set: {value: 100}, because: a, by: b}\n", rule.LimitsKey, "few_slope_throws", "changed: 60 -> 100"},
		{"gate widened", "gates:\n  - {id: refer_numbness, add: {when: best.hinge == \"holds\"}, because: a, by: b}\n", rule.Gates, "refer_numbness", "changed: when"},
	} {
		t.Run(c.name, func(t *testing.T) {
			newer := side(t, c.house)
			r := Compare(older, newer, all(older), nil, inOrder)
			if len(r.Changes) != 1 || len(r.Deltas) == 0 {
				t.Fatalf("%d changes, %d cases differ", len(r.Changes), len(r.Deltas))
			}
			for _, d := range r.Deltas {
				if len(d.By) != 1 || d.By[0].Concern != c.concern || d.By[0].ID != c.id || !strings.HasPrefix(d.By[0].What, c.what) {
					t.Errorf("%s: %s -> %s by %+v", d.Case, d.Old.Order(), d.New.Order(), d.By)
				}
			}
		})
	}
}

// Of two changes the one that moves a case is told, and not the other.
func TestOfTwoChangesTheRightOneIsTold(t *testing.T) {
	older := side(t, "")
	newer := side(t, "signs:\n  - {id: shift_late_only_when_stuck, disable: true, because: a, by: b}\n  - {id: slot_changed, set: {otherwise: often}, because: a, by: b}\n")
	r := Compare(older, newer, all(older), nil, inOrder)
	told := map[string]bool{}
	for _, d := range r.Deltas {
		for _, s := range d.By {
			told[s.ID] = true
		}
		if d.Case == "arm_slot_textbook" && slices.ContainsFunc(d.By, func(s Step) bool { return s.ID == "shift_late_only_when_stuck" }) {
			t.Errorf("%+v", d)
		}
	}
	if len(r.Changes) != 2 || !told["shift_late_only_when_stuck"] {
		t.Errorf("got %v of %v", told, r.Changes)
	}
}

func TestCasesThatNoLongerLoad(t *testing.T) {
	older, newer := side(t, ""), side(t, "limits:\n  - {id: few_slope_throws, set: {value: 61}, because: a, by: b}\n", "sm_04")
	r := Compare(older, newer, append(all(older), Case{"nowhere", "x"}), nil, inOrder)
	if len(r.Deltas) != 1 || r.Deltas[0].Case != "sm_04" || len(r.Deltas[0].New.Faults) != 1 || r.Unread != 1 {
		t.Errorf("got %+v", r)
	}
}

// What is kept gives the same result, and a broken file of it only costs time.
func TestKeptResultsAreTheSame(t *testing.T) {
	older, newer := side(t, ""), side(t, "signs:\n  - {id: shift_late_only_when_stuck, disable: true, because: a, by: b}\n")
	dir := t.TempDir()
	run := func() Result {
		s := kept.Open(dir, "cases")
		r := Compare(older, newer, all(older), s, inOrder)
		s.Close()
		return r
	}
	cold, warm := run(), run()
	if cold.Known != 0 || warm.Known != warm.Cases {
		t.Errorf("%d known cold, %d of %d warm", cold.Known, warm.Known, warm.Cases)
	}
	said := func(r Result) string {
		r.Known = 0
		return strings.ReplaceAll(fmt.Sprintf("%+v", r.Deltas), "readers:[]", "")
	}
	if said(cold) != said(warm) {
		t.Errorf("cold\n%s\nwarm\n%s", said(cold), said(warm))
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil || len(files) != 1 {
		t.Fatalf("%v %v", files, err)
	}
	for _, f := range files {
		if err := os.WriteFile(f, []byte("{broken\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if again := run(); again.Known != 0 || said(again) != said(cold) {
		t.Error("a broken store changed the result")
	}
}
