package engine

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
)

func day() time.Time { return time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC) }

// One fault of each logical kind, on facts of the embedded checklist; the
// comments name what is found.
const plantedHouse = `extends: base
factors:
  - {id: club_nothing, add: {phase: task, how_common: rare, breaks_at: {lift: often}, in_words: Nothing., why: a, source: from memory}, because: a, by: b}   # L302, L303
  - {id: club_arm, add: {phase: task, how_common: rare, drills: none, in_words: An arm., why: a, source: from memory}, because: a, by: b}
checkpoints:
  - {id: club_glove, add: {title: glove, phase: before_landing, moment: landing, view: front, ask: "Where?", help: Look., answers: {in: in, out: out}, reading: eye, source: from memory}, because: a, by: b}   # L304
drills:
  - {id: club_for_nobody, add: {factors: [club_arm], step: 1, how: b, cue: c, effort: 50, dose: {sets: 1, throws: 3}, slope: flat, put_back: slope_net, put_back_throws: 3, exit: d, why: e, source: from memory}, because: a, by: b}   # L306
signs:
  - {id: club_never, add: {when: 'athlete.age < 15 and athlete.age > 20', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {athlete.age: 10}, silent: {athlete.age: 10}}}, because: a, by: b}   # L301
  - {id: club_always, add: {when: 'load.growth >= 0', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {load.growth: 1}, silent: {load.growth: 1}}}, because: a, by: b}   # L308
  - {id: club_idle, add: {when: 'mound.gain > 1 and mound.gain > 3', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {mound.gain: 4}, silent: {mound.gain: 2}}}, because: a, by: b}   # L309
  - {id: club_copy, add: {when: 'mound.gain > 5', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {mound.gain: 6}, silent: {mound.gain: 2}}}, because: a, by: b}   # L305
  - {id: club_narrow, add: {when: 'mound.gain > 6 and stuck.hinge == "none"', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {mound.gain: 7, stuck.hinge: none}, silent: {mound.gain: 2}}}, because: a, by: b}   # L310
  - {id: club_beside, add: {when: 'best.hinge == "none"', beside: club_copy, supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {best.hinge: none}, silent: {best.hinge: holds}}}, because: a, by: b}   # L311
  - {id: club_yes, add: {when: 'stuck.arm_slot == "side"', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {stuck.arm_slot: side}, silent: {stuck.arm_slot: high}}}, because: a, by: b}
  - {id: club_no, add: {when: 'stuck.arm_slot != "side"', supports: {club_arm: weak}, why: a, source: from memory, examples: {fires: {stuck.arm_slot: high}, silent: {stuck.arm_slot: side}}}, because: a, by: b}   # L312
gates:
  - {id: club_hidden, add: {verdict: not_enough, when: 'screen.pain == "pain" and mound.gain > 2', says: a, do: b, why: c, source: from memory, examples: {fires: {screen.pain: pain, mound.gain: 3}, silent: {screen.pain: none, mound.gain: 3}}}, because: a, by: b}   # L313
`

// Each planted fault is found, only they are, and the case that goes with it,
// run as it is printed, shows what is claimed.
func TestPlantedFaultsAndTheirCases(t *testing.T) {
	house := fstest.MapFS{"club.yaml": {Data: []byte(plantedHouse)}}
	k := NewChecker(Shipped(), true).Check(house, "club", day())
	if k.List.Errors() > 0 {
		t.Fatal(k.List.Sorted()[0])
	}
	codes := map[string]bool{}
	for _, d := range k.List {
		codes[d.Code] = true
	}
	for _, line := range strings.Split(plantedHouse, "\n") {
		_, want, ok := strings.Cut(line, "# ")
		if !ok {
			continue
		}
		for _, code := range strings.Split(want, ", ") {
			if !codes[code] {
				t.Errorf("%s was not found", code)
			}
		}
	}
	e, _ := Open(Options{Trade: Shipped(), House: house, HousePath: "club", Today: day()})
	for _, f := range k.Base.Lint() {
		if strings.HasPrefix(f.Path, "club/") {
			showsItsCase(t, e, f)
		} else if !slices.ContainsFunc(f.Rules, func(id string) bool { return strings.HasPrefix(id, "club_") }) {
			t.Errorf("not planted: %s", f.Diagnostic)
		}
	}
}

