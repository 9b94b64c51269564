package rule

import (
	"slices"
	"strings"
	"testing"

	"rungwise/checklists"
	"rungwise/engine/cause"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/rules"
)

func embedded(t *testing.T) *Base {
	t.Helper()
	b, ds := Load(Options{Rules: rules.FS, Checklists: checklists.FS})
	if len(ds) > 0 {
		t.Fatalf("the rule base has faults:\n%s", written(t, ds))
	}
	return b
}

func TestNoCasesIsTheSameBase(t *testing.T) {
	full := embedded(t)
	bare, ds := Load(Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
	if len(ds) > 0 || len(bare.Cases) > 0 || bare.Hash != full.Hash || len(bare.Signs) != len(full.Signs) {
		t.Errorf("got %d cases, hash %s for %s, %v", len(bare.Cases), bare.Hash, full.Hash, ds)
	}
}

// The floors under which the base may not fall (house defaults).
func TestEmbeddedCounts(t *testing.T) {
	b := embedded(t)
	for _, c := range []struct {
		what       string
		got, least int
	}{
		{"factors", len(b.Factors), 19}, {"signs", len(b.Signs), 90}, {"drills", len(b.Drills), 45}, {"throws", len(b.Throws), 22},
		{"demands", len(b.Demands), 9}, {"gates", len(b.Gates), 7}, {"rows of the pitch table", len(b.Workload.Table), 7},
		{"limits by age", len(b.ByAge), 8}, {"cases", len(b.Cases), 3 * 19},
	} {
		if c.got < c.least {
			t.Errorf("%d %s, at least %d are asked", c.got, c.what, c.least)
		}
	}
	if _, err := cause.New(network(b)); err != nil {
		t.Error(err)
	}
}

func network(b *Base) ([]cause.Factor, []cause.Sign, cause.Options) {
	factors, signs := b.Network()
	return factors, signs, cause.Options{}
}

func TestEmbeddedExamples(t *testing.T) {
	b := embedded(t)
	for _, f := range b.TestExamples() {
		t.Errorf("%s", f.Diagnostic)
	}
	for _, s := range b.Signs {
		if len(s.Fires) == 0 || len(s.Still) == 0 {
			t.Errorf("the sign %s has an empty example", s.ID)
		}
	}
	for _, g := range b.Gates {
		if len(g.Fires) == 0 || len(g.Still) == 0 {
			t.Errorf("the gate %s has an empty example", g.ID)
		}
	}
	for _, c := range b.Cautions {
		if c.When != nil && (len(c.Fires) == 0 || len(c.Still) == 0) {
			t.Errorf("the caution %s has an empty example", c.ID)
		}
	}
}

func TestEveryFactorIsReached(t *testing.T) {
	b := embedded(t)
	for _, f := range b.Factors {
		signs := 0
		for _, s := range b.Signs {
			if slices.ContainsFunc(s.Seen, func(l Link) bool { return l.ID == f.ID }) {
				signs++
			}
		}
		least := 4
		if f.ID == "physical_limit" || f.ID == "reference_faded" || f.ID == "few_slope_throws" {
			least = 1
		}
		if signs < least {
			t.Errorf("%s has %d signs, at least %d are asked", f.ID, signs, least)
		}
		if drills := len(b.DrillsFor(f.ID)); !f.NoDrills && drills < 2 {
			t.Errorf("%s has %d drills, at least 2 are asked", f.ID, drills)
		}
	}
}

// Two signs of a factor that read the same facts would count one look twice,
// in a common group or not.
func TestSignsOfAFactorReadDifferentFacts(t *testing.T) {
	b := embedded(t)
	for i := range b.Signs {
		for j := range b.Signs[:i] {
			s, u := &b.Signs[i], &b.Signs[j]
			if both := shared(s, u); len(both) > 0 && slices.Equal(s.When.Reads(), u.When.Reads()) {
				t.Errorf("%s and %s read the same facts for %v", s.ID, u.ID, both)
			}
		}
	}
}

// What the checks over the whole base find in it has to be looked at: nothing
// may be left that weakens it.
func TestEmbeddedLint(t *testing.T) {
	for _, f := range embedded(t).Lint() {
		if f.Level == diag.Warning {
			t.Errorf("%s", f.Diagnostic)
		}
	}
}

func TestFewSignsAreABareChange(t *testing.T) {
	b := embedded(t)
	bare := 0
	for _, s := range b.Signs {
		if s.Bare != "" {
			bare++
		}
	}
	if 3*bare > len(b.Signs) {
		t.Errorf("%d of %d signs are a bare change, at most a third is asked", bare, len(b.Signs))
	}
}

// Gates in the order of the trade (common practice, no source): nothing comes
// before a referral, and going on comes last.
func TestGatesStandInOrder(t *testing.T) {
	b := embedded(t)
	last := 0
	for i, g := range b.Gates {
		if g.Verdict == Refer {
			if i > last {
				t.Errorf("the referral %s stands behind a gate of another kind", g.ID)
			}
			last = i + 1
		}
		if g.Verdict == GoOn && slices.ContainsFunc(b.Gates[i:], func(x Gate) bool { return x.Verdict != GoOn }) {
			t.Errorf("%s stands before a gate that may still refuse", g.ID)
		}
	}
	if first := b.Gates[last]; first.Verdict != NotEnough || len(first.Needs) < 4 {
		t.Errorf("after the referrals comes %s and not the open safety questions", first.ID)
	}
}

// Weighted implements have no place under 19 (Reinold 2018, Sports Health
// 10:327-333, reads 13-18 years; 19 is a house default).
func TestWeightedDrillsHaveAnAge(t *testing.T) {
	for _, d := range embedded(t).Drills {
		if d.Weighted && d.MinAge < 19 {
			t.Errorf("%s is weighted and allowed from %d", d.ID, d.MinAge)
		}
	}
}

// With both columns fixed, deleting an answer never makes a sign hold that did
// not: what nobody looked at is unknown.
func TestDeletingAnAnswerFiresNothing(t *testing.T) {
	b := embedded(t)
	for _, c := range b.Cases {
		full := b.Vector(c.Given)
		for slot := range full {
			if !full[slot].Known || b.Catalogue.At(slot).Constant {
				continue
			}
			less := slices.Clone(full)
			less[slot] = fact.Value{}
			for i := range b.Signs {
				if s := &b.Signs[i]; s.When.Eval(less) == fact.Yes && s.When.Eval(full) != fact.Yes {
					t.Errorf("%s: without %s, %s holds", c.ID, b.Catalogue.At(slot).Name, s.ID)
				}
			}
		}
	}
}

// For each factor a case in which it leads, one in which it must not, and one
// in which it is only the consequence.
func TestCasesCoverEveryFactor(t *testing.T) {
	b := embedded(t)
	for _, f := range b.Factors {
		var first, not, consequence bool
		for _, c := range b.Cases {
			first = first || c.Expect.First == f.ID || slices.Contains(c.Expect.FirstTwo, f.ID)
			not = not || c.NotExpect.First == f.ID || slices.Contains(c.NotExpect.FirstTwo, f.ID)
			consequence = consequence || slices.ContainsFunc(c.Expect.Consequence, func(p [2]string) bool { return p[0] == f.ID })
		}
		upstream := !slices.ContainsFunc(b.Factors, func(x Factor) bool {
			return slices.ContainsFunc(x.CanCause, func(l Link) bool { return l.ID == f.ID })
		})
		if !first || !not || !consequence && !upstream {
			t.Errorf("%s: a case in which it leads: %v, must not: %v, is the consequence: %v", f.ID, first, not, consequence)
		}
	}
}

// Words of other people's programmes and of the workshop have no place in the
// content; sentences for athletes end in a full stop.
func TestWordsForAthletes(t *testing.T) {
	b := embedded(t)
	for _, f := range b.Factors {
		if !strings.HasSuffix(f.InWords, ".") || len(f.InWords) < 40 {
			t.Errorf("%s is told to the athlete as %q", f.ID, f.InWords)
		}
	}
	for _, d := range b.Drills {
		if d.Cue == "" || d.Exit == "" || d.PutBackThrows == 0 {
			t.Errorf("%s lacks a cue, a test or throws to put it back", d.ID)
		}
		if d.Throws == 0 && d.Reps == 0 {
			t.Errorf("%s has neither throws nor repeats", d.ID)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, ds := Load(Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true}); ds.Errors() > 0 {
			b.Fatal("the rule base has faults")
		}
	}
}

func BenchmarkLint(b *testing.B) {
	base, _ := Load(Options{Rules: rules.FS, Checklists: checklists.FS})
	for b.Loop() {
		base.Lint()
	}
}
