package cond

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/fact"
)

// told writes changes as "name: from -> to".
func told(cat *fact.Catalogue, changes []Change) string {
	var out []string
	for _, c := range changes {
		f := cat.At(c.Slot)
		out = append(out, fmt.Sprintf("%s: %s -> %s", c.Name, f.Format(c.From), f.Format(c.To)))
	}
	return strings.Join(out, ", ")
}

func TestTurn(t *testing.T) {
	cat := catalogue(t)
	given := map[string]string{"best.weight_shift": "early", "stuck.weight_shift": "early", "changed.weight_shift": "no", "athlete.age": "15",
		"best.hinge": "holds", "stuck.hinge": "none", "changed.hinge": "yes", "best.back_knee_bend": "52", "stuck.back_knee_bend": "50",
		"load.mound_throws_28d": "75", "load.growth": "1.1", "screen.pop": "no"}
	v := vector(t, cat, given)
	for _, c := range []struct {
		text, want string
		to         fact.Truth
	}{
		{`stuck.weight_shift in ["late", "none"]`, "stuck.weight_shift: early -> late", fact.Yes}, // the nearer of the two
		{`load.mound_throws_28d < limit.few_slope_throws`, "load.mound_throws_28d: 75 -> 59", fact.Yes},
		{`load.growth > limit.spike_alarm`, "load.growth: 1.1 -> 1.4", fact.Yes},
		{`best.back_knee_bend - stuck.back_knee_bend > 7`, "stuck.back_knee_bend: 50 -> 44", fact.Yes},
		{`changed.weight_shift`, "stuck.weight_shift: early -> at_peak", fact.Yes},
		{`not changed.hinge`, "stuck.hinge: none -> holds", fact.Yes},
		{`changed.hinge`, "stuck.hinge: none -> holds", fact.No},
		{`changed.weight_shift and best.weight_shift == "early"`, "stuck.weight_shift: early -> at_peak", fact.Yes},
		{`changed.back_knee_bend`, "changed.back_knee_bend: not seen -> yes", fact.Yes},
		{`screen.numbness`, "screen.numbness: not seen -> no", fact.No},
		{`screen.pop and athlete.age >= 18`, "screen.pop: no -> yes, athlete.age: 15 -> 18", fact.Yes},
		{`rung.miss == rung.net_miss`, "rung.miss: not seen -> on_target, rung.net_miss: not seen -> on_target", fact.Yes},
		{`athlete.age > 3`, "", fact.Yes},
		{`screen.pop and athlete.age > 20 and load.growth > 2 and best.hinge == "none"`, "none", fact.Yes}, // four facts
		{`athlete.age < 1`, "none", fact.Yes},
		{`limit.spike_alarm > 2`, "none", fact.Yes},
	} {
		changes := compile(t, cat, c.text).Turn(v, c.to, nil)
		got := told(cat, changes)
		if changes == nil {
			got = "none"
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
	}
}

// TestTurnHolds holds, over generated conditions and vectors, that the change
// gives what it promises, that no part of it is spare, that limits and changed
// facts that follow are left alone, and that derive has the last word.
func TestTurnHolds(t *testing.T) {
	cat := catalogue(t)
	rng := rand.New(rand.NewPCG(5, 6))
	derive := func(v fact.Vector) {
		follow(cat, v)
		lost, found := slotOf(t, cat, "ladder.lost"), slotOf(t, cat, "ladder.found")
		if v[lost].Known {
			v[found] = fact.Bool(true) // a demand can only be lost at a rung that was found
		}
	}
	turned, tried := 0, 1000
	if *study {
		tried = 20000
	}
	for range tried {
		c := compile(t, cat, generated(rng, cat, 2))
		v := randomVector(rng, cat, 0.3)
		derive(v)
		want := fact.Of(rng.IntN(2) == 0)
		changes := c.Turn(v, want, derive)
		if changes == nil {
			continue
		}
		turned++
		if got := applied(c, v, changes, derive); got != want {
			t.Fatalf("%s: %s gives %v, want %v", c.Text(), told(cat, changes), got, want)
		}
		for i, x := range changes {
			f := cat.At(x.Slot)
			if f.Constant || f.Name == "changed.hinge" || f.Name == "changed.weight_shift" || v[x.Slot] == x.To || v[x.Slot] != x.From {
				t.Fatalf("%s: %s may not change so", c.Text(), told(cat, changes))
			}
			rest := slices.Delete(slices.Clone(changes), i, i+1)
			if applied(c, v, rest, derive) == want {
				t.Fatalf("%s: of %s one is spare", c.Text(), told(cat, changes))
			}
		}
	}
	if turned < tried*6/10 {
		t.Errorf("only %d of %d were turned", turned, tried)
	}
}

func applied(c *Condition, v fact.Vector, changes []Change, derive func(fact.Vector)) fact.Truth {
	w := slices.Clone(v)
	for _, x := range changes {
		w[x.Slot] = x.To
	}
	derive(w)
	return c.Eval(w)
}

// follow sets the changed facts of the checkpoints that have answers, written
// apart from the package's own.
func follow(cat *fact.Catalogue, v fact.Vector) {
	for _, id := range []string{"weight_shift", "hinge"} {
		best, _ := cat.Slot("best." + id)
		stuck, _ := cat.Slot("stuck." + id)
		changed, _ := cat.Slot("changed." + id)
		v[changed] = fact.Value{}
		if v[best].Known && v[stuck].Known {
			v[changed] = fact.Bool(v[best] != v[stuck])
		}
	}
}

func slotOf(t testing.TB, cat *fact.Catalogue, name string) int {
	t.Helper()
	slot, ok := cat.Slot(name)
	if !ok {
		t.Fatalf("no fact called %s", name)
	}
	return slot
}

func TestReadsBareAndBoundaries(t *testing.T) {
	cat := catalogue(t)
	for _, c := range []struct {
		text, reads string
		bare        bool
		age         string
	}{
		{`changed.hinge`, "changed.hinge", true, "[]"},
		{`(changed.hinge)`, "changed.hinge", true, "[]"},
		{`not changed.hinge`, "changed.hinge", false, "[]"},
		{`athlete.age > 18 and stuck.hinge == best.hinge and athlete.age < 30`, "best.hinge stuck.hinge athlete.age", false, "[18 30]"},
		{`load.mound_throws_28d < limit.few_slope_throws`, "load.mound_throws_28d", false, "[]"},
		{`athlete.age * 2 - 1 > limit.few_slope_throws`, "athlete.age", false, "[30.5]"},
		{`abs(athlete.age - 20) > 5`, "athlete.age", false, "[15 25]"},
		{`between(athlete.age, 9, 12) or athlete.age in [9, 40]`, "athlete.age", false, "[9 12 40]"},
		{`athlete.age > load.growth`, "athlete.age load.growth", false, "[]"},
		{`athlete.age in 9..11`, "athlete.age", false, "[9 10 11]"},
	} {
		k := compile(t, cat, c.text)
		var reads []string
		for _, slot := range k.Reads() {
			reads = append(reads, cat.At(slot).Name)
		}
		if got := strings.Join(reads, " "); got != c.reads {
			t.Errorf("%s reads %s, want %s", c.text, got, c.reads)
		}
		slot, bare := k.Bare()
		if bare != c.bare || bare && cat.At(slot).Name != c.reads {
			t.Errorf("%s: bare %v %d", c.text, bare, slot)
		}
		if got := fmt.Sprint(k.Boundaries(slotOf(t, cat, "athlete.age"))); got != c.age {
			t.Errorf("%s: boundaries of the age %s, want %s", c.text, got, c.age)
		}
	}
}
