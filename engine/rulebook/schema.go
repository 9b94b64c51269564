package rulebook

import (
	"bytes"
	"encoding/json"
	"strconv"

	"rungwise/engine/checklist"
	"rungwise/engine/fact"
)

// Draft is the version of the schema language, the one that editors know best.
const Draft = "http://json-schema.org/draft-07/schema#"

// node is one schema, its keys in the order in which they are written. Zero fields
// are left out.
type node struct {
	Schema string   `json:"$schema,omitempty"`
	Title  string   `json:"title,omitempty"`
	About  string   `json:"description,omitempty"`
	Ref    string   `json:"$ref,omitempty"`
	Kind   string   `json:"type,omitempty"`
	Enum   []any    `json:"enum,omitempty"`
	Form   string   `json:"pattern,omitempty"`
	Low    *float64 `json:"minimum,omitempty"`
	High   *float64 `json:"maximum,omitempty"`
	Items  *node    `json:"items,omitempty"`
	Least  int      `json:"minItems,omitempty"`
	Most   int      `json:"maxItems,omitempty"`
	Fields fields   `json:"properties,omitempty"`
	Need   []string `json:"required,omitempty"`
	Others any      `json:"additionalProperties,omitempty"` // what other keys take, or false
	Any    []*node  `json:"anyOf,omitempty"`
	Defs   fields   `json:"definitions,omitempty"`
}

// fields are the keys of an object, which keep their order.
type fields []field

// field is a key and what it takes.
type field struct {
	name string
	node *node
}

// MarshalJSON writes the fields in their order.
func (f fields) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, x := range f {
		node, err := json.Marshal(x.node)
		if err != nil {
			return nil, err
		}
		b.WriteString(map[bool]string{true: "{", false: ","}[i == 0])
		b.WriteString(strconv.Quote(x.name) + ":")
		b.Write(node)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
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

func words(about string) *node { return &node{Kind: "string", About: about} }

// scalar takes whatever is written on one line: YAML reads some words as numbers.
func scalar(about string) *node {
	return &node{About: about, Any: []*node{{Kind: "string"}, {Kind: "number"}, {Kind: "boolean"}}}
}

func number(about string) *node { return &node{Kind: "number", About: about} }

func between(about string, low, high float64) *node {
	return &node{Kind: "number", About: about, Low: &low, High: &high}
}

func count(about string) *node {
	zero := 0.0
	return &node{Kind: "integer", About: about, Low: &zero}
}

func date(about string) *node {
	return &node{Kind: "string", About: about, Form: `^\d{4}-\d{2}-\d{2}$`}
}

func month() *node {
	return &node{Kind: "string", About: "year and month, such as 2026-11", Form: `^\d{4}-\d{2}$`}
}

// truth takes the words as editors read them: some take yes for a word.
func truth(about string) *node {
	return &node{About: about, Enum: []any{"yes", "no", true, false}}
}

func oneOf(about string, ids []string) *node {
	n := &node{Kind: "string", About: about}
	for _, id := range ids {
		n.Enum = append(n.Enum, id)
	}
	if len(ids) == 0 {
		n.Form = `^$`
	}
	return n
}

func list(of *node) *node { return &node{Kind: "array", Items: of} }

// some takes one entry, or a list of them.
func some(of *node) *node { return &node{About: of.About, Any: []*node{of, list(of)}} }

func object(about string, f ...field) *node {
	return &node{Kind: "object", About: about, Fields: f, Others: false}
}

func (n *node) needs(keys ...string) *node { n.Need = keys; return n }

func ref(name string) *node { return &node{Ref: "#/definitions/" + name} }

// value takes a value of a fact.
func value(f fact.Fact) *node {
	about := f.About
	switch f.Kind {
	case fact.YesNo:
		return truth(about)
	case fact.Choice:
		n := oneOf(about, f.AnswerIDs())
		for _, a := range f.Answers {
			n.About += "\n" + a.ID + ": " + a.Label
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
		n.Any = []*node{between("", q.Number.Low, q.Number.High), {Kind: "string"}}
		n.About += " (" + q.Number.Unit + ")"
		return n
	}
	f := fact.Fact{Kind: fact.YesNo, About: q.Ask}
	if len(q.Answers) > 0 {
		f.Kind, f.Answers = fact.Choice, q.Answers
	}
	return value(f)
}
