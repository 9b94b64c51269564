package cond

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/types"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// mostNodes bounds the size of a condition's tree; the longest rule of the
// trade has some forty nodes.
const mostNodes = 200

// check reads the whole condition; the clause is nil when it cannot be built.
func (k *reader) check(text string) *clause {
	if strings.TrimSpace(text) == "" {
		k.fault(span{0, len(k.runes)}, "R128", "the condition is empty", "", "", "write what must be seen, such as best.hinge == \"holds\"")
		return nil
	}
	if len(k.runes) > mostRunes {
		k.fault(k.beginning(), "R129", fmt.Sprintf("the condition is longer than %d characters", mostRunes), "", "", "split it into two rules")
		return nil
	}
	k.marks = scan(k.runes)
	k.checkMarks()
	k.checkNames()
	if len(k.faults) > 0 {
		return nil
	}
	k.walked = map[ast.Node]part{}
	config := &conf.Config{Strict: true, MaxNodes: mostNodes, Functions: functions}
	tree, err := parser.ParseWithConfig(text, config)
	if err != nil {
		k.unreadable(err)
		return nil
	}
	c := k.condition(k.walk(tree.Node))
	if c == nil || k.failed() {
		return nil
	}
	if c.op != opConst && len(c.slots(nil)) == 0 {
		k.fault(c.span, "R138", "the condition reads no fact", "", "it comes out the same for every athlete", "compare a fact").Level = diag.Warning
	}
	config.WithEnv(k.environment())
	if kind, err := checker.Check(tree, config); err != nil {
		k.unreadable(err)
	} else if kind.Kind() != reflect.Bool {
		k.fault(c.span, "R199", "this is neither yes nor no", "", "", "compare it with something")
	}
	return c
}

func (k *reader) failed() bool {
	for _, f := range k.faults {
		if f.Level == diag.Error {
			return true
		}
	}
	return false
}

// beginning is the first word of the text, for faults of the whole of it.
func (k *reader) beginning() span {
	for _, m := range scan(k.runes[:min(len(k.runes), 200)]) {
		return m.span
	}
	return span{0, len(k.runes)}
}

// functions are those that a condition may call besides abs, which is built
// into the expression language.
var functions = conf.FunctionsTable{"between": &builtin.Function{
	Name:  "between",
	Types: []reflect.Type{reflect.TypeFor[func(x, low, high float64) bool]()},
}}

// environment gives the expression library the types of what the text names,
// and nothing else: a name that is not there cannot be read by mistake.
func (k *reader) environment() types.Map {
	env := types.Map{}
	for _, m := range k.marks {
		f, ok := k.cat.Lookup(m.text)
		if m.kind != name || !ok {
			continue
		}
		in, path := env, strings.Split(f.Name, ".")
		for _, group := range path[:len(path)-1] {
			inner, ok := in[group].(types.Map)
			if !ok {
				inner = types.Map{}
				in[group] = inner
			}
			in = inner
		}
		in[path[len(path)-1]] = kindType(f.Kind)
	}
	return env
}

func kindType(k fact.Kind) types.Type {
	switch k {
	case fact.Number:
		return types.Float64
	case fact.YesNo:
		return types.Bool
	}
	return types.String
}

// shape is what a part of a condition is.
type shape uint8

const (
	wrong  shape = iota // a fault was told already
	yesNo               // a clause
	amount              // a number
	answer              // a fact with answers
	word                // a text in quotes
	list
)

// part is a checked part of the condition.
type part struct {
	span
	shape  shape
	clause *clause    // of yesNo
	term   *term      // of amount and answer
	fact   *fact.Fact // where the part is one fact and nothing else
	alone  bool       // the part is one fact
	word   string
	items  []part // of list
	run    bool   // a list written as its two ends
}

// walk checks one node of the parsed tree, once: the middle of a chained
// comparison hangs in the tree twice, and a nest of them would take forever.
func (k *reader) walk(n ast.Node) part {
	if p, ok := k.walked[n]; ok {
		return p
	}
	p := k.look(n)
	k.walked[n] = p
	return p
}

func (k *reader) look(n ast.Node) part {
	switch n := n.(type) {
	case *ast.BoolNode:
		at := located(n)
		return part{span: at, shape: yesNo, clause: &clause{span: at, op: opConst, yes: n.Value}}
	case *ast.IntegerNode:
		return part{span: located(n), shape: amount, term: &term{value: float64(n.Value)}}
	case *ast.FloatNode:
		return part{span: located(n), shape: amount, term: &term{value: n.Value}}
	case *ast.StringNode:
		return part{span: located(n), shape: word, word: n.Value}
	case *ast.IdentifierNode, *ast.MemberNode:
		return k.read(n)
	case *ast.UnaryNode:
		return k.unary(n)
	case *ast.BinaryNode:
		return k.binary(n)
	case *ast.ArrayNode:
		return k.array(n)
	case *ast.BuiltinNode:
		return k.call(n.Name, located(n), n.Arguments)
	case *ast.CallNode:
		if callee, ok := n.Callee.(*ast.IdentifierNode); ok {
			return k.call(callee.Value, located(n), n.Arguments)
		}
	}
	return k.foreign(located(n))
}

