package cond

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/compiler"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/types"
	"github.com/expr-lang/expr/vm"

	"rungwise/engine/fact"
)

// machine is the expression library's own evaluation, built apart from ours:
// one typed environment, its own function, its own optimiser.
type machine struct {
	cat    *fact.Catalogue
	config *conf.Config
	vm     vm.VM
	made   map[ast.Node]*vm.Program
}

func newMachine(t testing.TB, cat *fact.Catalogue) *machine {
	t.Helper()
	env := types.Map{}
	for i := range cat.Len() {
		f := cat.At(i)
		group, id, _ := strings.Cut(f.Name, ".")
		if env[group] == nil {
			env[group] = types.Map{}
		}
		env[group].(types.Map)[id] = map[fact.Kind]types.Type{fact.Number: types.Float64, fact.YesNo: types.Bool, fact.Choice: types.String}[f.Kind]
	}
	config := conf.CreateNew()
	expr.Env(env)(config)
	expr.Function("between", func(p ...any) (any, error) {
		return p[1].(float64) <= p[0].(float64) && p[0].(float64) <= p[2].(float64), nil
	}, new(func(x, low, high float64) bool))(config)
	return &machine{cat: cat, config: config, made: map[ast.Node]*vm.Program{}}
}

// program compiles one part of a tree by itself.
func (m *machine) program(t testing.TB, tree *parser.Tree, n ast.Node) *vm.Program {
	t.Helper()
	if p, ok := m.made[n]; ok {
		return p
	}
	p, err := compiler.Compile(&parser.Tree{Node: n, Source: tree.Source}, m.config)
	if err != nil {
		t.Fatal(err)
	}
	m.made[n] = p
	return p
}

func (m *machine) parse(t testing.TB, text string) *parser.Tree {
	t.Helper()
	tree, err := checker.ParseCheck(text, m.config)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return tree
}

// environment gives the machine what is known, and nothing of what is not.
func (m *machine) environment(v fact.Vector) map[string]any {
	env := map[string]any{}
	for i := range m.cat.Len() {
		f := m.cat.At(i)
		group, id, _ := strings.Cut(f.Name, ".")
		if env[group] == nil {
			env[group] = map[string]any{}
		}
		if !v[i].Known {
			continue
		}
		var x any = v[i].N
		switch f.Kind {
		case fact.YesNo:
			x = v[i].N != 0
		case fact.Choice:
			x = f.Answers[int(v[i].N)].ID
		}
		env[group].(map[string]any)[id] = x
	}
	return env
}

// truth is the reference: a comparison runs on the machine only when all it
// reads is known, and Kleene's logic joins the comparisons.
func (m *machine) truth(t testing.TB, tree *parser.Tree, n ast.Node, v fact.Vector, env map[string]any) fact.Truth {
	switch n := n.(type) {
	case *ast.UnaryNode:
		if n.Operator == "not" || n.Operator == "!" {
			return m.truth(t, tree, n.Node, v, env).Not()
		}
	case *ast.BinaryNode:
		switch n.Operator {
		case "and", "&&":
			return m.truth(t, tree, n.Left, v, env).And(m.truth(t, tree, n.Right, v, env))
		case "or", "||":
			return m.truth(t, tree, n.Left, v, env).Or(m.truth(t, tree, n.Right, v, env))
		}
	}
	reads := &readsOf{cat: m.cat}
	ast.Walk(&n, reads)
	for _, slot := range reads.slots {
		if !v[slot].Known {
			return fact.Unknown
		}
	}
	got, err := m.vm.Run(m.program(t, tree, n), env)
	if err != nil {
		t.Fatal(err)
	}
	return fact.Of(got.(bool))
}

// readsOf collects the facts of a tree.
type readsOf struct {
	cat   *fact.Catalogue
	slots []int
}

func (r *readsOf) Visit(n *ast.Node) {
	if m, ok := (*n).(*ast.MemberNode); ok {
		if slot, ok := r.cat.Slot(m.String()); ok {
			r.slots = append(r.slots, slot)
		}
	}
}

