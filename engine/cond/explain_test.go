package cond

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"rungwise/engine/fact"
)

// outline writes an explanation on one line: each comparison with its outcome
// and its values, those that decided in brackets.
func outline(e Explained) string {
	if e.Join == "" {
		var values []string
		for _, r := range e.Facts {
			values = append(values, r.Value)
		}
		s := fmt.Sprintf("%s{%s} %v", e.Text, strings.Join(values, ","), e.Truth)
		if e.Decided {
			return "[" + s + "]"
		}
		return s
	}
	var parts []string
	for _, p := range e.Parts {
		parts = append(parts, outline(p))
	}
	if e.Join == "not" {
		return "not (" + parts[0] + ")"
	}
	return "(" + strings.Join(parts, " "+e.Join+" ") + ")"
}

func TestExplain(t *testing.T) {
	cat := catalogue(t)
	v := vector(t, cat, map[string]string{"athlete.age": "15", "best.hinge": "holds", "screen.pop": "no", "load.growth": "1.5"})
	for text, want := range map[string]string{
		`athlete.age > 20 and screen.pop and stuck.hinge == "none"`: `([athlete.age > 20{15} no] and screen.pop{no} no and stuck.hinge == "none"{not seen} not known)`,
		`athlete.age > 10 and not (stuck.hinge in ["none"])`:        `(athlete.age > 10{15} yes and not ([stuck.hinge in ["none"]{not seen} not known]))`,
		`athlete.age > 10 and not screen.pop`:                       `([athlete.age > 10{15} yes] and not ([screen.pop{no} no]))`,
		`screen.pop or best.hinge == "holds" or athlete.age > 10`:   `(screen.pop{no} no or [best.hinge == "holds"{holds} yes] or athlete.age > 10{15} yes)`,
		`10 < athlete.age < 13 and (screen.pop or screen.numbness)`: `(10 < athlete.age{15} yes and [athlete.age < 13{15} no] and (screen.pop{no} no or screen.numbness{not seen} not known))`,
		`load.growth > limit.spike_alarm`:                           `[load.growth > limit.spike_alarm{1.5,1.3} yes]`,
		`between(abs(athlete.age - 3), (1 + 2), 4)`:                 `[between(abs(athlete.age - 3), (1 + 2), 4){15} no]`,
	} {
		if got := outline(compile(t, cat, text).Explain(v)); got != want {
			t.Errorf("%s\n got %s\nwant %s", text, got, want)
		}
	}
}

// TestExplainHolds holds, over generated conditions, that every clause is
// where it says, that it has the outcome it would have alone, and that the
// clauses marked as deciding are enough: with all others taken for unknown the
// outcome is the same.
func TestExplainHolds(t *testing.T) {
	cat := catalogue(t)
	rng := rand.New(rand.NewPCG(3, 4))
	for range 400 {
		c := compile(t, cat, generated(rng, cat, 3))
		v := randomVector(rng, cat, 0.3)
		e := c.Explain(v)
		checkClauses(t, cat, c, e, v)
		if got := fromDeciding(e); got != c.Eval(v) || e.Truth != got {
			t.Fatalf("%s is %v; what decided gives %v", c.Text(), c.Eval(v), got)
		}
	}
}

func checkClauses(t *testing.T, cat *fact.Catalogue, c *Condition, e Explained, v fact.Vector) {
	t.Helper()
	if got := string(c.runes[e.From:e.To]); got != e.Text {
		t.Fatalf("%s: a clause says %q and stands at %q", c.Text(), e.Text, got)
	}
	if alone := compile(t, cat, e.Text); alone.Eval(v) != e.Truth {
		t.Fatalf("%s: %s is %v alone and %v here", c.Text(), e.Text, alone.Eval(v), e.Truth)
	}
	for _, r := range e.Facts {
		if got := string(c.runes[r.From:r.To]); got != r.Name {
			t.Fatalf("%s: %s stands at %q", c.Text(), r.Name, got)
		}
	}
	for _, p := range e.Parts {
		checkClauses(t, cat, c, p, v)
	}
}

// fromDeciding is the outcome of the clauses that decided.
func fromDeciding(e Explained) fact.Truth {
	if !e.Decided {
		return fact.Unknown
	}
	if e.Join == "" {
		return e.Truth
	}
	out := fromDeciding(e.Parts[0])
	if e.Join == "not" {
		return out.Not()
	}
	for _, p := range e.Parts[1:] {
		if e.Join == "and" {
			out = out.And(fromDeciding(p))
		} else {
			out = out.Or(fromDeciding(p))
		}
	}
	return out
}
