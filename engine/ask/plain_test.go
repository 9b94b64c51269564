package ask

import (
	"bytes"
	"context"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"rungwise/engine/prompt"
)

// piped runs the plain face over a script.
func piped(t *testing.T, f *Flow, script string) (o Outcome, out, errs string) {
	t.Helper()
	var w, e bytes.Buffer
	o, err := Plain(context.Background(), f, Console{In: strings.NewReader(script), Out: &w, Err: &e})
	if err != nil {
		t.Fatal(err)
	}
	if strings.ContainsRune(w.String()+e.String(), '\x1b') {
		t.Error("the plain face printed an escape")
	}
	return o, w.String(), e.String()
}

func TestPlainReadsAWholeScript(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Video)
	o, out, errs := piped(t, f, `# the safety questions
nothing
2
no

n
no
no
none
none
no
no
no
19
right
college
6 ft 1 in
s
`)
	if o.State != Asking || o.Saved != 15 || o.Wrong || o.Finished() {
		t.Fatalf("got %+v\n%s\n%s", o, out, errs)
	}
	if !strings.Contains(errs, "left unfinished: 15 answers saved") {
		t.Errorf("told %q", errs)
	}
	if got, _ := onDisk(t, f.Path()).Answer("athlete.height"); got != "185.4" {
		t.Errorf("height %s", got)
	}
	for _, want := range []string{"saved: pain: nothing\n", "Question 1, safety first", "  2  dull muscle soreness\n", "? help"} {
		if !strings.Contains(out, want) {
			t.Errorf("nothing says %q in\n%s", want, out)
		}
	}
}

// A wrong line ends a script: the lines after it were meant for other questions.
func TestPlainStopsAtAWrongAnswer(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Video)
	o, _, errs := piped(t, f, "none\nno\nmaybe\nno\nnone\n")
	if !o.Wrong || o.Saved != 2 || o.Finished() {
		t.Errorf("got %+v", o)
	}
	if !strings.Contains(errs, `line 3: "maybe" is no answer to this`) {
		t.Errorf("told %q", errs)
	}
}

func TestPlainTellsOfAnswersLeftOver(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Video)
	o, out, errs := piped(t, f, "none\nyes\n# why\n1\n2\n")
	if o.State != Referred || o.LeftOver != 2 || o.Finished() || !strings.Contains(errs, "2 answers were left over at the end, the first on line 4") {
		t.Errorf("got %+v, %q", o, errs)
	}
	if !strings.Contains(out, "See a licensed clinician") {
		t.Errorf("nothing says what to do:\n%s", out)
	}
}

func TestPlainTakesNamedAnswersAndCommands(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe, Video)
	o, out, errs := piped(t, f, `load.mound_throws_28d: 88
hinge/running_throw: 1
note: knee quiet
b
note: and the shin
j stride_line
?
w
2?
q
`)
	if o.State != Asking || o.Wrong || o.Saved != 3 {
		t.Fatalf("got %+v\n%s\n%s", o, out, errs)
	}
	c := onDisk(t, f.Path())
	if l := c.Observed("hinge", "running_throw").Looks[0]; l.Answer != "holds" || l.Note != "and the shin" {
		t.Errorf("got %+v", l)
	}
	if l := c.Observed("stride_line", "running_throw").Looks[0]; l.Answer != "cross_body" || !l.Unsure {
		t.Errorf("got %+v", l)
	}
	if !strings.Contains(out, "Camera behind the rubber") || !strings.Contains(out, "(saved)") {
		t.Errorf("no help, or nothing saved shown:\n%s", out)
	}
}

// The whole of SM-04 over a pipe goes to where the checklist stops by itself.
func TestPlainFullRun(t *testing.T) {
	t.Parallel()
	lines := ""
	for _, s := range wholeRun(t, Telling).steps {
		if s.q.ID == "" {
			break // it stopped by itself
		}
		if s.text == "" {
			s.text = "skip"
		}
		lines += s.text + "\n"
	}
	f := fresh(t, empty, Telling)
	o, out, errs := piped(t, f, lines)
	if !o.Finished() || o.State != Enough || !strings.Contains(out, "Nothing that is left would change the answer much") {
		t.Fatalf("got %+v\n%s\n%s", o, errs, out[max(0, len(out)-2000):])
	}
	if got := string(f.file.Bytes); got != wholeRun(t, Telling).enough {
		t.Errorf("the file differs from that of the flow:\n%s", got)
	}
}

