package rulebook

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/rule"
	"rungwise/engine/source"
)

// quiet are the keys that the book does not tell of: they stand in the line of
// another key, or decide nothing.
var quiet = map[string]string{
	rule.Signs: "supports examples", rule.Throws: "can_be_reference effort ages", rule.Gates: "unanswered low_confidence caution examples",
	rule.Cautions: "examples", rule.Drills: "cue_source effort slope put_back_throws weighted", rule.Sources: "grade url reviewed",
	rule.LimitsKey: "unit grade reviewed hard free tighten", rule.ByAge: "value to_18 adult unit grade reviewed hard tighten",
}

// What the program reads, an editor is told of and the book tells: a key that is
// added to a list reaches both, or is named above.
func TestEveryKeyIsInSchemaAndBook(t *testing.T) {
	b := base(t)
	data, err := House(b)
	if err != nil {
		t.Fatal(err)
	}
	type object struct {
		Properties map[string]json.RawMessage
		Items      json.RawMessage
	}
	open := func(raw json.RawMessage) (o object) {
		if err := json.Unmarshal(raw, &o); err != nil {
			t.Fatal(err)
		}
		return o
	}
	top := open(data)
	for _, c := range rule.Concerns() {
		if c.Name == rule.Demands {
			continue // nothing of them changes
		}
		offered := open(open(open(top.Properties[c.Name]).Items).Properties["add"]).Properties
		for _, k := range c.Keys {
			if _, ok := offered[k.Name]; ok == (k.Change == source.BaseOnly) {
				t.Errorf("%s: `%s` in the schema: %v", c.Name, k.Name, ok)
			}
		}
		if !slices.ContainsFunc(c.Keys, func(k source.Known) bool { return k.Told }) {
			continue // tables and checkpoints are told in their own way, sentences and cases not at all
		}
		for _, k := range c.Keys {
			if common := strings.Contains(" title why source since ", " "+k.Name+" "); common {
				continue // told of every entry
			}
			if silent := strings.Contains(" "+quiet[c.Name]+" ", " "+k.Name+" "); silent == k.Told {
				t.Errorf("%s: `%s` in the book: %v", c.Name, k.Name, k.Told)
			}
		}
	}
}
