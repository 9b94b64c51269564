// Package fact holds what can be known about one athlete: the catalogue of
// facts and their values.
//
// Its invariant: a fact that nobody observed is unknown, which is not false,
// not zero and not the first answer; the zero Value and the zero Truth are
// unknown.
package fact

import (
	"fmt"
	"strconv"
	"strings"
)

// Kind is the type of a fact.
type Kind uint8

// The kinds: one of a list of answers, a number in the fact's unit, or yes/no.
const (
	Choice Kind = iota
	Number
	YesNo
)

// Answer is one choice of a fact: its id, as conditions write it, and its
// label for people.
type Answer struct{ ID, Label string }

// The columns a checkpoint is read in.
const (
	Best    = "best"    // the reference drill
	Stuck   = "stuck"   // the compared throw
	Changed = "changed" // whether the two differ
)

// Fact is one name that a condition may read, such as "stuck.hinge".
type Fact struct {
	Name       string
	Kind       Kind
	Answers    []Answer // of a Choice, in order
	Ordered    bool     // the answers run from best to worst
	Unit       string   // of a Number
	Low, High  float64  // smallest and largest believable Number; both 0 = not bounded
	About      string   // what it is, in a few words
	Column     string   // Best, Stuck, Changed, or ""
	Checkpoint string   // id of the checkpoint behind Column
	Measured   bool     // a changed fact that a measurement can decide
	Constant   bool     // a limit: its number is part of the rule base
	Value      float64  // the number of a Constant
}

// Catalogue is every fact, each with a fixed slot in a Vector.
type Catalogue struct {
	facts []Fact
	slots map[string]int
}

// NewCatalogue numbers the facts in the order given. It refuses a name that
// stands twice.
func NewCatalogue(facts []Fact) (*Catalogue, error) {
	c := &Catalogue{facts: facts, slots: make(map[string]int, len(facts))}
	for i, f := range facts {
		if _, twice := c.slots[f.Name]; twice {
			return nil, fmt.Errorf("the fact %q is declared twice", f.Name)
		}
		c.slots[f.Name] = i
	}
	return c, nil
}

// Len returns the number of facts, which is the length of every Vector.
func (c *Catalogue) Len() int { return len(c.facts) }

// At returns the fact in a slot.
func (c *Catalogue) At(slot int) Fact { return c.facts[slot] }

// Slot returns the slot of a name, and whether there is such a fact.
func (c *Catalogue) Slot(name string) (int, bool) {
	i, ok := c.slots[name]
	return i, ok
}

// Lookup returns the fact of a name, and whether there is one.
func (c *Catalogue) Lookup(name string) (Fact, bool) {
	i, ok := c.slots[name]
	if !ok {
		return Fact{}, false
	}
	return c.facts[i], true
}

// Names returns every name in catalogue order.
func (c *Catalogue) Names() []string {
	names := make([]string, len(c.facts))
	for i, f := range c.facts {
		names[i] = f.Name
	}
	return names
}

// Vector returns the values of an athlete of whom nothing is known; the
// constants are set.
func (c *Catalogue) Vector() Vector {
	v := make(Vector, len(c.facts))
	for i, f := range c.facts {
		if f.Constant {
			v[i] = Num(f.Value)
		}
	}
	return v
}

// Value is one observed value, or unknown. N is the number, the place of the
// answer in its list, or 1 for yes and 0 for no.
type Value struct {
	Known bool
	N     float64
}

// Num returns a known number.
func Num(n float64) Value { return Value{Known: true, N: n} }

// Bool returns a known yes or no.
func Bool(yes bool) Value {
	if yes {
		return Num(1)
	}
	return Num(0)
}

// Vector holds the values of one athlete by slot.
type Vector []Value

// AnswerIDs lists the answers of a Choice, or yes and no.
func (f Fact) AnswerIDs() []string {
	if f.Kind == YesNo {
		return []string{"yes", "no"}
	}
	ids := make([]string, len(f.Answers))
	for i, a := range f.Answers {
		ids[i] = a.ID
	}
	return ids
}

// Place returns where an answer stands in the list of a Choice, or -1.
func (f Fact) Place(id string) int {
	for i, a := range f.Answers {
		if a.ID == id {
			return i
		}
	}
	return -1
}

// Parse reads a value as people write it: an answer id, a number, yes or no.
// The error says in plain words what the fact expects.
func (f Fact) Parse(text string) (Value, error) {
	switch f.Kind {
	case Choice:
		if i := f.Place(text); i >= 0 {
			return Num(float64(i)), nil
		}
		return Value{}, fmt.Errorf("%s is one of: %s", f.Name, strings.Join(f.AnswerIDs(), ", "))
	case YesNo:
		switch text {
		case "yes", "true":
			return Bool(true), nil
		case "no", "false":
			return Bool(false), nil
		}
		return Value{}, fmt.Errorf("%s is yes or no", f.Name)
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || n != n {
		return Value{}, fmt.Errorf("%s is a number%s", f.Name, inUnit(f.Unit))
	}
	if f.Low != f.High && (n < f.Low || n > f.High) {
		return Value{}, fmt.Errorf("%s lies between %g and %g%s", f.Name, f.Low, f.High, inUnit(f.Unit))
	}
	return Num(n), nil
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " (" + unit + ")"
}

// Format writes a value as Parse reads it; an unknown value is "not seen".
func (f Fact) Format(v Value) string {
	switch {
	case !v.Known:
		return "not seen"
	case f.Kind == YesNo && v.N != 0:
		return "yes"
	case f.Kind == YesNo:
		return "no"
	case f.Kind == Choice:
		if i := int(v.N); i >= 0 && i < len(f.Answers) {
			return f.Answers[i].ID
		}
		return "not seen"
	}
	return strconv.FormatFloat(v.N, 'g', 6, 64)
}
