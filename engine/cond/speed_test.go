package cond

import (
	"math/rand/v2"
	"testing"

	"github.com/expr-lang/expr/vm"

	"rungwise/engine/fact"
)

// TestEvalAllocatesNothing is exact: one allocation would show.
func TestEvalAllocatesNothing(t *testing.T) {
	cat := catalogue(t)
	rng := rand.New(rand.NewPCG(9, 10))
	v := randomVector(rng, cat, 0.2)
	for range 300 {
		c := compile(t, cat, generated(rng, cat, 3))
		if n := testing.AllocsPerRun(5, func() { c.Eval(v) }); n != 0 {
			t.Fatalf("%s allocates %v times", c.Text(), n)
		}
	}
}

// base is 200 conditions as rules have them.
func base(t testing.TB, cat *fact.Catalogue) []string {
	t.Helper()
	forms := []string{
		`best.weight_shift == "early" and stuck.weight_shift in ["late", "none"]`,
		`changed.hinge`,
		`not changed.hinge and ladder.found`,
		`load.mound_throws_28d < limit.few_slope_throws`,
		`ladder.lost == "lift" and best.hinge == "holds" and stuck.hinge != "holds"`,
		`abs(best.back_knee_bend - stuck.back_knee_bend) > 7`,
		`between(athlete.age, 13, 18) and (rung.miss == "high" or rung.miss == "low")`,
		`load.growth > limit.spike_alarm or screen.pain in ["soreness", "pain"]`,
	}
	out := make([]string, 200)
	for i := range out {
		out[i] = forms[i%len(forms)]
	}
	return out
}

func BenchmarkEval(b *testing.B) {
	cat := catalogue(b)
	rng := rand.New(rand.NewPCG(11, 12))
	var conditions []*Condition
	for _, text := range base(b, cat) {
		conditions = append(conditions, compile(b, cat, text))
	}
	vectors := make([]fact.Vector, 16)
	for i := range vectors {
		vectors[i] = randomVector(rng, cat, 0)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		for _, c := range conditions {
			c.Eval(vectors[i%len(vectors)])
		}
	}
}

// BenchmarkMachine is the same 200 conditions on the expression library's own
// machine, used again, with the environments built before.
func BenchmarkMachine(b *testing.B) {
	cat := catalogue(b)
	m := newMachine(b, cat)
	rng := rand.New(rand.NewPCG(11, 12))
	var programs []*vm.Program
	for _, text := range base(b, cat) {
		tree := m.parse(b, text)
		programs = append(programs, m.program(b, tree, tree.Node))
	}
	environments := make([]map[string]any, 16)
	for i := range environments {
		environments[i] = m.environment(randomVector(rng, cat, 0))
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		for _, p := range programs {
			if _, err := m.vm.Run(p, environments[i%len(environments)]); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkCompile(b *testing.B) {
	cat := catalogue(b)
	texts := base(b, cat)
	b.ReportAllocs()
	for b.Loop() {
		for _, text := range texts {
			compile(b, cat, text)
		}
	}
}

func BenchmarkTurn(b *testing.B) {
	cat := catalogue(b)
	rng := rand.New(rand.NewPCG(13, 14))
	v := randomVector(rng, cat, 0)
	var conditions []*Condition
	for _, text := range base(b, cat) {
		conditions = append(conditions, compile(b, cat, text))
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, c := range conditions {
			c.Turn(v, c.Eval(v).Not(), nil)
		}
	}
}