// showsItsCase runs the command of a finding as far as the facts, and looks at
// the rules that it is about.
func showsItsCase(t *testing.T, e *Engine, f rule.Finding) {
	t.Helper()
	i := slices.IndexFunc(f.Notes, func(n string) bool { return strings.HasPrefix(n, "try it: rungwise triage --set ") })
	if i < 0 {
		t.Errorf("%s has no case to try", f.Code)
		return
	}
	args, ok := strings.CutSuffix(strings.TrimPrefix(f.Notes[i], "try it: rungwise triage --set "), " --house club")
	if !ok {
		t.Errorf("%s: the command forgets the house: %s", f.Code, f.Notes[i])
	}
	c, ds := e.Case(WhatIf())
	if c == nil {
		t.Fatal(ds)
	}
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		t.Fatal(err)
	}
	var what []Setting
	for _, pair := range strings.Split(args, ",") {
		name, value, _ := strings.Cut(pair, "=")
		what = append(what, Setting{name, value})
	}
	if err := e.set(facts, what); err != nil {
		t.Errorf("%s: %v", f.Code, err)
		return
	}
	for n, id := range f.Rules {
		want := fact.Yes
		if f.Code == "L301" || n > 0 && (f.Code == "L311" || f.Code == "L312") {
			want = fact.No
		}
		if f.Code == "L305" {
			continue // claims nothing of a case
		}
		for _, r := range e.base.Conditions() {
			if r.ID == id && r.When.Eval(facts.Vector) != want {
				t.Errorf("%s: %s is %v in its case %s", f.Code, id, r.When.Eval(facts.Vector), args)
			}
		}
	}
	if g := e.base.Deciding(facts.Vector); f.Code != "L313" && (g == nil || g.Verdict != rule.GoOn) {
		t.Errorf("%s: the case does not pass the gates: %v, %s", f.Code, g, args)
	}
}

// A hundred and twenty-five copies of each stored case, and two hundred rules:
// the whole comparison, cold and warm. The bounds are house defaults on one core
// of this class of machine.
func TestDiffOfManyCases(t *testing.T) {
	files, err := filepath.Glob("../testdata/cases/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	copies := 4
	if *study {
		copies = 125
	}
	dir := t.TempDir()
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for i := range copies {
			name := filepath.Join(dir, strings.TrimSuffix(filepath.Base(f), ".yaml")+"-"+string(rune('a'+i/26%26))+string(rune('a'+i%26))+".yaml")
			if err := os.WriteFile(name, append(data, "# "+name+"\n"...), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	house := fstest.MapFS{"club.yaml": {Data: []byte("extends: base\nfactors:\n  - {id: weight_shift, set: {how_common: rare}, because: a, by: b}\n")}}
	older, _ := Open(Options{Trade: Shipped(), Today: day()})
	newer, _ := Open(Options{Trade: Shipped(), House: house, HousePath: "club", Today: day()})
	cache := filepath.Join(dir, "kept")
	var took [2]time.Duration
	for i := range took {
		start := time.Now()
		r, err := DiffRules(older, newer, dir, DiffOptions{Cache: cache})
		if err != nil {
			t.Fatal(err)
		}
		took[i] = time.Since(start)
		if want := len(files) * copies; r.Cases != want || r.Known != i*want || len(r.Deltas) != copies {
			t.Errorf("run %d: %d cases, %d known, %d differ", i, r.Cases, r.Known, len(r.Deltas))
		}
	}
	t.Logf("%d cases, %d rules: cold %v, warm %v", len(files)*copies, len(newer.base.Conditions()), took[0], took[1])
	if *study && (took[0] > 25*time.Second || took[1] > 3*time.Second) {
		t.Errorf("cold %v, warm %v", took[0], took[1])
	}
}

// The house rules that the README shows are good ones, and so is the invented
// house that it points to.
func TestHousesThatWeShow(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, text, ok := strings.Cut(string(readme), "```yaml\nextends: base\n")
	text, _, closed := strings.Cut(text, "```")
	if !ok || !closed {
		t.Fatal("the README shows no house rules")
	}
	checker := NewChecker(Shipped(), true)
	for name, house := range map[string]fs.FS{"the README": fstest.MapFS{"club.yaml": {Data: []byte("extends: base\n" + text)}}, "the invented club": os.DirFS("../testdata/house/saltmarsh")} {
		for _, d := range checker.Check(house, "club", day()).List {
			t.Errorf("%s: %s", name, d)
		}
	}
}
