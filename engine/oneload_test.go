package engine

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/week"
	"rungwise/testdata/cases"
)

// The load of the last week has one owner: the fact that the rules read, what why
// says of it, the roster and the weekly record say the same, whether or not
// anything is told of today.
func TestOneLoad(t *testing.T) {
	entries, err := cases.FS.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, on := range []string{"2026-11-09", "2026-11-10", "2026-11-12"} {
		for _, session := range []string{"", on} {
			e := engineOn(t, on)
			for _, x := range entries {
				if strings.HasSuffix(x.Name(), ".yaml") && oneLoad(t, e, x.Name(), session) {
					told++
				}
			}
		}
	}
	if told < 20 {
		t.Errorf("only %d were told", told)
	}
}

func oneLoad(t *testing.T, e *Engine, name, on string) (told bool) {
	t.Helper()
	what := fmt.Sprintf("%s on %s, logged %q", name, e.today.Format(time.DateOnly), on)
	c := worked(t, e, name)
	c.Log = &casefile.Log{}
	if on != "" {
		c.Log = logged(on, "")
	}
	f, err := e.brief(c)
	if err != nil {
		t.Fatal(err)
	}
	w, err := week.Make(f)
	if err != nil {
		t.Fatal(err)
	}
	row, err := week.Row(f)
	if err != nil || row.Growth == nil {
		return false
	}
	says, err := e.Why(c, "load.growth")
	if err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("load.growth is %g for this case", *row.Growth); says.Says != want {
		t.Errorf("%s: the roster says %g, why says %q", what, *row.Growth, says.Says)
	}
	if ratio := w.Load.Load / w.Load.Base; ratio-*row.Growth > .01 || ratio-*row.Growth < -.01 {
		t.Errorf("%s: the roster says %g, the weekly record %g over %g", what, *row.Growth, w.Load.Load, w.Load.Base)
	}
	return true
}

// What why says that a plan holds is what the plan holds, also after the log has
// moved the work and named a part of the year.
func TestWhySpeaksOfThePlanThatIsMade(t *testing.T) {
	e := open(t)
	for _, phase := range []string{"", "season"} {
		c := worked(t, e, "sm-04.yaml")
		c.Log = logged("2026-11-10", phase)
		r, err := e.Plan(c, PlanOptions{})
		if err != nil || r.Plan == nil {
			t.Fatal(r.PlanRefused, err)
		}
		f, err := e.brief(c)
		if err != nil {
			t.Fatal(err)
		}
		a := e.ask(f)
		for _, l := range r.Plan.Limits {
			says, ok := a.Why(l.ID)
			if !ok || len(says.Planned) == 0 || !strings.Contains(says.Planned[0], fmt.Sprintf("comes to %g %s", l.Planned, l.Unit)) ||
				!strings.HasSuffix(says.Planned[0], fmt.Sprintf(" %g", l.Cap)) {
				t.Errorf("%s: the plan has %s at %g of %g, why says %v", phase, l.ID, l.Planned, l.Cap, says)
			}
		}
		days := map[string]int{}
		for _, s := range r.Plan.Sessions {
			for _, b := range s.Blocks {
				if b.Throw != "" {
					days[b.Throw]++
				}
			}
		}
		for throw, n := range days {
			if says, ok := a.Why(throw); !ok || len(says.Planned) != n {
				t.Errorf("%s: the plan holds %s %d times, why says %v", phase, throw, n, says)
			}
		}
	}
}

// logged is a log with a session, and where a part of the year is given, with it
// and a step back.
func logged(on, phase string) *casefile.Log {
	out := &casefile.Log{Entries: []casefile.Entry{{ID: 1, Entered: on, On: on, What: casefile.LogSession, Rung: "flat_lift", Throws: 40, High: 12,
		Health: &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: "none"}}}}
	if phase != "" {
		out.Entries = append(out.Entries, casefile.Entry{ID: 2, Entered: on, On: on, What: casefile.LogPhase, Phase: phase},
			casefile.Entry{ID: 3, Entered: on, On: on, What: casefile.LogDecision, Decision: "step_back", Rung: "flat_lift", To: "flat_no_lift"})
	}
	return out
}
