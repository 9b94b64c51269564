package rule

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

func TestHouseFaults(t *testing.T) {
	golden(t, "house", func(text string) diag.List {
		_, ds := load(t, "", text)
		return ds
	})
}

// A house file that does one of everything it may do.
const goodHouse = `extends: base
house: Saltmarsh
signs:
  - id: club_early_hip
    add: {when: best.hinge == "holds" and changed.glove, supports: {hinge: moderate}, why: seen in two winters, source: house default,
          examples: {fires: {best.hinge: holds, changed.glove: yes}, silent: {best.hinge: none}}}
    because: seen in our last two winters
    by: head coach
  - {id: shift_late, disable: true, because: it confuses us, by: head coach, until: 2027-03-01}
  - {id: hinge_changed, replace: {when: changed.hinge, seen_with: {hinge: often}, otherwise: sometimes, why: b, source: house default,
     examples: {fires: {changed.hinge: yes}, silent: {changed.hinge: no}}}, because: softer, by: head coach}
factors:
  - {id: hinge, set: {how_common: common}, because: our winters, by: head coach}
  - {id: glove, add: {phase: after_landing, how_common: rare, in_words: It flies., why: a, source: house default}, because: ours, by: head coach}
checkpoints:
  - {id: glove, add: {title: glove, phase: after_landing, moment: landing, view: front, ask: "Where is it?", help: Look., answers: {in: in, out: out}, reading: eye, source: house default}, because: ours, by: head coach}
limits:
  - {id: weekly_growth, set: {value: 1.05}, because: careful, by: head coach}
  - {id: high_effort_many, set: {value: 1}, because: careful, by: head coach}
  - {id: few_slope_throws, set: {value: 80}, because: more mound, by: head coach}
pitch_table:
  - {id: 9-22, set: {daily: 60, rest: [10, 35, 50, 60]}, because: our league, by: head coach}
innings:
  - {id: 0-18, set: {most: 50}, because: our league, by: head coach}
gates:
  - {id: refer_pain, add: {when: 'screen.pain == "soreness"'}, because: careful, by: head coach}
  - {id: refer_old, add: {verdict: refer, when: athlete.age > 50, says: a, do: b, why: c, source: house default,
     examples: {fires: {athlete.age: 55}, silent: {athlete.age: 20}}}, because: careful, by: head coach}
  - {id: club_go, add: {verdict: not_this_question, when: screen.numbness, says: a, do: b, why: c, source: house default,
     examples: {fires: {screen.numbness: yes}, silent: {screen.numbness: no}}}, because: careful, by: head coach}
cautions:
  - {id: local_rules, set: {text: Local rules come first. Ours too.}, because: ours, by: head coach}
wording:
  - {id: plan_intro, set: {text: "Hello {athlete}."}, because: nicer, by: head coach}
cases:
  - {id: late_shift, disable: true, because: sign is off, by: head coach}
`

func TestHouseIsLaidOver(t *testing.T) {
	b := clean(t, "", goodHouse)
	if b.House != "Saltmarsh" || len(b.HouseHash) != 12 || len(b.Changes) != 17 {
		t.Errorf("got house %q, hash %q, %d changes", b.House, b.HouseHash, len(b.Changes))
	}
	if _, on := b.Sign("shift_late"); on {
		t.Error("a sign that was switched off is there")
	}
	if s, _ := b.Sign("hinge_changed"); s.Supports || s.Origin.Path != "house/club.yaml" || s.Changes[0].Kind != "replace" || s.Changes[0].By != "head coach" {
		t.Errorf("got %+v", s.Entry)
	}
	if f, _ := b.Factor("hinge"); f.Prior != 0.15 || f.Origin.Path != "rules/rules.yaml" || f.Title != "hip does not hold" || len(f.Changes) != 1 {
		t.Errorf("got %+v", f)
	}
	if l, _ := b.Limit("few_slope_throws"); l.Value != 80 {
		t.Errorf("got %v", l.Value)
	}
	if f, _ := b.Catalogue.Lookup("limit.few_slope_throws"); f.Value != 80 {
		t.Errorf("conditions read %v", f.Value)
	}
	row, err := b.Workload.For(20, true)
	if err != nil || row.WeeklyGrowth != 1.05 || row.DaysBetweenAfter != 1 || row.Table.Daily != 60 || row.RestDays(15) != 1 {
		t.Errorf("got %+v, %v", row, err)
	}
	if fails := b.TestExamples(); len(fails) > 0 {
		t.Errorf("got %+v", fails)
	}
}

