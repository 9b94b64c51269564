package ask

import (
	"testing"

	"rungwise/testdata/cases"
)

// Answers that work has made old are asked again before anything else on video,
// and a new answer carries its day; one that is passed over waits for the next
// visit.
func TestAgedAnswersAreAskedAgain(t *testing.T) {
	t.Parallel()
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f := fresh(t, string(text), Telling)
	path := f.Path()
	again := Options{Base: opened(), Today: today, Aged: []Aged{{"trunk_at_landing", "flat_lift"}, {"arm_at_landing", "flat_lift"}}}
	f, ds, err := Open(path, again)
	if err != nil || f == nil {
		t.Fatal(err, ds)
	}
	if got := f.Question().ID; got != "seen.trunk_at_landing/flat_lift" {
		t.Fatalf("asked %s", got)
	}
	mustAnswer(t, f, "closed")
	o := onDisk(t, path).Observed("trunk_at_landing", "flat_lift")
	if len(o.Looks) != 1 || o.Looks[0].Answer != "closed" || !o.Looks[0].On.Equal(today) {
		t.Errorf("saved as %+v", o.Looks)
	}
	if got := f.Question().ID; got != "seen.arm_at_landing/flat_lift" {
		t.Fatalf("asked %s", got)
	}
	if err := f.Keep(); err != nil {
		t.Fatal(err)
	}
	if f.State() == Asking && f.Question().ID == "seen.arm_at_landing/flat_lift" {
		t.Error("what was passed over is asked again at once")
	}
	if o := onDisk(t, path).Observed("arm_at_landing", "flat_lift"); !o.Looks[0].On.IsZero() {
		t.Error("what was passed over got a day")
	}
}
