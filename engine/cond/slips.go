package cond

import (
	"fmt"
	"slices"
	"strings"
)

// slip is a sign or word that no condition has: another spelling of one that it
// has, or one of the expression language that a coach should not meet.
type slip struct {
	right    string // how conditions write it
	help     string // what to do without it
	headline string // of a refused one, where it is not that it is refused
	why      string
}

// Refusals that several signs or words share.
var (
	twoRules = slip{help: "write two rules, one for each case"}
	remark   = slip{help: "take it out; remarks belong under `why:`"}
	product  = slip{help: "write the product out"}
	whole    = slip{help: "compare with whole answers"}
	braces   = slip{help: "use round brackets to group and square ones for a list"}
	takeOut  = slip{help: "take it out, or write `not (...)`"}
	notAsked = slip{help: "take this comparison out", headline: "a condition cannot ask whether something was seen", why: "what nobody saw makes a comparison neither yes nor no by itself"}
	equals   = slip{right: "=="}
	differs  = slip{right: "!="}
	atLeast  = slip{right: ">="}
	atMost   = slip{right: "<="}
	minus    = slip{right: "-"}
	and, or  = slip{right: "and"}, slip{right: "or"}
)

// slips are looked up in small letters.
var slips = map[string]slip{
	"===": equals, "!==": differs, "=!": differs, "<>": differs, "><": differs, "≠": differs, "=>": atLeast, "≥": atLeast, "=<": atMost, "≤": atMost,
	"−": minus, "–": minus, "×": {right: "*"}, "÷": {right: "/"}, "&": and, "∧": and, "|": or, "∨": or, "¬": {right: "not"},
	"is": equals, "are": equals, "equals": equals, "equal": equals, "eq": equals, "isnt": differs,

	"?": twoRules, ":": twoRules, "if": twoRules, "else": twoRules, "#": remark, "//": remark, "/*": remark, "^": product, "**": product,
	"{": braces, "}": braces, ",": {help: "join the two with `and` or `or`"}, ";": {help: "join the two with `and`, or write two rules"},
	"??": {help: "what nobody saw is not known by itself, so leave this out"}, "?.": {help: "write a plain dot"}, "::": {help: "take it out"},
	"%": {help: "write out what you count"}, ".": {help: "write the whole name without spaces, such as best.hinge"},
	"matches": whole, "contains": whole, "startswith": whole, "endswith": whole, "let": {help: "write the value where it is used"},
	"xor": {help: "write the two cases out with `and`, `or` and `not`"}, "then": takeOut, "unless": takeOut, "when": takeOut,
	"nil": notAsked, "null": notAsked, "unknown": notAsked, "missing": notAsked, "undefined": notAsked,
}

// units are the ones that coaches write after a number, with the checklist's
// word for each.
var units = map[string]string{"°": "deg", "º": "deg", "deg": "deg", "degree": "deg", "degrees": "deg", "ms": "ms", "s": "s", "sec": "s", "seconds": "s",
	"cm": "cm", "m": "m", "mm": "mm", "mph": "mph", "kmh": "km/h", "km": "km", "ft": "ft", "feet": "ft", "inch": "in", "inches": "in",
	"years": "years", "yrs": "years", "days": "days", "weeks": "weeks", "throws": "throws", "pitches": "pitches", "%": "%", "percent": "%", "pct": "%"}

// mark returns a mark by its place, and one that is nothing beyond the ends.
func (k *reader) mark(i int) mark {
	if i < 0 || i >= len(k.marks) {
		return mark{kind: odd}
	}
	return k.marks[i]
}

// checkMarks reports what is written in a way that no condition is. It looks
// at the marks and their neighbours alone, so that each slip is told by its
// cause; what is left after it, the parser can read.
func (k *reader) checkMarks() {
	for i, m := range k.marks {
		if k.explained(m.span) {
			continue
		}
		switch m.kind {
		case name:
			k.wordSlip(i)
		case number:
			k.numberSlip(i)
		case text:
			k.textSlip(i)
		default:
			k.signSlip(i)
		}
	}
	k.checkBrackets()
	for i, m := range k.marks {
		if !k.explained(m.span) && !k.nothingBeside(i) {
			k.twoInARow(i)
		}
	}
}

// refuse reports what no condition has.
func (k *reader) refuse(at span, what string, s slip) {
	if s.headline == "" {
		s.headline = fmt.Sprintf("%s is not part of conditions", tick(what))
	}
	k.fault(at, "R125", s.headline, "", s.why, s.help)
}

// respell reports a mark that conditions write otherwise.
func (k *reader) respell(at span, code, problem, why, right string) {
	k.fault(at, code, fmt.Sprintf(problem, tick(k.at(at))), "", why, "write "+tick(right)).mend(at, right)
}

