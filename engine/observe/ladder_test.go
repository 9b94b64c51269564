package observe_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/rules"
)

func on(day int) time.Time { return time.Date(2026, 11, day, 0, 0, 0, 0, time.UTC) }

// baseWith loads the rule base with a house's throws over it.
func baseWith(t testing.TB, house string) *rule.Base {
	t.Helper()
	o := rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true, On: on(25)}
	if house != "" {
		o.House = fstest.MapFS{"club.yaml": {Data: []byte("extends: base\n" + house)}}
	}
	b, ds := rule.Load(o)
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0].String())
	}
	return b
}

// read reads the facts of a case with a ladder.
func read(t testing.TB, b *rule.Base, reference, ladders string) *observe.Facts {
	t.Helper()
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: on(25)}
	for _, th := range b.Throws {
		v.Throws = append(v.Throws, th.ID)
	}
	text := "rungwise: case/1\nathlete: {code: SM-50, age: 20}\nreference: {throw: " + reference + "}\n" + ladders
	c, ds := casefile.Parse(source.New("sm-50.yaml", []byte(text)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	f, err := observe.Observe(c, b, on(25))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func throwIDs(f *observe.Facts) []string {
	var out []string
	for _, r := range f.Ladder.Rungs {
		out = append(out, r.Throw.ID)
	}
	return out
}

func distance(b *rule.Base, x, y string) int {
	p, _ := b.Throw(x)
	q, _ := b.Throw(y)
	n := 0
	for i := range p.Demands {
		n += max(p.Demands[i]-q.Demands[i], q.Demands[i]-p.Demands[i])
	}
	return n
}

const houseThrows = `throws:
  - id: rock_set
    add: {title: set in a wide stance, in_words: Stand wide and throw from a standstill., source: house default, high_effort: true, can_be_reference: true, on_mound: false,
          demands: {run_up: none, hop: no, lift: none, start: standstill, surface: flat, aim: net, pitches: fastball, batter: none, position: wide_stance},
          share: {low: 0.83, high: 0.89, source: house default}}
    because: our own
    by: head coach
  - id: hop_lift
    add: {title: hop into the lift, in_words: Hop on the spot and go into the leg lift., source: house default, high_effort: true, can_be_reference: true, on_mound: false,
          demands: {run_up: none, hop: yes, lift: full, start: moving, surface: flat, aim: net, pitches: fastball, batter: none, position: whole},
          share: {low: 0.93, high: 0.97, source: house default}}
    because: our own
    by: head coach
`

// Every step changes one thing where the catalogue allows: no throw that is left
// out lies between the two ends of a larger step.
func TestEveryStepIsAsSmallAsTheCatalogueAllows(t *testing.T) {
	for name, house := range map[string]string{"the base": "", "a house's throws": houseThrows} {
		b := baseWith(t, house)
		from := []string{"running_throw", "long_toss", "weight_rock", "walk_in", "feet_set"}
		if house != "" {
			from = append(from, "rock_set", "hop_lift")
		}
		r := rand.New(rand.NewPCG(7, 1))
		for range 60 { // the named ones and any others, through any throws that an athlete may have thrown
			through := []string{}
			if len(from) == 0 {
				from = []string{b.Throws[r.IntN(len(b.Throws))].ID}
				for _, th := range b.Throws {
					if r.IntN(6) == 0 && th.ID != from[0] {
						through = append(through, th.ID)
					}
				}
			}
			built, err := observe.BuildLadder(b, anyAge, from[0], through, through)
			if err != nil {
				t.Fatal(err)
			}
			checkSteps(t, b, name, built, from[0])
			from = from[1:]
		}
	}
}

func checkSteps(t *testing.T, b *rule.Base, name string, built ladder.Built, from string) {
	t.Helper()
	once := slices.Compact(slices.Sorted(slices.Values(built.Throws)))
	if built.Throws[0] != from || from != "slope_live" && built.Throws[len(built.Throws)-1] != "slope_live" || len(once) != len(built.Throws) {
		t.Errorf("%s: from %s the ladder is %v", name, from, built.Throws)
	}
	for _, s := range built.Steps {
		d := distance(b, s.From, s.To)
		if s.Places != d || d == 1 && len(s.Changes) != 1 {
			t.Errorf("%s: from %s to %s: %d places, %d changes", name, s.From, s.To, s.Places, len(s.Changes))
		}
		for _, m := range b.Throws {
			if x, y := distance(b, s.From, m.ID), distance(b, m.ID, s.To); x > 0 && y > 0 && x+y == d && !stands(b, built, m.ID) {
				t.Errorf("%s: %s lies between %s and %s and was left out of %v", name, m.ID, s.From, s.To, built.Throws)
			}
		}
	}
}

// stands reports whether a throw or one with the same demands is on a ladder.
func stands(b *rule.Base, built ladder.Built, id string) bool {
	return slices.ContainsFunc(built.Throws, func(other string) bool { return distance(b, id, other) == 0 })
}

func TestAHouseThrowHalvesALargeStep(t *testing.T) {
	large := func(b *rule.Base) string {
		built, err := observe.BuildLadder(b, anyAge, "weight_rock", nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprint(built.Throws[1], built.Steps[0].Places)
	}
	if got := large(baseWith(t, "")); got != "walk_in2" {
		t.Errorf("the base goes to %s", got)
	}
	if got := large(baseWith(t, houseThrows)); got != "rock_set1" {
		t.Errorf("with a throw in between it goes to %s", got)
	}
	off := baseWith(t, "throws:\n  - {id: slope_half_plate, disable: true, because: our plate has no halves, by: head coach}\n")
	built, err := observe.BuildLadder(off, anyAge, "slope_catcher", nil, nil)
	if err != nil || slices.Contains(built.Throws, "slope_half_plate") || built.Steps[0].Places != 2 || len(built.Steps[0].Halving) == 0 {
		t.Errorf("a throw that the house forbids: %v, %v", built, err)
	}
}

// A ladder with rungs left out tells between which throws the break lies, and
// does not name one demand where several were added.
func TestRungsThatWereNotThrown(t *testing.T) {
	b := baseWith(t, "")
	gap := read(t, b, "running_throw", `ladder:
  on: 2026-11-20
  rungs:
    - {throw: running_throw, speeds: [92, 92.5, 91.8], held: yes}
    - {throw: shuffle_throw, speeds: [90, 90.4, 89.6], held: yes}
    - {throw: slope_net, speeds: [81, 80.4, 81.3], held: no}
    - {throw: slope_catcher, speeds: [80.9, 81, 80.6], held: no}
`)
	v := gap.Ladder.Verdict
	if v.Kind != ladder.Stuck || !v.Gap || throwIDs(gap)[v.After] != "shuffle_throw" || throwIDs(gap)[v.Rung] != "slope_net" || v.Rung-v.After < 2 {
		t.Errorf("%s at %d after %d of %v", v.Kind, v.Rung, v.After, throwIDs(gap))
	}
	if slot, _ := b.Catalogue.Slot("ladder.lost"); gap.Vector[slot].Known || len(gap.Ladder.Lost) < 2 {
		t.Errorf("lost at %v though several demands were added", gap.Ladder.Lost)
	}
	none := read(t, b, "running_throw", `ladder:
  on: 2026-11-20
  rungs:
    - {throw: running_throw, speeds: [92, 92.5, 91.8, 92.2, 92.1], held: yes}
    - {throw: shuffle_throw, speeds: [89.8, 89.6, 90, 89.4, 89.9], held: yes}
    - {throw: flat_lift, speeds: [86.2, 85.9, 86.4, 86, 86.1], held: yes}
    - {throw: slope_net, speeds: [87.5, 87, 87.7, 87.2, 87.6], held: yes}
`)
	if v := none.Ladder.Verdict; v.Kind != ladder.NoneFound || !v.SomeUntested || throwIDs(none)[len(throwIDs(none))-1] != "slope_live" {
		t.Errorf("%s, untested %v, %v", v.Kind, v.SomeUntested, throwIDs(none))
	}
}

// The rungs of a file keep their order, whatever the catalogue would do.
func TestTheFileSaysTheOrder(t *testing.T) {
	f := read(t, baseWith(t, ""), "running_throw", "ladder: {on: 2026-11-20, rungs: [{throw: slope_no_lift}, {throw: running_throw}, {throw: flat_lift}, {throw: slope_net}]}\n")
	at := func(id string) int { return slices.Index(throwIDs(f), id) }
	if at("running_throw") != 0 || at("slope_no_lift") > at("flat_lift") || at("flat_lift") > at("slope_net") {
		t.Errorf("the ladder goes %v", throwIDs(f))
	}
	if !slices.ContainsFunc(f.Ladder.Flags, func(s string) bool { return strings.Contains(s, "before the reference") }) {
		t.Errorf("flags are %v", f.Ladder.Flags)
	}
}

// A ladder over two days reads like one on one day, although the second day's
// level is another: each day has its own throws of the reference.
func TestALadderSplitOverDays(t *testing.T) {
	b := baseWith(t, "")
	days := `ladder:
  - on: 2026-11-18
    rungs:
      - {throw: running_throw, speeds: [92, 92.5, 91.8], held: yes}
      - {throw: shuffle_throw, speeds: [90, 90.4, 89.6], held: yes}
      - {throw: flat_no_lift, speeds: [86.5, 86, 86.4], held: yes}
  - on: 2026-11-20
    rungs:
      - {throw: running_throw, speeds: [%.1f, %.1f, %.1f], held: yes}
      - {throw: flat_lift, speeds: [%.1f, %.1f, %.1f], held: no}
      - {throw: slope_net, speeds: [%.1f, %.1f, %.1f], held: no}
`
	fill := func(level float64) string {
		speeds := []any{}
		for _, v := range []float64{92.1, 91.7, 92.4, 81.4, 81, 81.8, 82.4, 82, 82.3} {
			speeds = append(speeds, v*level)
		}
		return fmt.Sprintf(days, speeds...)
	}
	for _, level := range []float64{1, .98} {
		f := read(t, b, "running_throw", fill(level))
		v := f.Ladder.Verdict
		if v.Kind != ladder.Stuck || throwIDs(f)[v.Rung] != "flat_lift" || f.Ladder.Earlier != nil {
			t.Errorf("at level %g: %s at %v, earlier %v", level, v.Kind, throwIDs(f)[max(v.Rung, 0)], f.Ladder.Earlier)
		}
		if !f.Ladder.On.Equal(on(20)) {
			t.Errorf("the ladder ends on %v", f.Ladder.On)
		}
	}
}

func TestALadderOfWeeksAgoIsTheOneBefore(t *testing.T) {
	f := read(t, baseWith(t, ""), "running_throw", `ladder:
  - {on: 2026-10-02, rungs: [{throw: running_throw, speeds: [90, 90.5, 89.8]}, {throw: flat_lift, speeds: [80, 80.5, 79.8]}]}
  - {on: 2026-11-20, rungs: [{throw: running_throw, speeds: [92, 92.5, 91.8]}, {throw: flat_lift, speeds: [86, 86.5, 85.8]}]}
`)
	if f.Ladder.Earlier == nil || len(f.Ladder.Earlier.Numbers.Rungs) != 2 || !f.Ladder.On.Equal(on(20)) {
		t.Fatalf("got %+v", f.Ladder.Earlier)
	}
	changes, err := ladder.Compare(f.Ladder.Earlier.Numbers, f.Ladder.Numbers, ladder.Defaults())
	if err != nil || len(changes) != 2 || changes[1].Says != ladder.Faster {
		t.Errorf("changes are %+v, %v", changes, err)
	}
}

func TestMixedGunsAreFlagged(t *testing.T) {
	one := "ladder: {on: 2026-11-20, gun: {name: A}, rungs: [{throw: running_throw, speeds: [92, 92.5, 91.8]}, {throw: flat_lift, speeds: [86, 86.5, 85.8]%s}]}\n"
	flagged := func(gun string) bool {
		f := read(t, baseWith(t, ""), "running_throw", fmt.Sprintf(one, gun))
		return slices.ContainsFunc(f.Ladder.Flags, func(s string) bool { return strings.Contains(s, "more than one radar gun") })
	}
	if flagged("") || !flagged(", gun: B") {
		t.Error("two guns on one ladder have to be flagged, and one must not")
	}
}

func TestAnotherGunThanWeeksAgo(t *testing.T) {
	two := "ladder: [{on: 2026-10-02, gun: {name: A}, rungs: [{throw: running_throw, speeds: [90]}]}, {on: 2026-11-20, gun: {name: %s}, rungs: [{throw: running_throw, speeds: [92]}]}]\n"
	flagged := func(gun string) bool {
		f := read(t, baseWith(t, ""), "running_throw", fmt.Sprintf(two, gun))
		return slices.ContainsFunc(f.Ladder.Flags, func(s string) bool { return strings.Contains(s, "another radar gun") })
	}
	if flagged("A") || !flagged("B") {
		t.Error("another gun than on the ladder before has to be flagged, and the same must not")
	}
}

// What is known of the drills that could be the reference.
func TestCandidates(t *testing.T) {
	b := baseWith(t, "")
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: on(25)}
	for _, th := range b.Throws {
		v.Throws = append(v.Throws, th.ID)
	}
	text := `rungwise: case/1
athlete: {code: SM-51, age: 20}
reference: {throw: running_throw, best: [{on: 2026-09-01, speed: 88 mph}, {on: 2026-11-01, speed: 88.5 mph}], first_thrown: 2026-08-01}
candidates:
  - {throw: long_toss, best: [{on: 2026-09-01, speed: 86 mph}, {on: 2026-11-01, speed: 91 mph}], first_thrown: 2026-08-01, speeds: [91, 90.5, 91.2]}
  - {throw: weight_rock, first_thrown: 2026-11-10, speeds: [80, 81, 80.5]}
seen:
  weight_shift: {running_throw: late, long_toss: early, weight_rock: early, slope_catcher: late}
  hinge: {long_toss: holds, weight_rock: none, slope_catcher: partial}
ladder: {on: 2026-11-20, rungs: [{throw: running_throw, speeds: [88, 88.5, 88.2]}]}
`
	c, ds := casefile.Parse(source.New("sm-51.yaml", []byte(text)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	f, err := observe.Observe(c, b, on(25))
	if err != nil {
		t.Fatal(err)
	}
	got := observe.Candidates(f, c, b, on(25))
	if len(got) != 3 {
		t.Fatalf("got %+v", got)
	}
	for i, want := range []ladder.Candidate{
		{Throw: "running_throw", Better: ladder.Unknown, Worked: ladder.No},
		{Throw: "long_toss", Better: ladder.Yes, Worked: ladder.Yes},
		{Throw: "weight_rock", Better: ladder.No, Worked: ladder.Unknown, Learning: true},
	} {
		g := got[i]
		if g.Throw != want.Throw || g.Better != want.Better || g.Worked != want.Worked || g.Learning != want.Learning || len(g.Speeds) != 3 {
			t.Errorf("got %+v, want %+v", g, want)
		}
	}
	ranked, found := ladder.Choose(got, ladder.Defaults(), true)
	if !found || ranked[0].Throw != "long_toss" {
		t.Errorf("ranked %+v", ranked)
	}
}

func anyAge(rule.Throw) bool { return true }