func TestHouseGates(t *testing.T) {
	b := clean(t, "", goodHouse)
	var order []string
	for _, g := range b.Gates {
		order = append(order, g.ID)
	}
	if got := strings.Join(order, " "); got != "refer_pain refer_old screen_open club_go go_on" {
		t.Errorf("got %s", got)
	}
	g, _ := b.Gate("refer_pain")
	for pain, want := range map[string]fact.Truth{"pain": fact.Yes, "soreness": fact.Yes, "none": fact.No} {
		v, _ := b.Given([][2]string{{"screen.pain", pain}})
		if got := g.Truth(v); got != want {
			t.Errorf("pain %s: %v, want %v", pain, got, want)
		}
	}
}

// Every gate is kept, whether it reads the safety screen or not.
func TestSafetyGatesStay(t *testing.T) {
	gate := func(id, when string) string {
		return "  - {id: " + id + ", verdict: not_enough, when: '" + when + "', says: a, do: b, why: c, source: house default, since: 2026-11,\n" +
			"     examples: {fires: {screen.pain: soreness, ladder.found: no}, silent: {screen.pain: none, ladder.found: yes}}}\n"
	}
	extra := "gates:\n" + gate("sore", `screen.pain == "soreness"`) + gate("no_ladder", "not ladder.found")
	for id, stays := range map[string]bool{"sore": true, "no_ladder": true} {
		b, ds := load(t, extra, "extends: base\ngates:\n  - {id: "+id+", disable: true, because: a, by: b}\n")
		if _, on := b.Gate(id); on != stays || ds.Errors() > 0 != stays {
			t.Errorf("%s: there %v, %d faults", id, on, ds.Errors())
		}
	}
}

func TestEffectiveTellsTheOriginOfEachValue(t *testing.T) {
	b := clean(t, "", goodHouse)
	entries := map[string]EffectiveEntry{}
	for _, e := range b.Effective() {
		entries[e.Concern+"/"+e.ID] = e
	}
	house := func(id, key string) (bool, string) {
		for _, f := range entries[id].Fields {
			if f.Key == key {
				return f.House, f.Text + " " + f.Place.Path
			}
		}
		return false, ""
	}
	for _, c := range []struct {
		id, key string
		house   bool
		text    string
	}{
		{"factors/hinge", "how_common", true, "common house/club.yaml"},
		{"factors/hinge", "phase", false, "before_landing rules/rules.yaml"},
		{"by_age/weekly_growth", "value", true, "1.05 house/club.yaml"},
		{"gates/refer_pain", "or when", true, `screen.pain == "soreness" house/club.yaml`},
		{"signs/club_early_hip", "why", true, "seen in two winters house/club.yaml"},
		{"pitch_table/9-22", "rest", true, "[10, 35, 50, 60] house/club.yaml"},
	} {
		if is, text := house(c.id, c.key); is != c.house || text != c.text {
			t.Errorf("%s %s: %v %q", c.id, c.key, is, text)
		}
	}
	if e := entries["signs/shift_late"]; !e.Disabled || e.Changes[0].Because != "it confuses us" {
		t.Errorf("got %+v", e)
	}
	if e := entries["factors/weight_shift"]; len(e.Changes) > 0 || len(e.Fingerprint) != 8 {
		t.Errorf("got %+v", e)
	}
}

// A change that names the text it was written against is quiet while that text
// stands, whatever its spacing.
func TestDriftIsQuietWhileTheBaseStands(t *testing.T) {
	b := clean(t, "", "")
	print := ""
	for _, e := range b.Effective() {
		if e.Concern == Factors && e.ID == "hinge" {
			print = e.Fingerprint
		}
	}
	clean(t, "", "extends: base\nfactors:\n  - {id: hinge, set: {how_common: rare}, because: a, by: b, base: "+print+"}\n")
}