const notKnown = "%s is not a sign that conditions know"

// signSlip reports signs, brackets and other characters.
func (k *reader) signSlip(i int) {
	m, before, after := k.marks[i], k.mark(i-1), k.mark(i+1)
	s := slips[m.text]
	switch {
	case m.is(odd, "°", "º"):
		k.unitAfter(i, "the degree sign cannot be part of the condition")
	case m.is(sign, "%") && before.is(number) && !after.value() && !after.is(open):
		k.unit(i)
	case m.is(sign, "="):
		help := "write `==`"
		if before.value() && after.value() {
			help = "write " + tick(k.at(before.span)+" == "+k.at(after.span))
		}
		k.fault(m.span, "R111", "a condition needs `==` to compare", "one equals sign", "", help).mend(m.span, "==")
	case s.right != "":
		k.respell(m.span, "R119", notKnown, "", s.right)
	case m.is(sign, ",") && k.listed(i):
	case s.help != "":
		k.refusedSign(i, s)
	case m.kind == odd:
		k.fault(m.span, "R130", fmt.Sprintf("the character %s means nothing in a condition", tick(m.text)), "", "", "take it out")
	case m.is(open, "["):
		k.badIndex(i)
	}
}

// refusedSign reports a sign that no condition uses, a pair of them once.
func (k *reader) refusedSign(i int, s slip) {
	m, before := k.marks[i], k.mark(i-1)
	told := func(f Fault) bool { return f.Code == "R125" && strings.Contains("?{", k.at(span{f.From, f.To})) }
	at := m.span
	switch {
	case (m.text == ":" || m.text == "}") && slices.ContainsFunc(k.faults, told):
		return
	case s == remark:
		for at.to < len(k.runes) && k.runes[at.to] != '\n' {
			at.to++
		}
	case m.text == "." && before.is(name) && before.to == m.from && !k.mark(i+1).is(name):
		s.help = "write the whole name"
	}
	k.refuse(at, m.text, s)
}

// unit reports what follows a number without a space or is a unit.
func (k *reader) unit(i int) {
	k.unitAfter(i, fmt.Sprintf("%s after a number cannot be part of the condition", tick(clip(k.marks[i].text))))
}

// unitAfter reports a unit. Taking it out is sure only where the fact has the
// same unit: three weeks are not three days.
func (k *reader) unitAfter(i int, headline string) {
	m, n := k.marks[i], k.mark(i-1)
	bad := k.fault(m.span, "R110", headline, "", "units belong to the checklist", "write the number in plain digits")
	f, ok := k.cat.Lookup(k.mark(i - 3).text)
	unit := units[strings.ToLower(m.text)]
	if !n.is(number) || unit == "" {
		return
	}
	bad.Help = "write " + n.text
	first, _, _ := strings.Cut(f.Unit, " ")
	switch {
	case !ok || f.Unit == "":
	case first == unit || f.Unit == unit:
		bad.Why += fmt.Sprintf("; %s is already in %s", tick(f.Name), f.Unit)
		bad.mend(span{n.to, m.to}, "")
	default:
		bad.Why += fmt.Sprintf("; %s is in %s", tick(f.Name), f.Unit)
		bad.Help = "write the number in " + f.Unit
	}
}

// textSlip reports quotes that do not close, quotes of a word processor, and a
// word without what it is compared with.
func (k *reader) textSlip(i int) {
	switch m := k.marks[i]; {
	case m.torn:
		k.fault(m.span, "R127", "the quote that opens here is never closed", "", "", `put a " at the end of the answer`)
	case m.curly:
		k.fault(m.span, "R113", "typographic quotes cannot be part of the condition", "",
			"word processors put them in; the file needs the plain ones", "write "+quote(m.text)).mend(m.span, quote(m.text))
	default:
		k.loneWord(i, "word")
	}
}

// numberSlip reports decimal commas, numbers that are too long to mean anything,
// and those without what they are compared with.
func (k *reader) numberSlip(i int) {
	m, comma, next := k.marks[i], k.mark(i+1), k.mark(i+2)
	digits, _, _ := strings.Cut(m.text, ".")
	switch {
	case len(digits) > 9 || len(m.text) > 18:
		k.fault(m.span, "R136", "this number has too many digits", "", "", "check the number")
	case comma.is(sign, ",") && next.is(number) && comma.from == m.to && next.from == comma.to && !k.listed(i):
		at := span{m.from, next.to}
		right := m.text + "." + next.text
		k.fault(at, "R116", "a comma cannot stand inside a number", "", "a comma separates the entries of a list", "write "+tick(right)).mend(at, right)
	default:
		k.loneWord(i, "number")
	}
}

