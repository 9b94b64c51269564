package cond

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"rungwise/engine/fact"
)

// compare checks a comparison of two parts.
func (k *reader) compare(operator string, at span, a, b part) *clause {
	equality := operator == "==" || operator == "!="
	f, other := a, b // what is looked at first
	if b.shape >= a.shape {
		f, other = b, a
	}
	terms := []*term{a.term, b.term}
	switch {
	case other.shape == wrong:
		return nil
	case f.shape == list:
		k.fault(f.span, "R134", "a list can only stand after `in`", "", "", "write `in` or `not in` before the list")
		return nil
	case f.shape == yesNo && other.shape != yesNo:
		k.notYesNo(operator, at, f, other)
		return nil
	case f.shape == yesNo:
		terms = k.flags(operator, at, a, b)
	case f.shape == amount && other.shape != amount:
		k.mixed(f, other)
		return nil
	case f.shape == amount:
		k.believable(a, b, equality)
		k.believable(b, a, equality)
	case f.shape == word:
		k.fault(at, "R133", "two words are compared, and no fact", "", "", "write a fact on one side")
		return nil
	case !equality:
		k.fault(at, "R123", fmt.Sprintf("%s compares sizes, and answers have none", tick(operator)), "",
			"", "write `==`, or `in` with the answers you mean")
		return nil
	default:
		terms = k.answers(at, a, b)
	}
	if terms == nil {
		return nil
	}
	return &clause{op: opCompare, sign: operator, terms: terms}
}

// answers are the terms of a fact with answers and a word or another fact.
func (k *reader) answers(at span, a, b part) []*term {
	switch {
	case a.shape == word:
		return k.answers(at, b, a)
	case b.shape == word:
		place := a.fact.Place(b.word)
		if place < 0 {
			k.unknownAnswer(*a.fact, b.word, b.span)
			return nil
		}
		return []*term{a.term, {value: float64(place)}}
	case !slices.Equal(a.fact.AnswerIDs(), b.fact.AnswerIDs()):
		k.fault(at, "R107", fmt.Sprintf("%s and %s have different answers", tick(a.fact.Name), tick(b.fact.Name)), "",
			fmt.Sprintf("%s: %s", tick(a.fact.Name), describe(*a.fact)), fmt.Sprintf("%s: %s", tick(b.fact.Name), describe(*b.fact)))
		return nil
	}
	return []*term{a.term, b.term}
}

// flags are the terms of two yes/no facts or constants.
func (k *reader) flags(operator string, at span, a, b part) []*term {
	if operator != "==" && operator != "!=" {
		k.fault(at, "R123", fmt.Sprintf("%s compares sizes, and yes and no have none", tick(operator)), "", "", "write `and`, `or` or `not`")
		return nil
	}
	var out []*term
	for _, c := range []*clause{a.clause, b.clause} {
		switch {
		case c.op == opFlag:
			out = append(out, &term{op: termFact, slot: c.slot})
		case c.op == opConst:
			out = append(out, &term{value: fact.Bool(c.yes).N})
		default:
			k.fault(at, "R123", "two comparisons are compared with each other", "", "", "join them with `and` or `or`")
			return nil
		}
	}
	return out
}

// notYesNo reports a yes or no compared with something else.
func (k *reader) notYesNo(operator string, at span, f, other part) {
	if f.fact == nil {
		k.fault(other.span, "R109", "a comparison is compared with something else", "", "", "join the two with `and` or `or`")
		return
	}
	bad := k.byItself(other.span, f, "")
	says := strings.ToLower(other.word)
	yes, no := says == "yes" || says == "true", says == "no" || says == "false"
	if (yes || no) && (operator == "==" || operator == "!=") {
		right := negated(f.fact.Name, yes == (operator == "!="))
		bad.Help = "write " + tick(right)
		bad.mend(at, right)
	}
}

// byItself reports that a yes/no fact needs nothing beside it.
func (k *reader) byItself(at span, f part, under string) *Fault {
	return k.fault(at, "R109", fmt.Sprintf("%s is yes or no by itself", tick(f.fact.Name)), under, "",
		fmt.Sprintf("write %s or `not %s`", tick(f.fact.Name), f.fact.Name))
}

// mixed reports a number compared with a word or with a fact that has answers.
func (k *reader) mixed(n, other part) {
	switch {
	case other.shape == answer:
		k.fault(n.span, "R105", fmt.Sprintf("%s has answers, this is a number", tick(other.fact.Name)), "", "",
			"write one of its answers: "+describe(*other.fact))
	case n.fact != nil:
		k.notANumber(other, tick(n.fact.Name)+" is a number")
	default:
		k.notANumber(other, "a number is needed here")
	}
}

// believable warns of a number that the fact never has, and of a measured one
// that is asked to be exactly one value.
func (k *reader) believable(f, n part, exactly bool) {
	value, constant := n.constant()
	if f.fact == nil || f.fact.Constant || !constant {
		return
	}
	if f.fact.Low != f.fact.High && (value < f.fact.Low || value > f.fact.High) {
		k.warn(n.span, "R108", fmt.Sprintf("%s is never %s", tick(f.fact.Name), plain(value)), describe(*f.fact),
			"this comparison comes out the same for every athlete", "check the number and its unit")
	}
	if exactly && (!counted(f.fact.Unit) || value != math.Trunc(value)) {
		k.hardlyEver(n.span, *f.fact, value, value)
	}
}

