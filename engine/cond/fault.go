package cond

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/types"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// Fault is one thing that is wrong with a condition. From (inclusive) and To
// (exclusive) are runes of its text; only an empty condition has an empty
// stretch.
type Fault struct {
	From, To int
	Level    diag.Level // Error, or Warning where the condition still works
	Code     string     // R and three digits
	Headline string     // what is wrong, without the mend
	Under    string     // a few words after the caret
	Why      string     // only where it is not obvious
	Help     string     // one action
	Fix      *Fix       // only where the mend is sure
}

// Fix is a mend: replace the runes From to To of the condition by Text.
type Fix struct {
	From, To int
	Text     string
}

// reader collects the faults of one condition and builds its clauses.
type reader struct {
	runes  []rune
	cat    *fact.Catalogue
	marks  []mark
	faults []Fault
	walked map[ast.Node]part
	types  types.Map // of the facts that the condition reads
}

// fault adds an error at a stretch of the text.
func (k *reader) fault(at span, code, headline, under, why, help string) *Fault {
	k.faults = append(k.faults, Fault{From: at.from, To: at.to, Code: code,
		Headline: headline, Under: under, Why: why, Help: help})
	return &k.faults[len(k.faults)-1]
}

// warn adds a fault with which the condition still works.
func (k *reader) warn(at span, code, headline, under, why, help string) {
	k.fault(at, code, headline, under, why, help).Level = diag.Warning
}

// mend gives the fault a sure fix.
func (f *Fault) mend(at span, text string) { f.Fix = &Fix{From: at.from, To: at.to, Text: text} }

// sorted returns the faults by place, each once.
func (k *reader) sorted() []Fault {
	slices.SortStableFunc(k.faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), cmp.Compare(a.Code, b.Code))
	})
	return slices.CompactFunc(k.faults, func(a, b Fault) bool {
		return a.From == b.From && a.To == b.To && a.Code == b.Code
	})
}

// at returns the text of a stretch.
func (k *reader) at(s span) string { return string(k.runes[s.from:s.to]) }

// describe says in a few words what values a fact has.
func describe(f fact.Fact) string {
	switch {
	case f.Kind == fact.YesNo:
		return "yes or no"
	case f.Kind == fact.Choice:
		return strings.Join(f.AnswerIDs(), ", ")
	case f.Constant:
		return strings.TrimSpace(plain(f.Value) + " " + f.Unit)
	case f.Low != f.High:
		return strings.TrimSpace(f.Unit + ", " + plain(f.Low) + " to " + plain(f.High))
	}
	return strings.TrimSpace(cmp.Or(f.Unit, "a number"))
}

// plain writes a number without an exponent.
func plain(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

// quote puts a word in the double quotes that conditions use.
func quote(word string) string { return `"` + word + `"` }

// tick puts a piece of a condition in the marks that messages use.
func tick(s string) string { return fmt.Sprintf("`%s`", s) }

// clip shortens a piece of text for a message.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:37]) + "..."
	}
	return s
}
