package rulebook

import (
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/rule"
)

// Case writes the schema of a case file, as the fields of the reader have it.
func Case(b *rule.Base) ([]byte, error) {
	c := &caseSchema{defs: []field{{"throw", throwIDs(b)}, {"speed", speed()}}}
	n := c.block(casefile.Shape(casefile.Vocabulary{Checklist: b.Checklist, Throws: b.IDs(rule.Throws), Factors: b.IDs(rule.Factors)}))
	n.Schema, n.Title = Draft, "rungwise case file"
	n.Defs = slices.Insert(c.defs, slices.IndexFunc(c.defs, func(f field) bool { return f.name == "best" })+1, field{"points", points()})
	return text(n)
}

// caseSchema gathers what stands in several places, each defined once.
type caseSchema struct{ defs []field }

func (c *caseSchema) block(b casefile.Block) *node {
	n := object(b.About)
	for _, f := range b.Fields {
		n.Fields = append(n.Fields, field{f.Key, c.many(f)})
	}
	lead := func(x field) int {
		if i := slices.Index(b.Lead, x.name); i >= 0 {
			return i
		}
		return len(b.Lead)
	}
	slices.SortStableFunc(n.Fields, func(x, y field) int { return lead(x) - lead(y) })
	for _, x := range n.Fields {
		if f, _ := b.Field(x.name); f.Needed {
			n.Need = append(n.Need, x.name)
		}
	}
	return n
}

// many takes one value, one or a list of them, or a list.
func (c *caseSchema) many(f casefile.Field) *node {
	switch f.Many {
	case casefile.Some:
		return some(c.one(f))
	case casefile.List:
		n := list(c.one(f))
		n.About, n.Most = f.About, f.Most
		return n
	}
	return c.one(f)
}

func (c *caseSchema) one(f casefile.Field) *node {
	switch f.Takes {
	case casefile.TakesScalar:
		return scalar(f.About)
	case casefile.TakesDate:
		return date(f.About)
	case casefile.TakesCount:
		return count(f.About)
	case casefile.TakesNumber:
		return number(f.About)
	case casefile.TakesYesNo:
		return truth(f.About)
	case casefile.TakesWord:
		return oneOf(f.About, f.Words)
	case casefile.TakesThrow:
		return ref("throw")
	case casefile.TakesSpeed:
		return ref("speed")
	case casefile.TakesMark:
		return &node{About: "did the pattern hold", Enum: []any{"yes", "partly", "no", "could_not_see", "y", "p", "n", "x", true, false}}
	case casefile.TakesPoints:
		return ref("points")
	case casefile.TakesHits:
		return &node{Kind: "string", About: f.About, Form: `^\d{1,4} of \d{1,4}$`}
	case casefile.TakesQuestion:
		return question(f.Question)
	case casefile.TakesBlock:
		b := f.Block()
		return c.defined(b.Shared, func() *node { return c.block(b) })
	case casefile.TakesLook:
		return c.defined("look_"+f.Checkpoint.ID, func() *node { return c.look(f) })
	}
	return words(f.About)
}

// defined is a schema, by its name where it has one.
func (c *caseSchema) defined(name string, n func() *node) *node {
	if name == "" {
		return n()
	}
	if !slices.ContainsFunc(c.defs, func(f field) bool { return f.name == name }) {
		c.defs = append(c.defs, field{name, n()})
	}
	return ref(name)
}

func throwIDs(b *rule.Base) *node { return oneOf("a throw variation", b.IDs(rule.Throws)) }

func speed() *node {
	return &node{About: "a speed, in the unit told beside it or with its own; a dash is a throw that the gun missed", Any: []*node{number(""), {Kind: "string"}}}
}

func points() *node {
	two := list(number("pixels"))
	two.Least, two.Most = 2, 2
	n := list(two)
	n.About, n.Least = "clicked places, each [x, y] in pixels", 2
	return n
}

// look takes an answer, a measurement, or either with how it was got.
func (c *caseSchema) look(f casefile.Field) *node {
	p, b := f.Checkpoint, f.Block()
	short := answers(p)
	long := c.block(casefile.Block{Fields: b.Fields[1:]})
	long.Fields = append([]field{{b.Fields[0].Key, &node{Any: short}}}, long.Fields...)
	about := []string{strings.TrimSpace(p.Title + ", " + p.Moment)}
	for _, a := range p.Answers {
		about = append(about, a.ID+": "+a.Label)
	}
	if p.Measure != nil {
		about = append(about, "or a number in "+p.Measure.Unit)
	}
	return &node{About: strings.Join(about, "\n"), Any: append(slices.Clone(short), long)}
}

// answers takes what can be said of a checkpoint on one line.
func answers(p checklist.Checkpoint) []*node {
	word := &node{}
	for _, a := range p.Answers {
		word.Enum = append(word.Enum, a.ID)
	}
	word.Enum = append(word.Enum, casefile.CouldNotSee)
	if p.Measure == nil {
		return []*node{word}
	}
	return []*node{word, {Kind: "number"}, {Kind: "string", Form: `^[-+.0-9]`}}
}
