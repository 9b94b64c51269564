package cond

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
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
		k.tooLong(fmt.Sprintf("the condition is longer than %d characters", mostRunes))
		return nil
	}
	k.marks = scan(k.runes)
	k.checkMarks()
	k.checkNames()
	if len(k.faults) > 0 {
		return nil
	}
	k.walked, k.types = map[ast.Node]part{}, types.Map{}
	config := &conf.Config{Strict: true, MaxNodes: mostNodes, Functions: functions}
	tree, err := parser.ParseWithConfig(text, config)
	if err != nil {
		k.unreadable(err)
		return nil
	}
	c := k.condition(k.walk(tree.Node))
	if c == nil || refused(k.faults) {
		return nil
	}
	if c.op != opConst && len(c.slots(nil)) == 0 {
		k.warn(c.span, "R138", "the condition reads no fact", "", "it comes out the same for every athlete", "compare a fact")
	}
	config.WithEnv(k.types)
	if kind, err := checker.Check(tree, config); err != nil {
		k.unreadable(err)
	} else if kind.Kind() != reflect.Bool {
		k.fault(c.span, "R199", "this is neither yes nor no", "", "", "compare it with something")
	}
	return c
}

// tooLong points at the first word of a condition that is too long.
func (k *reader) tooLong(headline string) {
	at := span{0, len(k.runes)}
	if start := scan(k.runes[:min(len(k.runes), 200)]); len(start) > 0 {
		at = start[0].span
	}
	k.fault(at, "R129", headline, "", "", "split it into two rules")
}

// unreadable reports what the expression library alone refuses.
func (k *reader) unreadable(err error) {
	if strings.Contains(err.Error(), "maximum allowed nodes") {
		k.tooLong("the condition has too many parts")
		return
	}
	at := span{0, len(k.runes)}
	if place := new(file.Error); errors.As(err, &place) && place.From < place.To && place.To <= len(k.runes) {
		at = span{place.From, place.To}
	}
	k.fault(at, "R199", "the condition cannot be read from here on", "", "",
		"write comparisons such as best.hinge == \"holds\", joined by `and`, `or` and `not`")
}

// functions are those that a condition may call besides abs, which is built
// into the expression language.
var functions = conf.FunctionsTable{"between": &builtin.Function{
	Name:  "between",
	Types: []reflect.Type{reflect.TypeFor[func(x, low, high float64) bool]()},
}}

// declare gives the expression library the type of a fact. What the condition
// does not name is not there, so nothing else can be read by mistake.
func (k *reader) declare(f fact.Fact) {
	in, path := k.types, strings.Split(f.Name, ".")
	last := len(path) - 1
	for _, group := range path[:last] {
		if in[group] == nil {
			in[group] = types.Map{}
		}
		in = in[group].(types.Map)
	}
	in[path[last]] = map[fact.Kind]types.Type{fact.Number: types.Float64, fact.YesNo: types.Bool, fact.Choice: types.String}[f.Kind]
}

// shape is what a part of a condition is.
type shape uint8

// The shapes, in the order in which they are looked at where two are compared.
const (
	wrong  shape = iota // a fault was told already
	word                // a text in quotes
	answer              // a fact with answers
	amount              // a number
	yesNo               // a clause
	list
)

// part is a checked part of the condition.
type part struct {
	span
	shape  shape
	clause *clause    // of yesNo
	term   *term      // of amount and answer
	fact   *fact.Fact // where the part is one fact and nothing else
	word   string
	items  []part // of list
	run    bool   // a list written as its two ends, and each of its items
}

// constant returns the number of an amount that reads no fact.
func (p part) constant() (float64, bool) {
	if p.shape != amount {
		return 0, false
	}
	return p.term.constant()
}

// walk checks one node of the parsed tree, once: the middle of a chained
// comparison hangs in the tree twice, and a nest of them would take forever.
func (k *reader) walk(n ast.Node) part {
	if _, ok := k.walked[n]; !ok {
		k.walked[n] = k.look(n)
	}
	return k.walked[n]
}

