package triage

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// Failure is one case of the rule base that came out otherwise than it says.
type Failure struct {
	Case  *rule.Case
	Lines []string // what was expected and what came, one line each
	Notes []string // what moved the factors that were expected, and the one that leads
	// Vacuous tells that a "not expected" holds only because nobody looked.
	Vacuous bool
}

// TestCases runs every case of the base and returns those that fail, in order.
func (m *Model) TestCases() []Failure {
	var out []Failure
	for i := range m.base.Cases {
		if f, failed := m.testCase(&m.base.Cases[i]); failed {
			out = append(out, f)
		}
	}
	return out
}

// Given returns the case of what an example says is known. The demand at the
// break follows from ladder.lost.
func (m *Model) Given(e rule.Example) Case {
	c := Case{Vector: m.base.Vector(e)}
	slot, ok := m.base.Catalogue.Slot("ladder.lost")
	if !ok || !c.Vector[slot].Known {
		return c
	}
	lost := m.base.Catalogue.At(slot).Format(c.Vector[slot])
	c.Break = make([]float64, len(m.base.Demands))
	for i, d := range m.base.Demands {
		if d.ID == lost {
			c.Break[i] = 1
		}
	}
	return c
}

func (m *Model) testCase(k *rule.Case) (Failure, bool) {
	c := m.Given(k.Given)
	r := m.gated(c.Vector)
	if ranks(k.Expect) || ranks(k.NotExpect) {
		m.Rank(c, r)
	}
	f := Failure{Case: k}
	for _, missed := range m.differences(k.Expect, c, r, true) {
		f.Lines = append(f.Lines, "expected "+missed)
	}
	for _, met := range m.differences(k.NotExpect, c, r, false) {
		f.Lines = append(f.Lines, "did not expect "+met)
	}
	if len(f.Lines) > 0 {
		f.Notes = m.spoke(k, c, r)
	} else {
		f.Lines = m.vacuous(k, c)
		f.Vacuous = len(f.Lines) > 0
	}
	return f, len(f.Lines) > 0
}

// ranks reports whether an expectation is about the order of the factors.
func ranks(x rule.Expectation) bool {
	return x.First != "" || len(x.FirstTwo)+len(x.Consequence)+len(x.Possible) > 0
}

// spoke tells of the factor that leads which sign moved it most, and of every
// expected one how its signs came out.
func (m *Model) spoke(k *rule.Case, c Case, r *Result) []string {
	var out []string
	if len(r.Factors) > 0 && len(r.Factors[0].Reasons) > 0 {
		f, top, side := r.Factors[0], r.Factors[0].Reasons[0], "for"
		if !top.For {
			side = "against"
		}
		out = append(out, fmt.Sprintf("%s comes first; of its signs %s speaks most, %s it (%s:%d)", f.Factor.ID, top.Sign.ID, side, top.Sign.Origin.Path, top.Sign.Origin.Line))
	}
	for _, id := range slices.Concat([]string{k.Expect.First}, k.Expect.FirstTwo, k.Expect.Possible) {
		if id != "" {
			out = append(out, m.signsOf(id, c))
		}
	}
	return out
}

// mostTold is how many signs of a kind a note names.
const mostTold = 4

// signsOf tells how the signs of a factor came out: "hinge: 2 signs hold (a, b),
// 1 is silent (c), 5 not seen".
func (m *Model) signsOf(factor string, c Case) string {
	by := map[fact.Truth][]string{}
	for i := range m.base.Signs {
		if s := &m.base.Signs[i]; about(s, factor) {
			truth := s.When.Eval(c.Vector)
			by[truth] = append(by[truth], s.ID)
		}
	}
	tell := func(t fact.Truth) string {
		ids := by[t]
		if len(ids) == 0 {
			return "none"
		}
		more := ""
		if n := len(ids) - mostTold; n > 0 {
			more = fmt.Sprintf(" and %d more", n)
		}
		return strings.Join(ids[:min(len(ids), mostTold)], ", ") + more
	}
	return fmt.Sprintf("of the signs of %s, hold: %s; silent: %s; not seen: %d", factor, tell(fact.Yes), tell(fact.No), len(by[fact.Unknown]))
}

