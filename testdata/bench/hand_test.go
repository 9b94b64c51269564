package bench

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// athlete is what the hand-written rules read: places of answers, numbers, and
// yes or no.
type athlete struct {
	bestArm, stuckArm, bestShift, stuckShift, bestHinge, stuckHinge, bestLine, stuckLine, bestLeg, stuckLeg, bestTrunk, stuckTrunk int
	stuckTempo, stuckPosture, bestPosture, stuckFinish, miss, netMiss, lost, stuckTilt, verdict, pain, where                       int
	changedShift, changedHinge, changedLine, changedTrunk, changedArm, changedKnee                                                 bool
	patternLost, speedLost, learning, worked, better, found                                                                        bool
	slopeThrows, baseThrows, bestKnee, stuckKnee, bestFoot, stuckFoot, sideTilt, daysSince, share, gain, moundGain, age            float64
}

// see reads a case.
func see(cat *fact.Catalogue, v fact.Vector) *athlete {
	n := func(name string) float64 {
		slot, ok := cat.Slot(name)
		if !ok {
			panic(name)
		}
		return v[slot].N
	}
	at := func(name string) int { return int(n(name)) }
	is := func(name string) bool { return n(name) != 0 }
	return &athlete{
		bestArm: at("best.arm_at_landing"), stuckArm: at("stuck.arm_at_landing"), bestShift: at("best.weight_shift"), stuckShift: at("stuck.weight_shift"),
		bestHinge: at("best.hinge"), stuckHinge: at("stuck.hinge"), bestLine: at("best.stride_line"), stuckLine: at("stuck.stride_line"),
		bestLeg: at("best.lead_leg_action"), stuckLeg: at("stuck.lead_leg_action"), bestTrunk: at("best.trunk_at_landing"), stuckTrunk: at("stuck.trunk_at_landing"),
		stuckTempo: at("stuck.arm_tempo"), stuckPosture: at("stuck.start_posture"), bestPosture: at("best.start_posture"), stuckFinish: at("stuck.finish"),
		miss: at("rung.miss"), netMiss: at("rung.net_miss"), lost: at("ladder.lost"), stuckTilt: at("stuck.pelvis_tilt"), verdict: at("ladder.verdict"),
		pain: at("screen.pain"), where: at("screen.where"), changedShift: is("changed.weight_shift"), changedHinge: is("changed.hinge"),
		changedLine: is("changed.stride_line"), changedTrunk: is("changed.trunk_at_landing"), changedArm: is("changed.arm_at_landing"),
		changedKnee: is("changed.back_knee_path"), patternLost: is("ladder.pattern_lost"), speedLost: is("ladder.speed_lost"),
		learning: is("reference.learning"), worked: is("reference.worked"), better: is("reference.better_positions"), found: is("ladder.found"),
		slopeThrows: n("load.mound_throws_28d"), baseThrows: n("load.base_throws"), bestKnee: n("best.back_knee_bend"), stuckKnee: n("stuck.back_knee_bend"),
		bestFoot: n("best.back_foot_angle"), stuckFoot: n("stuck.back_foot_angle"), sideTilt: n("stuck.trunk_side_tilt"), daysSince: n("reference.days_since"),
		share: n("reference.share_of_best"), gain: n("reference.gain"), moundGain: n("mound.gain"), age: n("athlete.age"),
	}
}

