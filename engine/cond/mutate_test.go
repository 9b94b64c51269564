package cond

import (
	"testing"

	"rungwise/engine/fact"
)

// Each edit gives another condition, or one that comes out the same in every
// case; none of them changes the original.
func TestMutants(t *testing.T) {
	cat := catalogue(t)
	for _, c := range []struct {
		text  string
		edits []string
	}{
		{`changed.hinge`, []string{"`not` put in"}},
		{`not changed.hinge`, []string{"`not` taken away", "`not` put in"}},
		{`athlete.age < 15`, []string{"`<` made `<=`", "`<` made `>`", "15 made 14", "15 made 16"}},
		{`best.hinge == "none"`, []string{"`==` made `!=`", `answer made "holds"`, `answer made "folds_late"`}},
		{`best.hinge in ["none", "folds_late"]`, []string{"`in` and `not in` exchanged", "none left out of the list", "folds_late left out of the list", "holds put into the list"}},
		{`between(athlete.age, 10, 12)`, []string{"10 made 9", "10 made 11", "12 made 11", "12 made 13"}},
		{`screen.pop and screen.numbness`, []string{"`and` made `or`", "left out", "`not` put in", "left out", "`not` put in"}},
	} {
		k, faults := Compile(c.text, cat)
		if k == nil {
			t.Fatal(c.text, faults)
		}
		var got []string
		for _, m := range k.Mutants() {
			got = append(got, m.Edit)
			if s := Splits(k, m.Changed); !s.Analysed || s.Differs == nil {
				t.Errorf("%s: %s changes nothing", c.text, m.Edit)
			}
		}
		if len(got) != len(c.edits) {
			t.Errorf("%s: got %q, want %q", c.text, got, c.edits)
			continue
		}
		for i := range got {
			if got[i] != c.edits[i] {
				t.Errorf("%s: got %q, want %q", c.text, got[i], c.edits[i])
			}
		}
	}
}

func TestSplits(t *testing.T) {
	cat := catalogue(t)
	for _, c := range []struct {
		a, b    string
		opposed bool
	}{
		{`changed.hinge`, `not changed.hinge`, true},
		{`athlete.age < 15`, `athlete.age >= 15`, true},
		{`athlete.age < 15`, `athlete.age > 15`, false},
		{`best.hinge == "none"`, `best.hinge in ["holds", "folds_late"]`, true},
		{`best.hinge == "none"`, `best.hinge == "holds"`, false},
		{`screen.pop`, `screen.numbness`, false},
		{`athlete.age > load.growth`, `not (athlete.age > load.growth)`, false}, // not analysed
	} {
		a, _ := Compile(c.a, cat)
		b, _ := Compile(c.b, cat)
		if a == nil || b == nil {
			t.Fatal(c.a, c.b)
		}
		s := Splits(a, b)
		if s.Opposed() != c.opposed {
			t.Errorf("%s and %s: %v, want %v", c.a, c.b, s.Opposed(), c.opposed)
		}
		for _, k := range []struct {
			set  []Setting
			x, y fact.Truth
		}{{s.Both, fact.Yes, fact.Yes}, {s.Neither, fact.No, fact.No}} {
			if k.set == nil {
				continue
			}
			v := cat.Vector()
			for _, set := range k.set {
				v[set.Slot] = set.Value
			}
			if a.Eval(v) != k.x || b.Eval(v) != k.y {
				t.Errorf("%s and %s: the case shows %v, %v", c.a, c.b, a.Eval(v), b.Eval(v))
			}
		}
	}
}
