package render

import (
	"strings"
	"testing"

	"rungwise/engine/report"
)

func nasty() *report.Roster {
	growth := 1.4
	return &report.Roster{On: "2026-11-20", Rows: []report.RosterRow{
		{File: "=cmd.yaml", Case: "SM-04", Attention: "<script>alert(1)</script>\x1b[31m", RungName: "a & b", Rung: "-x", Spark: []float64{100, 97.5, 0, 88}, SparkAt: 3, Growth: &growth, Week: 200, Base: 150},
		{File: "b.yaml", Case: "SM-05", SparkAt: -1},
	}, Unreadable: []report.Unreadable{{File: "c.yaml", Says: "a\nb <b>"}}, Hidden: 2}
}

// Whatever stands in a file reaches no terminal, page or spreadsheet as anything
// but words.
func TestRosterFacesShowWordsOnly(t *testing.T) {
	var text, csv, page strings.Builder
	r := nasty()
	if err := Roster(&text, r); err != nil {
		t.Fatal(err)
	}
	if err := RosterCSV(&csv, r); err != nil {
		t.Fatal(err)
	}
	if err := RosterPage(&page, r); err != nil {
		t.Fatal(err)
	}
	for what, s := range map[string]string{"text": text.String(), "csv": csv.String(), "page": page.String()} {
		if strings.Contains(s, "\x1b") {
			t.Errorf("%s: a control character got through", what)
		}
		for i, line := range strings.Split(s, "\n") {
			if strings.HasSuffix(line, " ") {
				t.Errorf("%s: line %d ends in a blank", what, i+1)
			}
		}
	}
	if strings.Contains(page.String(), "<script") || strings.Contains(page.String(), "<b>") || !strings.Contains(page.String(), "a &amp; b") {
		t.Error("the page takes words for markup")
	}
	if !strings.Contains(csv.String(), "'=cmd.yaml") || !strings.Contains(csv.String(), "'-x") {
		t.Errorf("a spreadsheet would read a formula:\n%s", csv.String())
	}
	if !strings.Contains(text.String(), "2 athletes left out") || !strings.Contains(text.String(), "c.yaml: a b <b>") {
		t.Errorf("the text leaves something out:\n%s", text.String())
	}
}

// The little ladder: the reference near the top, a rung that was not measured
// left out, the ring at the stuck one.
func TestSparkline(t *testing.T) {
	x := nasty().Rows[0]
	if got := strings.Count(sparkPath(x.Spark), ","); got != 3 {
		t.Errorf("%d points for three measured rungs", got)
	}
	m := sparkMark(x)
	_, top := sparkAt(x.Spark, 0)
	if m == nil || m.Y <= top || m.X != 116 {
		t.Errorf("the ring is at %+v, the reference at %.1f", m, top)
	}
	if sparkMark(report.RosterRow{SparkAt: -1}) != nil || sparkPath(nil) != "" {
		t.Error("something is drawn for nothing")
	}
}

func TestWeekOfAStopSaysNothingOfThrowing(t *testing.T) {
	w := &report.Week{Case: "SM-04", On: "2026-11-20", Decision: "stop", Says: "Stop throwing.", Do: "See a licensed clinician.",
		Reasons: []report.WeekReason{{ID: "health", Words: "pain, told on 2026-11-19"}},
		Numbers: []report.WeekNumber{{Words: "the floor is 89 mph"}}, Load: report.WeekLoad{Says: "200 throws"}, Notes: []string{"ladder"}}
	got := Week(w, Options{})
	for _, word := range []string{"mph", "200", "ladder", "Load"} {
		if strings.Contains(got, word) {
			t.Errorf("a stop speaks of %q:\n%s", word, got)
		}
	}
	if !strings.Contains(got, "Pain, told on 2026-11-19") || !strings.Contains(got, "clinician") {
		t.Errorf("not said why and whom to see:\n%s", got)
	}
}
