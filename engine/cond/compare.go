package cond

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// placed returns the place that an error of the expression library carries.
func placed(err error) (span, bool) {
	var at *file.Error
	if !errors.As(err, &at) {
		return span{}, false
	}
	return span{at.From, at.To}, true
}

// compare checks a comparison of two parts.
func (k *reader) compare(n *ast.BinaryNode, at span, a, b part) *clause {
	if a.shape == wrong || b.shape == wrong {
		return nil
	}
	equality := n.Operator == "==" || n.Operator == "!="
	switch {
	case a.shape == list || b.shape == list:
		return k.listCompared(n.Operator, a, b)
	case a.shape == yesNo || b.shape == yesNo:
		return k.compareYesNo(n.Operator, at, a, b)
	case a.shape == amount || b.shape == amount:
		return k.compareAmounts(n.Operator, a, b)
	case a.shape == word && b.shape == word:
		k.fault(at, "R133", "two words are compared, and no fact", "", "", "write a fact on one side")
		return nil
	case !equality:
		k.fault(at, "R123", fmt.Sprintf("%s compares sizes, and answers have none", tick(n.Operator)), "",
			"", "write `==`, or `in` with the answers you mean")
		return nil
	}
	return k.compareAnswers(n.Operator, at, a, b)
}

// loose reports whether a comparison reads as `(not a) == b` and is not
// written so on purpose.
func (k *reader) loose(n *ast.BinaryNode, not *ast.UnaryNode) bool {
	compares := slices.Contains([]string{"==", "!=", "<", "<=", ">", ">=", "in"}, n.Operator)
	negates := not.Operator == "not" || not.Operator == "!"
	start := located(not) // of `a not in b` it is the `in`
	return compares && negates && k.at(start) != "in" && !k.bracketed(start.from)
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

// bracketed reports whether the bracket right before a mark closes before the
// comparison sign, so that the mark is meant to be apart.
func (k *reader) bracketed(from int) bool {
	for i, m := range k.marks {
		if m.from != from || !k.mark(i-1).is(open, "(") {
			continue
		}
		depth := 0
		for _, after := range k.marks[i:] {
			switch {
			case after.kind == open:
				depth++
			case after.kind == shut && depth == 0:
				return true
			case after.kind == shut:
				depth--
			case depth == 0 && (after.is(sign, "==", "!=", "<", "<=", ">", ">=") || after.is(name, "in")):
				return false
			}
		}
	}
	return false
}

func (k *reader) listCompared(operator string, a, b part) *clause {
	at := a
	if b.shape == list {
		at = b
	}
	k.fault(at.span, "R134", "a list can only stand after `in`", "", "", "write `in` or `not in` before the list")
	return nil
}

func (k *reader) compareAmounts(operator string, a, b part) *clause {
	for _, pair := range [][2]part{{a, b}, {b, a}} {
		if other := pair[1]; pair[0].shape == amount && other.shape != amount {
			k.mixed(pair[0], other)
			return nil
		}
	}
	k.believable(a, b)
	k.believable(b, a)
	if operator == "==" || operator == "!=" {
		k.exact(a, b)
	}
	return &clause{op: opCompare, sign: operator, terms: []*term{a.term, b.term}}
}

// mixed reports a number compared with a word or with a fact that has answers.
func (k *reader) mixed(n, other part) {
	if other.shape == word && n.alone {
		bad := len(k.faults)
		k.notANumber(other)
		k.faults[bad].Headline = fmt.Sprintf("%s is a number, this is a word", tick(n.fact.Name))
		return
	}
	if other.shape == word {
		k.notANumber(other)
		return
	}
	k.fault(n.span, "R105", fmt.Sprintf("%s has answers, this is a number", tick(other.fact.Name)), "", "",
		"write one of its answers: "+describe(*other.fact))
}

// believable warns of a number that the fact never has.
func (k *reader) believable(f, n part) {
	value, constant := 0.0, false
	if n.term != nil && n.shape == amount {
		value, constant = n.term.constant()
	}
	if !f.alone || f.fact.Constant || f.fact.Low == f.fact.High || !constant || value >= f.fact.Low && value <= f.fact.High {
		return
	}
	k.fault(n.span, "R108", fmt.Sprintf("%s is never %s", tick(f.fact.Name), plain(value)), describe(*f.fact),
		"this comparison comes out the same for every athlete", "check the number and its unit").Level = diag.Warning
}

// exact warns of a measured number that is asked to be exactly one value.
func (k *reader) exact(a, b part) {
	for _, pair := range [][2]part{{a, b}, {b, a}} {
		f, n := pair[0], pair[1]
		value, constant := n.term.constant()
		if f.alone && !f.fact.Constant && constant && (!counted(f.fact.Unit) || value != math.Trunc(value)) {
			k.warnExact(n.span, *f.fact, value, value)
		}
	}
}

func (k *reader) warnExact(at span, f fact.Fact, low, high float64) {
	if low == high {
		step := 1.0
		if low != math.Trunc(low) || math.Abs(low) < 10 {
			step = 0.1
		}
		low, high = math.Round((low-step)*1e6)/1e6, math.Round((high+step)*1e6)/1e6
	}
	k.fault(at, "R120", fmt.Sprintf("%s is measured and will hardly ever be exactly this", tick(f.Name)), "", "",
		fmt.Sprintf("write between(%s, %s, %s) with the ends you mean", f.Name, plain(low), plain(high))).Level = diag.Warning
}

// counted reports whether a unit counts whole things.
func counted(unit string) bool {
	first, _, _ := strings.Cut(unit, " ")
	switch first {
	case "years", "days", "weeks", "months", "throws", "pitches", "sessions", "innings", "high-effort", "times":
		return true
	}
	return false
}

// compareYesNo checks a yes/no fact against true, false or another one.
func (k *reader) compareYesNo(operator string, at span, a, b part) *clause {
	for _, pair := range [][2]part{{a, b}, {b, a}} {
		f, other := pair[0], pair[1]
		if f.shape == yesNo && other.shape != yesNo {
			k.notYesNo(operator, at, f, other)
			return nil
		}
	}
	if operator != "==" && operator != "!=" {
		k.fault(at, "R123", fmt.Sprintf("%s compares sizes, and yes and no have none", tick(operator)), "", "", "write `and`, `or` or `not`")
		return nil
	}
	one, two := flagTerm(a.clause), flagTerm(b.clause)
	if one == nil || two == nil {
		k.fault(at, "R123", "two comparisons are compared with each other", "", "", "join them with `and` or `or`")
		return nil
	}
	return &clause{op: opCompare, sign: operator, terms: []*term{one, two}}
}

// flagTerm returns a bare yes/no fact or constant as a term.
func flagTerm(c *clause) *term {
	switch {
	case c.op == opFlag:
		return &term{op: termFact, slot: c.slot}
	case c.op == opConst && c.yes:
		return &term{value: 1}
	case c.op == opConst:
		return &term{value: 0}
	}
	return nil
}

// notYesNo reports a yes or no compared with something else.
func (k *reader) notYesNo(operator string, at span, f, other part) {
	if !f.alone {
		k.fault(other.span, "R109", "a comparison is compared with something else", "", "", "join the two with `and` or `or`")
		return
	}
	bad := k.fault(other.span, "R109", fmt.Sprintf("%s is yes or no by itself", tick(f.fact.Name)), "", "",
		fmt.Sprintf("write %s or `not %s`", tick(f.fact.Name), f.fact.Name))
	says, ok := map[string]bool{"yes": true, "true": true, "no": false, "false": false}[strings.ToLower(other.word)]
	if other.shape != word || !ok || operator != "==" && operator != "!=" {
		return
	}
	right := f.fact.Name
	if says == (operator == "!=") {
		right = "not " + right
	}
	bad.Help = "write " + tick(right)
	bad.mend(at, right)
}

// compareAnswers checks a fact with answers against a word or another fact.
func (k *reader) compareAnswers(operator string, at span, a, b part) *clause {
	if a.shape == answer && b.shape == answer {
		if !slices.Equal(a.fact.AnswerIDs(), b.fact.AnswerIDs()) {
			k.fault(at, "R107", fmt.Sprintf("%s and %s have different answers", tick(a.fact.Name), tick(b.fact.Name)), "",
				fmt.Sprintf("%s: %s", tick(a.fact.Name), describe(*a.fact)), fmt.Sprintf("%s: %s", tick(b.fact.Name), describe(*b.fact)))
			return nil
		}
		return &clause{op: opCompare, sign: operator, terms: []*term{a.term, b.term}}
	}
	f, w := a, b
	if b.shape == answer {
		f, w = b, a
	}
	place := f.fact.Place(w.word)
	if place < 0 {
		k.unknownAnswer(*f.fact, w.word, w.span)
		return nil
	}
	return &clause{op: opCompare, sign: operator, terms: []*term{f.term, {value: float64(place)}}}
}

// array checks a list: words or numbers, no facts.
func (k *reader) array(n *ast.ArrayNode) part {
	p := part{span: located(n), shape: list}
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
	x, y := a.term, b.term
	if a.shape != amount || b.shape != amount || x.op != termNumber || y.op != termNumber || x.value != math.Trunc(x.value) ||
		y.value != math.Trunc(y.value) || y.value < x.value || y.value-x.value >= mostRun {
		k.fault(at, "R134", "two dots join two whole numbers, the lower one first", "", "", "write it such as 9..12, or use between(fact, lowest, highest)")
		return part{span: at}
	}
	p := part{span: at, shape: list, run: true}
	for n := x.value; n <= y.value; n++ {
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
	case a.shape != answer && a.shape != amount:
		k.notListed(a)
		return nil
	}
	c := &clause{op: opOneOf, terms: []*term{a.term}}
	before := len(k.faults)
	if b.run && a.alone && a.shape == amount && !counted(a.fact.Unit) {
		k.warnExact(b.span, *a.fact, b.items[0].term.value, b.items[len(b.items)-1].term.value)
	}
	for _, item := range b.items {
		if n, ok := k.entry(a, item); ok && !slices.Contains(c.list, n) {
			c.list = append(c.list, n)
		}
	}
	if k.failedSince(before) {
		return nil
	}
	return c
}

func (k *reader) failedSince(before int) bool {
	return slices.ContainsFunc(k.faults[before:], func(f Fault) bool { return f.Level == diag.Error })
}

func (k *reader) notListed(a part) {
	if a.alone {
		k.fault(a.span, "R109", fmt.Sprintf("%s is yes or no by itself", tick(a.fact.Name)), "no list can hold it", "",
			fmt.Sprintf("write %s or `not %s`", tick(a.fact.Name), a.fact.Name))
		return
	}
	k.fault(a.span, "R133", "a fact must stand before `in`", "", "", "write the fact and then `in` and its answers")
}

// entry reads one entry of a list as the number that stands for it.
func (k *reader) entry(f, item part) (float64, bool) {
	switch {
	case item.shape == wrong:
		return 0, false
	case f.shape == amount && item.shape == word:
		k.mixed(f, item)
		return 0, false
	case f.shape == answer && item.shape == word:
		place := f.fact.Place(item.word)
		if place < 0 {
			k.unknownAnswer(*f.fact, item.word, item.span)
		}
		return float64(place), place >= 0
	case f.shape == answer && item.shape == amount:
		k.mixed(item, f)
		return 0, false
	}
	if item.shape == amount {
		if n, ok := item.term.constant(); ok {
			k.believable(f, item)
			if f.alone && !f.fact.Constant && !item.run && (!counted(f.fact.Unit) || n != math.Trunc(n)) {
				k.warnExact(item.span, *f.fact, n, n)
			}
			return n, true
		}
	}
	k.fault(item.span, "R134", "a list holds answers or numbers only", "", "", "compare with this in a comparison of its own")
	return 0, false
}
