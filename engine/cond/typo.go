package cond

import (
	"fmt"
	"slices"
	"strings"
)

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
	for i := range k.marks {
		if k.explained(k.marks[i].span) {
			continue
		}
		_ = k.strayMark(i) || k.badQuote(i) || k.unit(i) || k.otherSign(i) || k.refusedSign(i) || k.otherWord(i) ||
			k.refusedWord(i) || k.badNumber(i) || k.loneWord(i) || k.badCall(i) || k.badIndex(i)
	}
	k.checkBrackets()
	for i := range k.marks {
		if !k.explained(k.marks[i].span) {
			_ = k.nothingBeside(i) || k.twoInARow(i)
		}
	}
}

// strayMark reports characters without a meaning.
func (k *reader) strayMark(i int) bool {
	m := k.marks[i]
	if m.kind != odd {
		return false
	}
	if m.text == "°" || m.text == "º" {
		k.unitAfter(i, "the degree sign cannot be part of the condition")
		return true
	}
	if right, ok := spellings[m.text]; ok {
		k.spelled(m, right)
		return true
	}
	k.fault(m.span, "R130", fmt.Sprintf("the character %s means nothing in a condition", tick(m.text)), "", "", "take it out")
	return true
}

// badQuote reports quotes that do not close and quotes of a word processor.
func (k *reader) badQuote(i int) bool {
	m := k.marks[i]
	switch {
	case m.torn:
		k.fault(m.span, "R127", "the quote that opens here is never closed", "", "", `put a " at the end of the answer`)
	case m.curly:
		k.fault(m.span, "R113", "typographic quotes cannot be part of the condition", "",
			"word processors put them in; the file needs the plain ones", "write "+quote(m.text)).mend(m.span, quote(m.text))
	default:
		return false
	}
	return true
}

// unit reports what follows a number without a space or is a unit.
func (k *reader) unit(i int) bool {
	m, n := k.marks[i], k.mark(i-1)
	if !n.is(number) || !(m.is(sign, "%") || m.is(name) && (m.from == n.to || units[strings.ToLower(m.text)] != "")) {
		return false
	}
	if m.is(sign, "%") && (k.mark(i+1).value() || k.mark(i+1).is(open)) {
		return false
	}
	k.unitAfter(i, fmt.Sprintf("%s after a number cannot be part of the condition", tick(clip(m.text))))
	return true
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
	if !ok || f.Unit == "" {
		return
	}
	if first, _, _ := strings.Cut(f.Unit, " "); first == unit || f.Unit == unit {
		bad.Why += fmt.Sprintf("; %s is already in %s", tick(f.Name), f.Unit)
		bad.mend(span{n.to, m.to}, "")
		return
	}
	bad.Why += fmt.Sprintf("; %s is in %s", tick(f.Name), f.Unit)
	bad.Help = "write the number in " + f.Unit
}

// units are the ones that coaches write after a number, with the checklist's
// word for each.
var units = map[string]string{"°": "deg", "º": "deg", "deg": "deg", "degree": "deg", "degrees": "deg", "ms": "ms", "s": "s", "sec": "s", "seconds": "s",
	"cm": "cm", "m": "m", "mm": "mm", "mph": "mph", "kmh": "km/h", "km": "km", "ft": "ft", "feet": "ft", "inch": "in", "inches": "in",
	"years": "years", "yrs": "years", "days": "days", "weeks": "weeks", "throws": "throws", "pitches": "pitches", "%": "%", "percent": "%", "pct": "%"}

// spellings are other ways to write the signs.
var spellings = map[string]string{"=": "==", "===": "==", "!==": "!=", "=!": "!=", "<>": "!=", "><": "!=", "=>": ">=", "=<": "<=",
	"≥": ">=", "≤": "<=", "≠": "!=", "−": "-", "–": "-", "×": "*", "÷": "/", "&": "and", "|": "or", "∧": "and", "∨": "or", "¬": "not"}

func (k *reader) otherSign(i int) bool {
	m := k.marks[i]
	right, ok := spellings[m.text]
	if !m.is(sign) || !ok {
		return false
	}
	if m.text != "=" {
		k.spelled(m, right)
		return true
	}
	help := "write `==`"
	if a, b := k.mark(i-1), k.mark(i+1); a.value() && b.value() {
		help = "write " + tick(k.at(a.span)+" == "+k.at(b.span))
	}
	k.fault(m.span, "R111", "a condition needs `==` to compare", "one equals sign", "", help).mend(m.span, "==")
	return true
}

func (k *reader) spelled(m mark, right string) {
	k.fault(m.span, "R119", fmt.Sprintf("%s is not a sign that conditions know", tick(m.text)), "", "", "write "+tick(right)).
		mend(m.span, right)
}

// refusedSigns are the signs of the expression language that a coach should
// not meet, and what to do without them.
var refusedSigns = map[string]string{
	"?": "write two rules, one for each case", ":": "write two rules, one for each case",
	"??": "what nobody saw is not known by itself, so leave this out", "?.": "write a plain dot",
	"::": "take it out", ";": "join the two with `and`, or write two rules",
	"#": "take it out; remarks belong under `why:`", "//": "take it out; remarks belong under `why:`", "/*": "take it out; remarks belong under `why:`",
	"^": "write the product out", "**": "write the product out", "%": "write out what you count",
	"!": "write `not`", ".": "write the whole name without spaces, such as best.hinge", "||": "", "&&": "",
}

