package triage

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The parts of a comparison turn their signs when the two are swapped, and the
// sign that only one of the two has a link to is among them.
func TestVersus(t *testing.T) {
	m := model(t)
	rng := rand.New(rand.NewPCG(71, 72))
	some := 0
	for range 10 {
		c := drawn(rng, m, 0.5)
		r := &Result{}
		m.Rank(c, r)
		if len(r.Factors) < 2 {
			continue
		}
		a, b := r.Factors[0].Factor, r.Factors[1].Factor
		there, back := m.Versus(c, a, b), m.Versus(c, b, a)
		if len(there) != len(back) {
			t.Fatalf("%d parts one way, %d the other", len(there), len(back))
		}
		for i := range there {
			if there[i].By != back[i].By || there[i].Sign != back[i].Sign || math.Abs(there[i].Weight+back[i].Weight) > 1e-9 {
				t.Errorf("part %d is %+v one way and %+v the other", i, there[i], back[i])
			}
			if i > 0 && math.Abs(there[i].Weight) > math.Abs(there[i-1].Weight)+1e-6 {
				t.Error("the parts are not in the order of their weights")
			}
		}
		some += len(there)
	}
	if some == 0 {
		t.Error("nothing was ever compared")
	}
}
