package fact

import "testing"

// The tables are Kleene's strong three-valued logic (Kleene 1952, Introduction
// to Metamathematics, section 64; from memory).
func TestTruthTables(t *testing.T) {
	u, n, y := Unknown, No, Yes
	for _, c := range []struct{ a, b, and, or Truth }{
		{y, y, y, y}, {y, n, n, y}, {y, u, u, y},
		{n, y, n, y}, {n, n, n, n}, {n, u, n, u},
		{u, y, u, y}, {u, n, n, u}, {u, u, u, u},
	} {
		if got := c.a.And(c.b); got != c.and {
			t.Errorf("%v and %v = %v, want %v", c.a, c.b, got, c.and)
		}
		if got := c.a.Or(c.b); got != c.or {
			t.Errorf("%v or %v = %v, want %v", c.a, c.b, got, c.or)
		}
	}
	if y.Not() != n || n.Not() != y || u.Not() != u {
		t.Error("not does not swap yes and no, or touches unknown")
	}
}

func TestParseAndFormatAgree(t *testing.T) {
	choice := Fact{Name: "best.hinge", Kind: Choice, Answers: []Answer{{ID: "holds"}, {ID: "none"}}}
	number := Fact{Name: "athlete.age", Kind: Number, Unit: "years", Low: 5, High: 60}
	flag := Fact{Name: "screen.numbness", Kind: YesNo}
	for _, c := range []struct {
		f    Fact
		text string
		ok   bool
	}{
		{choice, "none", true}, {choice, "bad", false}, {number, "19", true}, {number, "4", false},
		{number, "nan", false}, {flag, "no", true}, {flag, "maybe", false},
	} {
		v, err := c.f.Parse(c.text)
		if (err == nil) != c.ok || v.Known != c.ok {
			t.Errorf("%s: %q gave %v, %v", c.f.Name, c.text, v, err)
		}
		if c.ok && c.f.Format(v) != c.text {
			t.Errorf("%s: %q came back as %q", c.f.Name, c.text, c.f.Format(v))
		}
	}
}

func TestNothingIsKnownAtFirst(t *testing.T) {
	c, err := NewCatalogue([]Fact{{Name: "a", Kind: YesNo}, {Name: "limit.x", Kind: Number, Constant: true, Value: 3}})
	if err != nil {
		t.Fatal(err)
	}
	v := c.Vector()
	if v[0].Known || v[1] != Num(3) {
		t.Errorf("got %v", v)
	}
	if _, err := NewCatalogue([]Fact{{Name: "a"}, {Name: "a"}}); err == nil {
		t.Error("a fact declared twice was taken")
	}
}
