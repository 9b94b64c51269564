package compose

import (
	"io/fs"
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/rules"
	"rungwise/testdata/cases"
)

// looked composes the record of the invented SM-04 with these lines under
// `seen`.
func looked(t *testing.T, seen string) *report.Report {
	t.Helper()
	on := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0].String())
	}
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: on}
	for _, throw := range b.Throws {
		v.Throws = append(v.Throws, throw.ID)
	}
	whole, err := fs.ReadFile(cases.FS, "sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(whole), "\nseen:\n")
	c, ds := casefile.Parse(source.New("sm.yaml", []byte(head+"\nseen:\n"+seen)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	facts, err := observe.Observe(c, b, on)
	if err != nil {
		t.Fatal(err)
	}
	m, err := triage.New(b)
	if err != nil {
		t.Fatal(err)
	}
	result := m.Run(triage.Case{Vector: facts.Vector, Lambda: facts.Lambda, Unsure: facts.Unsure, Break: facts.Ladder.Break})
	return Report(Findings{Case: c, Base: b, Facts: facts, Triage: result, On: on})
}

func TestRowsNameTheirClips(t *testing.T) {
	r := looked(t, "  weight_shift: {running_throw: {answer: early, clip: nov-09-side.mov, at: 3.2 s}, flat_lift: [late, {answer: late, clip: b.mov}]}\n")
	for _, row := range r.Comparison.Rows {
		if row.Checkpoint == "weight_shift" {
			if row.BestFrom != "nov-09-side.mov at 3.2 s" || row.StuckFrom != "b.mov" || row.Verdict != "differs" {
				t.Errorf("got %+v", row)
			}
			return
		}
	}
	t.Fatal("no such row")
}

// A checkpoint that an ordinary camera cannot show comes with the rate that
// can: 1273 deg/s (Kageyama 2015, J Sports Sci Med 14:246-255) turn 5.3 deg
// within a frame at 240 (computed), under a tolerance of 10 deg.
func TestNextLookNamesTheFrameRate(t *testing.T) {
	r := looked(t, "  weight_shift: {running_throw: early, flat_lift: late}\n  hinge: {running_throw: holds, flat_lift: partial}\n")
	fast, slow := 0, 0
	for _, n := range r.NextLook {
		p := strings.TrimPrefix(n.Fact, "stuck.")
		switch rate := strings.Contains(n.Film, "frames a second"); {
		case p == "trunk_at_landing":
			fast++
			if !strings.HasSuffix(n.Film, "; at 240 frames a second or more") {
				t.Errorf("%s: %q", n.Fact, n.Film)
			}
		case p == "back_knee_path" || p == "pelvis_tilt" || p == "stride_line":
			slow++
			if rate {
				t.Errorf("%s: %q", n.Fact, n.Film)
			}
		}
	}
	if fast != 1 || slow == 0 {
		t.Errorf("gate %s, the looks asked for are %+v", r.Gate.ID, r.NextLook)
	}
}