// Switching a factor off takes its links along, and what points to nothing
// else.
func TestSwitchedOffFactorLeavesNoHole(t *testing.T) {
	b := clean(t, "", "extends: base\nfactors:\n  - {id: hinge, disable: true, because: a, by: b}\n")
	if f, _ := b.Factor("weight_shift"); len(f.CanCause) != 0 {
		t.Errorf("got %v", f.CanCause)
	}
	if _, on := b.Drill("heavy_ball"); on {
		t.Error("a drill for nothing is left")
	}
	if s, _ := b.Sign("hinge_changed"); len(s.Seen) != 1 {
		t.Errorf("got %v", s.Seen)
	}
}

func TestHashes(t *testing.T) {
	a, b := clean(t, "", ""), clean(t, "wording:\n  - {id: more, text: more}\n", "")
	if a.Hash == b.Hash {
		t.Error("two bases have one hash")
	}
	c, _ := Load(Options{Rules: small(t, ""), RulesPath: "elsewhere", Checklists: fstest.MapFS{}})
	d, _ := Load(Options{Rules: small(t, ""), Checklists: fstest.MapFS{}})
	if c.Hash != d.Hash {
		t.Error("the hash depends on where the folder lies")
	}
}

// Whatever a house writes about the hard numbers, none comes out looser.
func TestHouseNeverLoosens(t *testing.T) {
	base, rng := clean(t, "", ""), rand.New(rand.NewPCG(7, 11))
	for range 60 {
		var text strings.Builder
		text.WriteString("extends: base\nlimits:\n")
		for _, l := range base.Limits {
			writeWish(&text, l.ID, "value", l.Value, rng)
		}
		text.WriteString("by_age:\n")
		for _, l := range base.ByAge {
			writeWish(&text, l.ID, []string{"to_14", "to_18", "adult", "value"}[rng.IntN(4)], l.To18, rng)
		}
		b, _ := load(t, "", text.String())
		for _, l := range base.Limits {
			if !l.Hard {
				continue
			}
			if got, ok := b.Limit(l.ID); !ok || !got.Hard || (l.Tighten == "up" && got.Value < l.Value || l.Tighten == "down" && got.Value > l.Value) {
				t.Fatalf("%s went from %v to %v:\n%s", l.ID, l.Value, got.Value, text.String())
			}
		}
		for i, l := range base.ByAge {
			got := b.ByAge[i]
			for _, pair := range [][2]float64{{l.To14, got.To14}, {l.To18, got.To18}, {l.Adult, got.Adult}} {
				if l.Tighten == "up" && pair[1] < pair[0] || l.Tighten == "down" && pair[1] > pair[0] {
					t.Fatalf("%s went from %v to %v:\n%s", l.ID, pair[0], pair[1], text.String())
				}
			}
		}
	}
}

func writeWish(b *strings.Builder, id, key string, value float64, rng *rand.Rand) {
	kinds := []string{
		"set: {" + key + ": " + strconv.FormatFloat(value*2*rng.Float64(), 'g', 4, 64) + "}",
		"set: {hard: no}", "set: {tighten: up}", "set: {tighten: down}", "disable: true",
		"replace: {value: 1000, unit: a, why: b, source: house default, hard: no}",
	}
	b.WriteString("  - {id: " + id + ", " + kinds[min(rng.IntN(10), 5)] + ", because: a, by: b}\n")
}

// Whatever the bytes, reading ends, and a base without errors holds together.
func FuzzLoad(f *testing.F) {
	f.Add("factors:\n  - {id: a, can_cause: {a: often, b: rare}}\n", "extends: base\nfactors:\n  - {id: a, set: [1]}\n")
	f.Add("throws: [{id: x, demands: [], share: 1, for: 2}]\npitch_table: []\n", goodHouse)
	f.Add("cases: [{id: x, given: {best.hinge: {}}, expect: []}]\n", "gates: [1, {id: refer_pain, add: 3}]\n")
	f.Fuzz(func(t *testing.T, extra, house string) {
		b, ds := load(t, extra, house)
		if ds.Errors() > 0 {
			return
		}
		b.TestExamples()
		b.Network()
		b.Effective()
	})
}
