package cond

import (
	"math/rand/v2"
	"slices"
	"testing"

	"rungwise/engine/fact"
)

// What is decided over a box comes out so at every point in it, and a box of
// one point says what the condition says.
func TestOverHoldsForEveryPointOfTheBox(t *testing.T) {
	cat := catalogue(t)
	rng := rand.New(rand.NewPCG(26, 11))
	decided, open := 0, 0
	for range 2000 {
		text := generated(rng, cat, 3)
		c, faults := Compile(text, cat)
		if c == nil {
			t.Fatalf("%s: %v", text, faults)
		}
		v := randomVector(rng, cat, 0.1)
		point := func(slot int) (low, high float64, known bool) { return v[slot].N, v[slot].N, v[slot].Known }
		if got, want := c.Over(point), c.Eval(v); got != want && got != fact.Unknown {
			t.Fatalf("%s: %v over one point, %v at it", text, got, want)
		}
		width := make([]float64, len(v))
		for slot := range width {
			if f := cat.At(slot); !f.Constant && rng.IntN(2) == 0 {
				width[slot] = rng.Float64() * 20
			}
		}
		box := func(slot int) (low, high float64, known bool) {
			if cat.At(slot).Kind != fact.Number && width[slot] > 0 {
				return 0, float64(max(1, len(cat.At(slot).Answers)-1)), v[slot].Known
			}
			return v[slot].N - width[slot], v[slot].N + width[slot], v[slot].Known
		}
		says := c.Over(box)
		if says == fact.Unknown {
			open++
			continue
		}
		decided++
		for range 30 {
			if p := pointIn(rng, v, box); c.Eval(p) != says {
				t.Fatalf("%s: %v over the box, %v at a point of it", text, says, c.Eval(p))
			}
		}
	}
	if decided < 50 || open < 50 {
		t.Errorf("%d decided, %d open: the boxes try too little", decided, open)
	}
}

func pointIn(rng *rand.Rand, v fact.Vector, b Box) fact.Vector {
	p := slices.Clone(v)
	for slot := range p {
		low, high, known := b(slot)
		if !known {
			continue
		}
		n := low + rng.Float64()*(high-low)
		if high-low == float64(int(high-low)) && low == 0 { // an answer or yes and no
			n = float64(rng.IntN(int(high) + 1))
		}
		p[slot].N = n
	}
	return p
}
