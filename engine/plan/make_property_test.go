package plan

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/report"
	"rungwise/engine/workload"
)

func TestWrittenPlans(t *testing.T) {
	all, p := clubs(t), readPublished(t)
	t.Run("no limit is broken", func(t *testing.T) { noLimitIsBroken(t, all, p) })
	t.Run("sessions fill their counts", func(t *testing.T) { sessionsFillTheirCounts(t, all) })
	t.Run("the checker sees", func(t *testing.T) { theCheckerSees(t, all, p) })
}

// No plan over random athletes, days, loads and houses breaks a published or house limit, and none is idly empty.
func noLimitIsBroken(t *testing.T, all []club, p published) {
	n := 2000
	if *study {
		n = 20000
	}
	rng := rand.New(rand.NewPCG(20261109, 7))
	var seen struct{ plans, refused, empty, mound, full int }
	for i := range n {
		w := randomCase(rng, all)
		got, refused := Make(w.Input)
		if (got == nil) != (refused != "") || w.refuse && got != nil {
			t.Fatalf("case %d: plan %v, refused %q", i, got != nil, refused)
		}
		if got == nil {
			seen.refused++
			continue
		}
		seen.plans++
		faults := append(p.check(w, got), holds(w, got, &seen.mound, &seen.full)...)
		if len(faults) > 0 {
			t.Fatalf("case %d, %s, age %d, %s:\n%s", i, w.club.name, w.age, w.Triage.Gate.ID, strings.Join(faults, "\n"))
		}
		if !slices.ContainsFunc(got.Sessions, func(s report.Session) bool { return len(s.Blocks) > 0 }) {
			seen.empty++
		}
		if i%10 == 0 {
			if again, _ := Make(w.Input); !reflect.DeepEqual(got, again) {
				t.Fatalf("case %d: the same input gave another plan:\n%s", i, cmp.Diff(got, again))
			}
		}
	}
	t.Logf("%+v", seen)
	if seen.plans < n/2 || seen.full < n/2 || seen.empty > seen.plans/4 {
		t.Errorf("too little was planned to mean anything: %+v", seen)
	}
}

// holds judges what a plan must not leave out where its counts allow it.
func holds(w wanted, p *report.Plan, mound, full *int) (faults []string) {
	for _, d := range p.Drills {
		x, ok := w.Base.Drill(d.ID)
		if !ok || x.Weighted && w.age < 19 || x.MinAge > 0 && w.age < x.MinAge || x.Effort > 85 {
			faults = append(faults, "the drill "+d.ID+" is not for this athlete")
		}
	}
	for _, s := range p.Sessions {
		if s.Kind == "rest" && s.BoundWords == "" {
			faults = append(faults, s.Date+": a day of rest without a reason")
		}
		if s.Kind != "mound" {
			continue
		}
		*mound++
		has := map[string]int{}
		for _, b := range s.Blocks {
			has[b.What]++
		}
		work := []string{"warm_up", "keep_up", "ladder"}
		if len(p.Focus) > 0 {
			work = append(work, "isolation", "put_back")
		}
		for _, what := range work {
			if has[what] == 0 {
				faults = append(faults, s.Date+": a mound session without "+what)
			}
		}
		if s.High >= 8 && has["ladder"] < 2 {
			faults = append(faults, s.Date+": a mound session without both rungs")
		}
		if s.High >= 8 {
			*full++
		}
	}
	thrown := slices.ContainsFunc(p.Sessions, func(s report.Session) bool { return s.Kind == "done" })
	for _, week := range p.Week {
		if !thrown && week.Load > week.Cap+.11 {
			faults = append(faults, week.From+": a week of more load than it is told to hold")
		}
	}
	if len(p.Focus) > 2 || len(p.Stop) == 0 || len(p.ExitTest) == 0 || p.Retest <= p.Sessions[len(p.Sessions)-1].Date {
		faults = append(faults, "a part of the plan is missing")
	}
	return faults
}

// A written day holds exactly the throws that the schedule found room for: no class more, and in a carry-over plan
// with drills none left out.
func sessionsFillTheirCounts(t *testing.T, all []club) {
	rng := rand.New(rand.NewPCG(3, 1))
	days, short := 0, 0
	for range 200 {
		w := randomCase(rng, all)
		kind, _ := courseOf(w.Input)
		if kind == none {
			continue
		}
		m, refused := newMaker(w.Input, kind)
		if refused != "" {
			continue
		}
		m.result = Schedule(m.request())
		m.sessions()
		for i, d := range m.result.Days {
			if d.Kind == Game || d.Kind == Done {
				continue
			}
			got := m.thrown(m.written[i], d)
			if got.Low > d.Low || got.Moderate > d.Moderate || got.High > d.High {
				t.Fatalf("%s, %s: %+v planned for %+v", w.club.name, d.On, got, d.Day)
			}
			days++
			if kind == carry && (workload.Day{On: d.On, Low: d.Low, Moderate: d.Moderate, High: d.High}) != got {
				short++
			}
		}
	}
	if days == 0 || short*50 > days {
		t.Errorf("%d of %d days leave throws out", short, days)
	}
}