// wordSlip reports words that stand for a sign, capitals, functions that
// conditions do not know and the like.
func (k *reader) wordSlip(i int) {
	m, before, called := k.marks[i], k.mark(i-1), k.called(i)
	lower := strings.ToLower(m.text)
	word := mark{kind: name, text: lower}
	capitals := m.text != lower && (word.small() || isConstant(lower) || called && word.function())
	s := slips[lower]
	switch {
	case before.is(number) && (m.from == before.to || units[lower] != ""):
		k.unit(i)
	case capitals:
		k.respell(m.span, "R114", "%s is written in capitals", "conditions know it in small letters only", lower)
	case k.known(m) && called:
		k.fault(m.span, "R131", fmt.Sprintf("%s is a fact, and brackets cannot follow it", tick(m.text)), "", "", "write `and` or `or` before the bracket")
	case k.known(m) || m.small():
	case lower == "between" && !called:
		k.between(i)
	case lower == "yes" || lower == "no":
		k.yesNo(i)
	case s.right != "":
		k.isWord(i, s.right)
	case s.help != "":
		k.refuse(m.span, m.text, s)
	case called && !m.function():
		k.fault(m.span, "R131", fmt.Sprintf("%s is nothing that can be computed in a condition", tick(clip(m.text))), "", "",
			"there are `abs(number)` and `between(number, lowest, highest)`")
	}
}

// function lists the functions that a condition may call.
func (m mark) function() bool { return m.is(name, "abs", "between") }

// called reports whether the mark is the name of a function.
func (k *reader) called(i int) bool { return k.mark(i+1).is(open, "(") }

// isConstant reports whether a name is one of the two constants.
func isConstant(s string) bool { return s == "true" || s == "false" }

// known reports whether a mark is a fact of the catalogue.
func (k *reader) known(m mark) bool {
	_, ok := k.cat.Slot(m.text)
	return ok && m.kind == name
}

// isWord reports `is` and its kin, with the `not` or `in` that follows.
func (k *reader) isWord(i int, right string) {
	at := k.marks[i].span
	switch next := k.mark(i + 1); {
	case next.is(name, "not") && k.mark(i+2).is(name, "in"):
		at.to, right = k.marks[i+2].to, "not in"
	case next.is(name, "not"):
		at.to, right = next.to, "!="
	case next.is(name, "in"):
		at.to, right = next.to, "in"
	}
	k.respell(at, "R118", notKnown, "", right)
}

// between reports `x between a and b` without brackets.
func (k *reader) between(i int) {
	at := k.marks[i].span
	x, a, and, b := k.mark(i-1), k.mark(i+1), k.mark(i+2), k.mark(i+3)
	f := k.fault(at, "R117", "`between` needs its three parts in brackets", "", "", "write `between(fact, lowest, highest)`")
	if x.is(name) && a.value() && and.is(name, "and") && b.value() {
		right := fmt.Sprintf("between(%s, %s, %s)", k.at(x.span), k.at(a.span), k.at(b.span))
		f.Help, f.To = "write "+tick(right), b.to
		f.mend(span{x.from, b.to}, right)
	}
}

// yesNo reports `yes` and `no` where a fact says it by itself.
func (k *reader) yesNo(i int) {
	m, a, s := k.marks[i], k.mark(i-2), k.mark(i-1)
	f := k.fault(m.span, "R109", fmt.Sprintf("%s stands for nothing in a condition", tick(m.text)), "",
		"a yes/no fact is a condition by itself", "write the fact alone, or `not` and the fact")
	if k.known(a) && s.is(sign, "==", "!=", "=") {
		right := negated(a.text, strings.EqualFold(m.text, "yes") == (s.text == "!="))
		f.Help = "write " + tick(right)
		f.mend(span{a.from, m.to}, right)
	}
}

// negated puts `not` before a fact.
func negated(fact string, not bool) string {
	if not {
		return "not " + fact
	}
	return fact
}

// opener is the bracket that a mark stands in, -1 for none.
func (k *reader) opener(i int) int {
	depth := 0
	for i--; i >= 0; i-- {
		switch m := k.marks[i]; {
		case m.kind == shut:
			depth++
		case m.kind == open && depth == 0:
			return i
		case m.kind == open:
			depth--
		}
	}
	return -1
}

// listed reports whether a mark stands in a list or in the brackets of a
// function, where commas belong.
func (k *reader) listed(i int) bool {
	at := k.opener(i)
	before := k.mark(at - 1)
	return k.mark(at).is(open, "[") || at >= 0 && before.is(name) && !before.small()
}

