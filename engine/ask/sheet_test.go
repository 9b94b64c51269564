package ask

import (
	"strings"
	"testing"
)

// The paper holds the questions of the screen, those of the safety screen with
// the answers that stop everything.
func TestSheetHoldsTheSameQuestions(t *testing.T) {
	t.Parallel()
	for _, text := range []string{safe, thrown(t), string(worked(t, "sm-11.yaml").File.Bytes)} {
		f := fresh(t, text, Video)
		sheet := f.Sheet(false)
		for _, q := range f.items() {
			if q.ID == "video.throw" || q.Title == "did the pattern hold" {
				continue // a column of the ladder, and the heading of the shots
			}
			if !strings.Contains(sheet, tidy(q.Ask)) {
				t.Errorf("the paper does not ask: %s", q.Ask)
			}
			if q.Section == OnVideo && strings.Count(sheet, q.Throw+": ☐")+strings.Count(sheet, q.Throw+": ☒")+strings.Count(sheet, q.Throw+": _") == 0 {
				t.Errorf("no line for %s", q.Throw)
			}
		}
		for _, q := range f.base.Checklist.Questions {
			if !strings.Contains(sheet, tidy(q.Ask)) {
				t.Errorf("the paper does not ask: %s", q.Ask)
			}
		}
	}
	f := fresh(t, empty, Video)
	if strings.Contains(f.Sheet(false), "What to film from where") || strings.Contains(f.Sheet(false), "throw, camera") || !strings.Contains(f.Sheet(false), "once these are answered") {
		t.Errorf("throws are printed while the safety questions are open:\n%s", f.Sheet(false))
	}
	for _, stop := range []string{"☐ pain (**stop**)", "☐ elbow (**stop**)", "☐ yes, and not cleared in writing (**stop**)", "☐ upper arm (**stop**)", "☐ back (**stop**)",
		"☐ nobody in writing (**stop**)"} {
		if !strings.Contains(f.Sheet(false), stop) {
			t.Errorf("no %q", stop)
		}
	}
	if strings.Contains(f.Sheet(false), "nothing (**stop**)") || strings.Contains(f.Sheet(false), "hip or groin (**stop**)") {
		t.Error("an answer stops that does not")
	}
}

func TestSheetTicksWhatIsSaved(t *testing.T) {
	t.Parallel()
	f := fresh(t, string(worked(t, "sm-04.yaml").File.Bytes), Video)
	if blank := f.Sheet(false); strings.ContainsAny(blank, "☒") || strings.Contains(blank, "82.1") || strings.Contains(blank, "46 deg") {
		t.Errorf("a sheet that nobody asked to be filled in holds answers:\n%s", blank)
	}
	sheet := f.Sheet(true)
	for _, want := range []string{"- running throw: ☒ before the knee peaks", "| flat ground with leg lift | 82.1 81.2 80.3 81.8 81.6 | in none | 95 |",
		"- ☐ running throw, camera open: ", "46 deg; 47 deg (a number in deg"} {
		if !strings.Contains(sheet, want) {
			t.Errorf("no %q in\n%s", want, sheet)
		}
	}
}

// A referred case gets no throw to film and nothing to count.
func TestSheetOfAReferredCase(t *testing.T) {
	t.Parallel()
	sheet := fresh(t, string(worked(t, "sm-17.yaml").File.Bytes), Video).Sheet(false)
	if strings.Contains(sheet, "☐") || strings.Contains(sheet, "running") || !strings.Contains(sheet, "clinician") {
		t.Errorf("got\n%s", sheet)
	}
}
