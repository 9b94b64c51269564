package ruletest

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// The most facts that one written case gives and rules that it is about: above
// that nobody reads it (house default).
const (
	mostFacts = 9
	mostRules = 6
)

// draft is a case on its way: what it gives, and the rules whose missing edits
// it would notice.
type draft struct {
	given []cond.Setting // by slot
	rules []string
}

// WriteCases returns cases that would notice the edits that were missed, as the
// text of a rule file, or of a house file where house says so, and how many
// cases there are. The outcomes are those of the rules as they stand, so a
// person has to read them.
func (s *Suite) WriteCases(missed []Missed, house bool) ([]byte, int) {
	var drafts []draft
	open := slices.Clone(missed)
	for len(open) > 0 {
		d := s.grow(open)
		v := s.filled(d.given)
		left := slices.DeleteFunc(slices.Clone(open), func(m Missed) bool {
			return s.tells(m, v) && d.about(m.Rule)
		})
		if len(left) == len(open) { // no case tells: what a gate needs is in the way
			open = open[1:]
			continue
		}
		open = left
		drafts = append(drafts, d)
	}
	return s.write(drafts, house), len(drafts)
}

// about takes a rule into the case as long as there is room.
func (d *draft) about(id string) bool {
	if !slices.Contains(d.rules, id) && len(d.rules) < mostRules {
		d.rules = append(d.rules, id)
	}
	return slices.Contains(d.rules, id)
}

// grow starts a case with what shows the first of the edits and adds what shows
// further ones, as long as nothing contradicts and it stays short.
func (s *Suite) grow(open []Missed) draft {
	d := draft{given: open[0].Case}
	rules := []string{open[0].Rule}
	for _, m := range open[1:] {
		more, ok := join(d.given, m.Case)
		if !ok || len(s.shown(more)) > mostFacts {
			continue
		}
		if !slices.Contains(rules, m.Rule) {
			if len(rules) == mostRules {
				continue
			}
			rules = append(rules, m.Rule)
		}
		d.given = more
	}
	return d
}

// join puts two cases together where they agree.
func join(a, b []cond.Setting) ([]cond.Setting, bool) {
	out := slices.Clone(a)
	for _, x := range b {
		i := slices.IndexFunc(out, func(y cond.Setting) bool { return y.Slot == x.Slot })
		if i >= 0 && out[i].Value != x.Value {
			return nil, false
		}
		if i < 0 {
			out = append(out, x)
		}
	}
	slices.SortFunc(out, func(x, y cond.Setting) int { return x.Slot - y.Slot })
	return out, true
}

func (s *Suite) filled(given []cond.Setting) fact.Vector {
	v := s.base.Catalogue.Vector()
	for _, x := range given {
		v[x.Slot] = x.Value
	}
	s.base.Derive(v)
	return v
}

// tells reports whether a case would notice an edit: the rule is known in it,
// and comes out otherwise with the edit.
func (s *Suite) tells(m Missed, v fact.Vector) bool {
	now := m.target.truth(m.target.When, v)
	return now != fact.Unknown && m.target.truth(m.changed, v) != now
}

// shown leaves out the changed facts that follow from the two answers.
func (s *Suite) shown(given []cond.Setting) []cond.Setting {
	has := func(name string) bool {
		slot, ok := s.base.Catalogue.Slot(name)
		return ok && slices.ContainsFunc(given, func(x cond.Setting) bool { return x.Slot == slot })
	}
	var out []cond.Setting
	for _, x := range given {
		f := s.base.Catalogue.At(x.Slot)
		follows := f.Column == fact.Changed && has(fact.Best+"."+f.Checkpoint) && has(fact.Stuck+"."+f.Checkpoint)
		if best, ok := s.base.Catalogue.Lookup(fact.Best + "." + f.Checkpoint); follows && ok && best.Kind == fact.Choice {
			continue
		}
		out = append(out, x)
	}
	return out
}

const edgesHead = `# Written by "rungwise rules test --write-cases" from the rules as they stood: each case holds rules at an edge that no other
# case holds. Whoever changes a rule reads the cases that then fail, and decides which of the two is right. No source.
`

func (s *Suite) write(drafts []draft, house bool) []byte {
	var b bytes.Buffer
	b.WriteString(edgesHead)
	if house {
		b.WriteString("extends: base\n")
	}
	b.WriteString("cases:\n")
	for i, d := range drafts {
		s.writeCase(&b, s.name(d, i), d, house)
	}
	return b.Bytes()
}

// name is the id of a written case; the number keeps it apart from the others.
func (s *Suite) name(d draft, i int) string {
	id := fmt.Sprintf("edge_%03d_%s", i+1, d.rules[0])
	for n := 2; slices.ContainsFunc(s.base.Cases, casesNamed(id)); n++ {
		id = fmt.Sprintf("edge_%03d_%s_%d", i+1, d.rules[0], n)
	}
	return id
}

func (s *Suite) writeCase(b *bytes.Buffer, id string, d draft, house bool) {
	v := s.filled(d.given)
	given := s.pairs(d.given)
	var fires, silent []string
	for _, id := range d.rules {
		if s.holds(id, v) == fact.Yes {
			fires = append(fires, id)
		} else {
			silent = append(silent, id)
		}
	}
	var expect []string
	for _, list := range []struct {
		key string
		ids []string
	}{{"fires", fires}, {"silent", silent}} {
		if len(list.ids) > 0 {
			expect = append(expect, strings.Split(list.key+": ["+strings.Join(list.ids, ", ")+"]", ", ")...)
		}
	}
	decided := ""
	if house {
		decided = "    because: holds the rules at an edge\n    by: rungwise rules test --write-cases\n"
	}
	b.WriteString(caseText(id, "written from the rules, no source", given, expect, decided))
}

// caseText writes one case; decided is who decided it and why in a house file, ""
// in a rule file.
func caseText(id, note string, given, expect []string, decided string) string {
	in, add := "    ", ""
	if decided != "" {
		in, add = "      ", "    add:\n"
	}
	return "  - id: " + id + "\n" + add + in + "note: " + note + "\n" + wrapped(in, "given: {", given, "}") + wrapped(in, "expect: {", expect, "}") + decided
}

// holds is how a rule with one condition comes out; a rule with several is told
// by its first.
func (s *Suite) holds(id string, v fact.Vector) fact.Truth {
	for _, t := range s.targets {
		if t.ID == id {
			return t.truth(t.When, v)
		}
	}
	return fact.Unknown
}

func casesNamed(id string) func(rule.Case) bool {
	return func(c rule.Case) bool { return c.ID == id }
}

// lineWidth is how wide a written line may be.
const lineWidth = 120

// wrapped writes a bracketed value, broken between its parts where one line does
// not hold it.
func wrapped(in, head string, parts []string, tail string) string {
	if one := in + head + strings.Join(parts, ", ") + tail + "\n"; len(one) <= lineWidth {
		return one
	}
	text, line := in+head+"\n", in+"  "
	for i, p := range parts {
		if i < len(parts)-1 {
			p += ","
		}
		if len(line)+len(p) > lineWidth && strings.TrimSpace(line) != "" {
			text += strings.TrimRight(line, " ") + "\n"
			line = in + "  "
		}
		line += p + " "
	}
	return text + strings.TrimRight(line, " ") + "\n" + in + tail + "\n"
}