func (k *reader) look(n ast.Node) part {
	at := located(n)
	switch n := n.(type) {
	case *ast.BoolNode:
		return part{span: at, shape: yesNo, clause: &clause{span: at, op: opConst, yes: n.Value}}
	case *ast.IntegerNode:
		return part{span: at, shape: amount, term: &term{value: float64(n.Value)}}
	case *ast.FloatNode:
		return part{span: at, shape: amount, term: &term{value: n.Value}}
	case *ast.StringNode:
		return part{span: at, shape: word, word: n.Value}
	case *ast.IdentifierNode, *ast.MemberNode:
		return k.read(at)
	case *ast.UnaryNode:
		return k.unary(n, at)
	case *ast.BinaryNode:
		return k.binary(n, at)
	case *ast.ArrayNode:
		return k.array(n, at)
	case *ast.BuiltinNode:
		return k.call(n.Name, at, n.Arguments)
	case *ast.CallNode:
		if callee, ok := n.Callee.(*ast.IdentifierNode); ok {
			return k.call(callee.Value, at, n.Arguments)
		}
	}
	return k.foreign(at)
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

// read finds the fact of a name, which is one mark however many nodes it has.
func (k *reader) read(at span) part {
	i := slices.IndexFunc(k.marks, func(m mark) bool { return m.from <= at.from && at.from < m.to })
	slot, known := k.cat.Slot(k.mark(i).text)
	if !known {
		return k.foreign(at)
	}
	f := k.cat.At(slot)
	k.declare(f)
	p := part{span: k.marks[i].span, shape: amount, fact: &f, term: &term{op: termFact, slot: slot}}
	switch {
	case f.Kind == fact.YesNo:
		p.shape, p.clause = yesNo, &clause{span: p.span, op: opFlag, slot: slot}
	case f.Kind == fact.Choice:
		p.shape = answer
	case f.Constant:
		p.term = &term{value: f.Value}
	}
	return p
}

// condition makes a clause of a part, or reports that it is neither yes nor
// no.
func (k *reader) condition(p part) *clause {
	const headline = "%s on its own is neither yes nor no"
	switch p.shape {
	case yesNo:
		return p.clause
	case answer:
		k.fault(p.span, "R124", fmt.Sprintf(headline, tick(p.fact.Name)), describe(*p.fact), "",
			fmt.Sprintf("compare it with an answer, such as %s == %s", p.fact.Name, quote(strings.Split(describe(*p.fact), ", ")[0])))
	case amount:
		k.fault(p.span, "R124", fmt.Sprintf(headline, tick(clip(k.at(p.span)))), "a number", "", "compare it with a number or a limit")
	case word:
		k.fault(p.span, "R124", fmt.Sprintf(headline, "a word"), "", "", "write what it is compared with")
	case list:
		k.fault(p.span, "R134", fmt.Sprintf(headline, "a list"), "", "", "write a fact and `in` before it")
	}
	return nil
}

// clause is the part that a clause makes; none was made of what is wrong.
func made(at span, c *clause) part {
	if c == nil {
		return part{span: at}
	}
	c.span = at
	return part{span: at, shape: yesNo, clause: c}
}

// computed is the part that a term makes. One that reads no fact is computed
// once and for all.
func computed(at span, t *term) part {
	if n, ok := t.constant(); ok {
		t = &term{value: n}
	}
	return part{span: at, shape: amount, term: t}
}

func (k *reader) unary(n *ast.UnaryNode, sign span) part {
	p := k.walk(n.Node)
	at := balance(k.marks, span{min(sign.from, p.from), max(sign.to, p.to)})
	if negates(n) {
		c := k.condition(p)
		switch {
		case c == nil:
		case c.op == opOneOf && k.at(sign) == "in":
			c.outside = true
		default:
			c = &clause{op: opNot, parts: []*clause{c}}
		}
		return made(at, c)
	}
	t := k.amount(p, n.Operator)
	switch {
	case t == nil:
		return part{span: at}
	case n.Operator == "-":
		t = &term{op: termMinus, a: t}
	}
	return computed(at, t)
}

func negates(n *ast.UnaryNode) bool { return n.Operator == "not" || n.Operator == "!" }

// amount makes a number of a part, or reports that it is none.
func (k *reader) amount(p part, sign string) *term {
	what := "a list"
	switch {
	case p.shape == amount:
		return p.term
	case p.shape == wrong:
		return nil
	case p.shape == word:
		k.notANumber(p, "a number is needed here")
		return nil
	case p.fact != nil:
		what = tick(p.fact.Name) + " (" + describe(*p.fact) + ")"
	case p.shape == yesNo:
		what = "a comparison"
	}
	k.fault(p.span, "R132", fmt.Sprintf("%s cannot be computed with", what), "", "", fmt.Sprintf("%s takes numbers", tick(sign)))
	return nil
}

// notANumber reports a word where a number belongs.
func (k *reader) notANumber(p part, wanted string) {
	f := k.fault(p.span, "R103", wanted+", this is a word", "in quotes, so it is read as a word", "", "write a number")
	bare := strings.TrimSpace(p.word)
	if inside := scan([]rune(bare)); len(inside) == 1 && inside[0].is(number) {
		f.Help = fmt.Sprintf("write %s without quotes", bare)
		f.mend(p.span, bare)
	}
}

func (k *reader) binary(n *ast.BinaryNode, sign span) part {
	if not, ok := n.Left.(*ast.UnaryNode); ok && k.loose(n.Operator, not, sign) {
		return k.looseNot(n, not)
	}
	a, b := k.walk(n.Left), k.walk(n.Right)
	at := balance(k.marks, span{min(a.from, b.from), max(a.to, b.to)})
	switch n.Operator {
	case "and", "&&":
		return made(at, k.joined(opAnd, a, b))
	case "or", "||":
		return made(at, k.joined(opOr, a, b))
	case "==", "!=", "<", "<=", ">", ">=":
		return made(at, k.compare(n.Operator, at, a, b))
	case "in":
		return made(at, k.oneOf(a, b))
	case "..":
		return k.run(at, a, b)
	case "+", "-", "*", "/":
		x, y := k.amount(a, n.Operator), k.amount(b, n.Operator)
		if x == nil || y == nil {
			return part{span: at}
		}
		ops := map[string]termOp{"+": termAdd, "-": termSub, "*": termMul, "/": termDiv}
		return computed(at, &term{op: ops[n.Operator], a: x, b: y})
	}
	return k.foreign(sign)
}

// joined makes one clause of a chain of the same joining word.
func (k *reader) joined(o op, a, b part) *clause {
	one, two := k.condition(a), k.condition(b)
	if one == nil || two == nil {
		return nil
	}
	c := &clause{op: o}
	for _, p := range []*clause{one, two} {
		if p.op == o {
			c.parts = append(c.parts, p.parts...)
		} else {
			c.parts = append(c.parts, p)
		}
	}
	return c
}

// call checks abs and between.
func (k *reader) call(name string, at span, arguments []ast.Node) part {
	want, help := 1, "write abs(number)"
	switch {
	case name == "between":
		want, help = 3, "write between(number, lowest, highest)"
	case name != "abs":
		return k.foreign(at)
	}
	if len(arguments) != want {
		k.fault(at, "R131", fmt.Sprintf("%s takes %d, and %d stand in its brackets", tick(name), want, len(arguments)), "", "", help)
		return part{span: at}
	}
	var terms []*term
	var ps []part
	for _, argument := range arguments {
		p := k.walk(argument)
		at.to = max(at.to, p.to)
		ps = append(ps, p)
		if t := k.amount(p, name); t != nil {
			terms = append(terms, t)
		}
	}
	at = balance(k.marks, at)
	switch {
	case len(terms) < want:
		return part{span: at}
	case name == "abs":
		return computed(at, &term{op: termAbs, a: terms[0]})
	}
	k.believable(ps[0], ps[1], false)
	k.believable(ps[0], ps[2], false)
	low, okLow := terms[1].constant()
	high, okHigh := terms[2].constant()
	if okLow && okHigh && low > high {
		k.warn(at, "R137", fmt.Sprintf("nothing lies between %s and %s", plain(low), plain(high)), "", "", "write the lower number first")
	}
	return made(at, &clause{op: opBetween, terms: terms})
}

// refused reports whether one of the faults is an error.
func refused(faults []Fault) bool {
	return slices.ContainsFunc(faults, func(f Fault) bool { return f.Level == diag.Error })
}
