package cause

import (
	"math"
	"testing"
)

// always is the prior that makes the unlisted cause present in every state, so
// that "none of the listed factors" is among the states as the textbooks have
// it; never takes it away. tiny stands for a chance of 0.
const (
	always = 1 - 1e-15
	never  = 1e-15
	tiny   = 1e-15
)

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6f, want %.6f", what, got, want)
	}
}

func network(t *testing.T, f []Factor, s []Sign, o Options) *Network {
	t.Helper()
	n, err := New(f, s, o)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Source: Russell and Norvig, Artificial Intelligence: A Modern Approach,
// noisy-OR table of fever given cold, flu, malaria (inhibitions .6, .2, .1).
func TestNoisyOrFeverTable(t *testing.T) {
	fever := Sign{Seen: []Link{{0, 0.4}, {1, 0.8}, {2, 0.9}}}
	for _, row := range []struct {
		cold, flu, malaria bool
		want               float64
	}{
		{false, false, false, 0},
		{false, false, true, 0.9},
		{false, true, false, 0.8},
		{false, true, true, 0.98},
		{true, false, false, 0.4},
		{true, false, true, 0.94},
		{true, true, false, 0.88},
		{true, true, true, 0.988},
	} {
		active := []bool{row.cold, row.flu, row.malaria}
		within(t, "fever", fever.Chance(func(k int) bool { return active[k] }), row.want, 1e-12)
	}
}

// The same table read back from the whole computation: with only the causes of
// the row possible, the odds of a seen against an unseen fever are its odds.
func TestNoisyOrThroughTheNetwork(t *testing.T) {
	// Source: Russell and Norvig, fever table, rows flu and malaria: 0.8, 0.9.
	n := network(t, []Factor{{Prior: 0.5}, {Prior: 0.5}},
		[]Sign{{Seen: []Link{{0, 0.8}, {1, 0.9}}, Otherwise: tiny, Group: -1}}, Options{Unlisted: never})
	// By hand: P(flu | fever) = (.8 + .98) / (.8 + .9 + .98).
	p := n.Posterior(Evidence{Signs: []Outcome{Yes}})
	within(t, "flu", p.Present[0], 1.78/2.68, 1e-9)
}

// Source: Pearl 1988, Probabilistic Reasoning in Intelligent Systems, and
// Russell and Norvig, burglary network: P(burglary | John and Mary call) = .284.
// Their alarm table (.95, .94, .29, .001) is a noisy-OR but for the row with
// both causes (.957 instead of .95), which weighs 2e-6.
func TestBurglary(t *testing.T) {
	weight := func(p float64) float64 { return 1 - (1-p)/(1-0.001) }
	n := network(t, []Factor{{Prior: 0.001}, {Prior: 0.002}},
		[]Sign{{Seen: []Link{{0, weight(0.94)}, {1, weight(0.29)}}, Otherwise: 0.001, Group: -1}}, Options{Unlisted: always})
	calls := Soft(0.90 * 0.70 / (0.05 * 0.01))
	within(t, "burglary", n.Posterior(Evidence{Signs: []Outcome{calls}}).Root[0], 0.284, 0.0005)
}

// Source: Murphy 1998, A Brief Introduction to Graphical Models and Bayesian
// Networks: P(sprinkler | wet) = .4298, P(rain | wet) = .7079, P(sprinkler |
// wet and rain) = .1945 (explaining away). Cloudy holds the sprinkler back,
// which a noisy-OR cannot say, so the two skies are mixed by hand.
func TestSprinkler(t *testing.T) {
	wetGrass := Sign{Seen: []Link{{0, 0.9}, {1, 0.9}}, Otherwise: tiny, Group: -1}
	rainSeen := Sign{Seen: []Link{{1, 1 - 1e-15}}, Otherwise: tiny, Group: -1}
	var sprinkler, rain, wet, both, wetRain float64
	for _, sky := range []struct{ sprinkler, rain float64 }{{0.1, 0.8}, {0.5, 0.2}} {
		n := network(t, []Factor{{Prior: sky.sprinkler}, {Prior: sky.rain}}, []Sign{wetGrass, rainSeen}, Options{Unlisted: never})
		p := n.Posterior(Evidence{Signs: []Outcome{Yes}})
		isWet := 1 - (1-0.9*sky.sprinkler)*(1-0.9*sky.rain)
		wet += isWet
		sprinkler += isWet * p.Root[0]
		rain += isWet * p.Root[1]
		q := n.Posterior(Evidence{Signs: []Outcome{Yes, Yes}})
		isWetRain := sky.rain * (1 - 0.1*(1-0.9*sky.sprinkler))
		wetRain += isWetRain
		both += isWetRain * q.Root[0]
	}
	within(t, "P(sprinkler | wet)", sprinkler/wet, 0.4298, 5e-5)
	within(t, "P(rain | wet)", rain/wet, 0.7079, 5e-5)
	within(t, "P(sprinkler | wet, rain)", both/wetRain, 0.1945, 5e-5)
}

// Source: Eddy 1982, in Judgment under Uncertainty, as recomputed in
// Gigerenzer and Hoffrage 1995, Psychol Rev 102:684-704: prevalence 1 %, hit
// rate 80 %, false alarms 9.6 %: 7.8 %.
func TestOneLikelihoodRatio(t *testing.T) {
	n := network(t, []Factor{{Prior: 0.01}},
		[]Sign{{Seen: []Link{{0, 1 - 0.2/0.904}}, Otherwise: 0.096, Group: -1}}, Options{Unlisted: always})
	within(t, "P(ill | positive)", n.Posterior(Evidence{Signs: []Outcome{Yes}}).Root[0], 0.078, 0.0005)
}

// Source: Cover and Thomas, Elements of Information Theory, binary symmetric
// channel: capacity 1 - H(p); at 11 % error .500 bit.
func TestFairQuestionThroughANoisyReading(t *testing.T) {
	n := network(t, []Factor{{Prior: 0.5}},
		[]Sign{{Seen: []Link{{0, 1 - 1e-12}}, Otherwise: 1e-12, Reading: 0.11, Group: -1}}, Options{Unlisted: always})
	q := []Pattern{{{0, Yes}}, {{0, No}}}
	within(t, "bits", n.Gain(Evidence{}, q), 0.500, 0.0005)
	within(t, "bits of a first look", n.ReadAgain(Evidence{}, 0), 0.500, 0.0005)
}

// Worked figures of the model's own design, computed apart: one look with 20 %
// error at a strong sign is worth 2.6 when seen and .45 when not, three
// agreeing looks 4.5 (house default).
func TestWorthOfAStrongSign(t *testing.T) {
	seen, otherwise, _ := Supports("strong")
	reading, _ := Reading("eye")
	g := sign{chance: []float64{otherwise, 1 - (1-otherwise)*(1-seen)}, reading: reading}
	worth := func(o Outcome) float64 {
		c := g.credence(o)
		return likelihood(c, g.chance[1]) / likelihood(c, g.chance[0])
	}
	within(t, "seen", worth(Yes), 2.6, 0.1)
	within(t, "not seen", worth(No), 0.45, 0.01)
	within(t, "three looks", worth(Repeated(reading, 3, 0)), 4.5, 0.5)
}

// The likelihood ratios of measured evidence, recomputed by hand from
// (q1 λ + 1 - q1)/(q0 λ + 1 - q0) with q1 = .775, q0 = .10 and a prior of .30
// that the sign is there (house default).
func TestSoftEvidence(t *testing.T) {
	g := sign{chance: []float64{0.10, 0.775}}
	for _, row := range []struct{ p, want float64 }{{0.02, 0.29}, {0.10, 0.46}, {0.30, 1}, {0.50, 1.8}, {0.80, 4.1}, {0.98, 7.2}} {
		c := g.credence(Soft(row.p / (1 - row.p) / (0.30 / 0.70)))
		within(t, "LR", likelihood(c, 0.775)/likelihood(c, 0.10), row.want, 0.06)
	}
}
