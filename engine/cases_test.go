package engine

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/testdata/cases"
)

func open(t testing.TB) *Engine {
	t.Helper()
	e, ds := Open(Options{Trade: Shipped(), Today: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC), Cases: true})
	if e == nil {
		t.Fatal(ds.Sorted()[0])
	}
	return e
}

func worked(t testing.TB, e *Engine, name string) *casefile.Case {
	t.Helper()
	f, err := source.Open(cases.FS, name, name)
	if err != nil {
		t.Fatal(err)
	}
	c, ds := e.Case(f)
	if c == nil {
		t.Fatal(ds.Sorted()[0])
	}
	return c
}

// The outcomes that the trade would expect of the eight invented athletes:
// common practice, no published source.
func TestWorkedCases(t *testing.T) {
	e := open(t)
	for _, c := range []struct {
		file, gate, ladder, rung, carry string
		first                           []string // any of these leads
		next                            string   // the factor after it, "" = not said
		consequences                    []string
		look                            string
		plan                            bool
	}{
		{file: "sm-04.yaml", gate: "go_on", ladder: "stuck", rung: "flat_lift", carry: "none", first: []string{"weight_shift"}, next: "hinge",
			consequences: []string{"trunk_early", "arm_late"}, plan: true},
		{file: "sm-11.yaml", gate: "go_on", ladder: "stuck", rung: "slope_net", carry: "not_known", first: []string{"slope_timing", "few_slope_throws"}, plan: true},
		{file: "sm-02.yaml", gate: "go_on", ladder: "stuck", rung: "slope_half_plate", carry: "not_known", first: []string{"arm_late"}, next: "aim_correction", plan: true},
		{file: "sm-17.yaml", gate: "refer", ladder: "not_thrown", carry: "not_known"},
		{file: "sm-08.yaml", gate: "not_this_question", ladder: "not_thrown", carry: "none"},
		{file: "sm-21.yaml", gate: "go_on", ladder: "stuck", rung: "flat_lift", carry: "not_known", first: []string{"stride_line", "weight_shift"},
			look: "stuck.weight_shift", plan: true},
		{file: "sm-30.yaml", gate: "none_found", ladder: "none_found", carry: "not_known"},
		{file: "sm-26.yaml", gate: "restore", ladder: "not_thrown", carry: "not_known"},
	} {
		t.Run(c.file, func(t *testing.T) {
			r, err := e.Plan(worked(t, e, c.file), PlanOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if r.Gate.Verdict != c.gate || r.Ladder.Verdict != c.ladder || r.Ladder.Rung != c.rung || r.CarryOver.Words != c.carry {
				t.Errorf("gate %s, ladder %s at %q, carry-over %s", r.Gate.Verdict, r.Ladder.Verdict, r.Ladder.Rung, r.CarryOver.Words)
			}
			if len(c.first) > 0 && (len(r.Factors) == 0 || !slices.Contains(c.first, r.Factors[0].ID)) {
				t.Errorf("first is %v", ranks(r))
			}
			if c.next != "" && (len(r.Factors) < 2 || r.Factors[1].ID != c.next) {
				t.Errorf("next is %v", ranks(r))
			}
			for _, id := range c.consequences {
				if !slices.ContainsFunc(r.Factors, func(f report.Factor) bool { return f.ID == id && f.Role == "consequence" }) {
					t.Errorf("%s is no consequence among %v", id, ranks(r))
				}
			}
			if c.look != "" && (len(r.NextLook) == 0 || r.NextLook[0].Fact != c.look) {
				t.Errorf("the next look is %v", r.NextLook)
			}
			if c.plan && (r.Plan == nil || len(r.Plan.Sessions) == 0) {
				t.Errorf("no plan: %s", r.PlanRefused)
			}
		})
	}
}

func ranks(r *report.Report) []string {
	var out []string
	for _, f := range r.Factors {
		out = append(out, f.ID+" "+f.Role)
	}
	return out
}

// With the two columns fixed, deleting any single answer never makes a sign
// fire that did not: over every answer of every worked case and of every case
// of the rule base, and over what is left after some answers are deleted at
// random.
func TestDeletingAnAnswerMakesNoSignFire(t *testing.T) {
	e := open(t)
	rng := rand.New(rand.NewPCG(7, 11))
	for _, c := range e.base.Cases {
		v := e.base.Vector(c.Given)
		for range 3 {
			e.deletions(t, c.ID, v)
			for slot := range v {
				if rng.IntN(4) == 0 && !e.base.Catalogue.At(slot).Constant {
					v[slot] = fact.Value{}
				}
			}
		}
	}
	for _, name := range []string{"sm-02.yaml", "sm-04.yaml", "sm-08.yaml", "sm-11.yaml", "sm-21.yaml"} {
		c := worked(t, e, name)
		before := e.facts(t, c)
		for i := range c.Seen {
			less := *c
			less.Seen = slices.Delete(slices.Clone(c.Seen), i, i+1)
			if after := e.facts(t, &less); after.Compared == before.Compared {
				e.noneMoreFires(t, name+" without "+c.Seen[i].Checkpoint, before.Vector, after.Vector)
			}
		}
		for i := range c.Answers {
			less := *c
			less.Answers = slices.Delete(slices.Clone(c.Answers), i, i+1)
			e.noneMoreFires(t, name+" without "+c.Answers[i].Name, before.Vector, e.facts(t, &less).Vector)
		}
	}
}

func (e *Engine) facts(t *testing.T, c *casefile.Case) *observe.Facts {
	t.Helper()
	f, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func (e *Engine) deletions(t *testing.T, name string, v fact.Vector) {
	t.Helper()
	for slot := range v {
		if !v[slot].Known || e.base.Catalogue.At(slot).Constant {
			continue
		}
		less := slices.Clone(v)
		less[slot] = fact.Value{}
		if f := e.base.Catalogue.At(slot); f.Checkpoint != "" {
			if changed, ok := e.base.Catalogue.Slot(fact.Changed + "." + f.Checkpoint); ok {
				less[changed] = fact.Value{}
			}
		}
		e.noneMoreFires(t, name+" without "+e.base.Catalogue.At(slot).Name, v, less)
	}
}

func (e *Engine) noneMoreFires(t *testing.T, what string, before, after fact.Vector) {
	t.Helper()
	for i := range e.base.Signs {
		s := &e.base.Signs[i]
		if s.When.Eval(after) == fact.Yes && s.When.Eval(before) != fact.Yes {
			t.Errorf("%s: %s fires", what, s.ID)
		}
	}
}

// What would be printed for an athlete who is to be referred holds the words of
// the gate and nothing about throwing: no throw, drill, speed or count.
func TestReferredRecordsHoldNoThrow(t *testing.T) {
	e := open(t)
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	answers := []string{"pain: pain", "pain: soreness, where: unanswered", "pain: soreness, where: other", "pain: soreness, where: none", "where: elbow",
		"night_pain: yes", "numbness: yes", "arm_colour: yes", "pop: yes", "sudden_loss: yes", "surgery: not_cleared",
		"surgery: cleared", "surgery: cleared, surgery_months: 20", "surgery: cleared, surgery_months: 20, surgery_by: nobody_in_writing",
		"concussion: not_cleared", "heart: yes", "illness: yes", "skin: yes"}
	for _, key := range []string{"pain", "night_pain", "numbness", "arm_colour", "pop", "sudden_loss", "surgery", "concussion", "heart"} {
		answers = append(answers, key+": unanswered")
	}
	for _, place := range []string{"shoulder", "upper_arm", "elbow", "forearm", "wrist", "hand"} {
		answers = append(answers, "pain: soreness, where: "+place)
	}
	for _, answer := range answers {
		t.Run(answer, func(t *testing.T) {
			c, ds := e.Case(source.New("sm.yaml", screened(string(text), answer)))
			if c == nil {
				t.Fatal(ds.Sorted()[0])
			}
			r, err := e.Plan(c, PlanOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if r.Gate.Verdict == "go_on" || r.Plan != nil || len(r.Ladder.Rungs)+len(r.Factors)+len(r.NextLook)+len(r.Comparison.Rows)+len(r.Shaky) > 0 {
				t.Errorf("gate %s; the record says more than the gate", r.Gate.Verdict)
			}
			supposed, err := e.Triage(c, Setting{"screen.pain", "none"}, Setting{"screen.where", "none"}, Setting{"screen.numbness", "no"},
				Setting{"screen.pop", "no"}, Setting{"screen.sudden_loss", "no"}, Setting{"screen.surgery", "none"}, Setting{"screen.night_pain", "no"},
				Setting{"screen.arm_colour", "no"}, Setting{"screen.concussion", "none"}, Setting{"screen.heart", "no"})
			if err != nil {
				t.Fatal(err)
			}
			if supposed.Gate.ID != r.Gate.ID || len(supposed.Factors)+len(supposed.Ladder.Rungs) > 0 {
				t.Errorf("a supposition lifts the gate: %s", supposed.Gate.Verdict)
			}
			if r.CarryOver.DrillGain != nil || r.Athlete.Reference != "" {
				t.Error("the record tells of the drill")
			}
		})
	}
}

// A failed screen takes out of the plan every drill that loads that part, and the
// page says so; with none left it says whom to see first.
func TestAFailedScreenTakesItsDrillsOut(t *testing.T) {
	e := open(t)
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range rule.Screened() {
		c, ds := e.Case(source.New("sm.yaml", screened(string(text), part+"_screen: failed")))
		if c == nil {
			t.Fatal(ds.Sorted()[0])
		}
		r, err := e.Plan(c, PlanOptions{})
		if err != nil || r.Plan == nil {
			t.Fatal(err, r.PlanRefused)
		}
		for _, d := range r.Plan.Drills {
			if x, ok := e.base.Drill(d.ID); !ok || slices.Contains(x.Loads, part) {
				t.Errorf("a failed %s screen gets %s", part, d.ID)
			}
		}
		if slices.ContainsFunc(r.Plan.Sessions, func(s report.Session) bool { return s.High > 0 }) {
			t.Errorf("a failed %s screen gets hard throws", part)
		}
		notes := strings.Join(r.Plan.Notes, " ")
		if part == "hip" && (!strings.Contains(notes, "a screen of that part of the body was failed") || !strings.Contains(notes, "See a licensed clinician first")) {
			t.Errorf("the plan does not say that drills are left out: %s", notes)
		}
		if !slices.ContainsFunc(r.Cautions, func(k report.Caution) bool { return k.ID == "screen_failed" && k.Level == "stop" }) {
			t.Error("no caution")
		}
	}
}

// Soreness that a clinician is to look at first gets no hard throw either.
func TestSoreElsewhereThrowsNothingHard(t *testing.T) {
	e := open(t)
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, place := range []string{"back", "hip", "leg"} {
		c, _ := e.Case(source.New("sm.yaml", screened(string(text), "pain: soreness, where: "+place)))
		r, err := e.Plan(c, PlanOptions{})
		if err != nil || r.Plan == nil {
			t.Fatal(err, r.PlanRefused)
		}
		for _, s := range r.Plan.Sessions {
			for _, b := range s.Blocks {
				if s.High > 0 || b.Effort > 85 {
					t.Errorf("%s: on %s %d throws at %d %%", place, s.Date, b.Throws, b.Effort)
				}
			}
		}
	}
}

// A minor needs a parent's written yes, and so does an athlete of no age told;
// soreness of the back is referred under 19 and without an age (Patel and
// Kinsella 2017, Transl Pediatr).
func TestWhatHangsOnTheAge(t *testing.T) {
	e := open(t)
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct{ age, answer, gate string }{
		{"age: 17", "pain: none", "consent_unanswered"}, {"", "pain: none", "consent_unanswered"}, {"age: 18", "pain: none", "go_on"},
		{"age: 17", "consent: no", "consent_refused"}, {"", "consent: no", "consent_refused"}, {"age: 17", "consent: yes", "go_on"}, {"", "consent: yes", "go_on"},
		{"age: 18", "pain: soreness, where: back", "refer_sore_back"}, {"", "pain: soreness, where: back, consent: yes", "refer_sore_back"},
		{"age: 19", "pain: soreness, where: back", "go_on"}, {"age: 40", "pain: soreness, where: upper_arm", "refer_sore_joint"},
		{"age: 30", "surgery: cleared, surgery_by: physician, surgery_months: 20", "go_on"},
	} {
		aged := strings.Replace(string(text), "age: 19, ", strings.TrimPrefix(x.age+", ", ", "), 1)
		c, ds := e.Case(source.New("sm.yaml", screened(aged, x.answer)))
		if c == nil {
			t.Fatal(ds.Sorted()[0])
		}
		r, err := e.Plan(c, PlanOptions{})
		if err != nil || r.Gate.ID != x.gate || (r.Plan != nil) != (x.gate == "go_on") {
			t.Errorf("%q with %q: gate %s, plan %v, %v", x.age, x.answer, r.Gate.ID, r.Plan != nil, err)
		}
	}
}

// screened puts other answers into the screen of a case; "unanswered" takes a
// question out.
func screened(text, answer string) []byte {
	screen := map[string]string{"pain": "none", "where": "none", "night_pain": "no", "numbness": "no", "arm_colour": "no", "pop": "no",
		"sudden_loss": "no", "surgery": "none", "concussion": "none", "heart": "no"}
	for _, pair := range strings.Split(answer, ", ") {
		key, value, _ := strings.Cut(pair, ": ")
		screen[key] = value
		if value == "unanswered" {
			delete(screen, key)
		}
	}
	var fields []string
	for _, key := range slices.Sorted(maps.Keys(screen)) {
		fields = append(fields, key+": "+screen[key])
	}
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, "screen:") {
			lines[i] = "screen: {" + strings.Join(fields, ", ") + "}"
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// A house's own checkpoint, at which nobody looked when the case was written,
// moves no gate.
func TestACheckpointMoreMovesNoGate(t *testing.T) {
	e := open(t)
	house, ds := Open(Options{Trade: Shipped(), Today: e.today, HousePath: "house", House: fstest.MapFS{"club.yaml": {Data: []byte(`extends: base
house: Saltmarsh Throwing Club (invented)
checkpoints:
  - id: glove_path
    because: a test
    by: a test
    add:
      title: path of the glove
      phase: after_landing
      moment: landing to release
      view: open
      ask: Where does the glove go?
      help: Play it slowly.
      answers: {in: stays in front, out: swings out}
      ordered: true
      reading: eye
      source: house default
`)}}})
	if house == nil {
		t.Fatal(ds.Sorted()[0])
	}
	for _, name := range []string{"sm-08.yaml", "sm-04.yaml", "sm-11.yaml"} {
		was, err := e.Triage(worked(t, e, name))
		if err != nil {
			t.Fatal(err)
		}
		is, err := house.Triage(worked(t, house, name))
		if err != nil {
			t.Fatal(err)
		}
		if was.Gate.ID != is.Gate.ID {
			t.Errorf("%s: %s became %s", name, was.Gate.ID, is.Gate.ID)
		}
	}
}

// The floor that a plan prints is the one that the weekly decision prints.
func TestOneFloor(t *testing.T) {
	e, told := open(t), 0
	for _, name := range []string{"sm-02.yaml", "sm-04.yaml", "sm-11.yaml", "sm-21.yaml", "sm-26.yaml", "sm-30.yaml"} {
		c := worked(t, e, name)
		c.Log = &casefile.Log{}
		r, err := e.Plan(c, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		w, err := e.Week(c)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range w.Numbers {
			if n.What != "floor" || r.Plan == nil {
				continue
			}
			told++
			if r.Plan.Floor == nil || math.Abs(r.Plan.Floor.Speed-n.Value) > .051 {
				t.Errorf("%s: the plan holds %+v, the decision %.2f", name, r.Plan.Floor, n.Value)
			}
		}
		if r.Plan != nil && r.Plan.Floor != nil && !slices.ContainsFunc(w.Numbers, func(n report.WeekNumber) bool { return n.What == "floor" }) {
			t.Errorf("%s: the plan prints a floor and the decision none", name)
		}
	}
	if told < 4 {
		t.Errorf("%d floors were told", told)
	}
}
