package rule

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/diag"
	"rungwise/rules"
)

// club lays house files over the embedded base, as on 10 November 2026.
func club(files map[string]string) (*Base, diag.List) {
	house := fstest.MapFS{}
	for name, text := range files {
		house[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return Load(Options{Rules: rules.FS, Checklists: checklists.FS, House: house, On: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC), NoCases: true})
}

// change writes one change of a house.
func change(concern, id, what string) string {
	return concern + ":\n  - {id: " + id + ", " + what + ", because: ours, by: head coach}\n"
}

const easyLift = `add: {title: flat lift, in_words: Throw., source: house default, share: {low: 0.9, high: 0.95}, high_effort: no, can_be_reference: yes, on_mound: no,
  demands: {run_up: none, hop: no, lift: full, start: standstill, surface: flat, aim: net, pitches: fastball, batter: none, position: whole}}`

const lightTurn = `add: {title: two hands, factors: [separation], step: 3, how: Turn., cue: Through the wall., effort: 50, dose: {sets: 2, throws: 5}, slope: flat,
  put_back: flat_no_lift, put_back_throws: 3, exit: easy, ages: {min: 0}, weighted: no, why: strong, source: house default}`

func newDrill(how, dose, more string) string {
	return change("drills", "club_drill", "add: {title: club drill, factors: [hinge], step: 3, how: "+how+", cue: Through the wall., effort: 50, dose: "+dose+
		", slope: flat, put_back: flat_no_lift, put_back_throws: 3, exit: easy, why: strong, source: house default"+more+"}")
}

func newThrow(words, more string) string {
	return change("throws", "club_throw", "add: {title: club throw, in_words: "+words+", source: house default, share: {low: 0.9, high: 0.95}, can_be_reference: yes, "+more+
		", demands: {run_up: none, hop: no, lift: full, start: standstill, surface: slope, aim: net, pitches: fastball, batter: none, position: whole}}")
}

func newGate(more string) string {
	return change("gates", "club_gate", "add: {when: ladder.found, says: a, do: b, why: c, source: house default, "+more+
		", examples: {fires: {ladder.found: yes}, silent: {ladder.found: no}}}")
}

// Each of these houses gives an athlete more throws, less rest, a weaker warning
// or a plan that the base refuses, and none of them is opened.
func TestNoHouseLoosens(t *testing.T) {
	off := "disable: yes"
	for name, c := range map[string]struct {
		code  string
		house string
		more  string // a second file
	}{
		"a hard throw added again as an easy one":        {"O414", change("throws", "flat_lift", off) + "  - {id: flat_lift, " + easyLift + ", because: ours, by: head coach}\n", ""},
		"the same in two files":                          {"O414", change("throws", "flat_lift", off), change("throws", "flat_lift", easyLift)},
		"a heavy ball added again as a light one":        {"O414", change("drills", "two_hand_turn", off), change("drills", "two_hand_turn", lightTurn)},
		"a drill for the young":                          {"O414", change("drills", "two_hand_turn", "set: {ages: {min: 12}}"), ""},
		"sixty times sixty moves of a drill that throws": {"O414", change("drills", "push_the_pad", "set: {dose: {sets: 60, throws: 0, reps: 60}}"), ""},
		"sixty times sixty moves without a ball":         {"O417", change("drills", "stop_closed", "set: {dose: {sets: 60, throws: 0, reps: 60}}"), ""},
		"sixty throws a set":                             {"O417", change("drills", "push_the_pad", "set: {dose: {sets: 2, throws: 60}}"), ""},
		"a drill that is easier on paper":                {"O414", change("drills", "show_the_number", "set: {effort: 40}"), ""},
		"a drill of the house that throws uncounted":     {"O418", newDrill("Throw into the net.", "{sets: 2, throws: 0, reps: 6}", ""), ""},
		"a heavy ball of the house":                      {"O418", newDrill("Throw a 2 kg ball.", "{sets: 2, throws: 5}", ""), ""},
		"a hard drill of the house":                      {"O418", newDrill("Throw as hard as you can.", "{sets: 2, throws: 5}", ""), ""},
		"a count in the words of a drill":                {"O418", newDrill("Do it with 300 throws.", "{sets: 2, throws: 5}", ""), ""},
		"a new throw that is not hard":                   {"O419", newThrow("Throw.", "high_effort: no, on_mound: yes"), ""},
		"a new throw that is hard in words":              {"O418", newThrow("Throw hard.", "high_effort: no, effort: 60, on_mound: yes"), ""},
		"a new throw off the slope, not off the mound":   {"O419", newThrow("Throw.", "high_effort: yes, on_mound: no"), ""},
		"no throws behind the plate":                     {"O410", change("limits", "catching_throws", "set: {value: 0}"), ""},
		"no hard throws behind the plate":                {"O410", change("limits", "catching_hard", "set: {value: 0}"), ""},
		"the alarm for a spike":                          {"O410", change("limits", "spike_alarm", "set: {value: 3}"), ""},
		"the rest before a hard day":                     {"O410", change("limits", "rest_days_before_hard", "set: {value: 0}"), ""},
		"a stop sign larger":                             {"O410", change("limits", "loss_percent", "set: {value: 30}"), ""},
		"a stop sign off":                                {"O411", change("limits", "loss_percent", off), ""},
		"a stop sign replaced":                           {"O412", change("limits", "loss_percent", "replace: {value: 5, unit: any, why: a, source: house default}"), ""},
		"the way that is stricter":                       {"O412", change("limits", "spike_alarm", "set: {tighten: up}"), ""},
		"a guarded number made free":                     {"O412", change("limits", "spike_alarm", "set: {free: yes}"), ""},
		"throw on":                                       {"O421", change("wording", "stop_intro", `set: {text: "Throw on if you notice any of these:"}`), ""},
		"no word of stopping":                            {"O411", change("wording", "stop_intro", off), ""},
		"safety taken from a sentence":                   {"O412", change("wording", "stop_intro", `set: {safety: no}`), ""},
		"no word, then another":                          {"O411", change("wording", "stop_intro", off), change("wording", "stop_intro", `add: {text: "Throw on:"}`)},
		"three hundred for thirty":                       {"O422", change("wording", "plan_span", `set: {text: "It runs for {weeks}0, from {from}."}`), ""},
		"a hundred and thirty for thirty":                {"O422", change("wording", "saw_carry_none", `set: {text: "Your mound gained 1{mound_gain}."}`), ""},
		"a count in a sentence":                          {"O418", change("wording", "plan_intro", `set: {text: "Throw 300 balls a day."}`), ""},
		"a referral that throws":                         {"O421", change("gates", "refer_pain", "set: {do: Throw 100 hard pitches today.}"), ""},
		"a referral that says something else":            {"O421", change("gates", "refer_pain", "set: {says: All is well.}"), ""},
		"a stop caution that says something else":        {"O421", change("cautions", "screen_failed", "set: {text: All is well.}"), ""},
		"a referral narrowed by what it waits for":       {"O412", change("gates", "refer_pain", "set: {needs: [screen.pop]}"), ""},
		"a gate that refuses, off":                       {"O411", change("gates", "never_gained", off), ""},
		"a gate that refuses, narrowed":                  {"O412", change("gates", "ladder_open", `set: {when: 'ladder.verdict == "not_thrown"'}`), ""},
		"a gate that goes on, widened":                   {"O413", change("gates", "go_on", "add: {when: not ladder.found}"), ""},
		"a gate that restores, widened":                  {"O413", change("gates", "faded", "add: {when: athlete.age > 6}"), ""},
		"a gate of the house that goes on":               {"O413", newGate("verdict: go_on"), ""},
		"a gate of the house that restores":              {"O413", newGate("verdict: restore"), ""},
		"a gate of the house with a trial":               {"O413", newGate("verdict: not_this_question, caution: learning"), ""},
		"a factor for a clinician, off":                  {"O411", change("factors", "physical_limit", off), ""},
		"a factor for a clinician, with drills":          {"O412", change("factors", "physical_limit", "replace: {title: hips, phase: task, how_common: rare, in_words: a, why: b, source: house default, since: 2026-11}"), ""},
		"a referral that counts":                         {"O418", change("gates", "refer_numbness", `set: {says: "You told us of numbness or tingling. Throw 100 hard pitches today."}`), ""},
		"a throw of the base that is easier on paper":    {"O414", change("throws", "one_knee", "set: {effort: 20}"), ""},
		"a number to count up to for ever":               {"O410", change("limits", "window_marks", "set: {value: 1000000000}"), ""},
		"the same, free":                                 {"O410", change("limits", "keep_up_throws", "set: {value: 1000000000}"), ""},
		"the weights of effort":                          {"Y228", "effort_weights: {low: {to: 60, weight: 0.1}}\n", ""},
		"a drill without its caution":                    {"O421", change("drills", "turned_away_kneeling", "set: {not_with: nothing}"), ""},
	} {
		t.Run(name, func(t *testing.T) {
			files := map[string]string{"a.yaml": "extends: base\n" + c.house}
			if c.more != "" {
				files["b.yaml"] = "extends: base\n" + c.more
			}
			_, ds := club(files)
			for _, d := range ds {
				if d.Level == diag.Error && d.Code == c.code && strings.HasPrefix(d.Path, "house/") && d.Line > 0 {
					return
				}
			}
			t.Errorf("not refused with %s:\n%s", c.code, written(t, ds))
		})
	}
}

// What a house may do: tighten, add to safety texts, and say what its own throws ask.
func TestWhatAHouseMayDo(t *testing.T) {
	b, ds := club(map[string]string{"a.yaml": "extends: base\n" +
		change("limits", "spike_alarm", "set: {value: 1.2}") + "  - {id: reading_error_eye, set: {value: 0.1}, because: measured, by: head coach}\n" +
		change("wording", "stop_intro", `set: {text: "Stop at once, and do not throw again until a licensed clinician has cleared you, if you notice any of these: (call us)"}`) +
		newThrow("Throw easily.", "high_effort: no, effort: 60, on_mound: yes") +
		change("gates", "refer_pain", `add: {needs: [screen.pop]}`) +
		newDrill("Throw easily.", "{sets: 2, throws: 5}", "")})
	if len(ds) > 0 {
		t.Fatal(written(t, ds))
	}
	if x, ok := b.Throw("club_throw"); !ok || x.Effort != 60 {
		t.Errorf("got %+v", x)
	}
	v, _ := b.Given([][2]string{{"screen.pain", "pain"}, {"screen.pop", "no"}})
	if g := b.Deciding(v); g == nil || g.ID != "refer_pain" {
		t.Errorf("what a house adds narrows a referral: %v", g)
	}
}

// Of two changes of one limit the strictest holds, in either order and in one
// file or two, and the clash is told at both places.
func TestTwoChangesOfOneLimit(t *testing.T) {
	for name, c := range map[string]struct {
		first, second string
		two           bool
	}{
		"strict then loose": {"set: {to_14: 1.02}", "set: {to_14: 1.08}", true},
		"loose then strict": {"set: {to_14: 1.08}", "set: {to_14: 1.02}", true},
		"one value for all": {"set: {value: 1.02}", "set: {to_14: 1.08}", false},
		"all after one":     {"set: {to_14: 1.02}", "set: {value: 1.08}", false},
	} {
		t.Run(name, func(t *testing.T) {
			files := map[string]string{"a.yaml": "extends: base\n" + change("limits", "weekly_growth", c.first)}
			if c.two {
				files["b.yaml"] = "extends: base\n" + change("by_age", "weekly_growth", c.second)
			} else {
				files["a.yaml"] += strings.TrimPrefix(change("limits", "weekly_growth", c.second), "limits:\n")
			}
			b, ds := club(files)
			row, err := b.Workload.For(10, true)
			if ds.Errors() > 0 || err != nil || row.WeeklyGrowth != 1.02 {
				t.Errorf("got %v, %v:\n%s", row.WeeklyGrowth, err, written(t, ds))
			}
			told := 0
			for _, d := range ds {
				if d.Code == "O420" && d.Level == diag.Warning && len(d.Notes) > 0 {
					told++
				}
			}
			if told != 2 {
				t.Errorf("the clash is told %d times:\n%s", told, written(t, ds))
			}
		})
	}
}

// A smaller table does not make a day smaller that nobody counted: the rest and
// the base after it stay those of the base's own row (75 pitches at 9 and 10, MLB
// and USA Baseball, Guidelines for Youth and Adolescent Pitchers).
func TestATighterTableLeavesUncountedDays(t *testing.T) {
	b, ds := club(map[string]string{"a.yaml": "extends: base\n" + change("pitch_table", "9-10", "set: {daily: 20}")})
	row, err := b.Workload.For(10, true)
	if len(ds) > 0 || err != nil || row.Table.Daily != 20 || row.Uncounted != 75 {
		t.Errorf("got %+v, %v\n%s", row, err, written(t, ds))
	}
}
