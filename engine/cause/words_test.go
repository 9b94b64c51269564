package cause

import (
	"math"
	"testing"
)

// All numbers here are house defaults.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		kind string
		of   func(string) (float64, bool)
		want map[string]float64
	}{
		{"frequency", Frequency, map[string]float64{"nearly_always": .90, "usually": .75, "often": .50, "sometimes": .25}},
		{"prior", Prior, map[string]float64{"rare": .04, "occasional": .07, "common": .15}},
		{"otherwise", Otherwise, map[string]float64{"rarely": .05, "seldom": .10, "sometimes": .20, "often": .35}},
		{"reading", Reading, map[string]float64{"eye": .20, "measured": .08, "asked": .10}},
	} {
		for word, want := range c.want {
			if got, ok := c.of(word); !ok || got != want {
				t.Errorf("%s %s: got %v %v, want %v", c.kind, word, got, ok, want)
			}
		}
		for _, word := range []string{"", "Often", "never"} {
			if _, ok := c.of(word); ok {
				t.Errorf("%s knows %q", c.kind, word)
			}
		}
	}
	for word, lr := range map[string]struct{ yes, no float64 }{"strong": {7.8, .25}, "moderate": {3.0, .50}, "weak": {1.5, .75}} {
		seen, otherwise, ok := Supports(word)
		q := 1 - (1-seen)*(1-otherwise)
		if !ok || math.Abs(q/otherwise-lr.yes) > 0.06 || math.Abs((1-q)/(1-otherwise)-lr.no) > 0.01 {
			t.Errorf("%s: %v, %v", word, q/otherwise, (1-q)/(1-otherwise))
		}
	}
	if _, _, ok := Supports("certain"); ok {
		t.Error("supports knows certain")
	}
}

func TestInWords(t *testing.T) {
	for _, c := range []struct {
		p            float64
		word, tenths string
	}{
		{0, "unlikely", "less than 1 in 10"}, {.04, "unlikely", "less than 1 in 10"}, {.149, "unlikely", "roughly 1 in 10"},
		{.15, "possible", "roughly 2 in 10"}, {.399, "possible", "roughly 4 in 10"}, {.4, "as likely as not", "roughly 4 in 10"},
		{.499, "as likely as not", "roughly 5 in 10"}, {.5, "likely", "roughly 5 in 10"}, {.749, "likely", "roughly 7 in 10"},
		{.75, "very likely", "roughly 8 in 10"}, {.94, "very likely", "roughly 9 in 10"},
		{.95, "very likely", "more than 9 in 10"}, {1, "very likely", "more than 9 in 10"}, {math.NaN(), "unlikely", "less than 1 in 10"},
	} {
		if w, r := InWords(c.p), InTenths(c.p); w != c.word || r != c.tenths {
			t.Errorf("%v: %q, %q, want %q, %q", c.p, w, r, c.word, c.tenths)
		}
	}
}

func TestStanding(t *testing.T) {
	for _, c := range []struct {
		first, second float64
		want          Lead
	}{
		{.65, .45, ClearFirst}, {.65, .46, LikelyFirst}, {.9, .8, LikelyFirst}, {.45, 0, LikelyFirst},
		{.44, 0, WeakLead}, {.30, .30, WeakLead}, {.29, 0, NoLeader},
	} {
		if got := Standing(c.first, c.second); got != c.want {
			t.Errorf("%v before %v: %v, want %v", c.first, c.second, got, c.want)
		}
	}
}

func TestBreakTable(t *testing.T) {
	for _, c := range []struct{ in, want []float64 }{
		{[]float64{.5, .5, .25, 0}, []float64{.37, .37, .21, .05}},
		{[]float64{0, 0}, []float64{.5, .5}},
		{[]float64{1, -3}, []float64{.9, .1}},
		{nil, nil},
	} {
		got := BreakTable(c.in)
		for i := range c.want {
			within(t, "table", got[i], c.want[i], 1e-12)
		}
	}
}

func TestRepeatedReadings(t *testing.T) {
	within(t, "one look", math.Exp(float64(Repeated(.2, 1, 0))), 4, 1e-12)
	within(t, "two for, one against", math.Exp(float64(Repeated(.2, 2, 1))), 4, 1e-12)
	within(t, "three looks are held", math.Exp(float64(Repeated(.2, 3, 0))), 12, 1e-12)
	within(t, "and against", math.Exp(float64(Repeated(.2, 0, 9))), 1./12, 1e-12)
	if o := Repeated(.2, 4, 4); o != Unknown {
		t.Errorf("as many for as against: %v", o)
	}
}