func located(n ast.Node) span { return span{n.Location().From, n.Location().To} }

// foreign reports a form of the expression language that conditions leave out.
func (k *reader) foreign(at span) part {
	if at.to <= at.from {
		at = span{0, len(k.runes)}
	}
	k.refuse(at, clip(k.at(at)), slip{help: "write comparisons joined by `and`, `or` and `not`"})
	return part{span: at}
}

// read finds the fact of a name.
func (k *reader) read(n ast.Node) part {
	path, at, ok := dotted(n)
	slot, known := k.cat.Slot(path)
	if !ok || !known {
		return k.foreign(located(n))
	}
	f := k.cat.At(slot)
	p := part{span: at, fact: &f, alone: true, term: &term{op: termFact, slot: slot}}
	switch {
	case p.fact.Kind == fact.YesNo:
		p.shape, p.clause = yesNo, &clause{span: at, op: opFlag, slot: slot}
	case p.fact.Kind == fact.Choice:
		p.shape = answer
	case p.fact.Constant:
		p.shape, p.term = amount, &term{value: p.fact.Value}
	default:
		p.shape = amount
	}
	return p
}

// dotted writes a chain of names as one, with its place.
func dotted(n ast.Node) (string, span, bool) {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		return n.Value, located(n), true
	case *ast.MemberNode:
		base, at, ok := dotted(n.Node)
		property, isName := n.Property.(*ast.StringNode)
		if !ok || !isName || n.Optional {
			return "", span{}, false
		}
		at.to = max(at.to, located(n).to)
		return base + "." + property.Value, at, true
	}
	return "", span{}, false
}

// condition makes a clause of a part, or reports that it is neither yes nor
// no.
func (k *reader) condition(p part) *clause {
	switch p.shape {
	case yesNo:
		return p.clause
	case wrong:
		return nil
	case answer:
		k.fault(p.span, "R124", fmt.Sprintf("%s on its own is neither yes nor no", tick(p.fact.Name)), describe(*p.fact), "",
			fmt.Sprintf("compare it with an answer, such as %s == %s", p.fact.Name, quote(strings.Split(describe(*p.fact), ", ")[0])))
	case amount:
		k.fault(p.span, "R124", fmt.Sprintf("%s on its own is neither yes nor no", tick(clip(k.at(p.span)))), "a number", "",
			"compare it with a number or a limit")
	case word:
		k.fault(p.span, "R124", "a word on its own is neither yes nor no", "", "", "write what it is compared with")
	case list:
		k.fault(p.span, "R134", "a list on its own is neither yes nor no", "", "", "write a fact and `in` before it")
	}
	return nil
}

func (k *reader) unary(n *ast.UnaryNode) part {
	p := k.walk(n.Node)
	at := balance(k.marks, span{min(located(n).from, p.from), max(located(n).to, p.to)})
	if n.Operator == "not" || n.Operator == "!" {
		c := k.condition(p)
		if c == nil {
			return part{span: at}
		}
		if c.op == opOneOf && k.at(located(n)) == "in" {
			c.span, c.outside = at, true
			return part{span: at, shape: yesNo, clause: c}
		}
		return part{span: at, shape: yesNo, clause: &clause{span: at, op: opNot, parts: []*clause{c}}}
	}
	t := k.amount(p, n.Operator)
	if t == nil {
		return part{span: at}
	}
	if n.Operator == "-" {
		t = folded(&term{op: termMinus, a: t})
	}
	return part{span: at, shape: amount, term: t}
}

// folded computes a term that reads no fact once and for all.
func folded(t *term) *term {
	if n, ok := t.constant(); ok {
		return &term{value: n}
	}
	return t
}

// amount makes a number of a part, or reports that it is none.
func (k *reader) amount(p part, sign string) *term {
	switch p.shape {
	case amount:
		return p.term
	case wrong:
	case word:
		k.notANumber(p)
	default:
		what := "a list"
		switch {
		case p.alone:
			what = tick(p.fact.Name) + " (" + describe(*p.fact) + ")"
		case p.shape == yesNo:
			what = "a comparison"
		}
		k.fault(p.span, "R132", fmt.Sprintf("%s cannot be computed with", what), "", "", fmt.Sprintf("%s takes numbers", tick(sign)))
	}
	return nil
}

