package week

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/rules"
)

// desk is a rule base and the invented SM-04, to be looked at on different days.
type desk struct {
	t     testing.TB
	base  *rule.Base
	model *triage.Model
	text  []byte
}

func open(t testing.TB) *desk {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: day0(0), NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	m, err := triage.New(b)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../testdata/cases/sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return &desk{t, b, m, text}
}

// day0 is so many days after the day of SM-04's ladder.
func day0(n int) time.Time { return time.Date(2026, 11, 9+n, 0, 0, 0, 0, time.UTC) }

func on(n int) string { return day0(n).Format(time.DateOnly) }

func (d *desk) findings(today int, log ...casefile.Entry) compose.Findings {
	d.t.Helper()
	v := casefile.Vocabulary{Checklist: d.base.Checklist, Today: day0(today)}
	for _, t := range d.base.Throws {
		v.Throws = append(v.Throws, t.ID)
	}
	for _, f := range d.base.Factors {
		v.Factors = append(v.Factors, f.ID)
	}
	c, ds := casefile.Parse(source.New("sm-04.yaml", d.text), v)
	if c == nil {
		d.t.Fatal(ds.Sorted()[0])
	}
	var lines bytes.Buffer
	for i, e := range log {
		e.Format, e.ID = casefile.LogFormat, i+1
		if e.Entered == "" {
			e.Entered = e.On
		}
		line, err := json.Marshal(e)
		if err != nil {
			d.t.Fatal(err)
		}
		lines.Write(append(line, '\n'))
	}
	l, ds := casefile.ParseLog(source.New("sm-04.log.jsonl", lines.Bytes()), v)
	if len(ds) > 0 {
		d.t.Fatal(ds.Sorted()[0])
	}
	c.Log = l
	facts, err := observe.Observe(c, d.base, day0(today))
	if err != nil {
		d.t.Fatal(err)
	}
	r := d.model.Run(triage.Case{Vector: facts.Vector, Lambda: facts.Lambda, Unsure: facts.Unsure, Break: facts.Ladder.Break})
	return compose.Findings{Case: c, Base: d.base, Facts: facts, Triage: r, On: day0(today)}
}

func (d *desk) week(today int, log ...casefile.Entry) *report.Week {
	d.t.Helper()
	w, err := Make(d.findings(today, log...))
	if err != nil {
		d.t.Fatal(err)
	}
	return w
}

func well() *casefile.Health {
	return &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: "none"}
}

// screened is the safety questions asked again, with nothing wrong.
func screened(n int) casefile.Entry {
	answers := map[string]string{}
	for _, id := range []string{"night_pain", "numbness", "arm_colour", "pop", "sudden_loss", "heart", "illness", "skin"} {
		answers[id] = "no"
	}
	for _, id := range []string{"pain", "surgery", "concussion"} {
		answers[id] = "none"
	}
	return casefile.Entry{On: on(n), What: casefile.LogScreen, Answers: answers}
}

// at is a session of eight throws at a rung, of which held held, at a speed, with
// five throws of the drill.
func at(n int, rung string, held int, mph, drill float64) casefile.Entry {
	e := casefile.Entry{On: on(n), What: casefile.LogSession, Health: well(), Rung: rung, Effort: 95, Throws: 60, High: 20}
	for i := range 8 {
		mark := "no"
		if i < held {
			mark = "yes"
		}
		e.Marks, e.Speeds = append(e.Marks, mark), append(e.Speeds, &mph)
	}
	for range 5 {
		e.Keep = append(e.Keep, &drill)
	}
	return e
}

// The rules are those of the progress package; what is tested here is that the
// log reaches them. Shares: flat_lift .935 of a running throw of 92.5 mph is
// 86.5 mph (house default).
func TestDecisionsFollowFromTheLog(t *testing.T) {
	d := open(t)
	good := func(n int) casefile.Entry { return at(n, "flat_lift", 7, 86.5, 92.5) }
	bad := func(n int) casefile.Entry { return at(n, "flat_lift", 1, 86, 92.5) }
	for _, c := range []struct {
		name     string
		log      []casefile.Entry
		decision string
		to       string
	}{
		{"nothing logged", nil, "hold", ""},
		{"one lucky day", []casefile.Entry{at(2, "flat_lift", 8, 87, 92.5)}, "hold", "flat_lift"},
		{"held twice and more", []casefile.Entry{good(2), good(4), good(7)}, "promote", "slope_net"},
		{"lost twice", []casefile.Entry{bad(2), bad(5)}, "step_back", "flat_no_lift"},
		{"held but slow", []casefile.Entry{at(2, "flat_lift", 8, 80, 92.5), at(5, "flat_lift", 8, 80, 92.5)}, "step_back", "flat_no_lift"},
		{"changed in between", []casefile.Entry{good(2), good(4), func() casefile.Entry { e := good(7); e.Changed = true; return e }()}, "hold", "flat_lift"},
		{"second step back running", []casefile.Entry{bad(2), bad(5), at(7, "flat_no_lift", 1, 87, 92.5), at(9, "flat_no_lift", 1, 87, 92.5)}, "re_triage", ""},
		{"a rung that the ladder has not", []casefile.Entry{at(2, "slope_no_lift", 7, 87, 92.5), at(5, "slope_no_lift", 7, 87, 92.5), at(8, "slope_no_lift", 7, 87, 92.5)}, "promote", "slope_net"},
	} {
		w := d.week(12, c.log...)
		if w.Decision != c.decision || w.To != c.to {
			t.Errorf("%s: got %s to %q because %v, want %s to %q", c.name, w.Decision, w.To, w.Reasons, c.decision, c.to)
		}
		if c.decision != "hold" && len(w.Numbers) == 0 {
			t.Errorf("%s: no number stands behind it", c.name)
		}
	}
}