// refusedSign reports signs that no condition uses.
func (k *reader) refusedSign(i int) bool {
	m := k.marks[i]
	help, ok := refusedSigns[m.text]
	if m.is(sign, ",") && !k.listed(i) {
		help, ok = "join the two with `and` or `or`", true
	}
	if m.is(open, "{") || m.is(shut, "}") {
		help, ok = "use round brackets to group and square ones for a list", true
	}
	if !ok || m.kind == name || help == "" || m.text == "!" {
		return false
	}
	if (m.text == ":" || m.text == "}") && k.refused("?", "{") {
		return true // told with its other half
	}
	at := m.span
	if m.text == "#" || m.text == "//" || m.text == "/*" {
		at.to = k.lineEnd(at.to)
	}
	if m.text == "." && k.mark(i-1).is(name) && k.mark(i-1).to == m.from && !k.mark(i+1).is(name) {
		help = "write the whole name"
	}
	k.fault(at, "R125", fmt.Sprintf("%s is not part of conditions", tick(m.text)), "", "", help)
	return true
}

// refused reports whether one of the signs was refused before.
func (k *reader) refused(signs ...string) bool {
	for _, f := range k.faults {
		if f.Code == "R125" && slices.Contains(signs, k.at(span{f.From, f.To})) {
			return true
		}
	}
	return false
}

// lineEnd returns where the line that holds a rune ends.
func (k *reader) lineEnd(at int) int {
	for at < len(k.runes) && k.runes[at] != '\n' {
		at++
	}
	return at
}

// otherWord reports words that stand for a sign, capitals and the like.
func (k *reader) otherWord(i int) bool {
	m := k.marks[i]
	if m.kind != name {
		return false
	}
	lower := strings.ToLower(m.text)
	switch {
	case m.text != lower && (mark{kind: name, text: lower}.small() || lower == "true" || lower == "false"):
		k.fault(m.span, "R114", fmt.Sprintf("%s is written in capitals", tick(m.text)), "", "conditions know it in small letters only",
			"write "+tick(lower)).mend(m.span, lower)
	case k.known(m):
		return false
	case lower == "is" || lower == "equals" || lower == "equal" || lower == "eq" || lower == "isnt" || lower == "are":
		k.isWord(i)
	case lower == "between" && !k.called(i):
		k.between(i)
	case lower == "yes" || lower == "no":
		k.yesNo(i)
	case lower == "xor":
		k.fault(m.span, "R125", "`xor` is not part of conditions", "", "", "write the two cases out with `and`, `or` and `not`")
	case lower == "then" || lower == "unless" || lower == "when":
		k.fault(m.span, "R125", fmt.Sprintf("%s is not part of conditions", tick(m.text)), "", "", "take it out, or write `not (...)`")
	default:
		return false
	}
	return true
}

// known reports whether a mark is a fact of the catalogue.
func (k *reader) known(m mark) bool {
	_, ok := k.cat.Slot(m.text)
	return ok && m.kind == name
}

// isWord reports `is` and its kin, with the `not` or `in` that follows.
func (k *reader) isWord(i int) bool {
	at, right := k.marks[i].span, "=="
	if strings.EqualFold(k.marks[i].text, "isnt") {
		right = "!="
	}
	switch next := k.mark(i + 1); {
	case next.is(name, "not") && k.mark(i+2).is(name, "in"):
		at.to, right = k.marks[i+2].to, "not in"
	case next.is(name, "not"):
		at.to, right = next.to, "!="
	case next.is(name, "in"):
		at.to, right = next.to, "in"
	}
	k.fault(at, "R118", fmt.Sprintf("%s is not a sign that conditions know", tick(k.at(at))), "", "", "write "+tick(right)).mend(at, right)
	return true
}

// between reports `x between a and b` without brackets.
func (k *reader) between(i int) {
	at := k.marks[i].span
	x, a, and, b := k.mark(i-1), k.mark(i+1), k.mark(i+2), k.mark(i+3)
	f := k.fault(at, "R117", "`between` needs its three parts in brackets", "", "", "write `between(fact, lowest, highest)`")
	if x.is(name) && a.value() && and.is(name, "and") && b.value() {
		right := fmt.Sprintf("between(%s, %s, %s)", k.at(x.span), k.at(a.span), k.at(b.span))
		f.Help = "write " + tick(right)
		f.mend(span{x.from, b.to}, right)
		k.faults[len(k.faults)-1].To = b.to
	}
}

// yesNo reports `yes` and `no` where a fact says it by itself.
func (k *reader) yesNo(i int) {
	m := k.marks[i]
	f := k.fault(m.span, "R109", fmt.Sprintf("%s stands for nothing in a condition", tick(m.text)), "",
		"a yes/no fact is a condition by itself", "write the fact alone, or `not` and the fact")
	a, s := k.mark(i-2), k.mark(i-1)
	if !k.known(a) || !s.is(sign, "==", "!=", "=") {
		return
	}
	right := a.text
	if strings.EqualFold(m.text, "yes") == (s.text == "!=") {
		right = "not " + a.text
	}
	f.Help = "write " + tick(right)
	f.mend(span{a.from, m.to}, right)
}
