package rule

import (
	"strings"
	"testing"
	"testing/fstest"

	"rungwise/checklists"
	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/rules"
)

func withReadingError(t *testing.T, value string) (*Base, int) {
	t.Helper()
	text := "extends: base\nlimits:\n  - {id: reading_error_eye, set: {value: " + value + "}, because: 40 clips graded twice, by: SL}\n"
	b, ds := Load(Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true, House: fstest.MapFS{"eye.yaml": {Data: []byte(text)}}})
	for _, d := range ds {
		if !strings.Contains(d.Headline, "reading error") {
			t.Errorf("%s", d.String())
		}
	}
	return b, ds.Errors()
}

// A coach's own reading error takes the place of the default in every sign that
// is seen by eye, in the network too, and in no other sign.
func TestOwnReadingErrorReachesTheSigns(t *testing.T) {
	was, own := embedded(t), func() *Base { b, _ := withReadingError(t, "0.11"); return b }()
	_, signs := own.Network()
	eye := 0
	for i, s := range own.Signs {
		want := was.Signs[i].Error
		if s.Reading == checklist.Eye {
			eye++
			if want != 0.20 { // house default
				t.Errorf("%s reads with %v by default", s.ID, want)
			}
			want = 0.11
		}
		if s.Error != want || signs[i].Reading != want {
			t.Errorf("%s (%s) reads with %v, want %v", s.ID, s.Reading, s.Error, want)
		}
	}
	if eye < 20 {
		t.Errorf("only %d signs are seen by eye", eye)
	}
	if d, _ := cause.Reading(checklist.Eye); d != was.Value(ReadingError(checklist.Eye), 0) {
		t.Errorf("the base says %v, the computation %v", was.Value(ReadingError(checklist.Eye), 0), d)
	}
}

func TestImpossibleReadingErrors(t *testing.T) {
	for value, faults := range map[string]int{"0": 1, "0.5": 1, "-0.1": 1, "20": 1, "0.05": 0, "0.45": 0} {
		if _, n := withReadingError(t, value); n != faults {
			t.Errorf("%s: %d faults, want %d", value, n, faults)
		}
	}
}