// TestAgreesWithTheMachine compares Eval with the expression library over
// generated conditions and vectors: its own evaluation of the whole condition
// where everything is known, the reference where not.
func TestAgreesWithTheMachine(t *testing.T) {
	cat := catalogue(t)
	m := newMachine(t, cat)
	rng := rand.New(rand.NewPCG(1, 2))
	conditions, vectors := 500, 8
	if *study {
		conditions, vectors = 40000, 40
	}
	seen := map[fact.Truth]int{}
	for range conditions {
		text := generated(rng, cat, 3)
		c := compile(t, cat, text)
		tree := m.parse(t, text)
		whole := m.program(t, tree, tree.Node)
		for range vectors {
			v := randomVector(rng, cat, 0)
			got, err := m.vm.Run(whole, m.environment(v))
			if err != nil {
				t.Fatalf("%s: %v", text, err)
			}
			if c.Eval(v) != fact.Of(got.(bool)) {
				t.Fatalf("%s is %v here and %v there, for %v", text, c.Eval(v), got, v)
			}
			v = randomVector(rng, cat, 0.3)
			want := m.truth(t, tree, tree.Node, v, m.environment(v))
			if c.Eval(v) != want {
				t.Fatalf("%s is %v here and %v there, for %v", text, c.Eval(v), want, v)
			}
			seen[want]++
		}
	}
	for _, x := range []fact.Truth{fact.Yes, fact.No, fact.Unknown} {
		if seen[x] < conditions {
			t.Errorf("only %d outcomes of %d were %v: the generator is too narrow", seen[x], conditions*vectors, x)
		}
	}
}

// absent is every row of what the expression library makes of an absent
// value: an error, a silent no, or a silent yes. The forms it has and
// conditions have not are left out.
var absent = []struct{ text, machine string }{
	{`best.back_knee_bend > 3`, "error"},
	{`best.back_knee_bend + 1 > 3`, "error"},
	{`-best.back_knee_bend > 3`, "error"},
	{`best.back_knee_bend == 3`, "no"},
	{`best.back_knee_bend != 3`, "yes"},
	{`athlete.age in [8, 9]`, "no"},
	{`athlete.age not in [8, 9]`, "yes"},
	{`athlete.age in 8..12`, "no"},
	{`screen.pain == "pain"`, "error"},
	{`screen.pain != "pain"`, "error"},
	{`screen.pain in ["pain"]`, "no"},
	{`screen.pain not in ["pain"]`, "yes"},
	{`not (screen.pain in ["pain"])`, "yes"},
	{`not (best.back_knee_bend == 3)`, "yes"},
	{`screen.numbness == true`, "no"},
	{`screen.numbness != true`, "yes"},
	{`not screen.numbness`, "error"},
	{`abs(best.back_knee_bend) > 3`, "error"},
	{`between(best.back_knee_bend, 1, 2)`, "error"},
	{`best.hinge == stuck.hinge`, "error"},
	{`best.hinge != stuck.hinge`, "error"},
}

// TestAbsentIsUnknown holds the table: the middle column shows why the
// expression library never sees an absent value.
func TestAbsentIsUnknown(t *testing.T) {
	cat := catalogue(t)
	m := newMachine(t, cat)
	v := cat.Vector()
	for _, row := range absent {
		if got := compile(t, cat, row.text).Eval(v); got != fact.Unknown {
			t.Errorf("%s is %v, want not known", row.text, got)
		}
		tree := m.parse(t, row.text)
		there := "error"
		func() {
			defer func() { _ = recover() }()
			if got, err := m.vm.Run(m.program(t, tree, tree.Node), m.environment(v)); err == nil {
				there = map[bool]string{true: "yes", false: "no"}[got.(bool)]
			}
		}()
		if there != row.machine {
			t.Errorf("%s: the expression library says %s of nothing, the table %s", row.text, there, row.machine)
		}
	}
}
