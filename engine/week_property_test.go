package engine

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/week"
	"rungwise/engine/workload"
)

// A season is one invented athlete who throws what the plans say, less or more,
// and has a new plan made every few days from the log.
type season struct {
	t     testing.TB
	e     *Engine
	rng   *rand.Rand
	age   int
	text  []byte
	log   []casefile.Entry
	today time.Time
	blind bool // plans are made without the log: a planted fault
}

func newSeason(t testing.TB, e *Engine, text []byte, seed uint64) *season {
	s := &season{t: t, e: e, rng: rand.New(rand.NewPCG(seed, 4)), today: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)}
	s.age = 9 + s.rng.IntN(15)
	s.text = bytes.Replace(text, []byte("age: 19"), fmt.Appendf(nil, "age: %d", s.age), 1)
	s.text = bytes.Replace(s.text, []byte("screen: {"), []byte("screen: {consent: yes, "), 1)
	return s
}

// at is the engine on the season's day.
func (s *season) at() *Engine { return &Engine{base: s.e.base, model: s.e.model, today: s.today} }

func (s *season) caseNow(withLog bool) *casefile.Case {
	s.t.Helper()
	c, ds := s.at().Case(source.New("sm.yaml", s.text))
	if c == nil {
		s.t.Fatal(ds.Sorted()[0])
	}
	if !withLog {
		return c
	}
	var b bytes.Buffer
	for _, x := range s.log {
		line, err := json.Marshal(x)
		if err != nil {
			s.t.Fatal(err)
		}
		b.Write(append(line, '\n'))
	}
	log, bad := casefile.ParseLog(source.New("sm.log.jsonl", b.Bytes()), s.at().vocabulary())
	if len(bad) > 0 {
		s.t.Fatal(bad.Sorted()[0])
	}
	c.Log = log
	return c
}

func (s *season) write(x casefile.Entry, on time.Time) {
	x.Format, x.ID, x.On = casefile.LogFormat, len(s.log)+1, on.Format(time.DateOnly)
	x.Entered = x.On
	s.log = append(s.log, x)
}

// plan makes the plan of the season's day.
func (s *season) plan() *report.Plan {
	s.t.Helper()
	c := s.caseNow(!s.blind)
	f, err := s.at().brief(c)
	if err != nil {
		s.t.Fatal(err)
	}
	weeks := 1 + s.rng.IntN(3)
	p, _ := plan.Make(plan.Input{Base: f.Base, Facts: week.Onward(f.Facts, c), Triage: f.Triage, Case: c, On: s.today, Weeks: weeks, Phase: s.phase()})
	return p
}

func (s *season) phase() plan.Phase {
	return []plan.Phase{plan.VelocityBlock, plan.MoundPhase, plan.MoundPhase, plan.InSeason}[s.rng.IntN(4)]
}

// breaches judges a plan against everything that was thrown before it, counted
// here from the entries by itself.
func (s *season) breaches(p *report.Plan) []workload.Breach {
	s.t.Helper()
	row, err := s.e.base.Workload.For(s.age, true)
	if err != nil {
		s.t.Fatal(err)
	}
	facts, err := observe.Observe(s.caseNow(false), s.e.base, time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC))
	if err != nil {
		s.t.Fatal(err)
	}
	history, _ := facts.Load.Record.History(row)
	return workload.Check(planned(row, p), append(history, counted(s.log)...), row, facts.Load.Year)
}

// planned counts a plan's throws by the effort of their blocks.
func planned(row workload.Row, p *report.Plan) []workload.Day {
	var out []workload.Day
	for _, x := range p.Sessions {
		on, err := workload.ParseDate(x.Date)
		if err != nil {
			continue
		}
		d := workload.Day{On: on}
		for _, b := range x.Blocks {
			switch row.Class(float64(b.Effort)) {
			case workload.Low:
				d.Low += b.Throws
			case workload.Moderate:
				d.Moderate += b.Throws
			default:
				d.High += b.Throws
			}
		}
		out = append(out, d)
	}
	return out
}

// counted counts logged throws, apart from the program's own way: sums of
// sessions and throws elsewhere, and the slip's whole day where it is more.
func counted(log []casefile.Entry) []workload.Day {
	days := map[string]*workload.Day{}
	var order []string
	for _, x := range log {
		if x.What == casefile.LogSlip {
			continue
		}
		d := days[x.On]
		if d == nil {
			d = &workload.Day{On: workload.DateOf(x.Day())}
			days[x.On] = d
			order = append(order, x.On)
		}
		switch {
		case x.Kind == "game":
			d.Game, d.Innings = d.Game+x.Pitches, d.Innings+x.Innings
		case x.Kind == "catching":
			d.Moderate, d.High = d.Moderate+70, d.High+10
		default:
			d.Moderate, d.High = d.Moderate+x.Throws-x.High, d.High+x.High
		}
	}
	var out []workload.Day
	for _, on := range order {
		out = append(out, *days[on])
	}
	return out
}