// differences lists the expectations that are not met (want), or those that are
// (not want).
func (m *Model) differences(x rule.Expectation, c Case, r *Result, want bool) []string {
	var out []string
	check := func(holds bool, format string, args ...any) {
		if holds != want {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	if x.First != "" {
		check(firstIs(r, x.First), "the first factor %s, got %s", x.First, m.order(r))
	}
	for _, id := range x.FirstTwo {
		check(slices.Contains(ids(r, 2), id), "%s among the first two, got %s", id, m.order(r))
	}
	for _, pair := range x.Consequence {
		check(follow(r, pair[0], pair[1]), "%s as a consequence of %s, got %s", pair[0], pair[1], m.order(r))
	}
	for _, id := range x.Possible {
		check(slices.Contains(ids(r, len(r.Factors)), id), "%s among the factors, got %s", id, m.order(r))
	}
	for _, id := range x.Fires {
		check(m.truth(id, c) == fact.Yes, "%s to hold, it is %s", id, m.truth(id, c))
	}
	for _, id := range x.Silent {
		check(m.truth(id, c) == fact.No, "%s to be silent, it is %s", id, m.truth(id, c))
	}
	if x.Gate != "" {
		got := r.Gate.Decides()
		check(got == x.Gate, "the gate %s, got %s", x.Gate, got)
	}
	for _, id := range x.Cautions {
		check(slices.ContainsFunc(r.Cautions, func(k *rule.Caution) bool { return k.ID == id }), "the caution %s", id)
	}
	return out
}

// vacuous lists what a case does not expect and what stays away only because the
// case never gives what would bring it.
func (m *Model) vacuous(k *rule.Case, c Case) []string {
	var out []string
	unseen := func(id string) {
		out = append(out, fmt.Sprintf("proves nothing about %s: it reads what this case never gives, so the answer is \"not seen\" and not \"no\"", id))
	}
	for _, id := range slices.Concat(k.NotExpect.Fires, k.NotExpect.Cautions) {
		if m.truth(id, c) == fact.Unknown {
			unseen(id)
		}
	}
	for _, id := range slices.Concat([]string{k.NotExpect.First}, k.NotExpect.FirstTwo, k.NotExpect.Possible) {
		if id != "" && !m.looked(id, c) {
			out = append(out, fmt.Sprintf("proves nothing about %s: this case answers no sign that points to it", id))
		}
	}
	return out
}

// looked reports whether any sign of a factor is answered.
func (m *Model) looked(factor string, c Case) bool {
	return slices.ContainsFunc(m.base.Signs, func(s rule.Sign) bool {
		return about(&s, factor) && s.When.Eval(c.Vector) != fact.Unknown
	})
}

// truth tells whether a sign holds, or a gate or a caution of that id.
func (m *Model) truth(id string, c Case) fact.Truth {
	if s, ok := m.base.Sign(id); ok {
		return s.When.Eval(c.Vector)
	}
	if g, ok := m.base.Gate(id); ok {
		return g.Truth(c.Vector)
	}
	if k, ok := m.base.Caution(id); ok {
		return k.Truth(c.Vector)
	}
	return fact.Unknown
}

func firstIs(r *Result, id string) bool { return len(r.Factors) > 0 && r.Factors[0].Factor.ID == id }

// ids lists the first n factors.
func ids(r *Result, n int) []string {
	var out []string
	for _, f := range r.Factors[:min(n, len(r.Factors))] {
		out = append(out, f.Factor.ID)
	}
	return out
}

func follow(r *Result, id, of string) bool {
	return slices.ContainsFunc(r.Factors, func(f Ranked) bool {
		return f.Factor.ID == id && f.Role == Consequence && (of == "" || f.Of.ID == of)
	})
}

// order tells the factors in a line: "hinge 58 %, trunk_early 12 % (follows hinge)".
func (m *Model) order(r *Result) string {
	var out []string
	for _, f := range r.Factors {
		s := fmt.Sprintf("%s %.0f %%", f.Factor.ID, 100*f.Root)
		if f.Of != nil {
			s += " (follows " + f.Of.ID + ")"
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return "none"
	}
	return strings.Join(out, ", ")
}
