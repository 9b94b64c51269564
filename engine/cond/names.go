package cond

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// checkNames reports every name that is no fact: all of them, before anything
// is parsed, so that one slip does not hide the next.
func (k *reader) checkNames() {
	for i, m := range k.marks {
		if m.kind != name || m.small() || k.explained(m.span) || isConstant(m.text) || k.called(i) || k.mark(i+1).is(open, "[") {
			continue
		}
		if _, ok := k.cat.Slot(m.text); !ok {
			k.unknownName(i)
		}
	}
}

// explained reports whether a fault already covers the stretch.
func (k *reader) explained(s span) bool {
	return slices.ContainsFunc(k.faults, func(f Fault) bool { return f.From < s.to && s.from < f.To })
}

func (k *reader) unknownName(i int) {
	m := k.marks[i]
	switch {
	case k.unquoted(i), k.dashed(i), k.group(m):
		return
	}
	headline := fmt.Sprintf("nothing called %s is ever observed", tick(clip(m.text)))
	f := k.fault(m.span, "R101", headline, "not in the checklist", "", "use a name of the checklist")
	if found := k.nearest(m.text); len(found) == 1 {
		f.Help = fmt.Sprintf("the closest name is %s (%s)", tick(found[0].Name), describe(found[0]))
		if diag.OneSlip(m.text, found[0].Name) {
			f.mend(m.span, found[0].Name)
		}
	} else if len(found) > 1 {
		f.Help = "there is " + names(found)
	}
}

// unquoted reports an answer that lacks its quotes.
func (k *reader) unquoted(i int) bool {
	m := k.marks[i]
	has := func(f fact.Fact) bool { return f.Kind == fact.Choice && f.Place(m.text) >= 0 }
	const under = "read as the name of a fact"
	if f, ok := k.comparedWith(i); ok {
		if has(f) {
			k.fault(m.span, "R121", fmt.Sprintf("the answer %s stands without quotes", tick(m.text)),
				under, "", "write "+quote(m.text)).mend(m.span, quote(m.text))
		}
		return has(f)
	}
	if found := k.facts(has); len(found) > 0 && !strings.Contains(m.text, ".") {
		k.fault(m.span, "R121", fmt.Sprintf("%s is an answer, not a fact", tick(m.text)),
			under, "", fmt.Sprintf("compare it, such as %s == %s", found[0].Name, quote(m.text)))
		return true
	}
	return false
}

// comparedWith returns the fact that a mark is compared with: the one beside
// it, or the one before the list it stands in.
func (k *reader) comparedWith(i int) (fact.Fact, bool) {
	if k.mark(i-1).is(sign, "==", "!=", "=") {
		return k.cat.Lookup(k.mark(i - 2).text)
	}
	if k.mark(i+1).is(sign, "==", "!=", "=") {
		return k.cat.Lookup(k.mark(i + 2).text)
	}
	i = k.opener(i)
	if !k.mark(i).is(open, "[") || !k.mark(i-1).is(name, "in") {
		return fact.Fact{}, false
	}
	i -= 2
	if k.mark(i).is(name, "not") {
		i--
	}
	return k.cat.Lookup(k.mark(i).text)
}

// dashed reports a name written with dashes, which read as minus signs.
func (k *reader) dashed(i int) bool {
	whole := k.marks[i]
	for j := i; k.mark(j+1).is(sign, "-") && k.mark(j+2).is(name) &&
		k.marks[j+1].from == whole.to && k.marks[j+2].from == whole.to+1; j += 2 {
		whole.to = k.marks[j+2].to
	}
	right := strings.ReplaceAll(k.at(whole.span), "-", "_")
	f, ok := k.cat.Lookup(right)
	if whole.to == k.marks[i].to || !ok {
		return false
	}
	k.fault(whole.span, "R101", fmt.Sprintf("nothing called %s is ever observed", tick(k.at(whole.span))),
		"read as one number minus another", "", fmt.Sprintf("the closest name is %s (%s)", tick(right), describe(f))).
		mend(whole.span, right)
	return true
}

