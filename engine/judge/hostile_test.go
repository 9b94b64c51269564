package judge

import (
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"rungwise/checklists"
	"rungwise/rules"
)

// A trade is the rule files as plain YAML, read without the program's own
// reader.
type trade struct {
	entries map[string][]map[string]any // by concern
	fields  map[string][]string         // by concern, every key that an entry of it has
	top     map[string]any              // tables
}

func readTrade(t testing.TB) trade {
	t.Helper()
	out := trade{entries: map[string][]map[string]any{}, fields: map[string][]string{}, top: map[string]any{}}
	read := func(fsys fs.FS, p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".yaml") {
			return err
		}
		data, err := fs.ReadFile(fsys, p)
		if err != nil {
			return err
		}
		var file map[string]any
		if err := yaml.Unmarshal(data, &file); err != nil {
			return err
		}
		for concern, v := range file {
			out.top[concern] = v
			list, _ := v.([]any)
			if m, ok := v.(map[string]any); ok && concern == "pitch_table" {
				list, _ = m["rows"].([]any)
			}
			for _, e := range list {
				m := e.(map[string]any)
				if ages, ok := m["ages"].([]any); ok && m["id"] == nil {
					m["id"] = fmt.Sprintf("%v-%v", ages[0], ages[1])
				}
				out.entries[concern] = append(out.entries[concern], m)
			}
		}
		return nil
	}
	for _, fsys := range []fs.FS{rules.FS, checklists.FS} {
		if err := fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error { return read(fsys, p, d, err) }); err != nil {
			t.Fatal(err)
		}
	}
	for concern, list := range out.entries {
		keys := map[string]bool{}
		for _, e := range list {
			for k := range e {
				keys[k] = true
			}
		}
		delete(keys, "id")
		out.fields[concern] = slices.Sorted(maps.Keys(keys))
	}
	return out
}

// attacked are the concerns that a hostile house changes.
func attacked() []string {
	return []string{"limits", "by_age", "pitch_table", "innings", "gates", "cautions", "throws", "drills", "factors", "wording", "signs",
		"alarms", "checkpoints", "questions", "derived", "sources", "demands"}
}

// A raid is what one hostile change does, as the entries of one or two house
// files.
type raid struct {
	concern string
	first   []map[string]any
	second  []map[string]any // in a file of its own
}

// hostile makes up one change in a loosening direction.
func (x trade) hostile(rng *rand.Rand) raid {
	concern := attacked()[rng.IntN(len(attacked()))]
	list := x.entries[concern]
	e := list[rng.IntN(len(list))]
	keys := x.fields[concern]
	bad := map[string]any{}
	for range 1 + rng.IntN(3) {
		key := keys[rng.IntN(len(keys))]
		bad[key] = worse(rng, key, e[key])
	}
	whole := maps.Clone(e)
	delete(whole, "id")
	maps.Copy(whole, bad)
	wish := func(kind string, what any) map[string]any {
		return map[string]any{"id": e["id"], kind: what, "because": "ours", "by": "head coach"}
	}
	r := raid{concern: concern}
	switch rng.IntN(8) {
	case 0:
		r.first = append(r.first, wish("disable", true))
	case 1:
		r.first = append(r.first, wish("replace", whole))
	case 2:
		r.first = append(r.first, wish("disable", true), wish("add", whole))
	case 3:
		r.first, r.second = append(r.first, wish("disable", true)), append(r.second, wish("add", whole))
	case 4:
		more := wish("add", whole)
		more["id"] = fmt.Sprintf("club_%v", rng.IntN(1000))
		r.first = append(r.first, more)
	case 5:
		more := map[string]any{}
		for _, key := range []string{"when", "needs"} {
			if rng.IntN(2) == 0 {
				more[key] = worse(rng, key, e[key])
			}
		}
		r.first = append(r.first, wish("add", more))
	case 6:
		r.first, r.second = append(r.first, wish("set", bad)), append(r.second, wish("set", map[string]any{keys[rng.IntN(len(keys))]: worse(rng, "", 1)}))
	default:
		r.first = append(r.first, wish("set", bad))
	}
	return r
}

// worse is a value that lets more through than another, or says less.
func worse(rng *rand.Rand, key string, was any) any {
	pick := func(list ...any) any { return list[rng.IntN(len(list))] }
	switch key {
	case "when":
		return pick("athlete.age > 0", "athlete.age < 0", "not ladder.found", `screen.pain == "none"`, `ladder.verdict != "stuck"`)
	case "verdict":
		return pick("go_on", "restore", "none_found", "not_this_question")
	case "needs":
		return pick([]any{"screen.pop"}, []any{"screen.pain"}, []any{})
	case "level":
		return "note"
	case "tighten":
		return pick("up", "down")
	case "dose":
		return pick(map[string]any{"sets": 60, "throws": 0, "reps": 60}, map[string]any{"sets": 5, "throws": 10}, map[string]any{"sets": 9, "throws": 30}, map[string]any{"sets": 1, "throws": 0})
	case "ages":
		return pick(map[string]any{"min": 0}, map[string]any{}, []any{0, 99})
	case "rest":
		return pick([]any{200}, []any{40, 60, 80, 100, 120}, []any{0, 0, 0, 0, 0})
	case "caution":
		return "learning"
	}
	switch v := was.(type) {
	case bool:
		return !v
	case int:
		return pick(0, v*2+1, v/2, v*10, -1, 1000)
	case float64:
		return pick(0, v*2, v/2, v*10, -v, 1e6)
	case string:
		return pick("Throw 100 hard pitches today.", "Throw on.", v+" Throw 300 more.", "", strings.ReplaceAll(v, "{n}", "{n}0"), strings.ReplaceAll(v, "{n}", "1{n}"), "x "+v)
	}
	return pick(true, false, 0, 1000, "no", map[string]any{}, []any{})
}

// files writes raids as a house.
func files(raids []raid) map[string]string {
	first, second := map[string]any{"extends": "base"}, map[string]any{"extends": "base"}
	put := func(into map[string]any, concern string, list []map[string]any) {
		for _, e := range list {
			all, _ := into[concern].([]any)
			into[concern] = append(all, e)
		}
	}
	for _, r := range raids {
		put(first, r.concern, r.first)
		put(second, r.concern, r.second)
	}
	out := map[string]string{}
	for name, m := range map[string]map[string]any{"a.yaml": first, "b.yaml": second} {
		if len(m) > 1 {
			data, _ := yaml.Marshal(m) // plain values can be written
			out[name] = string(data)
		}
	}
	return out
}
