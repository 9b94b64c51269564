package ruletest

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/rules"
	"rungwise/testdata/frozen"
)

// load lays a house over the frozen base.
func load(t *testing.T, house fs.FS) *rule.Base {
	t.Helper()
	return over(t, frozen.Rules(), frozen.Checklists(), house)
}

func over(t *testing.T, rules, lists, house fs.FS) *rule.Base {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules, Checklists: lists, House: house, On: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC)})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return b
}

func folder(files ...string) fs.FS {
	out := fstest.MapFS{}
	for i := 0; i < len(files); i += 2 {
		out[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return out
}

// The share of small edits of the embedded base that its examples and cases
// notice is to stay at 95 in a hundred or more (house default).
func TestEmbeddedBaseNoticesItsEdits(t *testing.T) {
	m := New(over(t, rules.FS, checklists.FS, nil)).Mutate(Everything)
	if m.Edits < 1500 || m.Score() < 0.95 {
		t.Errorf("%d edits, %d noticed, %d missed, %d unjudged: score %.3f", m.Edits, m.Noticed, len(m.Missed), m.Unjudged, m.Score())
	}
	for _, x := range m.Missed[:min(len(m.Missed), 10)] {
		t.Logf("%s: %s %s", x.Rule, x.Text, x.Edit)
	}
}

func TestEmbeddedBaseIsCovered(t *testing.T) {
	for _, c := range New(over(t, rules.FS, checklists.FS, nil)).Coverage() {
		if !c.Complete() {
			t.Errorf("%s: %s", c.ID, c)
		}
	}
}

// A house sign whose two examples leave its number and one of its clauses loose.
const loose = `extends: base
signs:
  - id: club_slow
    add: {when: stuck.arm_tempo == "slow" and load.mound_throws_28d < 40, supports: {arm_tempo: weak}, why: seen, source: house default,
          examples: {fires: {stuck.arm_tempo: slow, load.mound_throws_28d: 10}, silent: {stuck.arm_tempo: quick, load.mound_throws_28d: 10}}}
    because: seen
    by: head coach
`

func TestMissedEditsOfAHouse(t *testing.T) {
	m := New(load(t, folder("club.yaml", loose))).Mutate(HouseOnly)
	var got []string
	for _, x := range m.Missed {
		got = append(got, x.Text+" | "+x.Edit)
		if x.Rule != "club_slow" || x.Place.Path != "house/club.yaml" || x.Place.Line != 4 || len(x.Case) == 0 {
			t.Errorf("got %s at %s:%d with %v", x.Rule, x.Place.Path, x.Place.Line, x.Case)
		}
		if from := []rune(x.Place.Text)[x.Place.Col-1:]; !strings.HasPrefix(string(from), x.Text) {
			t.Errorf("%q is not at %q", x.Text, string(from))
		}
	}
	for _, want := range []string{"load.mound_throws_28d < 40 | 40 made 41", "load.mound_throws_28d < 40 | left out", "load.mound_throws_28d < 40 | `<` made `<=`"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q was not missed: %q", want, got)
		}
	}
}

// The cases that are written hold, and with them every edit is noticed.
func TestWrittenCasesNoticeEverything(t *testing.T) {
	s := New(load(t, folder("club.yaml", loose)))
	text, n := s.WriteCases(s.Mutate(HouseOnly).Missed, true)
	if n == 0 {
		t.Fatal("no case was written")
	}
	b := load(t, folder("club.yaml", loose, "edges.yaml", string(text)))
	if m := New(b).Mutate(HouseOnly); m.Score() < 1 {
		t.Errorf("score %.2f with\n%s", m.Score(), text)
	}
	model, err := triage.New(b)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range model.TestCases() {
		t.Errorf("%s: %v", f.Case.ID, f.Lines)
	}
	again, _ := s.WriteCases(s.Mutate(HouseOnly).Missed, true)
	if string(again) != string(text) {
		t.Error("two runs wrote different cases")
	}
}

// Numbers that are compared with each other are tried by drawing.
func TestComparedFactsAreDrawn(t *testing.T) {
	text := strings.Replace(loose, "load.mound_throws_28d < 40", "reference.gain > mound.gain", 1)
	text = strings.ReplaceAll(text, "load.mound_throws_28d: 10", "reference.gain: 8, mound.gain: 1")
	m := New(load(t, folder("club.yaml", text))).Mutate(HouseOnly)
	if m.Unjudged > 1 || len(m.Missed) == 0 {
		t.Errorf("%d unjudged, missed %v", m.Unjudged, m.Missed)
	}
}

func TestCoverageTellsWhatIsLacking(t *testing.T) {
	for _, c := range New(load(t, folder("club.yaml", loose))).Coverage() {
		if c.ID == "club_slow" && (c.Yes == 0 || c.No == 0 || c.Unknown == 0 || len(c.Edges) != 1 || c.Edges[0].Number != 40) {
			t.Errorf("got %+v", c)
		}
	}
	if got := (Coverage{Yes: 1, Unknown: 2, Edges: []Edge{{Fact: "athlete.age", Number: 15, Below: 3}}}).String(); got != "never no, athlete.age only on one side of 15" {
		t.Errorf("got %q", got)
	}
}
