package triage

import "testing"

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
