package engine

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/source"
)

// An exported case shows the same facts as the one before, and not one word of
// the comments and notes.
func TestExportKeepsEveryFact(t *testing.T) {
	e := engineOn(t, "2026-12-01")
	paths, err := filepath.Glob("../testdata/cases/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		before := source.New(path, b)
		out, err := e.Export(before)
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		if strings.Contains(string(out), "#") || strings.Contains(string(out), "note:") || strings.Contains(string(out), "clip:") {
			t.Errorf("%s: words of somebody's own are left:\n%s", path, out)
		}
		was, is := observed(t, e, before), observed(t, e, source.New(path, out))
		if !slices.Equal(was.Vector, is.Vector) || was.Compared != is.Compared || was.Floor != is.Floor {
			t.Errorf("%s: the exported case shows other facts", path)
		}
	}
}

// Words of somebody's own go wherever the reader takes them, inside an answer too.
func TestExportDropsWordsInsideAnAnswer(t *testing.T) {
	const text = "rungwise: case/1\nathlete: {code: SM-4}\nseen: {hinge: {flat_lift: {answer: {answer: holds, note: mine}, by: me}, running_throw: [{answer: holds, clip: my.mov}]}}\n"
	out, err := engineOn(t, "2026-12-01").Export(source.New("a.yaml", []byte(text)))
	want := "rungwise: case/1\nathlete: {code: SM-4}\nseen: {hinge: {flat_lift: {answer: {answer: holds}}, running_throw: [{answer: holds}]}}\n"
	if err != nil || string(out) != want {
		t.Errorf("got %v\n%s", err, out)
	}
}

func observed(t *testing.T, e *Engine, f *source.File) *observe.Facts {
	t.Helper()
	c, ds := e.Case(f)
	if c == nil {
		t.Fatal(ds.Sorted()[0])
	}
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

// What was complained of goes along with the log, also where it was taken back or
// stood in a note, and no free word does.
func TestExportKeepsWhatStops(t *testing.T) {
	e := engineOn(t, "2026-11-12")
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	for _, x := range []casefile.Entry{
		{What: casefile.LogSession, Health: &casefile.Health{Pain: "yes"}, Note: "Miller saw it"},
		{What: casefile.LogVoid, Corrects: 1},
		{What: casefile.LogClearance, By: "physician", Writing: true},
		{What: casefile.LogOther, Kind: "catching", Note: "Miller says it hurt"},
	} {
		x.Entered, x.On = "2026-11-11", "2026-11-11"
		if _, err := casefile.AppendEntry(path, x); err != nil {
			t.Fatal(err)
		}
	}
	out, left, err := e.ExportLog(path)
	if text := string(out); err != nil || left != 0 || strings.Contains(text, "Miller") || !strings.Contains(text, `"pain":"yes"`) || !strings.Contains(text, "in_writing") ||
		!strings.Contains(text, `"unread":"not exported"`) || strings.Count(text, "\n") != 4 {
		t.Errorf("got %s, %d, %v", text, left, err)
	}
}

// Shares are told from five athletes on.
func TestReviewCountsAndTellsNoShareOfFew(t *testing.T) {
	dir := t.TempDir()
	e := engineOn(t, "2026-12-01")
	closed := func(name, factor, outcome string) {
		t.Helper()
		path := filepath.Join(dir, name+".log.jsonl")
		for _, x := range []casefile.Entry{
			{What: casefile.LogSession, Drills: []casefile.Drilled{{Drill: "rock_and_go", Throws: 10}, {Drill: "rock_and_go", Throws: 10}}},
			{What: casefile.LogClose, Factor: factor, Outcome: outcome},
		} {
			x.Entered, x.On = "2026-11-20", "2026-11-20"
			if _, err := casefile.AppendEntry(path, x); err != nil {
				t.Fatal(err)
			}
		}
	}
	for i, name := range []string{"a", "b", "c", "d"} {
		closed(name, "weight_shift", map[bool]string{true: "passed", false: "not_passed"}[i < 3])
	}
	closed("a", "hinge", "passed")
	r, err := e.Review(dir)
	if err != nil {
		t.Fatal(err)
	}
	if r.Athletes != 4 || r.Closed != 5 || len(r.Factors) != 2 || r.Factors[1].ID != "weight_shift" || r.Factors[1].Passed != 3 || r.Factors[1].Low != nil {
		t.Errorf("got %+v", r)
	}
	if d := r.Drills[0]; d.Closed != 5 || d.Athletes != 4 || d.Low != nil {
		t.Errorf("a drill that was thrown twice for one problem is %+v", d)
	}
	closed("e", "weight_shift", "passed")
	if r, err = e.Review(dir); err != nil || r.Factors[1].Low == nil {
		t.Fatalf("no share from five athletes: %+v, %v", r.Factors, err)
	}
}
