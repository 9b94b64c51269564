package ask

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/rules"
	"rungwise/testdata/cases"
)

var (
	study  = flag.Bool("study", false, "run the slow studies in full")
	update = flag.Bool("update", false, "rewrite the golden files")
)

// here is the package's folder: tests change into others.
var here, _ = os.Getwd()

// today is the day on which the worked cases are read.
var today = time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)

var opened = sync.OnceValue(func() *rule.Base {
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: today})
	if ds.Errors() > 0 {
		var out strings.Builder
		ds.Write(&out)
		panic(out.String())
	}
	return b
})

// empty is a case of which nothing is known but a code.
const empty = "# SM-04 is invented, and so is the Saltmarsh Throwing Club.\nrungwise: case/1\nathlete: {code: SM-04} # no name\n"

// fresh writes a case and visits it.
func fresh(t *testing.T, text, order string) *Flow {
	t.Helper()
	t.Chdir(t.TempDir())
	path := "sm-04.yaml"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return visit(t, path, order)
}

func visit(t *testing.T, path, order string) *Flow {
	t.Helper()
	f, ds, err := Open(path, Options{Base: opened(), Today: today, Order: order})
	if err != nil || f == nil {
		t.Fatal(err, ds)
	}
	return f
}

// worked reads a worked case.
func worked(t *testing.T, name string) *casefile.Case {
	t.Helper()
	data, err := cases.FS.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	c, ds := casefile.Parse(source.New(name, data), vocabulary(Options{Base: opened(), Today: today}))
	if c == nil {
		t.Fatal(ds)
	}
	return c
}

// onDisk reads a case from disk, as it must always be readable.
func onDisk(t *testing.T, path string) *casefile.Case {
	t.Helper()
	file, err := casefile.Read(path)
	if err != nil {
		t.Fatal(err)
	}
	c, ds := casefile.Parse(file, vocabulary(Options{Base: opened(), Today: today}))
	if c == nil {
		var out strings.Builder
		ds.Write(&out)
		t.Fatalf("%s\n%s", out.String(), file.Bytes)
	}
	return c
}

// run is a whole visit to SM-04 that started from nothing but a code.
type run struct {
	once   sync.Once
	steps  []step
	text   string // the file at the end
	enough string // the file where the checklist stopped by itself
}

// step is one question and what was answered to it; "" was skipped.
type step struct {
	q    Question
	text string
}

var tellingRun, videoRun run

// wholeRun answers SM-04 once in an order, and keeps it for every test.
func wholeRun(t *testing.T, order string) *run {
	t.Helper()
	r := &tellingRun
	if order == Video {
		r = &videoRun
	}
	r.once.Do(func() {
		c, f := worked(t, "sm-04.yaml"), fresh(t, empty, order)
		put := func(q Question, text string) { r.steps = append(r.steps, step{q, text}) }
		answerAll(t, f, c, put)
		if f.State() != Enough {
			t.Errorf("ended as %v", f.State())
		}
		r.enough = string(f.file.Bytes)
		r.steps = append(r.steps, step{text: "g"})
		f.GoOn()
		answerAll(t, f, c, put)
		r.text = string(f.file.Bytes)
	})
	return r
}

// A whole run from nothing but a code gives the same triage as the worked case:
// verdict of the ladder, factors and their order (common practice, no source).
func TestAFullRunGivesTheWorkedCase(t *testing.T) {
	want := judged(t, worked(t, "sm-04.yaml"))
	for _, order := range []string{Telling, Video} {
		r := wholeRun(t, order)
		f := fresh(t, r.text, order)
		if got := judged(t, f.c); got != want {
			t.Errorf("%s: got  %s\nwant %s", order, got, want)
		}
		f = fresh(t, r.enough, order)
		if got := judged(t, f.c); f.State() != Enough || strings.Split(got, ", ")[2] != strings.Split(want, ", ")[2] {
			t.Errorf("%s: where it stops it says %s", order, got)
		}
		if !strings.HasPrefix(r.text, strings.TrimSuffix(empty, "} # no name\n")) || !strings.Contains(r.text, "# no name") {
			t.Errorf("the comments moved:\n%s", r.text)
		}
	}
}

