package plan

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

// The limits that these tests are run with are those of the rules' data, at every age; only counts of rest beyond the
// table's daily most, which no plan reaches, may be written differently.
func TestTheRulesHoldTheseLimits(t *testing.T) {
	b, _ := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS})
	if b == nil {
		t.Fatal("the rules were not read")
	}
	for age := 6; age <= 40; age++ {
		want, wantErr := base().For(age, true)
		got, gotErr := b.Workload.For(age, true)
		if (wantErr == nil) != (gotErr == nil) {
			t.Fatalf("age %d: %v, want %v", age, gotErr, wantErr)
		}
		for pitches := range want.Table.Daily + 1 {
			if got.RestDays(pitches) != want.RestDays(pitches) {
				t.Errorf("age %d, %d pitches: %d days of rest, want %d", age, pitches, got.RestDays(pitches), want.RestDays(pitches))
			}
		}
		got.Table.Rest, want.Table.Rest = nil, nil
		got.Uncounted = want.Uncounted     // follows from the counts of rest
		got.RadarThrows = want.RadarThrows // no part of a schedule
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("age %d: %s", age, diff)
		}
	}
}
