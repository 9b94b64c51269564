package rulebook

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

func base(t *testing.T) *rule.Base {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return b
}

// compile reads a schema with a general validator, which also holds the schema
// itself to the rules of its draft.
func compile(t *testing.T, make func(*rule.Base) ([]byte, error)) *jsonschema.Schema {
	t.Helper()
	b := base(t)
	data, err := make(b)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := make(b)
	if !bytes.Equal(data, again) {
		t.Error("two runs wrote different schemas")
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("x.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("x.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func decode(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return plain(v)
}

// plain turns what the YAML library made of dates back into words, as editors
// see them.
func plain(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k := range v {
			v[k] = plain(v[k])
		}
	case []any:
		for i := range v {
			v[i] = plain(v[i])
		}
	case interface{ Format(string) string }:
		return v.Format("2006-01-02")
	}
	return v
}

func TestStoredCasesAreTaken(t *testing.T) {
	s := compile(t, Case)
	files, err := filepath.Glob("../../testdata/cases/*.yaml")
	if err != nil || len(files) < 8 {
		t.Fatal("no cases", err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(decode(t, data)); err != nil {
			t.Errorf("%s: %v", filepath.Base(name), err)
		}
	}
}

// Every entry of the embedded base may stand in a house file.
func TestTheBaseAsAHouseIsTaken(t *testing.T) {
	s := compile(t, House)
	seen := map[string]int{}
	err := fs.WalkDir(rules.FS, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".yaml") {
			return err
		}
		data, err := rules.FS.ReadFile(path)
		if err != nil {
			return err
		}
		top, _ := decode(t, data).(map[string]any)
		for concern, list := range top {
			entries, ok := list.([]any)
			if !ok || concern == rule.Demands {
				continue // tables and what a house cannot change
			}
			for _, e := range entries {
				entry := e.(map[string]any)
				id := entry["id"]
				if id == nil {
					continue // rows of tables are named by their ages
				}
				if entry["harmless"] != nil {
					continue // the base's alone
				}
				delete(entry, "id")
				doc := map[string]any{"extends": "base", concern: []any{map[string]any{"id": id, "add": entry, "because": "a", "by": "b"}}}
				if err := s.Validate(doc); err != nil {
					t.Errorf("%s %v: %v", concern, id, err)
				}
				seen[concern]++
			}
		}
		return nil
	})
	if err != nil || seen[rule.Signs] < 90 || seen[rule.Drills] < 45 || seen[rule.Cases] < 70 {
		t.Errorf("%v, tried %v", err, seen)
	}
}

// where lists the places that a fault is about, leaves first.
func where(err error) string {
	var v *jsonschema.ValidationError
	if !errors.As(err, &v) {
		return ""
	}
	var out []string
	var walk func(*jsonschema.ValidationError)
	walk = func(v *jsonschema.ValidationError) {
		for _, c := range v.Causes {
			walk(c)
		}
		if len(v.Causes) == 0 {
			out = append(out, "/"+strings.Join(v.InstanceLocation, "/"))
		}
	}
	walk(v)
	return strings.Join(out, " ")
}

func TestFaultsAreFoundAtTheirPlace(t *testing.T) {
	const sign = "extends: base\nsigns:\n  - id: club_slow\n    because: a\n    by: b\n    add: {when: changed.hinge, why: a, source: house default, examples: {fires: {changed.hinge: yes}, silent: {changed.hinge: no}}, supports: {hinge: weak}}\n"
	schemas := map[string]*jsonschema.Schema{"house": compile(t, House), "case": compile(t, Case)}
	for _, c := range []struct {
		name, kind, text, old, new, at string
	}{
		{"a whole house file", "house", sign, "", "", ""},
		{"a factor that is none", "house", sign, "supports: {hinge: weak}", "supports: {hing: weak}", "/signs/0/add/supports"},
		{"a word that is none", "house", sign, "hinge: weak", "hinge: feeble", "/signs/0/add/supports/hinge"},
		{"a fact that is none", "house", sign, "fires: {changed.hinge: yes}", "fires: {changed.hing: yes}", "/signs/0/add/examples/fires"},
		{"nobody decided", "house", sign, "    by: b\n", "", "/signs/0"},
		{"a key that is none", "house", sign, "extends: base", "extends: base\nsings: []", "/"},
		{"a whole case", "case", caseText, "", "", ""},
		{"an answer that is none", "case", caseText, "early", "earlie", "/seen/weight_shift/running_throw"},
		{"a throw that is none", "case", caseText, "flat_lift: late", "flat_lit: late", "/seen/weight_shift"},
		{"pain of a new kind", "case", caseText, "pain: none", "pain: some", "/screen/pain"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := schemas[c.kind]
			if c.old != "" && !strings.Contains(c.text, c.old) {
				t.Fatal("nothing to break")
			}
			got := where(s.Validate(decode(t, []byte(strings.Replace(c.text, c.old, c.new, 1)))))
			if c.at == "" && got != "" || c.at != "" && !strings.Contains(" "+got+" ", " "+c.at+" ") && !strings.HasPrefix(got, c.at) {
				t.Errorf("got %q, want %q", got, c.at)
			}
		})
	}
}

const caseText = `rungwise: case/1
athlete: {code: SM-40, age: 17, height: 185 cm}
screen: {pain: none, numbness: no}
reference: {throw: running_throw, best: [{on: 2026-09-14, speed: 84.6 mph}]}
seen:
  weight_shift: {running_throw: early, flat_lift: late}
  arm_tempo: {running_throw: 33 frames @ 60, flat_lift: [52 frames @ 60, could_not_see]}
`