// judged is verdict, gate and factors of a case on one line.
func judged(t *testing.T, c *casefile.Case) string {
	t.Helper()
	f := &Flow{base: opened(), vocab: vocabulary(Options{Base: opened(), Today: today})}
	var err error
	if f.model, err = triage.New(opened()); err != nil {
		t.Fatal(err)
	}
	if err := f.take(c.File, c); err != nil {
		t.Fatal(err)
	}
	r := f.model.Run(f.athlete())
	out := f.facts.Ladder.Verdict.Kind
	if at, ok := f.stuck(); ok {
		out += " at " + at
	}
	if r.Gate != nil {
		out += ", " + r.Gate.ID
	}
	for _, x := range r.Factors {
		out += ", " + x.Factor.ID + " " + x.Role
	}
	return out
}

func TestSafetyComesFirst(t *testing.T) {
	f := fresh(t, empty, Telling)
	if got := f.Question(); got.ID != "screen.pain" || !got.Must {
		t.Fatalf("first comes %+v", got)
	}
	if f.Keep() == nil || f.Jump("hinge") == nil {
		t.Error("a safety question could be left open")
	}
	if p := f.Panel(); p.Says != "" || len(p.Leading) > 0 {
		t.Errorf("before the safety questions the panel says %+v", p)
	}
	for _, want := range []string{"pain", "night_pain", "numbness", "arm_colour", "pop", "sudden_loss", "surgery", "concussion", "heart", "illness", "skin", "age", "consent"} {
		q := f.Question()
		if _, id, _ := strings.Cut(q.ID, "."); id != want {
			t.Fatalf("got %s, want %s", q.ID, want)
		}
		text := "no"
		switch want {
		case "pain", "surgery", "concussion":
			text = "none"
		case "age":
			text = "15"
		case "consent":
			text = "yes"
		}
		mustAnswer(t, f, text)
	}
	if got := f.Question().Section; got != Athlete {
		t.Errorf("after the safety questions comes %q", got)
	}
}

// Every answer that refers ends the checklist at once, with what to do, and a
// slip can be mended.
func TestAnAnswerThatRefersEnds(t *testing.T) {
	for _, answers := range [][]string{
		{"pain"}, {"soreness", "elbow"}, {"soreness", "shoulder"}, {"soreness", "upper_arm"}, {"soreness", "hand"}, {"soreness", "back"},
		{"none", "yes"}, {"none", "no", "yes"}, {"none", "no", "no", "yes"}, {"none", "no", "no", "no", "yes"}, {"none", "no", "no", "no", "no", "yes"},
		{"none", "no", "no", "no", "no", "no", "not_cleared"}, {"none", "no", "no", "no", "no", "no", "cleared", "nobody_in_writing"},
		{"none", "no", "no", "no", "no", "no", "none", "not_cleared"}, {"none", "no", "no", "no", "no", "no", "none", "none", "yes"},
		{"none", "no", "no", "no", "no", "no", "none", "none", "no", "yes"}, {"none", "no", "no", "no", "no", "no", "none", "none", "no", "no", "yes"},
	} {
		t.Run(strings.Join(answers, " "), func(t *testing.T) {
			f := fresh(t, empty, Telling)
			for _, a := range answers {
				if _, err := f.Answer(Reply{Text: a}); err != nil {
					t.Fatal(err)
				}
			}
			e := f.Ending()
			if f.State() != Referred || e.State != Referred || !strings.Contains(e.Do, "throw") || e.Says == "" {
				t.Fatalf("got %v, %+v", f.State(), e)
			}
			if p := f.Panel(); len(p.Leading) > 0 {
				t.Error("a referred athlete is ranked")
			}
			if got := visit(t, f.Path(), Telling); got.State() != Referred {
				t.Error("the next visit goes on")
			}
			if !f.Back() || f.State() != Asking {
				t.Error("a slip cannot be mended")
			}
		})
	}
}