// written is a slice of the base in Go, every form of condition in about its
// share. Answers are told by their places in the checklist, limits are the base's.
func written(limit func(id string) float64) map[string]func(a *athlete) bool {
	tilt, knee, foot, dropped, share := limit("side_tilt_much"), limit("back_knee_straighter"), limit("back_foot_turned"), limit("reference_dropped_days"), limit("reference_share")
	few, part, noise, adult := limit("few_slope_throws"), limit("slope_share"), limit("gain_noise"), limit("radar_adult_age")
	return map[string]func(a *athlete) bool{
		"elbow_low_only_when_stuck": func(a *athlete) bool { return a.bestArm == 0 && a.stuckArm != 0 || a.bestArm == 1 && a.stuckArm == 2 },
		"elbow_changed":             func(a *athlete) bool { return a.changedArm },
		"elbow_low_on_mound":        func(a *athlete) bool { return a.stuckArm == 1 || a.stuckArm == 2 },
		"elbow_low_trunk_closed":    func(a *athlete) bool { return (a.stuckArm == 1 || a.stuckArm == 2) && a.stuckTrunk == 0 },
		"elbow_low_shift_and_line_kept": func(a *athlete) bool {
			return a.changedArm && !a.changedShift && !a.changedHinge && !a.changedLine
		},
		"side_tilt_large_on_mound": func(a *athlete) bool { return a.sideTilt > tilt },
		"hinge_lost_when_stuck": func(a *athlete) bool {
			return a.bestHinge == 0 && a.stuckHinge != 0 || a.bestHinge == 1 && a.stuckHinge == 2
		},
		"hinge_lost_shift_early":         func(a *athlete) bool { return (a.stuckHinge == 1 || a.stuckHinge == 2) && a.stuckShift == 0 },
		"hinge_and_line_change_together": func(a *athlete) bool { return a.changedHinge && a.changedLine },
		"back_knee_straighter":           func(a *athlete) bool { return a.bestKnee-a.stuckKnee > knee },
		"back_foot_and_knee":             func(a *athlete) bool { return math.Abs(a.bestFoot-a.stuckFoot) > foot && a.changedKnee },
		"line_changed_upstream_kept":     func(a *athlete) bool { return a.changedLine && !a.changedShift && !a.changedHinge },
		"drill_left_out_and_slower":      func(a *athlete) bool { return a.daysSince >= dropped && a.share < share },
		"few_throws_off_slope":           func(a *athlete) bool { return a.slopeThrows < few },
		"few_throws_for_the_load":        func(a *athlete) bool { return a.slopeThrows < part*a.baseThrows },
		"shoulders_changed":              func(a *athlete) bool { return a.changedTrunk },
		"shoulders_open_upstream_kept": func(a *athlete) bool {
			return a.changedTrunk && !a.changedShift && !a.changedHinge && !a.changedLine
		},
		"front_leg_gives_shift_early": func(a *athlete) bool { return a.stuckLeg == 2 && a.stuckShift == 0 && a.stuckLine == 0 },
		"speed_goes_pattern_stays":    func(a *athlete) bool { return a.speedLost && !a.patternLost },
		"not_a_reference_yet":         func(a *athlete) bool { return a.learning && (!a.worked || !a.better) },
		"never_better":                func(a *athlete) bool { return a.worked && !a.better && !a.patternLost },
		"go_on_learning":              func(a *athlete) bool { return a.learning && (a.found || a.verdict == 2) },
		"faster_loads_more":           func(a *athlete) bool { return a.gain > noise || a.moundGain > noise },
		"radar_under_19":              func(a *athlete) bool { return a.age < adult },
	}
}

// slice pairs the hand-written rules with the conditions, in the base's order.
func slice(t testing.TB, b *rule.Base) (texts []string, funcs []func(a *athlete) bool) {
	t.Helper()
	by := written(func(id string) float64 { return b.Value(id, math.NaN()) })
	for _, r := range b.Conditions() {
		if f, ok := by[r.ID]; ok {
			texts, funcs = append(texts, r.When.Text()), append(funcs, f)
		}
	}
	if len(funcs) != len(by) {
		t.Fatalf("%d of %d hand-written rules are in the base", len(funcs), len(by))
	}
	return texts, funcs
}

// TestHandWrittenAgree: the functions say what the conditions say.
func TestHandWrittenAgree(t *testing.T) {
	b := load(t)
	texts, funcs := slice(t, b)
	ours := newOwn(t, b.Catalogue, texts)
	rng := rand.New(rand.NewPCG(21, 22))
	edges := compared(b)
	for range 2000 {
		ours.vector = known(rng, b, edges)
		a := see(b.Catalogue, ours.vector)
		for i, f := range funcs {
			if f(a) != ours.holds(i) {
				t.Fatalf("%s is %v, by hand %v", texts[i], ours.holds(i), f(a))
			}
		}
	}
}

// handWritten times the conditions against the functions.
func handWritten(t *testing.T, b *rule.Base) {
	texts, funcs := slice(t, b)
	ours := newOwn(t, b.Catalogue, texts)
	rng := rand.New(rand.NewPCG(23, 24))
	vectors, athletes := make([]fact.Vector, 256), make([]*athlete, 256)
	edges := compared(b)
	for i := range vectors {
		vectors[i] = known(rng, b, edges)
		athletes[i] = see(b.Catalogue, vectors[i])
	}
	n, count := len(vectors)*len(funcs), 0
	mine := quickest(50, func() {
		for _, v := range vectors {
			for _, c := range ours.conditions {
				if c.Eval(v) == fact.Yes {
					count++
				}
			}
		}
	})
	hand := quickest(50, func() {
		for _, a := range athletes {
			for _, f := range funcs {
				if f(a) {
					count++
				}
			}
		}
	})
	ratio := float64(mine) / float64(hand)
	t.Logf("%d rules: conditions %.1f ns a rule, hand-written Go %.1f ns, %.1f times (goal 3)", len(funcs), perRule(mine, n), perRule(hand, n), ratio)
	if ratio > 3 {
		t.Errorf("%.1f times hand-written Go, the goal is 3", ratio)
	}
}

func perRule(d time.Duration, n int) float64 { return float64(d) / float64(n) }
