package cond

import (
	"fmt"
	"strings"
)

// refusedWords are the words of the expression language that a coach should
// not meet, and what to do without them.
var refusedWords = map[string]string{
	"let": "write the value where it is used", "if": "write two rules, one for each case", "else": "write two rules, one for each case",
	"matches": "compare with whole answers", "contains": "compare with whole answers",
	"startsWith": "compare with whole answers", "endsWith": "compare with whole answers",
}

// refusedWord reports words that no condition uses.
func (k *reader) refusedWord(i int) bool {
	m := k.marks[i]
	if m.kind != name || k.known(m) {
		return false
	}
	lower := strings.ToLower(m.text)
	switch {
	case lower == "nil" || lower == "null" || lower == "unknown" || lower == "missing" || lower == "undefined":
		k.fault(m.span, "R125", "a condition cannot ask whether something was seen", "",
			"what nobody saw makes a comparison neither yes nor no by itself", "take this comparison out")
	case refusedWords[m.text] != "":
		k.fault(m.span, "R125", fmt.Sprintf("%s is not part of conditions", tick(m.text)), "", "", refusedWords[m.text])
	default:
		return false
	}
	return true
}

// badNumber reports decimal commas and numbers that are too long to mean
// anything.
func (k *reader) badNumber(i int) bool {
	m, comma, next := k.marks[i], k.mark(i+1), k.mark(i+2)
	if m.kind != number {
		return false
	}
	if whole, _, _ := strings.Cut(m.text, "."); len(whole) > 9 || len(m.text) > 18 {
		k.fault(m.span, "R136", "this number has too many digits", "", "", "check the number")
		return true
	}
	if comma.is(sign, ",") && next.is(number) && comma.from == m.to && next.from == comma.to && !k.listed(i) {
		at := span{m.from, next.to}
		right := m.text + "." + next.text
		k.fault(at, "R116", "a comma cannot stand inside a number", "", "a comma separates the entries of a list", "write "+tick(right)).mend(at, right)
		return true
	}
	return false
}

// listed reports whether a mark stands in a list or in the brackets of a
// function, where commas belong.
func (k *reader) listed(i int) bool {
	depth := 0
	for i--; i >= 0; i-- {
		switch m := k.marks[i]; {
		case m.kind == shut:
			depth++
		case m.kind == open && depth > 0:
			depth--
		case m.kind == open:
			return m.text == "[" || k.mark(i-1).is(name) && !k.mark(i-1).small()
		}
	}
	return false
}

// loneWord reports `== "a" or "b"`.
func (k *reader) loneWord(i int) bool {
	m, joint, end := k.marks[i], k.mark(i-1), k.mark(i+1)
	ends := i+1 == len(k.marks) || end.is(name, "and", "or") || end.is(sign, "&&", "||") || end.is(shut, ")")
	if !m.is(text) && !m.is(number) || !joint.is(name, "and", "or") && !joint.is(sign, "&&", "||") || !ends {
		return false
	}
	what := "word"
	if m.kind == number {
		what = "number"
	}
	f := k.fault(m.span, "R112", fmt.Sprintf("%s is missing what to compare", tick(k.at(span{joint.from, m.to}))),
		"a "+what+" on its own is neither yes nor no", "", "write the whole comparison again")
	k.mendLone(f, i)
	return true
}

// mendLone turns `x == "a" or "b"` into a list when that is what it says.
func (k *reader) mendLone(f *Fault, i int) {
	first := i
	for k.mark(first-1).is(name, "or", "and") && k.mark(first-1).text == k.mark(i-1).text && k.mark(first-2).kind == k.marks[i].kind {
		first -= 2
	}
	x, s := k.mark(first-2), k.mark(first-1)
	in := map[string]string{"or==": "in", "and!=": "not in"}[k.mark(i-1).text+s.text]
	if !x.is(name) || !s.is(sign) || in == "" {
		return
	}
	var entries []string
	last := first
	for j := first; j == first || k.mark(j-1).text == k.mark(i-1).text && k.mark(j).kind == k.marks[i].kind; j += 2 {
		entries, last = append(entries, k.at(k.marks[j].span)), j
	}
	right := fmt.Sprintf("%s %s [%s]", x.text, in, strings.Join(entries, ", "))
	f.Help = "write " + tick(right)
	if last == i {
		f.mend(span{x.from, k.marks[last].to}, right)
	}
}

