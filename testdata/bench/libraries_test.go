package bench

import (
	"math"
	"reflect"
	"testing"

	"github.com/casbin/govaluate"
	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"
	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
)

// library evaluates compiled conditions over one case, whose facts can be set
// one by one.
type library interface {
	set(slot int, v fact.Value)
	holds(rule int) bool
}

// native is a fact's value as the other libraries take it.
func native(f fact.Fact, v fact.Value) any {
	switch f.Kind {
	case fact.YesNo:
		return v.N != 0
	case fact.Choice:
		return f.Answers[int(v.N)].ID
	}
	return v.N
}

// flatMap is a case as a map of flat names.
type flatMap struct {
	cat   *fact.Catalogue
	names []string
	facts map[string]any
}

func newFlatMap(cat *fact.Catalogue) flatMap {
	m := flatMap{cat: cat, facts: map[string]any{}}
	for i := range cat.Len() {
		m.names = append(m.names, Flat(cat.At(i).Name))
	}
	return m
}

func (m flatMap) set(slot int, v fact.Value) {
	if f := m.cat.At(slot); !f.Constant {
		m.facts[m.names[slot]] = native(f, v)
	}
}

// sample is a value of every fact's type.
func (m flatMap) sample() map[string]any {
	out := map[string]any{}
	for i := range m.cat.Len() {
		if f := m.cat.At(i); !f.Constant {
			out[m.names[i]] = native(f, fact.Num(0))
		}
	}
	return out
}

// translated writes the texts in a dialect.
func translated(t testing.TB, cat *fact.Catalogue, texts []string, d Dialect) []string {
	t.Helper()
	out := make([]string, len(texts))
	for i, text := range texts {
		s, err := Translate(text, cat, d)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = s
	}
	return out
}

// own is this module's conditions.
type own struct {
	vector     fact.Vector
	conditions []*cond.Condition
}

func newOwn(t testing.TB, cat *fact.Catalogue, texts []string) *own {
	t.Helper()
	o := &own{vector: cat.Vector()}
	for _, text := range texts {
		c, faults := cond.Compile(text, cat)
		if c == nil {
			t.Fatalf("%s: %v", text, faults[0].Headline)
		}
		o.conditions = append(o.conditions, c)
	}
	return o
}

func (o *own) set(slot int, v fact.Value) { o.vector[slot] = v }
func (o *own) holds(rule int) bool        { return o.conditions[rule].Eval(o.vector) == fact.Yes }

// machine is expr's own virtual machine, used again.
type machine struct {
	flatMap
	vm       vm.VM
	programs []*vm.Program
}

func newMachine(t testing.TB, cat *fact.Catalogue, texts []string) *machine {
	t.Helper()
	m := &machine{flatMap: newFlatMap(cat)}
	options := []expr.Option{expr.Env(m.sample()), expr.Function("between", func(p ...any) (any, error) {
		return p[1].(float64) <= p[0].(float64) && p[0].(float64) <= p[2].(float64), nil
	}, new(func(x, low, high float64) bool))}
	for _, text := range translated(t, cat, texts, Expr()) {
		p, err := expr.Compile(text, options...)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if p.Node().Type().Kind() != reflect.Bool {
			t.Fatalf("%s is not a yes or no", text)
		}
		m.programs = append(m.programs, p)
	}
	return m
}

func (m *machine) holds(rule int) bool {
	out, err := m.vm.Run(m.programs[rule], m.facts)
	if err != nil {
		panic(err)
	}
	return out.(bool)
}

// celGo is cel-go.
type celGo struct {
	flatMap
	programs   []cel.Program
	activation cel.Activation
}

func newCel(t testing.TB, cat *fact.Catalogue, texts []string) *celGo {
	t.Helper()
	c := &celGo{flatMap: newFlatMap(cat)}
	options := []cel.EnvOption{
		cel.Function("between", cel.Overload("between_double", []*cel.Type{cel.DoubleType, cel.DoubleType, cel.DoubleType}, cel.BoolType,
			cel.FunctionBinding(func(p ...ref.Val) ref.Val {
				return types.Bool(p[1].(types.Double) <= p[0].(types.Double) && p[0].(types.Double) <= p[2].(types.Double))
			}))),
		cel.Function("abs", cel.Overload("abs_double", []*cel.Type{cel.DoubleType}, cel.DoubleType,
			cel.UnaryBinding(func(x ref.Val) ref.Val { return types.Double(math.Abs(float64(x.(types.Double)))) }))),
	}
	for i := range cat.Len() {
		f := cat.At(i)
		kind := map[fact.Kind]*cel.Type{fact.Number: cel.DoubleType, fact.YesNo: cel.BoolType, fact.Choice: cel.StringType}[f.Kind]
		options = append(options, cel.Variable(c.names[i], kind))
	}
	env, err := cel.NewEnv(options...)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range translated(t, cat, texts, Cel()) {
		tree, issues := env.Compile(text)
		if issues.Err() != nil {
			t.Fatalf("%s: %v", text, issues.Err())
		}
		p, err := env.Program(tree, cel.EvalOptions(cel.OptOptimize))
		if err != nil {
			t.Fatal(err)
		}
		c.programs = append(c.programs, p)
	}
	if c.activation, err = cel.NewActivation(c.facts); err != nil {
		t.Fatal(err)
	}
	return c
}

func (c *celGo) holds(rule int) bool {
	out, _, err := c.programs[rule].Eval(c.activation)
	if err != nil {
		panic(err)
	}
	return bool(out.(types.Bool))
}

// govaluated is govaluate.
type govaluated struct {
	flatMap
	expressions []*govaluate.EvaluableExpression
}

func newGovaluate(t testing.TB, cat *fact.Catalogue, texts []string) *govaluated {
	t.Helper()
	g := &govaluated{flatMap: newFlatMap(cat)}
	functions := map[string]govaluate.ExpressionFunction{
		"abs": func(p ...any) (any, error) { return math.Abs(p[0].(float64)), nil },
		"between": func(p ...any) (any, error) {
			return p[1].(float64) <= p[0].(float64) && p[0].(float64) <= p[2].(float64), nil
		},
	}
	for _, text := range translated(t, cat, texts, Govaluate()) {
		e, err := govaluate.NewEvaluableExpressionWithFunctions(text, functions)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		g.expressions = append(g.expressions, e)
	}
	return g
}

func (g *govaluated) holds(rule int) bool {
	out, err := g.expressions[rule].Eval(govaluate.MapParameters(g.facts))
	if err != nil {
		panic(err)
	}
	return out.(bool)
}

// again is the same programs over another case.
func (c *celGo) again(t testing.TB) *celGo {
	t.Helper()
	next := &celGo{flatMap: newFlatMap(c.cat), programs: c.programs}
	var err error
	if next.activation, err = cel.NewActivation(next.facts); err != nil {
		t.Fatal(err)
	}
	return next
}