func TestBackShowsWhatWasSaved(t *testing.T) {
	f := fresh(t, empty, Telling)
	mustAnswer(t, f, "1", "2", "2")
	for range 2 {
		if !f.Back() {
			t.Fatal("no way back")
		}
	}
	q := f.Question()
	if q.ID != "screen.night_pain" || q.Saved != "no" || q.SavedID != "no" {
		t.Fatalf("got %+v", q)
	}
	if err := f.Keep(); err != nil {
		t.Fatal(err)
	}
	if got := f.Question().ID; got != "screen.numbness" {
		t.Errorf("keeping leads to %s", got)
	}
	f.Back()
	f.Back()
	mustAnswer(t, f, "soreness")
	if got := f.Question().ID; got != "screen.where" {
		t.Errorf("a changed answer leads to %s", got)
	}
	if got, _ := onDisk(t, f.Path()).Answer("screen.pain"); got != "soreness" {
		t.Errorf("on disk is %q", got)
	}
}

func mustAnswer(t *testing.T, f *Flow, answers ...string) {
	t.Helper()
	for _, a := range answers {
		if _, err := f.Answer(Reply{Text: a}); err != nil {
			t.Fatalf("%s: %q: %v", f.Question().ID, a, err)
		}
	}
}

// An answer is on disk before the next question shows, and a new visit starts
// at that question.
func TestAnAnsweredQuestionIsOnDisk(t *testing.T) {
	f := fresh(t, empty, Video)
	for _, s := range wholeRun(t, Video).steps {
		q := f.Question()
		if q.ID == "video.throw" {
			return // from here on only the video differs
		}
		if s.text == "" {
			t.Fatalf("%s was skipped", q.ID)
		}
		mustAnswer(t, f, s.text)
		if q.ID == "ladder.rungs" {
			continue // its lines are no questions of their own
		}
		again := visit(t, f.Path(), Video)
		if stood, ok := again.question(q.ID); !ok || stood.Saved == "" {
			t.Errorf("%s is not on disk", q.ID)
		}
		if again.Question().ID != f.Question().ID {
			t.Errorf("after %s the visit goes on at %s, a new one at %s", q.ID, f.Question().ID, again.Question().ID)
		}
	}
}

func TestWrongAnswersAreRefusedKindly(t *testing.T) {
	f := fresh(t, empty, Telling)
	bad := func(text, says string) {
		t.Helper()
		before, _ := os.ReadFile(f.Path())
		_, err := f.Answer(Reply{Text: text})
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Error(), says) {
			t.Errorf("%q at %s gives %v, want %q", text, f.Question().ID, err, says)
		}
		if after, _ := os.ReadFile(f.Path()); !bytes.Equal(before, after) {
			t.Errorf("%q was written", text)
		}
	}
	bad("sorenes", "did you mean soreness?")
	bad("4", "1 (nothing)")
	bad("", "nothing was answered")
	bad("\x1b[31mred", "is no answer")
	mustAnswer(t, f, "1", "2", "2", "2", "2", "2", "1", "1", "2", "2", "2")
	bad("190", "lies between 5 and 60")
	bad("old", "is not a number")
	mustAnswer(t, f, "19")
	if err := f.Jump("reference.best"); err == nil {
		t.Error("asked for bests of no drill")
	}
	jump(t, f, "reference.throw")
	mustAnswer(t, f, "running_throw")
	jump(t, f, "reference.first_thrown")
	bad("2027-01-01", "lies after today")
	bad("last week", "is no day")
	jump(t, f, "reference.best")
	bad("84.6 mph", "days with speeds")
	bad("2026-09-14 940", "nobody throws 940 mph")
	jump(t, f, "load.weeks")
	bad("many", "is no week")
	bad("10/20", "more high-effort throws than throws")
	jump(t, f, "ladder.rungs")
	bad("flat_lyft 82", "did you mean flat_lift?")
	bad("flat_lift", "no speeds")
	bad("flat_lift fast", "is not a number")
	jump(t, f, "arm_tempo")
	bad("33 frames", "33 frames @ 60")
	bad("900000 ms", "is not possible here")
	bad("412,300 440,388 431,470", "do not give what is measured here")
	jump(t, f, "trunk_side_tilt")
	bad("412,470 440,388", "toward")
	bad("412,470 440,388 toward target", "left, right, up or down")
	jump(t, f, "hinge")
	bad("30 deg", "is no answer")
}