// live throws until the next plan: what is planned, less, more, or something
// else, and now and then nothing for weeks.
func (s *season) live(p *report.Plan) {
	days := 2 + s.rng.IntN(9)
	if s.rng.IntN(8) == 0 {
		days += 14 + s.rng.IntN(21)
	}
	for range days {
		s.today = s.today.AddDate(0, 0, 1)
		if p != nil {
			for _, x := range p.Sessions {
				if x.Date == s.today.Format(time.DateOnly) && x.Throws > 0 {
					s.throw(x)
				}
			}
		}
		switch s.rng.IntN(25) {
		case 0:
			s.write(casefile.Entry{What: casefile.LogOther, Kind: "game", Pitches: 10 + s.rng.IntN(60), Innings: 2}, s.today)
		case 1:
			n := 20 + s.rng.IntN(60)
			s.write(casefile.Entry{What: casefile.LogOther, Kind: "practice", Throws: n, High: s.rng.IntN(n / 2)}, s.today)
		case 2:
			s.write(casefile.Entry{What: casefile.LogOther, Kind: "catching"}, s.today)
		}
	}
}

func (s *season) throw(x report.Session) {
	throws, high := x.Throws, x.High
	switch s.rng.IntN(8) {
	case 0:
		return
	case 1:
		throws, high = throws/2, high/2
	case 2:
		more := 1 + s.rng.IntN(40)
		throws, high = throws+more, high+s.rng.IntN(more+1)
	}
	if throws > 0 {
		s.write(casefile.Entry{What: casefile.LogSession, Throws: throws, High: high,
			Health: &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: "none"}}, s.today)
	}
}

// run lives a season of so many plans and returns the first broken limits.
func (s *season) run(plans int) (broken []workload.Breach, made int) {
	for range plans {
		p := s.plan()
		if p != nil {
			made++
			if b := s.breaches(p); len(b) > 0 {
				return b, made
			}
		}
		s.live(p)
	}
	return nil, made
}

func seasons() (n, plans int) {
	if *study {
		return 1500, 10
	}
	return 24, 5
}

func sm04(t testing.TB) []byte {
	t.Helper()
	b, err := os.ReadFile("../testdata/cases/sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// No sequence of logs and renewals breaks a hard limit, across joins and gaps,
// whatever was thrown in between.
func TestRenewedPlansKeepEveryLimit(t *testing.T) {
	e, text := engineOn(t, "2026-11-10"), sm04(t)
	n, plans := seasons()
	made := 0
	for seed := range n {
		s := newSeason(t, e, text, uint64(seed))
		broken, m := s.run(plans)
		made += m
		if len(broken) > 0 {
			t.Fatalf("season %d, age %d, on %s: %+v", seed, s.age, s.today.Format(time.DateOnly), broken[0])
		}
	}
	if made < n*plans/2 {
		t.Errorf("only %d plans of %d were made: the test shows little", made, n*plans)
	}
	t.Logf("%d seasons, %d plans, none with a broken limit", n, made)
}

// The same check finds a planner that forgets the log.
func TestForgottenLogIsFound(t *testing.T) {
	e, text := engineOn(t, "2026-11-10"), sm04(t)
	for seed := range 24 {
		s := newSeason(t, e, text, uint64(seed))
		s.blind = true
		if broken, _ := s.run(5); len(broken) > 0 {
			return
		}
	}
	t.Error("plans made without the log break no limit: the check cannot find anything")
}

// The same case, log, rules and day give the same plan, byte for byte, and lines
// that were written down later change nothing about it.
func TestPlansComeOutAgain(t *testing.T) {
	e, text := engineOn(t, "2026-11-10"), sm04(t)
	s := newSeason(t, e, text, 7)
	for range 3 {
		s.live(s.plan())
	}
	on := s.today
	record := func() string {
		s.today = on
		r, err := s.at().Plan(s.caseNow(true), PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return asJSON(t, r)
	}
	first := record()
	for range 3 {
		s.live(s.plan())
	}
	if again := record(); again != first || strings.Contains(again, s.today.AddDate(1, 0, 0).Format(time.DateOnly)) {
		t.Error("the plan of an earlier day has changed")
	}
}