// joins reports whether a mark joins two comparisons.
func (m mark) joins() bool { return m.is(name, "and", "or") || m.is(sign, "&&", "||") }

// loneWord reports `== "a" or "b"`.
func (k *reader) loneWord(i int, what string) {
	m, joint, end := k.marks[i], k.mark(i-1), k.mark(i+1)
	if !joint.joins() || i+1 < len(k.marks) && !end.joins() && !end.is(shut, ")") {
		return
	}
	f := k.fault(m.span, "R112", fmt.Sprintf("%s is missing what to compare", tick(k.at(span{joint.from, m.to}))),
		"a "+what+" on its own is neither yes nor no", "", "write the whole comparison again")
	k.mendLone(f, i)
}

// mendLone turns `x == "a" or "b"` into a list when that is what it says.
func (k *reader) mendLone(f *Fault, i int) {
	joint := k.mark(i - 1)
	follows := func(j int) bool { return k.mark(j-1).text == joint.text && k.mark(j).kind == k.marks[i].kind }
	first := i
	for joint.is(name) && k.mark(first-1).text == joint.text && k.mark(first-2).kind == k.marks[i].kind {
		first -= 2
	}
	x, s := k.mark(first-2), k.mark(first-1)
	in := map[string]string{"or==": "in", "and!=": "not in"}[joint.text+s.text]
	if !x.is(name) || !s.is(sign) || in == "" {
		return
	}
	entries, last := []string{k.at(k.marks[first].span)}, first
	for ; follows(last + 2); last += 2 {
		entries = append(entries, k.at(k.marks[last+2].span))
	}
	right := fmt.Sprintf("%s %s [%s]", x.text, in, strings.Join(entries, ", "))
	f.Help = "write " + tick(right)
	if last == i {
		f.mend(span{x.from, k.marks[last].to}, right)
	}
}

// badIndex reports square brackets after a name.
func (k *reader) badIndex(i int) {
	m, before := k.marks[i], k.mark(i-1)
	if !(before.is(name) && !before.small() || before.is(shut) || before.is(text)) {
		return
	}
	const headline = "a name cannot be followed by square brackets"
	if index, end := k.mark(i+1), k.mark(i+2); index.is(text) && end.is(shut, "]") {
		right := before.text + "." + index.text
		k.fault(span{m.from, end.to}, "R125", headline, "", "", "write "+tick(right)).mend(span{before.from, end.to}, right)
		return
	}
	k.fault(m.span, "R125", headline, "", "", "write `in` before the list")
}

// checkBrackets reports brackets without their partner.
func (k *reader) checkBrackets() {
	partner := map[string]string{"(": ")", "[": "]", "{": "}"}
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

// nothingBeside reports a joining word or sign that has nothing on one side.
func (k *reader) nothingBeside(i int) bool {
	m, before, after := k.marks[i], k.mark(i-1), k.mark(i+1)
	if m.is(open, "(") && after.is(shut, ")") && !before.is(name) {
		k.fault(span{m.from, after.to}, "R115", "nothing stands in these brackets", "", "", "take them out, or write what belongs in them")
		return true
	}
	if !m.small() && m.kind != sign || m.is(name, "not") && after.is(name, "in") {
		return false
	}
	unary := func(m mark) bool { return m.is(sign, "!", "-", "+") }
	ends := i+1 == len(k.marks) || after.kind == shut || after.is(name, "and", "or", "in") || after.kind == sign && !unary(after)
	starts := i == 0 || before.kind == open || before.is(sign, ",")
	switch {
	case ends && !(m.is(sign, ",") && after.is(shut, "]")):
		k.fault(m.span, "R115", fmt.Sprintf("nothing follows %s", tick(m.text)), "", "", "take it out, or write the rest")
	case starts && !unary(m) && !m.is(name, "not"):
		k.fault(m.span, "R115", fmt.Sprintf("nothing stands before %s", tick(m.text)), "", "", "take it out, or write what belongs before it")
	default:
		return false
	}
	return true
}

// twoInARow reports two values with nothing between them.
func (k *reader) twoInARow(i int) {
	m, before := k.marks[i], k.mark(i-1)
	starts := m.value() || m.is(open, "(") || m.is(name, "not") && !k.mark(i+1).is(name, "in")
	ends := before.value() || before.kind == shut
	if starts && ends && !k.explained(before.span) && !(m.is(open, "(") && before.is(name)) {
		k.fault(m.span, "R135", fmt.Sprintf("something is missing before %s", tick(clip(k.at(m.span)))), "",
			"two things stand side by side with nothing to compare or join them", "write `and`, `or` or a comparison sign between them")
	}
}