// sessions are good ones, one every other day, with the drill at a speed.
func sessions(from, n int, drill float64) []casefile.Entry {
	var out []casefile.Entry
	for i := range n {
		out = append(out, at(from+2*i, "flat_lift", 5, .935*drill, drill))
	}
	return out
}

func TestFadingDrillAndLostVelocity(t *testing.T) {
	d := open(t)
	base := sessions(2, 6, 92.5)
	if w := d.week(20, append(base, sessions(14, 1, 87.5)...)...); w.Decision == "restore" || !strings.Contains(strings.Join(w.Notes, " "), "first time") {
		t.Errorf("one low session: %s, notes %v", w.Decision, w.Notes)
	}
	if w := d.week(20, append(base, sessions(14, 2, 87.5)...)...); w.Decision != "restore" || w.To != "running_throw" {
		t.Errorf("two low sessions of three: %s to %q, %v", w.Decision, w.To, w.Reasons)
	}
	w := d.week(20, append(base, sessions(14, 1, 83)...)...)
	if w.Decision != "stop" || w.Reasons[0].ID != "refer_sudden_loss" {
		t.Errorf("a tenth of the speed lost in one session: %s, %v", w.Decision, w.Reasons)
	}
}

// A report that stops throwing leaves no throw, drill or count in the record,
// stays until a clearance, and comes before everything else.
func TestStopSaysNothingElse(t *testing.T) {
	d := open(t)
	good := []casefile.Entry{at(2, "flat_lift", 7, 86.5, 92.5), at(4, "flat_lift", 7, 86.5, 92.5), at(7, "flat_lift", 7, 86.5, 92.5)}
	for _, h := range []casefile.Health{{Pain: "yes"}, {Numbness: "yes"}, {Pop: "yes"}, {SuddenLoss: "yes"}, {Sore: "elbow"}, {Sore: "shoulder"}, {Sore: "forearm"}} {
		log := append(slices.Clone(good), casefile.Entry{On: on(8), What: casefile.LogSlip, Health: &h}, at(9, "flat_lift", 8, 87, 92.5))
		w := d.week(10, log...)
		if w.Decision != "stop" || len(w.Reasons) != 2 || !strings.Contains(w.Reasons[1].Words, "entry 4 of the log") {
			t.Errorf("%+v: %s, %v", h, w.Decision, w.Reasons)
		}
		b, err := json.Marshal(w)
		if err != nil {
			t.Fatal(err)
		}
		for _, word := range []string{"flat", "lift", "slope", "mph", "throws held", "keep-up"} {
			if bytes.Contains(b, []byte(word)) {
				t.Errorf("%+v: the record of a stop speaks of %q: %s", h, word, b)
			}
		}
		if w := d.week(12, append(log, casefile.Entry{On: on(11), What: casefile.LogClearance, By: "physician", Writing: true})...); w.Decision == "stop" {
			t.Errorf("%+v: a clearance does not end it: %v", h, w.Reasons)
		}
	}
	hip := casefile.Entry{On: on(8), What: casefile.LogSlip, Health: &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", Sore: "hip"}}
	if w := d.week(10, append(slices.Clone(good), hip)...); w.Decision == "stop" {
		t.Error("a sore hip stops throwing")
	}
}

// What is written down later, or about later days, changes no earlier record,
// except that nobody plans throws for an earlier day of somebody who is hurt.
func TestEarlierRecordsComeOutAgain(t *testing.T) {
	d := open(t)
	log := sessions(2, 4, 92.5)
	text := func(entries ...casefile.Entry) string {
		b, err := json.MarshalIndent(d.week(9, entries...), "", " ")
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	first := text(log...)
	later := append(slices.Clone(log), sessions(10, 3, 85)...)
	fix := at(2, "flat_lift", 0, 70, 80)
	fix.Entered, fix.Corrects = on(12), 1
	later = append(later, fix)
	if again := text(later...); again != first {
		t.Errorf("the record of %s has changed:\n%s\nwas\n%s", on(9), again, first)
	}
	pain := casefile.Entry{On: on(14), What: casefile.LogSlip, Health: &casefile.Health{Pain: "yes"}}
	if w := d.week(9, append(later, pain)...); w.Decision != "stop" {
		t.Error("what hurts later does not hold on an earlier day")
	}
	for range 3 {
		if text(log...) != first {
			t.Fatal("two runs give two records")
		}
	}
}

func TestDueAWeekAfterTheLastDecision(t *testing.T) {
	d := open(t)
	log := sessions(2, 1, 92.5)
	for today, want := range map[int]bool{2: false, 8: false, 9: true, 25: true} {
		if w := d.week(today, log...); w.Due.Now != want || w.Due.Next != on(9) {
			t.Errorf("on day %d: %+v", today, w.Due)
		}
	}
	log = append(log, casefile.Entry{On: on(10), What: casefile.LogDecision, Decision: "hold"})
	if w := d.week(16, log...); w.Due.Now || w.Due.Next != on(17) || w.Due.Last != on(10) {
		t.Errorf("after a decision: %+v", w.Due)
	}
}

func TestPhaseTrialAndCarryOver(t *testing.T) {
	d := open(t)
	log := []casefile.Entry{at(2, "flat_lift", 2, 86, 92.5), at(4, "flat_lift", 2, 86, 92.5)}
	log = append(log, casefile.Entry{On: on(5), What: casefile.LogPhase, Phase: "velocity"},
		casefile.Entry{On: on(5), What: casefile.LogTrial, Drill: d.base.Drills[0].ID, Until: on(20)})
	w := d.week(6, log...)
	if w.Phase.ID != "velocity" || w.Phase.Since != on(5) || w.Phase.Allows == "" || w.Phase.Keeps == "" {
		t.Errorf("phase is %+v", w.Phase)
	}
	if len(w.Trials) != 1 || w.Trials[0].Verdict != "running" || !strings.Contains(w.Trials[0].Words, "too few") {
		t.Errorf("trial is %+v", w.Trials)
	}
	log = append(log, at(8, "flat_lift", 7, 86, 92.5), at(12, "flat_lift", 7, 86, 92.5))
	if w := d.week(20, log...); w.Trials[0].Verdict != "due" || !strings.HasSuffix(w.Trials[0].Words, ": keep it") {
		t.Errorf("a trial that helped is %+v", w.Trials)
	}
	if w := d.week(20, append(slices.Clone(log[:4]), at(8, "flat_lift", 2, 86, 92.5), at(12, "flat_lift", 3, 86, 92.5))...); !strings.Contains(w.Trials[0].Words, "drop it") {
		t.Errorf("a trial that did nothing is %+v", w.Trials)
	}
	log = append(log, casefile.Entry{On: on(21), What: casefile.LogVerdict, Drill: d.base.Drills[0].ID, Outcome: "keep"})
	if w := d.week(22, log...); w.Trials[0].Verdict != "keep" {
		t.Errorf("a decided trial is %+v", w.Trials)
	}
	log = append(log, at(23, "slope_catcher", 6, 86.6, 92.6))
	w = d.week(24, log...)
	if w.Carry.Drill == nil || w.Carry.Mound == nil || *w.Carry.Mound != 5.6 || !strings.Contains(w.Carry.Says, "%") {
		t.Errorf("carry-over is %+v", w.Carry)
	}
}

// Answers about the shoulders, downstream of the weight shift in SM-04, age with
// weeks of work; work alone does not age what stands upstream.
func TestAnswersAgeThroughWorkUpstream(t *testing.T) {
	d := open(t)
	if w := d.week(30, append(sessions(2, 4, 92.5), screened(29))...); len(w.Relook) != 0 {
		t.Errorf("after two weeks of work: %+v", w.Relook)
	}
	w := d.week(40, append(sessions(2, 12, 92.5), screened(38))...)
	var got []string
	for _, r := range w.Relook {
		got = append(got, r.Checkpoint)
	}
	if !slices.Contains(got, "trunk_at_landing") || slices.Contains(got, "weight_shift") {
		t.Errorf("to be looked at again: %v", got)
	}
}

func TestTwoLaddersAreSetSideBySide(t *testing.T) {
	d := open(t)
	second := strings.NewReplacer("ladder:\n  on: 2026-11-09", "ladder:\n- on: 2026-11-30").Replace(string(d.text))
	i := strings.Index(second, "ladder:\n")
	j := strings.Index(second, "seen:")
	block := second[i+len("ladder:\n") : j]
	old := strings.ReplaceAll(block, "2026-11-30", "2026-11-09")
	newer := strings.NewReplacer("82.1, 81.2, 80.3, 81.8, 81.6", "87.1, 86.2, 85.3, 86.8, 86.6").Replace(block)
	d.text = []byte(second[:i+len("ladder:\n")] + old + newer + second[j:])
	w := d.week(30, screened(29))
	if len(w.Ladders) != 7 || w.Ladders[0].Throw != "running_throw" {
		t.Fatalf("got %+v, notes %v", w.Ladders, w.Notes)
	}
	for _, c := range w.Ladders {
		want := "cannot_be_seen"
		if c.Throw == "flat_lift" {
			want = "faster"
		}
		if c.Says != want {
			t.Errorf("%s: %+v", c.Throw, c)
		}
	}
}

func TestOnwardMovesTheWork(t *testing.T) {
	d := open(t)
	move := func(decision, to string, n int) casefile.Entry {
		return casefile.Entry{On: on(n), What: casefile.LogDecision, Decision: decision, To: to}
	}
	for _, c := range []struct {
		log  []casefile.Entry
		want string
	}{
		{nil, "flat_lift"},
		{[]casefile.Entry{move("hold", "flat_lift", 3)}, "flat_lift"},
		{[]casefile.Entry{move("promote", "slope_net", 3)}, "slope_net"},
		{[]casefile.Entry{move("promote", "slope_net", 3), move("step_back", "flat_lift", 9)}, "flat_lift"},
		{[]casefile.Entry{move("step_back", "running_throw", 3)}, "shuffle_throw"},
		{[]casefile.Entry{move("promote", "slope_net", -1)}, "flat_lift"}, // before the newest ladder
	} {
		f := d.findings(12, c.log...)
		was := f.Facts.Ladder.Verdict.Rung
		o := Onward(f.Facts, f.Case)
		if got := o.Ladder.Rungs[o.Ladder.Verdict.Rung].Throw.ID; got != c.want {
			t.Errorf("%v: works at %s, want %s", c.log, got, c.want)
		}
		if f.Facts.Ladder.Verdict.Rung != was {
			t.Error("the facts themselves were changed")
		}
	}
}

func TestUnreadableAndUnaskedAreTold(t *testing.T) {
	d := open(t)
	e := at(2, "flat_lift", 5, 86, 92.5)
	e.Health = nil
	f := d.findings(5, e)
	f.Case.Log.Bad = []int{3}
	w, err := Make(f)
	if err != nil {
		t.Fatal(err)
	}
	notes := fmt.Sprint(w.Notes)
	for _, want := range []string{"1 session day nobody asked", "line 3 of the log"} {
		if !strings.Contains(notes, want) {
			t.Errorf("not told: %q in %s", want, notes)
		}
	}
}

// What observe reads as one ladder over two days is not set beside itself.
func TestALadderOfTwoDaysIsNotSetBesideItself(t *testing.T) {
	d := open(t)
	i, j := strings.Index(string(d.text), "ladder:\n"), strings.Index(string(d.text), "seen:")
	d.text = []byte(string(d.text[:i]) + `ladder:
  - {on: 2026-11-07, rungs: [{throw: running_throw, speeds: [92, 92.5, 91.8]}, {throw: shuffle_throw, speeds: [90, 90.4, 89.6]}]}
  - {on: 2026-11-09, rungs: [{throw: running_throw, speeds: [92.1, 91.7, 92.4]}, {throw: flat_lift, speeds: [81.4, 81, 81.8]}]}
` + string(d.text[j:]))
	if w := d.week(30, screened(29)); len(w.Ladders) != 0 || slices.ContainsFunc(w.Notes, func(n string) bool { return strings.Contains(n, "side by side") }) {
		t.Errorf("got %+v, notes %v", w.Ladders, w.Notes)
	}
}

// The floor that a plan is made with and the one that the decision tells are one
// number, from the first session that counts on.
func TestThePlanAndTheDecisionHoldOneFloor(t *testing.T) {
	d := open(t)
	for n := range 5 {
		log := append([]casefile.Entry{screened(1)}, sessions(2, n, 92)...)
		f := d.findings(24, log...)
		w, err := Make(f)
		if err != nil {
			t.Fatal(err)
		}
		told := 0.0
		for _, x := range w.Numbers {
			if x.What == "floor" {
				told = x.Value
			}
		}
		if !f.Facts.Floor.Known || told != f.Facts.Floor.Speed || slices.ContainsFunc(w.Notes, func(s string) bool { return strings.Contains(s, "oo few sessions with reference") }) {
			t.Errorf("after %d sessions the plan holds %.2f and the decision tells %.2f; notes %v", n, f.Facts.Floor.Speed, told, w.Notes)
		}
	}
}