func TestPlainSpeaksPlainly(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"\x1b]0;title\x07", strings.Repeat("x", 5000), "\u202eabc", "1\x00"} {
		f := fresh(t, empty, Video)
		o, _, errs := piped(t, f, text+"\n")
		if !o.Wrong || len(errs) > 600 || strings.ContainsAny(errs, "\x00\x07\u202e") {
			t.Errorf("%.20q gives %+v, %q", text, o, errs)
		}
	}
}

func TestPlainOverMuchAndNothing(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Video)
	var w, e bytes.Buffer
	_, err := Plain(context.Background(), f, Console{In: strings.NewReader(strings.Repeat("x", prompt.Longest+10)), Out: &w, Err: &e})
	if err == nil || !strings.Contains(err.Error(), "line 1 of the answers is longer") {
		t.Errorf("got %v", err)
	}
	if o, _, _ := piped(t, fresh(t, empty, Video), ""); o.State != Asking || o.Saved != 0 {
		t.Errorf("got %+v", o)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	r, _ := io.Pipe()
	if o, err := Plain(ctx, fresh(t, empty, Video), Console{In: r, Out: &w, Err: &e}); err != nil || o.State != Asking {
		t.Errorf("interrupted: %+v, %v", o, err)
	}
}

// Somebody who types may try again.
func TestPlainOnATerminal(t *testing.T) {
	t.Parallel()
	path := written(t, empty)
	v := inWindow(t, 80, 24, true, "ask", "--plain", "--order", "video", path)
	prompts := func() int {
		return strings.Count(v.text(), "save and stop):") + strings.Count(v.text(), "b to go back:")
	}
	v.send(0, "none\nyes\n") // before the question can be read
	for n, l := range []string{"9", "none\x1b]11;rgb:1e1e/1e1e/1e1e", "none", "no", "q"} {
		v.until("asked", func() bool { return prompts() >= n+3 }, func() {})
		time.Sleep(settle + burst)
		v.send(0, l+"\n")
	}
	v.ends(1)
	if got, _ := onDisk(t, path).Answer("screen.pain"); got != "none" {
		t.Errorf("pain is %q", got)
	}
	for says, times := range map[string]int{"came before the question": 2, "signs that nobody types": 1} {
		if got := strings.Count(v.text(), says); got != times {
			t.Errorf("%q stands %d times, not %d:\n%s", says, got, times, v.text())
		}
	}
	text, _ := os.ReadFile(path + "~")
	if len(text) == 0 {
		t.Error("no backup of the text before")
	}
}

// What was said of the body is on the record: going back and answering otherwise
// lifts nothing, on this visit or the next.
func TestGoingBackLiftsNothing(t *testing.T) {
	t.Parallel()
	f := fresh(t, empty, Video)
	mustAnswer(t, f, "pain")
	if f.State() != Referred || f.Back() != nil {
		t.Fatalf("at %v", f.State())
	}
	mustAnswer(t, f, "none")
	if f.State() != Referred {
		t.Fatalf("another answer leads to %v", f.State())
	}
	if f := visit(t, f.Path(), Video); f.State() != Referred {
		t.Errorf("the next visit is at %v", f.State())
	}
}

// Marks are read as the log reads them: in one word or apart, x where nobody
// could see.
func TestMarksAreReadAsInTheLog(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe+"ladder: {on: 2026-11-09, rungs: [{throw: flat_lift, speeds: [81, 82, 83]}]}\n", Video)
	for _, text := range []string{"y x n", "yxn"} {
		ch, err := f.readMarks("flat_lift", Question{}, text)
		if err != nil || ch.sets[0].text != "[yes, could_not_see, no]" || ch.words != "y x n" {
			t.Errorf("%q: %+v, %v", text, ch, err)
		}
	}
}
