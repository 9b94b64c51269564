package cond

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"rungwise/engine/fact"
)

// found writes what an analysis says on one line.
func found(a Analysis) string {
	out := []string{a.Outlook.String()}
	for _, s := range a.Clash {
		out = append(out, "clash "+s.Text)
	}
	for _, s := range a.Idle {
		out = append(out, "idle "+s.Text)
	}
	return strings.Join(out, "; ")
}

// TestPlanted plants each kind of fault, and conditions without one.
func TestPlanted(t *testing.T) {
	cat := catalogue(t)
	for text, want := range map[string]string{
		`athlete.age < 14 and athlete.age > 15`:                                         "never; clash athlete.age < 14; clash athlete.age > 15",
		`screen.pop and athlete.age < 14 and best.hinge == "none" and 15 < athlete.age`: "never; clash athlete.age < 14; clash 15 < athlete.age",
		`athlete.age > 70`: "never; clash athlete.age > 70",
		`screen.pop and (athlete.age < 2 or athlete.age > 60)`:             "never; clash athlete.age < 2 or athlete.age > 60",
		`best.hinge == "none" and best.hinge == "holds"`:                   "never; clash best.hinge == \"none\"; clash best.hinge == \"holds\"",
		`best.hinge == "none" and stuck.hinge == "none" and changed.hinge`: "never", // it takes all three
		`best.hinge == stuck.hinge and changed.hinge`:                      "never; clash best.hinge == stuck.hinge; clash changed.hinge",
		`best.hinge == "none" or best.hinge != "none"`:                     "always",
		`athlete.age >= 5`: "always",
		`not changed.hinge or best.hinge != stuck.hinge`:                                     "always",
		`athlete.age > 20 and athlete.age > 30`:                                              "sometimes; idle athlete.age > 20",
		`athlete.age > 30 and athlete.age > 30`:                                              "sometimes; idle athlete.age > 30",
		`screen.pop or (screen.pop and screen.numbness)`:                                     "sometimes; idle screen.pop and screen.numbness",
		`best.hinge == "none" and best.hinge != "holds"`:                                     "sometimes; idle best.hinge != \"holds\"",
		`best.hinge == "holds" and stuck.hinge in ["none", "folds_late"] and changed.hinge`:  "sometimes; idle changed.hinge",
		`screen.pop and (athlete.age > 12 or best.hinge in ["holds", "none", "folds_late"])`: "sometimes; idle athlete.age > 12 or best.hinge in [\"holds\", \"none\", \"folds_late\"]",
		`best.hinge == "holds" and stuck.hinge in ["none", "folds_late"]`:                    "sometimes",
		`changed.hinge and changed.weight_shift`:                                             "sometimes",
		`changed.hinge and best.hinge != "none"`:                                             "sometimes",
		`10 < athlete.age < 20 or screen.pop`:                                                "sometimes",
		`abs(athlete.age - 20) > 5 and between(athlete.age, 16, 24)`:                         "never; clash abs(athlete.age - 20) > 5; clash between(athlete.age, 16, 24)",
		`best.back_knee_bend - stuck.back_knee_bend > 7`:                                     "not analysed",
		`athlete.age * athlete.age > 400`:                                                    "not analysed",
		`rung.miss == rung.net_miss and rung.miss == "high"`:                                 "sometimes",
	} {
		a := compile(t, cat, text).Analyse()
		if got := found(a); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

func TestCovers(t *testing.T) {
	cat := catalogue(t)
	for _, c := range []struct{ a, b, want string }{
		{`athlete.age > 30 and screen.pop and best.hinge == "none"`, `athlete.age > 20 and screen.pop`, "covered"},
		{`athlete.age > 20`, `athlete.age > 30`, "not"},
		{`changed.hinge`, `best.hinge != stuck.hinge`, "covered"},
		{`best.hinge == "none" and changed.hinge`, `stuck.hinge in ["holds", "folds_late"]`, "covered"},
		{`stuck.hinge == "none"`, `best.hinge == "none"`, "not"},
		{`athlete.age > 70`, `screen.pop`, "not"}, // a condition that never holds is covered by none
		{`athlete.age > load.growth`, `athlete.age > 3`, "not analysed"},
	} {
		x, y := compile(t, cat, c.a), compile(t, cat, c.b)
		k := Covers(x, y)
		got := map[bool]string{true: "covered", false: "not"}[k.Covered]
		if !k.Analysed {
			got = "not analysed"
		}
		if got != c.want {
			t.Errorf("%s by %s: %s, want %s", c.a, c.b, got, c.want)
		}
		if k.Case == nil {
			continue
		}
		v := settled(cat, k.Case)
		if x.Eval(v) != fact.Yes || (y.Eval(v) == fact.Yes) != k.Covered {
			t.Errorf("%s by %s: the case shows %v and %v", c.a, c.b, x.Eval(v), y.Eval(v))
		}
	}
}

// settled is the vector of an example; whatever follows from it must agree
// with it.
func settled(cat *fact.Catalogue, settings []Setting) fact.Vector {
	v := cat.Vector()
	for _, s := range settings {
		v[s.Slot] = s.Value
	}
	return v
}

// TestAnalysisHolds compares what the analysis says with random athletes of
// whom all is known: examples show what they claim, a condition that never
// holds does not, and one without its idle clauses comes out the same.
func TestAnalysisHolds(t *testing.T) {
	cat := catalogue(t)
	rng := rand.New(rand.NewPCG(7, 8))
	seen := map[Outlook]int{}
	tried := 300
	if *study {
		tried = 5000
	}
	for range tried {
		c := compile(t, cat, generated(rng, cat, 2))
		a := c.Analyse()
		seen[a.Outlook]++
		if a.Outlook == NotAnalysed {
			continue
		}
		for want, example := range map[fact.Truth][]Setting{fact.Yes: a.Holds, fact.No: a.Fails} {
			v := settled(cat, example)
			if example != nil && c.Eval(v) != want {
				t.Fatalf("%s is %v for its example of %v", c.Text(), c.Eval(v), want)
			}
			before := fmt.Sprint(v)
			followKnown(cat, v)
			if fmt.Sprint(v) != before {
				t.Fatalf("%s: the example contradicts itself: %v", c.Text(), example)
			}
		}
		left := c.root
		for _, x := range a.Idle {
			left = dropped(t, left, x.From, x.To)
		}
		without := left.compile()
		for range 200 {
			v := randomVector(rng, cat, 0)
			follow(cat, v)
			clampRange(cat, v)
			got := c.Eval(v)
			if a.Outlook == Never && got == fact.Yes || a.Outlook == Always && got == fact.No || without(v) != got {
				t.Fatalf("%s: %s, and it is %v for %v", c.Text(), found(a), got, v)
			}
		}
	}
	for _, o := range []Outlook{Sometimes, Never, Always, NotAnalysed} {
		if seen[o] == 0 {
			t.Errorf("no condition was %s", o)
		}
	}
}

// followKnown is follow for a vector in which little is known.
func followKnown(cat *fact.Catalogue, v fact.Vector) {
	for _, id := range []string{"weight_shift", "hinge"} {
		best, _ := cat.Slot("best." + id)
		stuck, _ := cat.Slot("stuck." + id)
		changed, _ := cat.Slot("changed." + id)
		if v[changed].Known {
			v[changed] = fact.Bool(v[best] != v[stuck])
		}
	}
}

// clampRange pulls numbers into what the catalogue believes.
func clampRange(cat *fact.Catalogue, v fact.Vector) {
	for i := range v {
		if f := cat.At(i); f.Low != f.High {
			v[i].N = min(max(v[i].N, f.Low), f.High)
		}
	}
}

// dropped takes the clause at a place out of a tree.
func dropped(t *testing.T, root *clause, from, to int) *clause {
	t.Helper()
	for _, k := range droppable(root, nil) {
		if k.from == from && k.to == to {
			if left := root.replaced(k, nil); left != root {
				return left
			}
		}
	}
	t.Fatalf("no clause at %d to %d", from, to)
	return nil
}

// TestTooManyCases holds that nothing is said where there is too much to go
// through.
func TestTooManyCases(t *testing.T) {
	cat := catalogue(t)
	var parts []string
	for _, name := range []string{"athlete.age", "load.mound_throws_28d", "best.back_knee_bend", "stuck.back_knee_bend"} {
		parts = append(parts, name+" in 6..19")
	}
	c := compile(t, cat, strings.Join(parts, " or "))
	if got := c.Analyse().Outlook; got != NotAnalysed {
		t.Errorf("got %s", got)
	}
}
