package cond

import (
	"strings"
	"testing"
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
			if example, _ := Differ(k, m.Changed); example == nil {
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

func TestOpposedAndDiffer(t *testing.T) {
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
		example, opposed := Opposed(a, b)
		if opposed != c.opposed {
			t.Errorf("%s and %s: %v, want %v", c.a, c.b, opposed, c.opposed)
		}
		differ, analysed := Differ(a, b)
		for _, set := range [][]Setting{example, differ} {
			if v := settled(cat, set); set != nil && a.Eval(v) == b.Eval(v) {
				t.Errorf("%s and %s: the case shows %v, %v", c.a, c.b, a.Eval(v), b.Eval(v))
			}
		}
		if analysed != !strings.Contains(c.a, "load.growth") {
			t.Errorf("%s and %s: analysed %v", c.a, c.b, analysed)
		}
	}
}
