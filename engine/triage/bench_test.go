package triage

import (
	"math/rand/v2"
	"testing"

	"rungwise/engine/cond"
)

// One case as a coach meets it: everything seen before landing, the rest open.
func BenchmarkRun(b *testing.B) {
	m := model(b)
	c := m.Given(m.base.Cases[0].Given)
	b.ReportAllocs()
	for b.Loop() {
		m.Run(c)
	}
}

func BenchmarkRank(b *testing.B) {
	m := model(b)
	c := m.Given(m.base.Cases[0].Given)
	b.ReportAllocs()
	for b.Loop() {
		m.Rank(c, &Result{})
	}
}

func BenchmarkNextLook(b *testing.B) {
	m := model(b)
	c := m.Given(m.base.Cases[0].Given)
	b.ReportAllocs()
	for b.Loop() {
		m.NextLook(c)
	}
}

func BenchmarkShaky(b *testing.B) {
	m := model(b)
	c := m.Given(m.base.Cases[0].Given)
	r := &Result{}
	e, s := m.ranking(c, r)
	b.ReportAllocs()
	for b.Loop() {
		m.shaky(c, e, s, r)
	}
}

// Ten thousand draws of every number that any rule reads, all of them known.
func BenchmarkSteady(b *testing.B) {
	m := model(b)
	c := drawn(rand.New(rand.NewPCG(69, 70)), m, 0)
	var rules []*cond.Condition
	for _, r := range m.base.Conditions() {
		rules = append(rules, r.When)
	}
	b.ReportAllocs()
	for b.Loop() {
		m.Steady(c, rules...)
	}
}

// The whole of it as one: gate, rank with reasons, flip-one over all answers,
// 200 re-readings, next look over all that was not seen, and 10,000 draws of
// the numbers for every rule.
func BenchmarkWhole(b *testing.B) {
	m := model(b)
	c := drawn(rand.New(rand.NewPCG(73, 74)), m, 0.3)
	var rules []*cond.Condition
	for _, r := range m.base.Conditions() {
		rules = append(rules, r.When)
	}
	b.ReportAllocs()
	for b.Loop() {
		m.whole(c)
		m.Steady(c, rules...)
	}
}