// notANumber reports a word where a number belongs.
func (k *reader) notANumber(p part) {
	f := k.fault(p.span, "R103", "a number is needed here, this is a word", "in quotes, so it is read as a word", "", "write a number")
	if bare := strings.TrimSpace(p.word); len(scan([]rune(bare))) == 1 && scan([]rune(bare))[0].is(number) {
		f.Help = fmt.Sprintf("write %s without quotes", bare)
		f.mend(p.span, bare)
	}
}

func (k *reader) binary(n *ast.BinaryNode) part {
	if not, ok := n.Left.(*ast.UnaryNode); ok && k.loose(n, not) {
		return k.looseNot(n, not)
	}
	a, b := k.walk(n.Left), k.walk(n.Right)
	at := balance(k.marks, span{min(a.from, b.from), max(a.to, b.to)})
	var c *clause
	switch n.Operator {
	case "and", "&&", "or", "||":
		c = k.joined(n.Operator, a, b)
	case "==", "!=", "<", "<=", ">", ">=":
		c = k.compare(n, at, a, b)
	case "in":
		c = k.oneOf(a, b)
	case "+", "-", "*", "/":
		return k.computed(n.Operator, at, a, b)
	case "..":
		return k.run(at, a, b)
	default:
		return k.foreign(located(n))
	}
	if c == nil {
		return part{span: at}
	}
	c.span = at
	return part{span: at, shape: yesNo, clause: c}
}

// joined makes one clause of a chain of the same joining word.
func (k *reader) joined(operator string, a, b part) *clause {
	one, two := k.condition(a), k.condition(b)
	if one == nil || two == nil {
		return nil
	}
	c := &clause{op: opAnd}
	if operator == "or" || operator == "||" {
		c.op = opOr
	}
	for _, p := range []*clause{one, two} {
		if p.op == c.op {
			c.parts = append(c.parts, p.parts...)
		} else {
			c.parts = append(c.parts, p)
		}
	}
	return c
}

func (k *reader) computed(operator string, at span, a, b part) part {
	x, y := k.amount(a, operator), k.amount(b, operator)
	if x == nil || y == nil {
		return part{span: at}
	}
	ops := map[string]termOp{"+": termAdd, "-": termSub, "*": termMul, "/": termDiv}
	return part{span: at, shape: amount, term: folded(&term{op: ops[operator], a: x, b: y})}
}

// call checks abs and between.
func (k *reader) call(name string, at span, arguments []ast.Node) part {
	want := map[string]int{"abs": 1, "between": 3}[name]
	if want == 0 {
		return k.foreign(at)
	}
	if len(arguments) != want {
		help := "write abs(number)"
		if want == 3 {
			help = "write between(number, lowest, highest)"
		}
		k.fault(at, "R131", fmt.Sprintf("%s takes %d, and %d stand in its brackets", tick(name), want, len(arguments)), "", "", help)
		return part{span: at}
	}
	var terms []*term
	var ps []part
	whole := at
	for _, argument := range arguments {
		p := k.walk(argument)
		whole.to = max(whole.to, p.to)
		ps = append(ps, p)
		if t := k.amount(p, name); t != nil {
			terms = append(terms, t)
		}
	}
	whole = balance(k.marks, whole)
	if len(terms) < want {
		return part{span: whole}
	}
	if name == "abs" {
		return part{span: whole, shape: amount, term: folded(&term{op: termAbs, a: terms[0]})}
	}
	k.believable(ps[0], ps[1])
	k.believable(ps[0], ps[2])
	k.ordered(whole, terms[1], terms[2])
	return part{span: whole, shape: yesNo, clause: &clause{span: whole, op: opBetween, terms: terms}}
}

// ordered warns of a stretch whose ends are the wrong way round.
func (k *reader) ordered(at span, low, high *term) {
	a, okA := low.constant()
	b, okB := high.constant()
	if okA && okB && a > b {
		k.fault(at, "R137", fmt.Sprintf("nothing lies between %s and %s", plain(a), plain(b)), "", "",
			"write the lower number first").Level = diag.Warning
	}
}

// unreadable reports what the expression library refuses after everything
// else was fine.
func (k *reader) unreadable(err error) {
	at := span{0, len(k.runes)}
	if place, ok := placed(err); ok && place.from < place.to && place.to <= len(k.runes) {
		at = place
	}
	if strings.Contains(err.Error(), "maximum allowed nodes") {
		k.fault(k.beginning(), "R129", "the condition has too many parts", "", "", "split it into two rules")
		return
	}
	k.fault(at, "R199", "the condition cannot be read from here on", "", "",
		"write comparisons such as best.hinge == \"holds\", joined by `and`, `or` and `not`")
}
