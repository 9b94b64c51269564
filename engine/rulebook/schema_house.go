package rulebook

import (
	"slices"

	"rungwise/engine/rule"
	"rungwise/engine/source"
)

// House writes the schema of a house file.
func House(b *rule.Base) ([]byte, error) {
	h := &houseSchema{b: b}
	n := object("House rules laid over the base.", field{"extends", oneOf("what the rules are laid over", []string{"base"})},
		field{"house", words("name of the house")}).needs("extends")
	concerns := rule.Concerns()
	for _, c := range concerns {
		switch c.Name {
		case rule.Demands:
			continue // nothing of them changes
		case rule.LimitsKey: // one by age may be named among them
			for _, k := range concerns[slices.IndexFunc(concerns, func(c rule.Concern) bool { return c.Name == rule.ByAge })].Keys {
				k.Need = source.May
				c.Keys = append(c.Keys, k)
			}
		}
		n.Fields = append(n.Fields, field{c.Name, list(h.change(c))})
	}
	n.Schema, n.Title = Draft, "rungwise house rules"
	n.Defs = []field{{"facts", h.facts()}, {"source", h.source()}, {"factor", oneOf("a factor", b.IDs(rule.Factors))}, {"throw", throwIDs(b)},
		{"condition", words("a condition, such as best.hinge == \"holds\" and changed.stride_line; `rungwise rules list facts` shows the names")}}
	return text(n)
}

type houseSchema struct{ b *rule.Base }

// change is one change of an entry.
func (h *houseSchema) change(c rule.Concern) *node {
	whole := h.keys("", c.Keys)
	need := whole.Need
	whole.Need = nil
	added, part := *whole, *whole
	added.About = "a new entry, or what is added to a gate or a caution"
	part.About = "keys of the base's entry that are to be otherwise"
	if c.Adds && c.Name != rule.Gates && c.Name != rule.Cautions { // one of those is widened with a condition alone
		added.Need = need
	}
	return object("", field{"id", h.named(c.Name)}, field{"add", &added}, field{"replace", whole}, field{"set", &part}, field{"disable", truth("switches it off")},
		field{"because", words("why the house wants it so")}, field{"by", words("who decided")}, field{"until", date("last day on which it holds")},
		field{"base", scalar("fingerprint of the base's entry it was written against")}).needs("id", "because", "by")
}

// named takes the id of an entry, and offers those whose names are worth knowing.
func (h *houseSchema) named(concern string) *node {
	var known []string
	switch concern {
	case rule.PitchRows, rule.InningsRows, rule.Checkpoints, rule.Sources, rule.AlarmsKey, rule.Cases:
		return words("id of the entry")
	case rule.LimitsKey:
		known = append(h.b.IDs(concern), h.b.IDs(rule.ByAge)...)
	default:
		known = h.b.IDs(concern)
	}
	return &node{About: "id of an entry of the base, or of a new one", Any: []*node{oneOf("", known), {Kind: "string", Form: "^[a-z0-9][a-z0-9_-]*$"}}}
}

// keys takes a map with some keys, each once; those that a house must write are
// needed.
func (h *houseSchema) keys(about string, keys []source.Known) *node {
	n := object(about)
	for _, k := range keys {
		if k.Change == source.BaseOnly || slices.ContainsFunc(n.Fields, func(f field) bool { return f.name == k.Name }) {
			continue
		}
		n.Fields = append(n.Fields, field{k.Name, h.takes(k.Takes, k.About)})
		if k.Need == source.Must || k.Need == source.Told {
			n.Need = append(n.Need, k.Name)
		}
	}
	return n
}

// takes is the schema of what a key takes.
func (h *houseSchema) takes(s source.Shape, about string) *node {
	switch s.Form {
	case source.Amount:
		if s.Low != s.High {
			return between(about, s.Low, s.High)
		}
		return number(about)
	case source.Whole:
		return count(about)
	case source.Truth:
		return truth(about)
	case source.Choice:
		return oneOf(about, s.Words)
	case source.Month:
		return month()
	case source.ID:
		return h.id(s.Of, about)
	case source.Condition:
		return ref("condition")
	case source.FactName:
		return oneOf(about, h.names())
	case source.Facts:
		return ref("facts")
	case source.Weights:
		n := object(about)
		for _, id := range h.b.IDs(s.Of) {
			n.Fields = append(n.Fields, field{id, oneOf("", s.Words)})
		}
		return n
	case source.Group:
		return h.keys(about, s.Keys)
	case source.Pairs:
		if s.Of == rule.Demands {
			return h.asked(about)
		}
		return &node{Kind: "object", About: about, Others: h.takes(*s.Each, "")}
	case source.Many:
		n := list(h.takes(*s.Each, about))
		n.Least, n.Most = s.Len, s.Len
		return n
	case source.Some:
		return some(h.takes(*s.Each, about))
	}
	return words(about)
}

// id takes the id of an entry; what may be of several concerns takes any.
func (h *houseSchema) id(concern, about string) *node {
	switch concern {
	case rule.Factors:
		return ref("factor")
	case rule.Throws:
		return ref("throw")
	case rule.Sources:
		return ref("source")
	case rule.Cautions:
		return oneOf(about, h.b.IDs(concern))
	}
	return words(about)
}

// facts takes what an example or a case says is known.
func (h *houseSchema) facts() *node {
	n := object("what is known")
	for _, name := range h.names() {
		f, _ := h.b.Catalogue.Lookup(name)
		n.Fields = append(n.Fields, field{name, value(f)})
	}
	return n
}

func (h *houseSchema) names() []string {
	var out []string
	for i := range h.b.Catalogue.Len() {
		if f := h.b.Catalogue.At(i); !f.Constant {
			out = append(out, f.Name)
		}
	}
	return out
}

func (h *houseSchema) source() *node {
	all := append([]string{"common practice", "house default", "from memory"}, h.b.IDs(rule.Sources)...)
	return &node{About: "where it comes from", Any: []*node{oneOf("", all), {Kind: "string", Form: "^[a-z][a-z0-9_]*$"}}}
}

// asked takes what a throw asks: a value of every demand. An editor may read the
// value "no" as false.
func (h *houseSchema) asked(about string) *node {
	out := object(about)
	for _, d := range h.b.Demands {
		n := oneOf(d.Adds, d.Values)
		n.Kind = ""
		if slices.Contains(d.Values, "no") {
			n.Enum = append(n.Enum, false)
		}
		out.Fields, out.Need = append(out.Fields, field{d.ID, n}), append(out.Need, d.ID)
	}
	return out
}
