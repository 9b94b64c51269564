package ask

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/prompt"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/testdata/cases"
	"rungwise/testdata/frozen"
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
	b, ds := rule.Load(rule.Options{Rules: frozen.Rules(), Checklists: frozen.Checklists(), On: today})
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
	return visit(t, written(t, text), order)
}

// written writes a case into a folder of its own.
func written(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sm-04.yaml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
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
	c, ds := casefile.Parse(source.New(name, data), observe.Vocabulary(opened(), today))
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
	c, ds := casefile.Parse(file, observe.Vocabulary(opened(), today))
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
	t.Parallel()
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
	f := &Flow{base: opened(), vocab: observe.Vocabulary(opened(), today)}
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
	t.Parallel()
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
	t.Parallel()
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
			if f.Back() != nil || f.State() != Asking {
				t.Error("a slip cannot be mended")
			}
		})
	}
}

func TestBackShowsWhatWasSaved(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Telling)
	mustAnswer(t, f, "1", "2", "2")
	for range 2 {
		if f.Back() != nil {
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
	t.Parallel()
	steps := wholeRun(t, Video).steps
	f := fresh(t, empty, Video)
	for _, s := range steps {
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
	t.Parallel()
	f := fresh(t, empty, Telling)
	bad := func(text, says string) {
		t.Helper()
		before, _ := os.ReadFile(f.Path())
		_, err := f.Answer(Reply{Text: text})
		var r *prompt.Refusal
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
	bad("flat_lift fast", "is no speed")
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
	t.Parallel()
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
	if _, err := f.Note(`camera: low, "from behind"`); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Answer(Reply{Text: "2", Unsure: true}); err != nil {
		t.Fatal(err)
	}
	l := onDisk(t, f.Path()).Observed("hinge", "running_throw").Looks[0]
	if l.Answer != "partial" || !l.Unsure || l.Note != `camera: low, "from behind"` {
		t.Errorf("got %+v", l)
	}
	f.Back()
	if said, err := f.Note("from the side"); said != "saved: the note" || err != nil {
		t.Fatal(said, err)
	}
	if got := onDisk(t, f.Path()).Observed("hinge", "running_throw").Looks[0]; got.Note != "from the side" || !got.Unsure {
		t.Errorf("got %+v", got)
	}
}

func TestTheTwoThrowsAreAskedSideBySide(t *testing.T) {
	t.Parallel()
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

// The second video is not in the file, so nothing says that it was saved.
func TestTheSecondVideoIsNotSaved(t *testing.T) {
	t.Parallel()
	f := fresh(t, thrown(t), Video)
	if got := f.Question().ID; got != "video.throw" {
		t.Fatalf("at %s", got)
	}
	before, _ := os.ReadFile(f.Path())
	said, err := f.Answer(Reply{Text: "1"})
	after, _ := os.ReadFile(f.Path())
	if err != nil || !bytes.Equal(before, after) || !strings.HasPrefix(said, "taken for this visit: ") || f.Given() != 0 {
		t.Errorf("it is %s, %d given, %v", said, f.Given(), err)
	}
	_, out, _ := piped(t, fresh(t, thrown(t), Video), "1\n")
	if strings.Contains(out, "saved: the second video") || !strings.Contains(out, "taken for this visit: the second video: ") {
		t.Errorf("got\n%s", out)
	}
}

// Answers that do not fit together, or that are told not to count any more, are
// put again; what is answered on this visit ends it where it has to.
func TestSafetyAnswersAreAskedAgain(t *testing.T) {
	t.Parallel()
	for _, x := range []struct{ screen, first string }{
		{"pain: none, where: elbow", "screen.pain"}, {"pain: soreness, where: other", "screen.pain"}, {"pain: soreness, where: none", "screen.pain"},
	} {
		f := fresh(t, strings.Replace(safe, "pain: none", x.screen, 1), Telling)
		if got := f.Question().ID; got != x.first || f.Keep() == nil {
			t.Errorf("%s: asks %s", x.screen, got)
		}
		if _, err := f.Answer(Reply{Text: "soreness"}); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(x.screen, "elbow") {
			if f.State() != Referred {
				t.Errorf("%s: %v", x.screen, f.State())
			}
			continue
		}
		if got := f.Question().ID; got != "screen.where" {
			t.Errorf("%s: then asks %s", x.screen, got)
		}
		mustAnswer(t, f, "other")
		fine(t, f)
		if f.State() != Referred || !strings.Contains(f.Ending().Says, "the place is not named") {
			t.Errorf("%s: %v, %+v", x.screen, f.State(), f.Ending())
		}
	}
	for _, last := range []string{"none", "elbow"} {
		f := fresh(t, strings.Replace(safe, "pain: none", "pain: none, where: elbow", 1), Telling)
		mustAnswer(t, f, "none")
		if got := f.Question().ID; got != "screen.where" {
			t.Fatalf("with pain none again it asks %q", got)
		}
		mustAnswer(t, f, last)
		fine(t, f)
		if want := map[string]State{"none": Asking, "elbow": Referred}[last]; f.State() != want {
			t.Errorf("%s: %v", last, f.State())
		}
	}
	f := fresh(t, strings.Replace(safe, "pain: none", "pain: pain", 1), Telling)
	if f.State() != Referred {
		t.Fatalf("pain in the file leads to %v", f.State())
	}
	for _, x := range []casefile.Entry{{What: casefile.LogScreen, Answers: f.c.Screen()}, {What: casefile.LogClearance, By: "physician", Writing: true}} {
		x.Entered, x.On = today.Format(time.DateOnly), today.Format(time.DateOnly)
		if _, err := casefile.AppendEntry(casefile.LogPath(f.Path()), x); err != nil {
			t.Fatal(err)
		}
	}
	f = visit(t, f.Path(), Telling)
	if f.State() != Asking || f.Question().ID != "screen.pain" {
		t.Fatalf("after a clearance it is at %v, %s", f.State(), f.Question().ID)
	}
	fine(t, f)
	if f.State() != Asking || f.Question().Section == Safety {
		t.Errorf("answered anew it is at %v, %+v", f.State(), f.Question())
	}
}

// An illness of an earlier day is asked about again, and over when it is.
func TestAnIllnessIsAskedAboutTheNextDay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		on, answer string
		want       State
	}{{"2026-11-09", "no", Asking}, {"2026-11-09", "yes", Referred}, {"2026-11-10", "", Referred}} {
		f := fresh(t, safe, Telling)
		x := casefile.Entry{Entered: c.on, On: c.on, What: casefile.LogScreen, Answers: map[string]string{"illness": "yes"}}
		if _, err := casefile.AppendEntry(casefile.LogPath(f.Path()), x); err != nil {
			t.Fatal(err)
		}
		f = visit(t, f.Path(), Telling)
		if c.answer != "" {
			if f.State() != Asking || f.Question().ID != "screen.illness" {
				t.Fatalf("told on %s it is at %v, %s", c.on, f.State(), f.Question().ID)
			}
			mustAnswer(t, f, c.answer)
		}
		if f.State() != c.want {
			t.Errorf("%+v: at %v", c, f.State())
		}
	}
}

// fine answers the safety questions that are put with nothing wrong.
func fine(t *testing.T, f *Flow) {
	t.Helper()
	for range 20 {
		q := f.Question()
		if q.Section != Safety {
			return
		}
		mustAnswer(t, f, q.Options[slices.IndexFunc(q.Options, func(o prompt.Choice) bool { return o.ID == "none" || o.ID == "no" })].ID)
	}
}

// The help of every question stands in the rules, where a house can reword it.
func TestEveryQuestionHasItsHelp(t *testing.T) {
	t.Parallel()
	for _, it := range fresh(t, thrown(t), Video).items() {
		if tidy(it.Help) == "" && it.ID != "ladder.on" {
			t.Errorf("%s has no help", it.ID)
		}
	}
}
