package plan

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// What the worked cases are expected to get; common practice, no published source.
func TestWorkedCases(t *testing.T) {
	b := opened(t, nil)
	for _, c := range []struct {
		name, refused string
		focus         string // first of it
		slope         bool
		only          []string // what the blocks are, where nothing else may be there
	}{
		{name: "sm-02", focus: "arm_late"},
		{name: "sm-04", focus: "weight_shift"},
		{name: "sm-08", only: []string{whatWarmUp, whatKeepUp}},
		{name: "sm-11", focus: "few_slope_throws slope_timing", slope: true},
		{name: "sm-17", refused: "sore"},
		{name: "sm-21", focus: "stride_line weight_shift"},
		{name: "sm-26", only: []string{whatWarmUp, whatKeepUp}},
		{name: "sm-30", refused: "No break was found"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, refused := Make(read(t, b, c.name))
			if p == nil {
				if c.refused == "" || !strings.Contains(refused, c.refused) {
					t.Errorf("refused: %q", refused)
				}
				return
			}
			if c.refused != "" {
				t.Fatal("a plan where there may be none")
			}
			if c.focus == "" != (len(p.Focus) == 0) || c.focus != "" && !slices.Contains(strings.Fields(c.focus), p.Focus[0].Factor) {
				t.Errorf("focus %+v", p.Focus)
			}
			if c.slope != slopeDrills(p) {
				t.Errorf("drills on the slope: %v", !c.slope)
			}
			for _, s := range p.Sessions {
				for _, x := range s.Blocks {
					if c.only != nil && !slices.Contains(c.only, x.What) {
						t.Errorf("%s: %s in a plan of the reference drill alone", s.Date, x.What)
					}
				}
			}
		})
	}
}

func slopeDrills(p *report.Plan) bool {
	return len(p.Drills) > 0 && !slices.ContainsFunc(p.Drills, func(d report.Drill) bool { return d.Where != "slope" })
}

// Where the gate refers or a safety question is open, the reason holds no number and names no throw or drill.
func TestARefusalSaysNothingAboutThrowing(t *testing.T) {
	b := opened(t, nil)
	for _, g := range b.Gates {
		if g.Verdict != rule.Refer && !slices.Contains(g.Needs, "screen.pain") {
			continue
		}
		in := read(t, b, "sm-04")
		in.Triage.Gate = &g
		p, refused := Make(in)
		if p != nil || refused == "" || regexp.MustCompile(`[0-9]`).MatchString(refused) {
			t.Errorf("%s: %q", g.ID, refused)
		}
		for _, x := range b.Throws {
			if strings.Contains(refused, x.Title) {
				t.Errorf("%s names %s", g.ID, x.Title)
			}
		}
	}
	in := read(t, b, "sm-04")
	in.Triage.Gate = nil
	if p, refused := Make(in); p != nil || refused == "" {
		t.Error("a plan though no gate has opened it")
	}
}

func TestWeeksAndDays(t *testing.T) {
	b := opened(t, nil)
	for weeks, ok := range map[int]bool{-1: false, 0: true, 1: true, 8: true, 9: false} {
		in := read(t, b, "sm-04")
		in.Weeks = weeks
		p, refused := Make(in)
		if (p != nil) != ok || ok == (refused != "") {
			t.Errorf("%d weeks: %q", weeks, refused)
		}
		if p != nil && len(p.Sessions) != 7*p.Weeks {
			t.Errorf("%d weeks: %d days", weeks, len(p.Sessions))
		}
	}
	in := read(t, b, "sm-04")
	in.Start = time.Date(2026, 11, 16, 0, 0, 0, 0, time.UTC)
	in.Train, in.Mound = []time.Weekday{time.Wednesday, time.Friday}, []time.Weekday{time.Friday}
	p, _ := Make(in)
	if p == nil || p.Start != "2026-11-16" {
		t.Fatal("the start that was asked for")
	}
	for _, s := range p.Sessions {
		if day := s.Weekday; s.Kind == "mound" && day != "Friday" || s.Throws > 0 && day != "Wednesday" && day != "Friday" {
			t.Errorf("%s %s: %s", s.Date, day, s.Kind)
		}
	}
	in.Mound = []time.Weekday{time.Monday}
	if _, refused := Make(in); !strings.Contains(refused, "Monday is not a training day") {
		t.Errorf("a mound day that is no training day: %q", refused)
	}
}