func jump(t *testing.T, f *Flow, id string) {
	t.Helper()
	if err := f.Jump(id); err != nil {
		t.Fatal(err)
	}
}

var safe = strings.Replace(empty, "} # no name", ", age: 19, throws: right, level: college, height: 185 cm}", 1) +
	"screen: {on: 2026-11-09, pain: none, night_pain: no, numbness: no, arm_colour: no, pop: no, sudden_loss: no, surgery: none, concussion: none, heart: no, illness: no, skin: no}\nreference: {throw: running_throw}\n"

func TestWhatALookTakes(t *testing.T) {
	f := fresh(t, safe, Video)
	for _, c := range []struct{ at, text, want string }{
		{"weight_shift", "1", "early"},
		{"weight_shift", "late?", "{answer: late, sure: no}"},
		{"weight_shift", "x", "could_not_see"},
		{"weight_shift", "-40 ms", "-40 ms"},
		{"arm_tempo", "33 frames @ 60; 34 @ 59.94", "[33 frames @ 60, 34 frames @ 59.94]"},
		{"arm_tempo", "0.5 s", "500 ms"},
		{"back_knee_bend", "46,5", "46.5 deg"},
		{"back_knee_bend", "412,300 440,388 431,470", "{points: [[412, 300], [440, 388], [431, 470]]}"},
		{"trunk_side_tilt", "412,470 440,388 toward right not sure", "{line: [[412, 470], [440, 388]], toward: right, sure: no}"},
		{"stride_line", "on line", "on_line"},
		{"stride_length", "84 %, 85", `[84 % of height, 85 % of height]`},
		{"stride_line", "cross_body, cross_body, on_line", "[cross_body, cross_body, on_line]"},
	} {
		jump(t, f, "seen."+c.at+"/running_throw")
		if _, err := f.Answer(Reply{Text: c.text}); err != nil {
			t.Errorf("%s: %q: %v", c.at, c.text, err)
			continue
		}
		text, _ := os.ReadFile(f.Path())
		if !strings.Contains(string(text), c.at+": {running_throw: "+c.want+"}") {
			t.Errorf("%s: %q is written as\n%s", c.at, c.text, text)
		}
	}
	jump(t, f, "seen.hinge/running_throw")
	if _, err := f.Answer(Reply{Text: "2", Unsure: true, Note: `camera: low, "from behind"`}); err != nil {
		t.Fatal(err)
	}
	l := onDisk(t, f.Path()).Observed("hinge", "running_throw").Looks[0]
	if l.Answer != "partial" || !l.Unsure || l.Note != `camera: low, "from behind"` {
		t.Errorf("got %+v", l)
	}
	f.Back()
	if kept, err := f.Note("from the side"); !kept || err != nil {
		t.Fatal(kept, err)
	}
	if got := onDisk(t, f.Path()).Observed("hinge", "running_throw").Looks[0]; got.Note != "from the side" || !got.Unsure {
		t.Errorf("got %+v", got)
	}
}

func TestTheTwoThrowsAreAskedSideBySide(t *testing.T) {
	last := ""
	for _, s := range wholeRun(t, Telling).steps {
		if s.q.Section != OnVideo || s.q.ID == "video.throw" {
			continue
		}
		if s.q.Second && last != s.q.Title {
			t.Errorf("%s was asked of the second throw after %s", s.q.Title, last)
		}
		last = s.q.Title
	}
}
