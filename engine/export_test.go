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

func TestFilesOfNamesAllOfOneAthlete(t *testing.T) {
	dir := t.TempDir()
	const text = "rungwise: case/1\nathlete: {code: "
	for name, body := range map[string]string{
		"miller.yaml": text + "SM-4}\n", "miller.yaml~": "x", ".miller.yaml.lock": "", ".miller.yaml.new-1": "x", "miller.log.jsonl": "x", ".miller.log.jsonl.lock": "",
		"sm-4-plan.html": "x", "sm-4-coach.md": "x", "sub/again.yaml": text + "SM-4, age: lots}\n",
		"plans/sm-4-plan.md": "x", "plans/.sm-4-plan.md.new-2": "x", "plans/notes.md": "x", "plans/sm-40-plan.md": "x",
		"sub/again.plans.json": `{"folders": ["../elsewhere"]}`, "elsewhere/sm-4-coach.html": "x", "elsewhere/else.html": "x",
		"sm-4.yml": "athlete: [broken\n", ".sm-4.yml.tmp-7": "x", "torn.yaml": "athlete: {code: SM-4\n", "torn-40.yaml": "athlete: {code: SM-40\n",
		"gone/sm-4.yaml~": "x", "gone/sm-4.log.jsonl": "x", "other/sm-4.yaml": text + "SM-9}\n", "other/sm-4.log.jsonl": "x",
		"sm-40.yaml": text + "SM-40}\n", "sm-40-plan.html": "x", "miller.txt": "x", ".sm-40.yaml.lock": "",
	} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	files, err := engineOn(t, "2026-12-01").FilesOf("SM-4", dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range files.Paths {
		name, _ := filepath.Rel(dir, p)
		got = append(got, name)
	}
	want := []string{".miller.log.jsonl.lock", ".miller.yaml.lock", ".miller.yaml.new-1", ".sm-4.yml.tmp-7", "elsewhere/sm-4-coach.html", "gone/sm-4.log.jsonl", "gone/sm-4.yaml~",
		"miller.log.jsonl", "miller.yaml", "miller.yaml~", "plans/.sm-4-plan.md.new-2", "plans/sm-4-plan.md", "sm-4-coach.md", "sm-4-plan.html",
		"sm-4.yml", "sub/again.plans.json", "sub/again.yaml", "torn.yaml"}
	if len(files.Unread) != 2 {
		t.Errorf("not read are %v", files.Unread)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
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

// Shares are told from five athletes on. 81 of 263: .2553 to .3662 (Newcombe
// 1998, Stat Med 17:857-872, table I).
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
	c := counts{}
	for i := range 263 {
		c.add("x", string(rune('a'+i%26)), i < 81)
	}
	o := c.outcomes(func(string) string { return "" })[0]
	if *o.Low < .2552 || *o.Low > .2554 || *o.High < .3661 || *o.High > .3663 {
		t.Errorf("81 of 263: %.4f to %.4f", *o.Low, *o.High)
	}
}
