package judge

import (
	"io/fs"
	"slices"
	"testing"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/workload"
	"rungwise/rules"
	"rungwise/testdata/cases"
)

func judged(t *testing.T) (*Judge, *rule.Base) {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: cases.Day()})
	if ds.Errors() > 0 {
		t.Fatal(ds)
	}
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: cases.Day()}
	for _, x := range b.Throws {
		v.Throws = append(v.Throws, x.ID)
	}
	for _, x := range b.Factors {
		v.Factors = append(v.Factors, x.ID)
	}
	names, _ := fs.Glob(cases.FS, "*.yaml")
	var stored []*casefile.Case
	for _, n := range names {
		f, err := source.Open(cases.FS, n, n)
		if err != nil {
			t.Fatal(err)
		}
		c, ds := casefile.Parse(f, v)
		if c == nil {
			t.Fatal(ds)
		}
		stored = append(stored, c)
	}
	j, err := New(b, stored, cases.Day())
	if err != nil {
		t.Fatal(err)
	}
	return j, b
}

// The judge needs no guard before it: a base that was made looser behind the
// reader's back is found, by what it does.
func TestWhatIsLooserIsFound(t *testing.T) {
	j, base := judged(t)
	limits := func(b *rule.Base, id string, by float64) {
		b.Workload.Numbers = slices.Clone(b.Workload.Numbers)
		for i := range b.Workload.Numbers {
			if n := &b.Workload.Numbers[i]; n.ID == id {
				n.To14, n.To18, n.Adult = n.To14*by, n.To18*by, n.Adult*by
			}
		}
	}
	for name, c := range map[string]struct {
		looser func(b *rule.Base)
		ids    []string
	}{
		"limits": {func(b *rule.Base) {
			b.Workload.Table = slices.Clone(b.Workload.Table)
			for i := range b.Workload.Table {
				b.Workload.Table[i].Rest = []int{200}
			}
			for _, id := range []string{workload.WeeklyGrowth, workload.GrowthFloor, workload.DaysInARow, workload.DaysBetweenAfter, workload.HighDays} {
				limits(b, id, 1.6)
			}
			for _, id := range []string{workload.BeforeGame, workload.DaysOff, workload.YoungestAge} {
				limits(b, id, 0)
			}
			setNumber(b, "spike_alarm", 3)
		}, []string{workload.WeeklyGrowth, workload.RestDays, workload.DaysInARow, workload.DaysBetween, workload.HighDays, workload.BeforeGame, "spike_alarm"}},
		"definitions": {func(b *rule.Base) {
			each(&b.Throws, func(x *rule.Throw) { x.HighEffort = false })
			each(&b.Drills, func(x *rule.Drill) { x.Weighted, x.MinAge, x.Throws, x.Sets, x.Reps = false, 0, 0, 60, 60 })
		}, []string{"two_hand_turn", workload.DailyThrows, workload.DaysBetween, "push_the_pad", "flat_lift"}},
		"weights": {func(b *rule.Base) { b.Workload.Weights.Low, b.Workload.Weights.Moderate = .1, .2 }, []string{workload.WeeklyGrowth}},
		"words": {func(b *rule.Base) {
			each(&b.Gates, func(x *rule.Gate) { x.Do = "Throw on." })
			each(&b.Cautions, func(x *rule.Caution) { x.Text = "All is well." })
			each(&b.Wording, func(x *rule.Sentence) { x.Text = "Throw on." })
		}, []string{"refer_pain", "refer_pop", "local_rules_first", "stop_intro"}},
		"gates": {func(b *rule.Base) { b.Gates = b.Gates[len(b.Gates)-1:] },
			[]string{"refer_pain", "refer_numbness", "refer_sudden_loss", "refer_not_cleared", "screen_unanswered"}},
	} {
		t.Run(name, func(t *testing.T) {
			b := *base
			c.looser(&b)
			got, err := j.House(&b, 200)
			if err != nil {
				t.Fatal(err)
			}
			for _, id := range c.ids {
				if !slices.ContainsFunc(got.Findings, func(f Finding) bool { return f.ID == id }) {
					t.Errorf("%s is not found among %v", id, got.Findings)
				}
			}
		})
	}
}

func each[T any](list *[]T, do func(*T)) {
	*list = slices.Clone(*list)
	for i := range *list {
		do(&(*list)[i])
	}
}

func setNumber(b *rule.Base, id string, v float64) {
	each(&b.Limits, func(n *rule.Number) {
		if n.ID == id {
			n.Value = v
		}
	})
}

// The change that is named is the one with which a house becomes looser, however
// many stand before and after it.
func TestTheChangeThatDidIt(t *testing.T) {
	j, base := judged(t)
	for _, guilty := range []int{0, 3, 6} {
		house := *base
		for i := range 7 {
			house.Changes = append(house.Changes, rule.Change{ID: "change", Place: diag.Place{Path: "a.yaml", Line: i + 1}})
		}
		load := func(keep func(rule.Change) bool) *rule.Base {
			b := *base
			if keep(house.Changes[guilty]) {
				each(&b.Throws, func(x *rule.Throw) { x.HighEffort = false })
			}
			return &b
		}
		b := load(func(rule.Change) bool { return true })
		b.Changes = house.Changes
		got, err := j.House(b, 0)
		if err != nil || len(got.Findings) == 0 {
			t.Fatal(got, err)
		}
		j.Blame(got.Findings, b, load)
		for _, f := range got.Findings {
			if f.Change == nil || f.Change.Place.Line != guilty+1 {
				t.Errorf("%s: blamed %+v, it was change %d", f, f.Change, guilty+1)
			}
		}
	}
}
