package ask

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rungwise/engine/casefile"
	"rungwise/engine/prompt"
)

// meanwhile lets somebody else write the file.
func meanwhile(t *testing.T, path, old, new string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(data), old) {
		t.Fatalf("%q is not in\n%s", old, data)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(data), old, new, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
}

// Two people on one file: what one wrote elsewhere stays, and the other is told.
func TestAnotherWritersAnswersStay(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe, Video)
	meanwhile(t, f.Path(), "level: college", "level: adult")
	jump(t, f, "hinge")
	mustAnswer(t, f, "holds")
	if told := f.Told(); !strings.Contains(told, "somebody else changed the file") {
		t.Errorf("told %q", told)
	}
	c := onDisk(t, f.Path())
	if level, _ := c.Answer("athlete.level"); level != "adult" || c.Observed("hinge", "running_throw") == nil {
		t.Errorf("level %s, %v", level, c.Seen)
	}
}

// The same question answered by both: theirs stands, ours is in a copy.
func TestTheSameQuestionAnsweredTwice(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe+"seen:\n  hinge: {running_throw: holds}\n", Video)
	meanwhile(t, f.Path(), "holds", "partial")
	jump(t, f, "seen.hinge/running_throw")
	_, err := f.Answer(Reply{Text: "none"})
	var c *Conflict
	if !errors.As(err, &c) || filepath.Base(c.Copy) != "sm-04.conflict-1.yaml" {
		t.Fatalf("got %v", err)
	}
	if got := onDisk(t, f.Path()).Observed("hinge", "running_throw").Looks[0].Answer; got != "partial" {
		t.Errorf("theirs is %s", got)
	}
	if got := onDisk(t, c.Copy).Observed("hinge", "running_throw").Looks[0].Answer; got != "none" {
		t.Errorf("ours is %s", got)
	}
	if q := f.Question(); q.ID != "seen.hinge/running_throw" || q.SavedID != "partial" {
		t.Errorf("the question shows %q", q.SavedID)
	}
	mustAnswer(t, f, "none")
	meanwhile(t, f.Path(), "hinge: {running_throw: none}", "hinge: {running_throw: holds}")
	f.Back()
	if _, err := f.Answer(Reply{Text: "partial"}); !errors.As(err, &c) || filepath.Base(c.Copy) != "sm-04.conflict-2.yaml" {
		t.Errorf("got %v", err)
	}
}

// A file that somebody else broke takes no more answers, and none is lost.
func TestAnotherWriterBreaksTheFile(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe, Video)
	meanwhile(t, f.Path(), "level: college", "level: colege")
	jump(t, f, "hinge")
	_, err := f.Answer(Reply{Text: "holds"})
	var c *Conflict
	if !errors.As(err, &c) || f.State() != Broken {
		t.Fatalf("got %v, %v", err, f.State())
	}
	if onDisk(t, c.Copy).Observed("hinge", "running_throw") == nil {
		t.Error("the answer is not in the copy")
	}
	if e := f.Ending(); !strings.Contains(e.Do, "Mend it") {
		t.Errorf("got %+v", e)
	}
}

// A write that fails leaves the old text and the question.
func TestAWriteThatFails(t *testing.T) {
	t.Parallel()
	f := fresh(t, safe, Video)
	before, _ := os.ReadFile(f.Path())
	jump(t, f, "hinge")
	lost := f.file.Path
	f.file.Path = "no-such-folder/sm-04.yaml"
	_, err := f.Answer(Reply{Text: "holds"})
	f.file.Path = lost
	var r *prompt.Refusal
	if err == nil || errors.As(err, &r) {
		t.Fatalf("got %v", err)
	}
	if after, _ := os.ReadFile(f.Path()); string(after) != string(before) {
		t.Error("the file changed")
	}
	if q := f.Question(); q.ID != "seen.hinge/running_throw" || q.Saved != "" {
		t.Errorf("got %+v", q)
	}
	mustAnswer(t, f, "holds")
}

func TestAFileWithFaultsIsNotAsked(t *testing.T) {
	t.Parallel()
	bad := written(t, "rungwise: case/1\nathlete: {code: SM-04, age: old}\nsen: 1\n")
	if f, ds, err := Open(bad, Options{Base: opened(), Today: today}); f != nil || err != nil || ds.Errors() != 2 {
		t.Errorf("got %v, %v, %v", f, ds, err)
	}
	if _, _, err := Open(bad+".yaml", Options{Base: opened(), Today: today}); err == nil || errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v", err)
	}
}

// However a ladder is written down, a rung's value goes in its place and
// nothing else moves.
func TestRungsKeepTheirForm(t *testing.T) {
	t.Parallel()
	for name, form := range map[string]string{
		"flow entries":  "ladder:\n  on: 2026-11-09 # windy\n  rungs:\n    - {throw: running_throw, speeds: [92.1, 92.8]} # good\n    - {throw: flat_lift, speeds: [81.2, 81.9]}\n# end\n",
		"block entries": "ladder:\n  rungs:\n    - throw: running_throw # good\n      speeds: [92.1, 92.8]\n    - throw: flat_lift\n      speeds:\n        - 81.2\n        - 81.9\n  on: 2026-11-09\n",
		"one line":      "ladder: {on: 2026-11-09, rungs: [{throw: running_throw, speeds: [92.1, 92.8]}, {throw: flat_lift, speeds: [81.2, 81.9]}]}\n",
		"over lines":    "ladder: {on: 2026-11-09, rungs: [\n  {throw: running_throw, speeds: [92.1, 92.8]}, # ]\n  {throw: flat_lift, speeds: [81.2,\n     81.9]}\n  ]}\n",
		"two ladders":   "ladder:\n  - on: 2026-11-09\n    rungs:\n      - {throw: running_throw, speeds: [92.1, 92.8]}\n      - {throw: flat_lift, speeds: [81.2, 81.9]}\n  - on: 2026-10-01\n    rungs:\n      - {throw: flat_lift, speeds: [77, 78]}\n      - {throw: slope_net, speeds: [77, 78]}\n",
	} {
		t.Run(name, func(t *testing.T) {
			f := fresh(t, safe+form, Video)
			jump(t, f, "ladder.flat_lift.held")
			mustAnswer(t, f, "y p")
			jump(t, f, "ladder.rungs")
			mustAnswer(t, f, "flat_lift 80,5 80,9 81", "slope_net: 82 82.5; 83 mph")
			jump(t, f, "ladder.slope_net.held")
			mustAnswer(t, f, "2")
			c := onDisk(t, f.Path())
			l := c.Ladder()
			if len(l.Rungs) != 3 || l.Rungs[1].Speeds[0] != 80.5 || l.Rungs[2].Speeds[2] != 83 || len(l.Rungs[2].Marks) != 3 {
				text, _ := os.ReadFile(f.Path())
				t.Fatalf("got %+v\n%s", l.Rungs, text)
			}
			if m := l.Rungs[1].Marks; len(m) != 2 || m[1] != casefile.Partly {
				t.Errorf("marks %v", m)
			}
			text, _ := os.ReadFile(f.Path())
			for _, comment := range []string{"# windy", "# good", "# end", "# ]"} {
				if strings.Contains(form, comment) && !strings.Contains(string(text), comment) {
					t.Errorf("%q is gone from\n%s", comment, text)
				}
			}
		})
	}
}
