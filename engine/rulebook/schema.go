package rulebook

import (
	"bytes"
	"encoding/json"

	"rungwise/engine/checklist"
	"rungwise/engine/fact"
)

// Draft is the version of the schema language, the one that editors know best.
const Draft = "http://json-schema.org/draft-07/schema#"

// node is one schema. Zero fields are left out.
type node struct {
	schema      string
	title       string
	about       string
	kind        string
	enum        []any
	pattern     string
	low, high   *float64
	items       *node
	least, most int // items
	fields      []field
	need        []string
	open        bool // other keys may stand beside the fields
	others      *node
	any         []*node
	ref         string
	defs        []field
}

// field is a key and what it takes.
type field struct {
	name string
	node *node
}

// MarshalJSON writes the keys in a fixed order.
func (n *node) MarshalJSON() ([]byte, error) {
	w := &keys{}
	w.put("$schema", n.schema, n.schema != "")
	w.put("title", n.title, n.title != "")
	w.put("description", n.about, n.about != "")
	w.put("$ref", n.ref, n.ref != "")
	w.put("type", n.kind, n.kind != "")
	w.put("enum", n.enum, len(n.enum) > 0)
	w.put("pattern", n.pattern, n.pattern != "")
	w.put("minimum", n.low, n.low != nil)
	w.put("maximum", n.high, n.high != nil)
	w.put("items", n.items, n.items != nil)
	w.put("minItems", n.least, n.least > 0)
	w.put("maxItems", n.most, n.most > 0)
	w.put("properties", fields(n.fields), len(n.fields) > 0)
	w.put("required", n.need, len(n.need) > 0)
	w.put("additionalProperties", n.others, n.others != nil)
	w.put("additionalProperties", false, n.kind == "object" && !n.open && n.others == nil)
	w.put("anyOf", n.any, len(n.any) > 0)
	w.put("definitions", fields(n.defs), len(n.defs) > 0)
	return w.close()
}

// fields is an object whose keys keep their order.
type fields []field

// MarshalJSON writes the fields in their order.
func (f fields) MarshalJSON() ([]byte, error) {
	w := &keys{}
	for _, x := range f {
		w.put(x.name, x.node, true)
	}
	return w.close()
}

// keys writes one JSON object, keeping the first error.
type keys struct {
	b   bytes.Buffer
	err error
}

func (w *keys) put(key string, value any, there bool) {
	if !there || w.err != nil {
		return
	}
	var name, data []byte
	if name, w.err = json.Marshal(key); w.err != nil {
		return
	}
	if data, w.err = json.Marshal(value); w.err != nil {
		return
	}
	if w.b.Len() > 0 {
		w.b.WriteByte(',')
	}
	w.b.Write(name)
	w.b.WriteByte(':')
	w.b.Write(data)
}

func (w *keys) close() ([]byte, error) {
	return append(append([]byte{'{'}, w.b.Bytes()...), '}'), w.err
}

// text writes a whole schema for people to read.
func text(n *node) ([]byte, error) {
	data, err := json.Marshal(n)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := json.Indent(&b, data, "", " "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func words(about string) *node { return &node{kind: "string", about: about} }

// scalar takes whatever is written on one line: YAML reads some words as numbers.
func scalar(about string) *node {
	return &node{about: about, any: []*node{{kind: "string"}, {kind: "number"}, {kind: "boolean"}}}
}

func number(about string) *node { return &node{kind: "number", about: about} }

func between(about string, low, high float64) *node {
	return &node{kind: "number", about: about, low: &low, high: &high}
}

func count(about string) *node {
	zero := 0.0
	return &node{kind: "integer", about: about, low: &zero}
}

func date(about string) *node {
	return &node{kind: "string", about: about, pattern: `^\d{4}-\d{2}-\d{2}$`}
}

func month() *node {
	return &node{kind: "string", about: "year and month, such as 2026-11", pattern: `^\d{4}-\d{2}$`}
}

// truth takes the words as editors read them: some take yes for a word.
func truth(about string) *node {
	return &node{about: about, enum: []any{"yes", "no", true, false}}
}

func oneOf(about string, ids []string) *node {
	n := &node{kind: "string", about: about}
	for _, id := range ids {
		n.enum = append(n.enum, id)
	}
	if len(ids) == 0 {
		n.pattern = `^$`
	}
	return n
}

func list(of *node) *node { return &node{kind: "array", items: of} }

// some takes one entry, or a list of them.
func some(of *node) *node { return &node{about: of.about, any: []*node{of, list(of)}} }

func object(about string, f ...field) *node { return &node{kind: "object", about: about, fields: f} }

func (n *node) needs(keys ...string) *node { n.need = keys; return n }

func ref(name string) *node { return &node{ref: "#/definitions/" + name} }

// value takes a value of a fact.
func value(f fact.Fact) *node {
	about := f.About
	switch f.Kind {
	case fact.YesNo:
		return truth(about)
	case fact.Choice:
		n := oneOf(about, f.AnswerIDs())
		for _, a := range f.Answers {
			n.about += "\n" + a.ID + ": " + a.Label
		}
		return n
	}
	if f.Unit != "" {
		about += " (" + f.Unit + ")"
	}
	if f.Low == f.High {
		return number(about)
	}
	return between(about, f.Low, f.High)
}

// question takes an answer to a question: a number may carry its unit.
func question(q checklist.Question) *node {
	if q.Number != nil {
		n := scalar(q.Ask)
		n.any = []*node{between("", q.Number.Low, q.Number.High), {kind: "string"}}
		n.about += " (" + q.Number.Unit + ")"
		return n
	}
	f := fact.Fact{Kind: fact.YesNo, About: q.Ask}
	if len(q.Answers) > 0 {
		f.Kind, f.Answers = fact.Choice, q.Answers
	}
	return value(f)
}
