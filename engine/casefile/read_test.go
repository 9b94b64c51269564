package casefile

import (
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/checklist"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func vocabulary(t testing.TB) Vocabulary {
	t.Helper()
	c, ds := checklist.Load(checklists.FS, "checklists")
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return Vocabulary{Checklist: c, Throws: []string{"running_throw", "shuffle_throw", "flat_lift", "slope_catcher"},
		Factors: []string{"weight_shift", "hinge"}, Today: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)}
}

const whole = `rungwise: case/1
athlete: {code: SM-04, age: 19, throws: right, height: 185 cm, level: college}
screen: {on: 2026-11-09, pain: none, night_pain: no, numbness: no, arm_colour: no, pop: no, sudden_loss: no, surgery: none, concussion: none, heart: no}
load:
  weeks: [{throws: 210, high_effort: 45}]
  mound_throws_28d: 60
  last_high_effort: 2026-11-07
reference:
  throw: running_throw
  best: [{on: 2026-11-02, speed: 93.1 mph}, {on: 2026-09-14, speed: 84.6 mph}]
ladder:
  on: 2026-11-09
  gun: {step: 0.1 mph}
  rungs:
    - {throw: running_throw, speeds: [148.2, -, 149], unit: km/h, held: [yes, partly, x]}
    - {throw: shuffle_throw, speeds: [90], held: yes, effort: 95, miss: on_target, hits: 6 of 10, focus: target}
seen:
  weight_shift: {running_throw: early, flat_lift: late}
  arm_tempo: {running_throw: 33 frames @ 60, flat_lift: [52 frames @ 60, 51 frames @ 60]}
  back_knee_bend: {running_throw: 52 deg}
  lead_knee_at_landing: {running_throw: {points: [[412, 300], [440, 388], [431, 470]]}}
  stride_line: {slope_catcher: {answer: cross_body, sure: no, clip: nov-09-side.mov, at: 3.2 s}}
`

func TestParseReadsAWholeCase(t *testing.T) {
	c, ds := Parse(source.New("sm.yaml", []byte(whole)), vocabulary(t))
	if len(ds) > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	if v, ok := c.Answer("athlete.height"); !ok || v != "185" {
		t.Errorf("height is %q", v)
	}
	if c.Reference.Best[0].Speed != 84.6 || c.Reference.Best[0].N != 3 {
		t.Errorf("bests are not in the order of their dates: %v", c.Reference.Best)
	}
	r := c.Ladder().Rungs[0]
	if len(r.Speeds) != 2 || r.Speeds[0] < 92 || r.Speeds[0] > 92.2 || r.Unit != unit.KMH {
		t.Errorf("speeds are not in miles an hour, or the missed throw counts: %v", r.Speeds)
	}
	if len(r.Marks) != 2 || r.Marks[1] != Partly || r.OneMark {
		t.Errorf("marks are %v", r.Marks)
	}
	if !c.Ladder().Rungs[1].OneMark || *c.Ladder().Rungs[1].Hits != (Hits{6, 10}) {
		t.Errorf("one mark for the rung was not read: %+v", c.Ladder().Rungs[1])
	}
	if o := c.Observed("arm_tempo", "flat_lift"); len(o.Looks) != 2 || o.Looks[1].Frames.Count != 51 {
		t.Errorf("clips are %+v", o)
	}
	if o := c.Observed("stride_line", "slope_catcher"); !o.Looks[0].Unsure || o.Looks[0].At != "3.2 s" {
		t.Errorf("details are %+v", o)
	}
	if c.Observed("hinge", "flat_lift") != nil {
		t.Error("something unseen was made up")
	}
}

// Each file of testdata/broken is refused with the messages beside it.
func TestBrokenFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no broken files: %v", err)
	}
	v := vocabulary(t)
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			c, ds := Parse(source.New(filepath.Base(path), b), v)
			if c != nil {
				t.Error("a broken file was read")
			}
			var out strings.Builder
			ds.Write(&out)
			golden(t, strings.TrimSuffix(path, ".yaml")+".txt", out.String())
		})
	}
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(whole)
	f.Add("rungwise: case/1\nathlete: {code: a}\nladder: [{on: 2026-01-01, rungs: [{throw: flat_lift, speeds: 3}]}]\nseen: {hinge: {flat_lift: [[]]}}\n")
	f.Add("rungwise: case/1\nathlete: {code: a, height: 185 cm}\nseen:\n  stride_line: {flat_lift: {points: [[500, 900], [500, 300], [570, 400]], scale: 20 cm = 100 px, toward: right}}\n" +
		"  trunk_side_tilt: {flat_lift: {line: [[3, 4], [3, 1]], against: [[1, 9], [2, 5]], toward: left, fps: 60, off_square: 5, on: 2026-11-09}}\n" +
		"  stride_length: {flat_lift: {line: [[1, 5], [8, 5]], scale: 1 m = 3 px}}\n  lead_leg_action: {flat_lift: {points: [[1, 2], [3, 4], [5, 1], [1, 2], [3, 4], [6, 6]]}}\n")
	v := vocabulary(f)
	f.Fuzz(func(t *testing.T, text string) {
		c, ds := Parse(source.New("x.yaml", []byte(text)), v)
		if (c == nil) != (ds.Errors() > 0) {
			t.Fatal("a case and an error, or neither")
		}
		for _, d := range ds {
			_ = d.String()
		}
	})
}

// A file costs as much on one line as on many: what it holds is read in one pass.
// Files of this size once took minutes and gigabytes.
func TestALongFileIsReadInOnePass(t *testing.T) {
	list := func(item string, n int) string {
		return "[" + strings.TrimSuffix(strings.Repeat(item+", ", n), ", ") + "]"
	}
	for name, text := range map[string]string{
		"clips":       "seen: {hinge: {running_throw: " + list("{answer: holds}", 20_000) + "}}\n",
		"speeds":      "ladder: {rungs: [{throw: running_throw, speeds: " + list("84.1", 40_000) + "}]}\n",
		"points":      "seen: {back_knee_bend: {running_throw: {points: " + list("[1, 2], [3, 4]", 10_000) + "}}}\n",
		"wrong words": "ladder: {rungs: [{throw: running_throw, speeds: " + list("quick", 20_000) + "}]}\n",
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			began := time.Now()
			_, ds := Parse(source.New("a.yaml", []byte("rungwise: case/1\nathlete: {code: SM-99}\n"+text)), vocabulary(t))
			var told strings.Builder
			ds.Write(&told)
			runtime.ReadMemStats(&after)
			if took, mb := time.Since(began), (after.TotalAlloc-before.TotalAlloc)>>20; took > 10*time.Second || mb > 500 || told.Len() > 100_000 {
				t.Errorf("%v, %d MB, %d bytes of messages", took, mb, told.Len())
			}
		})
	}
}
