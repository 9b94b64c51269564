package ruletest

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/engine/source"
)

// Sign is what somebody who writes a new sign has to say.
type Sign struct {
	ID, Title, When  string
	Factor, Strength string // what it points to, and strong, moderate or weak
	Why, Because, By string
}

// SchemaLine is the comment that tells an editor which schema a file follows.
func SchemaLine(file string) string { return "# yaml-language-server: $schema=" + file + "\n" }

// The names of the schemas as files refer to them.
const (
	HouseSchema = "house.schema.json"
	CaseSchema  = "case.schema.json"
)

// Draft writes a house file with one new sign, its two examples and a case for
// each, worked out from the condition. It fails where no case can be found in
// which the condition holds, or none in which it does not.
func Draft(b *rule.Base, s Sign) ([]byte, error) {
	c, faults := cond.Compile(s.When, b.Catalogue)
	if c == nil {
		return nil, fmt.Errorf("the condition: %s", faults[0].Headline)
	}
	suite := &Suite{base: b}
	fires, silent := suite.showing(c)
	if fires == nil {
		return nil, fmt.Errorf("no case was found in which the condition holds")
	}
	if silent == nil {
		return nil, fmt.Errorf("no case was found in which the condition does not hold")
	}
	var w bytes.Buffer
	w.WriteString(SchemaLine(HouseSchema))
	w.WriteString("extends: base\n\nsigns:\n")
	fmt.Fprintf(&w, "  - id: %s\n    add:\n", s.ID)
	if s.Title != "" {
		fmt.Fprintf(&w, "      title: %s\n", source.Quote(s.Title))
	}
	w.WriteString("      when: |\n")
	for line := range strings.SplitSeq(cond.Spaced(strings.TrimSpace(s.When)), "\n") {
		fmt.Fprintf(&w, "        %s\n", strings.TrimRight(line, " "))
	}
	fmt.Fprintf(&w, "      supports: {%s: %s}\n      reading: eye\n      why: %s\n      source: house default\n", s.Factor, s.Strength, source.Quote(s.Why))
	fmt.Fprintf(&w, "      examples:\n        fires: {%s}\n        silent: {%s}\n", strings.Join(suite.pairs(fires), ", "), strings.Join(suite.pairs(silent), ", "))
	decided := fmt.Sprintf("    because: %s\n    by: %s\n", source.Quote(s.Because), source.Quote(s.By))
	w.WriteString(decided + "\ncases:\n")
	for _, k := range []struct {
		name, key string
		given     []cond.Setting
	}{{"holds", "fires", fires}, {"does_not_hold", "silent", silent}} {
		w.WriteString(caseText(s.ID+"_"+k.name, "written with the sign, no source", suite.pairs(k.given), []string{k.key + ": [" + s.ID + "]"}, decided))
	}
	return w.Bytes(), nil
}

// pairs writes the facts that a case gives, with their values.
func (s *Suite) pairs(given []cond.Setting) []string {
	var out []string
	for _, x := range s.shown(given) {
		out = append(out, s.pair(x))
	}
	return out
}

// pair writes one fact and its value.
func (s *Suite) pair(x cond.Setting) string {
	f := s.base.Catalogue.At(x.Slot)
	text := f.Format(x.Value)
	if f.Kind != fact.Number { // a minus sign needs no quotes, and a number none
		text = source.Quote(text)
	}
	return f.Name + ": " + text
}

// showing finds a case in which a condition holds and one in which it does not:
// by going through all, or by drawing where there are too many.
func (s *Suite) showing(c *cond.Condition) (fires, silent []cond.Setting) {
	if a := c.Analyse(); a.Outlook != cond.NotAnalysed {
		return a.Holds, a.Fails
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range draws {
		v, given := s.draw(random, c.Reads())
		if given == nil {
			continue
		}
		switch truth := c.Eval(v); {
		case truth == fact.Yes && fires == nil:
			fires = given
		case truth == fact.No && silent == nil:
			silent = given
		}
		if fires != nil && silent != nil {
			break
		}
	}
	return fires, silent
}
