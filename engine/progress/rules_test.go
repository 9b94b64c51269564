package progress

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

// The studies are run with the numbers of the rules' data.
func TestTheRulesHoldTheseSettings(t *testing.T) {
	b, _ := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS})
	if b == nil {
		t.Fatal("the rules were not read")
	}
	got, err := ReadSettings(func(name string) (float64, bool) {
		n, ok := b.Limit(name)
		if !ok {
			return 0, false
		}
		return n.Value, true
	})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(house(t), got); diff != "" {
		t.Error(diff)
	}
}