func (k *reader) hardlyEver(at span, f fact.Fact, low, high float64) {
	if low == high {
		step := 1.0
		if low != math.Trunc(low) || math.Abs(low) < 10 {
			step = 0.1
		}
		low, high = tidy(low-step), tidy(high+step)
	}
	k.warn(at, "R120", fmt.Sprintf("%s is measured and will hardly ever be exactly this", tick(f.Name)), "", "",
		fmt.Sprintf("write between(%s, %s, %s) with the ends you mean", f.Name, plain(low), plain(high)))
}

// counted reports whether a unit counts whole things.
func counted(unit string) bool {
	first, _, _ := strings.Cut(unit, " ")
	return slices.Contains([]string{"years", "days", "weeks", "months", "throws", "pitches", "sessions", "innings", "high-effort", "times"}, first)
}

// loose reports whether a comparison reads as `(not a) == b` and is not
// written so on purpose: no bracket closes before its sign, which lies at sign.
func (k *reader) loose(operator string, not *ast.UnaryNode, sign span) bool {
	start := located(not) // of `a not in b` it is the `in`
	compares := slices.Contains([]string{"==", "!=", "<", "<=", ">", ">=", "in"}, operator)
	if !compares || !negates(not) || k.at(start) == "in" {
		return false
	}
	depth := 0
	for _, m := range k.marks {
		switch {
		case m.from < start.from || m.from >= sign.from:
		case m.kind == open:
			depth++
		case m.kind == shut && depth == 0:
			return false
		case m.kind == shut:
			depth--
		}
	}
	return true
}

// looseNot reports such a comparison.
func (k *reader) looseNot(n *ast.BinaryNode, not *ast.UnaryNode) part {
	start := located(not)
	inner := k.walk(&ast.BinaryNode{Operator: n.Operator, Left: not.Node, Right: n.Right})
	at := balance(k.marks, span{start.from, max(inner.to, start.to)})
	right := fmt.Sprintf("not (%s)", strings.TrimSpace(k.at(span{start.to, at.to})))
	k.fault(at, "R122", "`not` reaches only to the comparison sign", "",
		"without brackets it is applied before the two sides are compared", "write "+right).mend(at, right)
	return part{span: at}
}

// array checks a list: words or numbers, no facts.
func (k *reader) array(n *ast.ArrayNode, at span) part {
	p := part{span: at, shape: list}
	for _, item := range n.Nodes {
		entry := k.walk(item)
		p.to = max(p.to, entry.to)
		p.items = append(p.items, entry)
	}
	p.span = balance(k.marks, p.span)
	if len(p.items) == 0 {
		k.fault(p.span, "R134", "this list is empty", "", "", "write the answers between the brackets")
		p.shape = wrong
	}
	return p
}

// mostRun is the longest list that two ends may stand for.
const mostRun = 200

// run checks a list of whole numbers written as its two ends, 9..12.
func (k *reader) run(at span, a, b part) part {
	if a.shape == wrong || b.shape == wrong {
		return part{span: at}
	}
	low, okLow := a.constant()
	high, okHigh := b.constant()
	if !okLow || !okHigh || low != math.Trunc(low) || high != math.Trunc(high) || high < low || high-low >= mostRun {
		k.fault(at, "R134", "two dots join two whole numbers, the lower one first", "", "", "write it such as 9..12, or use between(fact, lowest, highest)")
		return part{span: at}
	}
	p := part{span: at, shape: list, run: true}
	for n := low; n <= high; n++ {
		p.items = append(p.items, part{span: at, shape: amount, term: &term{value: n}, run: true})
	}
	return p
}

// oneOf checks `fact in list`.
func (k *reader) oneOf(a, b part) *clause {
	switch {
	case b.shape != list && b.shape != wrong:
		f := k.fault(b.span, "R134", "a list must follow `in`", "", "", "write the answers in square brackets: [\"one\", \"two\"]")
		if b.shape == word || b.shape == amount {
			right := "[" + k.at(b.span) + "]"
			f.Help = "write " + right
			f.mend(b.span, right)
		}
		return nil
	case a.shape == wrong || b.shape == wrong:
		return nil
	case a.shape != answer && a.shape != amount && a.fact != nil:
		k.byItself(a.span, a, "no list can hold it")
		return nil
	case a.shape != answer && a.shape != amount:
		k.fault(a.span, "R133", "a fact must stand before `in`", "", "", "write the fact and then `in` and its answers")
		return nil
	}
	before := len(k.faults)
	if b.run && a.fact != nil && a.shape == amount && !counted(a.fact.Unit) {
		k.hardlyEver(b.span, *a.fact, b.items[0].term.value, b.items[len(b.items)-1].term.value)
	}
	c := &clause{op: opOneOf, terms: []*term{a.term}}
	for _, item := range b.items {
		if n, ok := k.entry(a, item); ok && !slices.Contains(c.list, n) {
			c.list = append(c.list, n)
		}
	}
	if refused(k.faults[before:]) {
		return nil
	}
	return c
}

// entry reads one entry of a list as the number that stands for it.
func (k *reader) entry(f, item part) (float64, bool) {
	n, constant := item.constant()
	switch {
	case item.shape == wrong:
	case f.shape == amount && item.shape == word:
		k.mixed(f, item)
	case f.shape == answer && item.shape == amount:
		k.mixed(item, f)
	case f.shape == answer && item.shape == word:
		terms := k.answers(item.span, f, item)
		if terms != nil {
			return terms[1].value, true
		}
	case constant:
		k.believable(f, item, !item.run)
		return n, true
	default:
		k.fault(item.span, "R134", "a list holds answers or numbers only", "", "", "compare with this in a comparison of its own")
	}
	return 0, false
}
