package bench

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/rules"
)

// load opens the embedded base.
func load(t testing.TB) *rule.Base {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC), NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return b
}

// texts are the conditions of a base, as they are written.
func texts(b *rule.Base) []string {
	var out []string
	for _, r := range b.Conditions() {
		out = append(out, r.When.Text())
	}
	return out
}

// grown repeats the conditions up to a number.
func grown(from []string, n int) []string {
	var out []string
	for i := range n {
		out = append(out, from[i%len(from)])
	}
	return out
}

// known draws a case in which every fact is known. Numbers lie near what rules
// compare them with half of the time, so that either side is met.
func known(rng *rand.Rand, b *rule.Base, edges [][]float64) fact.Vector {
	v := b.Catalogue.Vector()
	for slot := range v {
		f := b.Catalogue.At(slot)
		switch {
		case f.Constant:
		case f.Kind == fact.YesNo:
			v[slot] = fact.Bool(rng.IntN(2) == 0)
		case f.Kind == fact.Choice:
			v[slot] = fact.Num(float64(rng.IntN(len(f.Answers))))
		default:
			v[slot] = fact.Num(amount(rng, f, edges[slot]))
		}
	}
	for _, p := range b.Checklist.Checkpoints {
		follow(b.Catalogue, v, p.ID)
	}
	return v
}

func amount(rng *rand.Rand, f fact.Fact, edges []float64) float64 {
	if len(edges) > 0 && rng.IntN(2) == 0 {
		return edges[rng.IntN(len(edges))] + rng.NormFloat64()*3
	}
	return f.Low + rng.Float64()*(f.High-f.Low)
}

// compared lists by slot what the rules compare a number with.
func compared(b *rule.Base) [][]float64 {
	edges := make([][]float64, b.Catalogue.Len())
	for _, r := range b.Conditions() {
		for _, slot := range r.When.Reads() {
			edges[slot] = append(edges[slot], r.When.Boundaries(slot)...)
		}
	}
	return edges
}

// follow sets whether a graded checkpoint differs.
func follow(cat *fact.Catalogue, v fact.Vector, checkpoint string) (slot int, ok bool) {
	best, _ := cat.Slot(fact.Best + "." + checkpoint)
	stuck, _ := cat.Slot(fact.Stuck + "." + checkpoint)
	changed, ok := cat.Slot(fact.Changed + "." + checkpoint)
	if !ok || cat.At(best).Kind != fact.Choice {
		return 0, false
	}
	v[changed] = fact.Bool(v[best].N != v[stuck].N)
	return changed, true
}

// generated writes a random condition in the forms that rules use.
func generated(rng *rand.Rand, cat *fact.Catalogue, depth int) string {
	if depth == 0 || rng.IntN(4) == 0 {
		return leaf(rng, cat)
	}
	a, b := generated(rng, cat, depth-1), generated(rng, cat, depth-1)
	switch rng.IntN(5) {
	case 0:
		return "not (" + a + ")"
	case 1, 2:
		return a + " and " + b
	}
	return "(" + a + " or " + b + ")"
}

func leaf(rng *rand.Rand, cat *fact.Catalogue) string {
	f := cat.At(rng.IntN(cat.Len()))
	for f.Constant {
		f = cat.At(rng.IntN(cat.Len()))
	}
	switch f.Kind {
	case fact.YesNo:
		return []string{"", "not "}[rng.IntN(2)] + f.Name
	case fact.Choice:
		one, two := f.Answers[rng.IntN(len(f.Answers))].ID, f.Answers[rng.IntN(len(f.Answers))].ID
		forms := []string{"%s == %q", "%s != %q", "%s in [%q]", "%s in [%q, %q]", "%s not in [%q, %q]"}
		k := rng.IntN(len(forms))
		if k < 3 {
			return fmt.Sprintf(forms[k], f.Name, one)
		}
		return fmt.Sprintf(forms[k], f.Name, one, two)
	}
	other := cat.At(rng.IntN(cat.Len()))
	for other.Kind != fact.Number || other.Constant {
		other = cat.At(rng.IntN(cat.Len()))
	}
	sign := []string{"<", "<=", ">", ">="}[rng.IntN(4)]
	at := f.Low + float64(rng.IntN(20))/20*(f.High-f.Low)
	switch rng.IntN(4) {
	case 0:
		return fmt.Sprintf("between(%s, %s, %s)", f.Name, number(at), number(at+10))
	case 1:
		return fmt.Sprintf("abs(%s - %s) %s %s", f.Name, other.Name, sign, number(at))
	case 2:
		return fmt.Sprintf("%s * 0.5 + %s %s %s", f.Name, other.Name, sign, number(at))
	}
	return fmt.Sprintf("%s %s %s", f.Name, sign, number(at))
}

// TestAgreement: every condition of the embedded base and generated ones come
// out alike here, on expr's own machine, in cel-go and in govaluate.
func TestAgreement(t *testing.T) {
	b := load(t)
	rng := rand.New(rand.NewPCG(1, 2))
	all := texts(b)
	if len(all) < 200 {
		t.Fatalf("only %d conditions", len(all))
	}
	for range 300 {
		all = append(all, generated(rng, b.Catalogue, 3))
	}
	ours := newOwn(t, b.Catalogue, all)
	others := map[string]library{"expr": newMachine(t, b.Catalogue, all), "cel-go": newCel(t, b.Catalogue, all), "govaluate": newGovaluate(t, b.Catalogue, all)}
	outcomes := make([][2]int, len(all))
	edges := compared(b)
	for range 80 {
		v := known(rng, b, edges)
		ours.vector = v
		for name, lib := range others {
			for slot := range v {
				lib.set(slot, v[slot])
			}
			for i, text := range all {
				if got, want := lib.holds(i), ours.holds(i); got != want {
					t.Fatalf("%s is %v here and %v in %s", text, want, got, name)
				}
			}
		}
		for i := range all {
			if ours.holds(i) {
				outcomes[i][1]++
			} else {
				outcomes[i][0]++
			}
		}
	}
	if n := len(slices.DeleteFunc(outcomes[:len(texts(b))], func(n [2]int) bool { return n[0] > 0 && n[1] > 0 })); n > 15 {
		t.Errorf("%d of the base's conditions came out one way only: the cases are too narrow", n)
	}
}