// The trial of throws in turn lasts its three sessions, says when it has worked and when it ends, and takes nothing
// from the least ladder work.
func TestThrowsInTurn(t *testing.T) {
	b := opened(t, nil)
	in := read(t, b, "sm-04")
	slot, _ := b.Catalogue.Slot("ladder.almost")
	in.Facts.Vector[slot].Known, in.Facts.Vector[slot].N = true, 1
	p, refused := Make(in)
	if p == nil {
		t.Fatal(refused)
	}
	mound := 0
	for _, s := range p.Sessions {
		if s.Kind != "mound" {
			continue
		}
		mound++
		i := slices.IndexFunc(s.Blocks, func(x report.Block) bool { return x.What == whatInTurn })
		if (i >= 0) != (mound <= 3) {
			t.Errorf("mound session %d: throws in turn %v", mound, i >= 0)
		}
		if i >= 0 && (s.Blocks[i].Throws != 8 || !strings.Contains(s.Blocks[i].Exit, "of 12") || !strings.Contains(s.Blocks[i].Exit, "ends after session 3")) {
			t.Errorf("%+v", s.Blocks[i])
		}
	}
	if mound < 4 {
		t.Errorf("%d mound sessions", mound)
	}
}

// The checker that judges plans finds what is spoiled in one.
func theCheckerSees(t *testing.T, all []club, p published) {
	spoil := map[string]func(*report.Plan){
		"one throw more":      func(p *report.Plan) { block(p, whatLadder).Throws++ },
		"a harder drill":      func(p *report.Plan) { block(p, whatPutBack).Effort = 95 },
		"a hundred throws":    func(p *report.Plan) { add(p, "mound", 100, 95) },
		"hard on a rest day":  func(p *report.Plan) { add(p, "rest", 20, 95) },
		"easy on a rest day":  func(p *report.Plan) { add(p, "rest", 60, 50) },
		"no whole throws":     func(p *report.Plan) { block(p, whatPutBack).What = whatWarmUp },
		"another cue":         func(p *report.Plan) { block(p, whatIsolation).Cue = "twist" },
		"keep-up before work": func(p *report.Plan) { block(p, whatKeepUp).What = whatInTurn },
	}
	names := make([]string, 0, len(spoil))
	for name := range spoil {
		names = append(names, name)
	}
	slices.Sort(names)
	rng := rand.New(rand.NewPCG(11, 4))
	var cases []wanted
	for len(cases) < 12 {
		w := randomCase(rng, all)
		if got, _ := Make(w.Input); got != nil && block(got, whatInTurn) != nil && block(got, whatIsolation) != nil {
			cases = append(cases, w)
		}
	}
	for _, name := range names {
		caught := 0
		for _, w := range cases {
			got, _ := Make(w.Input)
			spoil[name](got)
			if len(p.check(w, got)) > 0 {
				caught++
			}
		}
		// A day of rest is not always one that a limit asks for.
		if caught < len(cases) && (!strings.Contains(name, "rest day") || caught < len(cases)/2) {
			t.Errorf("%s: caught in %d of %d plans", name, caught, len(cases))
		}
	}
}

// block is the first block of a kind, or nil.
func block(p *report.Plan, what string) *report.Block {
	for _, s := range p.Sessions {
		for i := range s.Blocks {
			if s.Blocks[i].What == what {
				return &s.Blocks[i]
			}
		}
	}
	return nil
}

// add puts a block on the last day of a kind and keeps the day's own sums right.
func add(p *report.Plan, kind string, throws, effort int) {
	for i := len(p.Sessions) - 1; i >= 0; i-- {
		s := &p.Sessions[i]
		if s.Kind != kind {
			continue
		}
		s.Blocks = append(s.Blocks, report.Block{What: whatLadder, Throws: throws, Effort: effort, Title: "x", Exit: "x", Rule: "x"})
		s.Throws += throws
		s.Load += float64(throws) * .78
		if effort > 85 {
			s.High += throws
			s.Load += float64(throws) * .22
		}
		s.Kind = "mound"
		return
	}
}