// badCall reports functions that conditions do not know.
func (k *reader) badCall(i int) bool {
	m := k.marks[i]
	if m.kind != name || m.small() || !k.called(i) || m.text == "abs" || m.text == "between" {
		return false
	}
	if lower := strings.ToLower(m.text); lower == "abs" || lower == "between" {
		k.fault(m.span, "R114", fmt.Sprintf("%s is written in capitals", tick(m.text)), "", "conditions know it in small letters only",
			"write "+tick(lower)).mend(m.span, lower)
		return true
	}
	f := k.fault(m.span, "R131", fmt.Sprintf("%s is nothing that can be computed in a condition", tick(clip(m.text))), "", "",
		"there are `abs(number)` and `between(number, lowest, highest)`")
	if k.known(m) {
		f.Headline, f.Help = fmt.Sprintf("%s is a fact, and brackets cannot follow it", tick(m.text)), "write `and` or `or` before the bracket"
	}
	return true
}

// badIndex reports square brackets after a name.
func (k *reader) badIndex(i int) bool {
	m, before := k.marks[i], k.mark(i-1)
	if !m.is(open, "[") || !(before.is(name) && !before.small() || before.is(shut) || before.is(text)) {
		return false
	}
	if k.mark(i+1).is(text) && k.mark(i+2).is(shut, "]") {
		right := before.text + "." + k.marks[i+1].text
		k.fault(span{m.from, k.marks[i+2].to}, "R125", "a name cannot be followed by square brackets", "", "", "write "+tick(right)).
			mend(span{before.from, k.marks[i+2].to}, right)
		return true
	}
	k.fault(m.span, "R125", "a name cannot be followed by square brackets", "", "", "write `in` before the list")
	return true
}

// checkBrackets reports brackets without their partner.
func (k *reader) checkBrackets() {
	var stack []mark
	for _, m := range k.marks {
		switch {
		case m.kind == open:
			stack = append(stack, m)
		case m.kind == shut && len(stack) > 0 && partner[stack[len(stack)-1].text] == m.text:
			stack = stack[:len(stack)-1]
		case m.kind == shut && !k.explained(m.span):
			k.fault(m.span, "R126", fmt.Sprintf("no bracket opens for this %s", tick(m.text)), "", "", "take it out, or open one before it")
			return
		}
	}
	if len(stack) > 0 && !k.explained(stack[0].span) {
		m := stack[len(stack)-1]
		k.fault(m.span, "R126", "this bracket is never closed", "", "", "write "+tick(partner[m.text])+" where the group ends")
	}
}

var partner = map[string]string{"(": ")", "[": "]", "{": "}"}

// nothingBeside reports a joining word or sign that has nothing on one side.
func (k *reader) nothingBeside(i int) bool {
	m, before, after := k.marks[i], k.mark(i-1), k.mark(i+1)
	unary := m.is(name, "not") || m.is(sign, "!", "-", "+")
	joins := m.small() || m.kind == sign
	if !joins && m.kind != open || m.is(name, "not") && after.is(name, "in") {
		return false
	}
	if m.is(open, "(") && after.is(shut, ")") && !before.is(name) {
		k.fault(span{m.from, after.to}, "R115", "nothing stands in these brackets", "", "", "take them out, or write what belongs in them")
		return true
	}
	if m.kind == open {
		return false
	}
	ends := i+1 == len(k.marks) || after.kind == shut || after.is(sign, ",") || after.is(name, "and", "or", "in") ||
		after.is(sign) && !after.is(sign, "!", "-", "+")
	if ends && !(m.is(sign, ",") && after.is(shut, "]")) {
		k.fault(m.span, "R115", fmt.Sprintf("nothing follows %s", tick(m.text)), "", "", "take it out, or write the rest")
		return true
	}
	starts := i == 0 || before.kind == open || before.is(sign, ",")
	if starts && !unary {
		k.fault(m.span, "R115", fmt.Sprintf("nothing stands before %s", tick(m.text)), "", "", "take it out, or write what belongs before it")
		return true
	}
	return false
}

// twoInARow reports two values with nothing between them.
func (k *reader) twoInARow(i int) bool {
	m, before := k.marks[i], k.mark(i-1)
	starts := m.value() || m.is(open, "(") || m.is(name, "not") && !k.mark(i+1).is(name, "in")
	ends := before.value() || before.kind == shut
	if !starts || !ends || k.explained(before.span) || m.is(open, "(") && before.is(name) {
		return false
	}
	k.fault(m.span, "R135", fmt.Sprintf("something is missing before %s", tick(clip(k.at(m.span)))), "",
		"two things stand side by side with nothing to compare or join them", "write `and`, `or` or a comparison sign between them")
	return true
}
