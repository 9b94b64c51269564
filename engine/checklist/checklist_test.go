package checklist

import (
	"cmp"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	gocmp "github.com/google/go-cmp/cmp"

	"rungwise/checklists"
	"rungwise/engine/fact"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func embedded(t *testing.T) *Checklist {
	t.Helper()
	c, ds := Load(checklists.FS, "checklists")
	if len(ds) > 0 {
		var b strings.Builder
		if err := ds.Write(&b); err != nil {
			t.Fatal(err)
		}
		t.Fatalf("the checklists have faults:\n%s", b.String())
	}
	return c
}

// The names are the contract between the checklists and everyone who writes a
// condition.
func TestEmbeddedNames(t *testing.T) {
	c := embedded(t)
	cat, err := fact.NewCatalogue(c.Facts())
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range strings.Fields(`start_posture weight_shift pelvis_tilt hinge back_knee_bend back_knee_path
		back_foot_angle hand_break_height arm_tempo stride_line stride_length lead_foot_angle lead_knee_at_landing
		lead_leg_action trunk_at_landing separation_at_landing arm_at_landing arm_slot trunk_side_tilt
		trunk_forward_tilt finish release_miss effort_reported focus_reported`) {
		for _, column := range []string{fact.Best, fact.Stuck, fact.Changed} {
			if _, ok := cat.Lookup(column + "." + id); !ok {
				t.Errorf("no fact %s.%s", column, id)
			}
		}
	}
	for _, name := range strings.Fields(`screen.pain screen.where screen.night_pain screen.numbness screen.arm_colour screen.pop
		screen.concussion screen.heart screen.illness screen.skin screen.consent screen.surgery_by screen.surgery_months screen.sudden_loss
		screen.surgery screen.hip_screen screen.trunk_screen athlete.age athlete.throws athlete.level athlete.height
		load.mound_throws_28d load.days_since_high_effort load.week_throws load.base_throws load.week_high_effort
		load.growth reference.gain reference.weeks reference.worked reference.better_positions reference.learning
		reference.days_since reference.share_of_best reference.under_floor mound.gain carry_over.words carry_over.gap
		ladder.found ladder.verdict ladder.lost ladder.probability ladder.gap_percent ladder.pattern_held ladder.almost
		ladder.speed_lost ladder.pattern_lost rung.effort rung.effort_drop rung.miss rung.focus rung.hits rung.net_miss`) {
		if _, ok := cat.Lookup(name); !ok {
			t.Errorf("no fact %s", name)
		}
	}
	for _, name := range []string{"screen.hip_screen", "screen.trunk_screen"} {
		if q, _ := c.Question(name); q.By != ByQualified {
			t.Errorf("%s may be answered by %q", name, q.By)
		}
	}
}

func TestFactsOfACheckpoint(t *testing.T) {
	c := embedded(t)
	shift, _ := c.Checkpoint("weight_shift")
	got := shift.Facts()
	if got[0].Kind != fact.Choice || !got[0].Ordered || got[0].Answers[0].ID != "early" || got[1].Column != fact.Stuck {
		t.Errorf("got %+v", got[:2])
	}
	if got[2].Kind != fact.YesNo || !got[2].Measured {
		t.Errorf("changed is %+v", got[2])
	}
	bend, _ := c.Checkpoint("back_knee_bend")
	if f := bend.Facts()[0]; f.Kind != fact.Number || f.Unit != "deg" || f.High != 120 || f.Ordered {
		t.Errorf("best.back_knee_bend is %+v", f)
	}
	slot, _ := c.Checkpoint("arm_slot")
	if slot.Facts()[0].Ordered {
		t.Error("the slots are kinds, none is better")
	}
}

func TestCheckpointsStandInTheOrderOfTheThrow(t *testing.T) {
	ids := embedded(t).CheckpointIDs()
	at := func(id string) int { return slices.Index(ids, id) }
	for _, pair := range [][2]string{{"weight_shift", "hinge"}, {"arm_tempo", "trunk_at_landing"}, {"stride_line", "lead_leg_action"},
		{"trunk_at_landing", "finish"}, {"finish", "release_miss"}} {
		if at(pair[0]) > at(pair[1]) {
			t.Errorf("%s comes after %s", pair[0], pair[1])
		}
	}
}

// 30 frames a second: 14-16 frames are quick, 20-25 are slow (common practice,
// no source).
func TestBandsReadNumbersAsAnswers(t *testing.T) {
	tempo, _ := embedded(t).Checkpoint("arm_tempo")
	for frames, want := range map[float64]string{14: "quick", 16: "quick", 18: "even", 21: "slow", 25: "slow"} {
		if got, ok := tempo.Measure.Answer(frames * 1000 / 30); !ok || got != want {
			t.Errorf("%v frames are %q, want %q", frames, got, want)
		}
	}
	m := Measure{Low: 0, High: 10, Bands: []Band{{"a", 0, 5}, {"b", 5, 10}}}
	for x, want := range map[float64]string{0: "a", 5: "b", 10: "b", 10.1: "", -1: ""} {
		if got, ok := m.Answer(x); got != want || ok != (want != "") {
			t.Errorf("%v is %q, want %q", x, got, want)
		}
	}
}

func TestAHousesCheckpointsAddUp(t *testing.T) {
	house := fstest.MapFS{"club.yaml": {Data: []byte(`checkpoints:
  - {id: glove_arm, title: glove arm, phase: after_landing, moment: landing, view: front, ask: "Where is the glove?",
     help: Pause at landing., answers: {in: in front, out: beside}, reading: eye, source: house default}
`)}}
	more, ds := Load(house, "house")
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	c := embedded(t).With(more.Checkpoints)
	p, ok := c.Checkpoint("glove_arm")
	if !ok || p.Place.Path != "house/club.yaml" || p.Label("in") != "in front" {
		t.Fatalf("got %+v", p)
	}
	if ids := c.CheckpointIDs(); slices.Index(ids, "glove_arm") > slices.Index(ids, "release_miss") {
		t.Error("a house's checkpoint left the order of the throw")
	}
}

// Every question of the safety screen says which answers are fine and for how
// long an answer holds: 28 days, a day for the day's own, 365 for what a season
// or a clinician settles (house default).
func TestScreenQuestionsSayWhatIsFine(t *testing.T) {
	days := map[string]int{"illness": 1, "skin": 1, "surgery": 365, "surgery_by": 365, "surgery_months": 365, "heart": 365, "consent": 365,
		"hip_screen": 365, "trunk_screen": 365}
	for _, q := range embedded(t).Questions {
		if q.Group != "screen" {
			continue
		}
		want := cmp.Or(days[q.ID], 28)
		if q.GoodFor != want || len(q.Fine) == 0 && q.Number == nil {
			t.Errorf("%s: fine %v, good for %d days, want %d", q.ID, q.Fine, q.GoodFor, want)
		}
		if len(q.Fine) > 0 && len(q.Fine) == len(q.AnswerIDs()) {
			t.Errorf("%s: whatever is answered is fine", q.ID)
		}
	}
	for name, want := range map[string]string{"pain": "none", "numbness": "no", "surgery": "none cleared", "consent": "yes", "hip_screen": "passed"} {
		if q, _ := embedded(t).Question("screen." + name); strings.Join(q.Fine, " ") != want {
			t.Errorf("%s: fine is %v, want %s", name, q.Fine, want)
		}
	}
}

// Each broken file shows all its faults at once.
func TestBrokenFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no broken files to try", err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			_, ds := Load(fstest.MapFS{"list.yaml": {Data: data}}, "checklists")
			var b strings.Builder
			if err := ds.Write(&b); err != nil {
				t.Fatal(err)
			}
			golden := strings.TrimSuffix(name, ".yaml") + ".golden"
			if *update {
				if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := gocmp.Diff(string(want), b.String()); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

func TestNoFolderIsAFault(t *testing.T) {
	if _, ds := Load(fstest.MapFS{}, "nowhere"); len(ds) != 1 {
		t.Fatalf("got %v", ds)
	}
}

// Whatever the bytes, reading ends, and what was read makes a catalogue.
func FuzzLoad(f *testing.F) {
	f.Add("checkpoints:\n  - {id: a, measure: {kind: angle, unit: deg, range: [1, 2], bands: {x: [1, 2]}}}\n")
	f.Add("questions:\n  - {id: a, group: b, yes_no: true, number: {unit: x, range: [2, 1]}}\nderived: [1, {id: a.b}]\n")
	f.Add("checkpoints: {}\nquestions: [[], null]\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, ds := Load(fstest.MapFS{"list.yaml": {Data: []byte(text)}}, "x")
		_, err := fact.NewCatalogue(c.Facts())
		if err != nil && len(ds) == 0 {
			t.Fatalf("read without a fault, and yet: %v", err)
		}
	})
}