// group reports the name of a group that stands for a fact.
func (k *reader) group(m mark) bool {
	in := k.facts(func(f fact.Fact) bool { return strings.HasPrefix(f.Name, m.text+".") })
	if len(in) > 0 {
		k.fault(m.span, "R102", fmt.Sprintf("%s is a group of facts", tick(m.text)), "which one of them?", "",
			"write the whole name: "+names(in))
	}
	return len(in) > 0
}

// facts lists the facts of a kind, in the order of the catalogue.
func (k *reader) facts(of func(fact.Fact) bool) []fact.Fact {
	var out []fact.Fact
	for i := range k.cat.Len() {
		if f := k.cat.At(i); of(f) {
			out = append(out, f)
		}
	}
	return out
}

// names lists up to six facts for a message.
func names(facts []fact.Fact) string {
	var out []string
	for i, f := range facts {
		if i == 6 {
			return strings.Join(out, ", ") + " and more"
		}
		out = append(out, tick(f.Name))
	}
	return strings.Join(out, ", ")
}

// nearest returns the facts that a name may have meant: the nearest of its
// group, else the same name in a group spelled alike, else in any group.
func (k *reader) nearest(wrong string) []fact.Fact {
	group, tail := parts(wrong)
	var groups, tails []string
	for _, name := range k.cat.Names() {
		g, t := parts(name)
		groups = append(groups, g)
		if g == group && group != "" {
			tails = append(tails, t)
		}
	}
	called := func(name string) []fact.Fact {
		return k.facts(func(f fact.Fact) bool { return f.Name == name })
	}
	if near, ok := diag.Nearest(tail, tails); ok {
		return called(group + "." + near)
	}
	if near, ok := diag.Nearest(group, groups); ok && len(tails) == 0 && group != "" {
		if found := called(near + "." + tail); found != nil {
			return found
		}
	}
	same := k.facts(func(f fact.Fact) bool { _, t := parts(f.Name); return t == tail })
	if near, ok := diag.Nearest(wrong, k.cat.Names()); ok && len(same) == 0 {
		return called(near)
	}
	return same
}

// parts splits a name at its first dot.
func parts(name string) (group, tail string) {
	if g, t, ok := strings.Cut(name, "."); ok {
		return g, t
	}
	return "", name
}

// unknownAnswer reports a word that is none of a fact's answers.
func (k *reader) unknownAnswer(f fact.Fact, word string, at span) {
	bad := k.fault(at, "R104", fmt.Sprintf("%s is never %q", tick(f.Name), clip(word)),
		"not one of: "+strings.Join(f.AnswerIDs(), ", "),
		"this comparison would come out the same for every athlete, without any warning", "use one of its answers")
	near, ok := diag.Nearest(word, f.AnswerIDs())
	sure := ok && diag.OneSlip(word, near)
	for _, a := range slices.Backward(f.Answers) {
		if strings.EqualFold(a.ID, strings.ReplaceAll(strings.TrimSpace(word), " ", "_")) || a.Label == word {
			near, ok, sure = a.ID, true, true
		}
	}
	if ok {
		bad.Help = fmt.Sprintf("did you mean %s?", quote(near))
	}
	if sure {
		bad.mend(at, quote(near))
	}
	if owner, found := k.owner(word, f); found && !ok {
		bad.Code, bad.Why = "R106", fmt.Sprintf("%q is an answer of %s", word, tick(owner.Name))
	}
}

// owner returns the first fact, of the same column where there is one, that
// has the answer.
func (k *reader) owner(word string, not fact.Fact) (fact.Fact, bool) {
	all := k.facts(func(f fact.Fact) bool { return f.Kind == fact.Choice && f.Place(word) >= 0 && f.Name != not.Name })
	for _, f := range all {
		if f.Column == not.Column {
			return f, true
		}
	}
	if len(all) == 0 {
		return fact.Fact{}, false
	}
	return all[0], true
}
