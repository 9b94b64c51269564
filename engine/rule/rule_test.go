package rule

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// small returns the small base of the tests, with one more file where text is
// not empty.
func small(t *testing.T, extra string) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	for _, name := range []string{"rules.yaml", "limits.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", "base", name))
		if err != nil {
			t.Fatal(err)
		}
		out[name] = &fstest.MapFile{Data: data}
	}
	if extra != "" {
		out["x.yaml"] = &fstest.MapFile{Data: []byte(extra)}
	}
	return out
}

// load loads the small base with a house file, as on 9 November 2026.
func load(t *testing.T, extra, house string) (*Base, diag.List) {
	t.Helper()
	o := Options{Rules: small(t, extra), Checklists: os.DirFS("testdata/lists"), On: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC)}
	if house != "" {
		o.House = fstest.MapFS{"club.yaml": {Data: []byte(house)}}
	}
	return Load(o)
}

func written(t *testing.T, ds diag.List) string {
	t.Helper()
	var b strings.Builder
	if err := ds.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func clean(t *testing.T, extra, house string) *Base {
	t.Helper()
	b, ds := load(t, extra, house)
	if len(ds) > 0 {
		t.Fatalf("unexpected faults:\n%s", written(t, ds))
	}
	return b
}

// golden compares what a file's faults look like with what is kept beside it.
func golden(t *testing.T, dir string, faults func(text string) diag.List) {
	files, err := filepath.Glob(filepath.Join("testdata", dir, "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal("no files to try", err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			got, kept := written(t, conditionsApart(faults(string(data)))), strings.TrimSuffix(name, ".yaml")+".golden"
			if *update {
				if err := os.WriteFile(kept, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(kept)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			plainWords(t, got)
		})
	}
}

// conditionsApart leaves of a condition's faults only the place and the code:
// their words are tried where they are made.
func conditionsApart(ds diag.List) diag.List {
	var out diag.List
	for _, d := range ds {
		if strings.HasPrefix(d.Code, "R") {
			d = diag.Diagnostic{Place: d.Place, Level: d.Level, Code: d.Code, Headline: "a fault of the condition"}
		}
		out.Add(d)
	}
	return out
}

// plainWords fails on the words of a programmer in a message.
func plainWords(t *testing.T, text string) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if strings.Contains(line, " | ") {
			continue // the coach's own line
		}
		for _, word := range []string{"token", "EOF", "nil", "struct", "float64", "map[", "unmarshal", "parse"} {
			if strings.Contains(line, word) {
				t.Errorf("%q holds %q", line, word)
			}
		}
	}
}

func TestSmallBaseIsClean(t *testing.T) {
	b := clean(t, "", "")
	if fails := b.TestExamples(); len(fails) > 0 {
		t.Errorf("got %+v", fails)
	}
	if b.Version != "2026-11" || len(b.Hash) != 12 || b.HouseHash != "" {
		t.Errorf("got version %q hash %q house %q", b.Version, b.Hash, b.HouseHash)
	}
	if row, err := b.Workload.For(12, true); err != nil || row.DailyThrows != 85 || row.RestDays(40) != 2 {
		t.Errorf("got %+v, %v", row, err)
	}
}

func TestBrokenFiles(t *testing.T) {
	golden(t, "broken", func(text string) diag.List {
		_, ds := load(t, text, "")
		return ds
	})
}

func TestSupportsTakeTheStrongestWord(t *testing.T) {
	s, _ := clean(t, "", "").Sign("hinge_changed")
	if !s.Supports || s.Leak != 0.10 || s.Otherwise != "seldom" || s.Seen[0].Weight != 0.75 || s.Seen[1].Weight != 0.25 || s.Bare != "hinge" {
		t.Errorf("got %+v", s)
	}
}

func TestShareByAge(t *testing.T) {
	th, _ := clean(t, "", "").Throw("slope_net")
	for _, c := range []struct {
		age   int
		known bool
		low   float64
	}{{14, true, 0.9}, {15, true, 0.93}, {0, false, 0.93}} {
		if got := th.ShareFor(c.age, c.known); got.Low != c.low {
			t.Errorf("age %d (%v): low %v, want %v", c.age, c.known, got.Low, c.low)
		}
	}
}

func TestDerive(t *testing.T) {
	b := clean(t, "", "")
	for _, c := range []struct {
		name  string
		given [][2]string
		fact  string
		want  fact.Value
	}{
		{"grades differ", [][2]string{{"best.hinge", "holds"}, {"stuck.hinge", "none"}}, "changed.hinge", fact.Bool(true)},
		{"grades alike", [][2]string{{"best.hinge", "holds"}, {"stuck.hinge", "holds"}}, "changed.hinge", fact.Bool(false)},
		{"one unknown", [][2]string{{"best.hinge", "holds"}}, "changed.hinge", fact.Value{}},
		{"said otherwise", [][2]string{{"best.hinge", "holds"}, {"stuck.hinge", "none"}, {"changed.hinge", "no"}}, "changed.hinge", fact.Bool(false)},
		{"measured only", [][2]string{{"best.back_knee_bend", "50"}, {"stuck.back_knee_bend", "20"}}, "changed.back_knee_bend", fact.Value{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, ds := b.Given(c.given)
			slot, _ := b.Catalogue.Slot(c.fact)
			if len(ds) > 0 || v[slot] != c.want {
				t.Errorf("got %v, %v", v[slot], ds)
			}
		})
	}
	v, slot := b.Vector(nil), map[string]int{}
	for _, name := range []string{"best.hinge", "stuck.hinge", "changed.hinge"} {
		slot[name], _ = b.Catalogue.Slot(name)
	}
	v[slot["best.hinge"]], v[slot["stuck.hinge"]] = fact.Num(0), fact.Num(0)
	if b.DeriveOf(v, "weight_shift"); v[slot["changed.hinge"]].Known {
		t.Error("a checkpoint that was not named was derived")
	}
	if b.DeriveOf(v, "hinge"); v[slot["changed.hinge"]] != fact.Bool(false) {
		t.Error("a checkpoint that was named was not derived")
	}
}

func TestGatesWithNeeds(t *testing.T) {
	b := clean(t, "", "")
	g, _ := b.Gate("screen_open")
	for _, c := range []struct {
		given [][2]string
		want  fact.Truth
	}{
		{nil, fact.Yes},
		{[][2]string{{"screen.pain", "none"}}, fact.Yes},
		{[][2]string{{"screen.pain", "none"}, {"screen.numbness", "no"}}, fact.No},
	} {
		v, _ := b.Given(c.given)
		if got := g.Truth(v); got != c.want {
			t.Errorf("%v: %v, want %v", c.given, got, c.want)
		}
	}
}

// A silent example that leaves out what the condition reads proves nothing.
func TestExamplesThatFail(t *testing.T) {
	sign := func(id, fires, silent string) string {
		return "  - {id: " + id + ", title: a, when: 'best.hinge == \"holds\" and stuck.hinge == \"none\"', supports: {hinge: weak}, why: b, source: house default, since: 2026-11,\n" +
			"     examples: {fires: " + fires + ", silent: " + silent + "}}\n"
	}
	b := clean(t, "signs:\n"+
		sign("vacuous", "{best.hinge: holds, stuck.hinge: none}", "{best.hinge: holds}")+
		sign("loud", "{best.hinge: holds, stuck.hinge: none}", "{best.hinge: holds, stuck.hinge: none}")+
		sign("dumb", "{best.hinge: partial}", "{best.hinge: partial}")+
		sign("blind", "{best.hinge: holds}", "{best.hinge: partial}"), "")
	got := map[string]string{}
	for _, f := range b.TestExamples() {
		got[f.ID] = f.Diagnostic.Code + " " + f.Example
		if f.Diagnostic.Path != "rules/x.yaml" || f.Diagnostic.Line == 0 {
			t.Errorf("%s has no place: %+v", f.ID, f.Diagnostic.Place)
		}
	}
	want := map[string]string{"vacuous": "V201 silent", "loud": "V203 silent", "dumb": "V204 fires", "blind": "V205 fires"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestNetwork(t *testing.T) {
	b := clean(t, "", "")
	factors, signs := b.Network()
	if len(factors) != 2 || len(signs) != 2 {
		t.Fatalf("got %v, %v", factors, signs)
	}
	if f := factors[0]; f.Prior != 0.15 || f.Causes[0].To != 1 || f.Causes[0].Weight != 0.5 || len(f.BreaksAt) != 2 || f.BreaksAt[0] < 0.89 {
		t.Errorf("got %+v", f)
	}
	if factors[1].BreaksAt != nil {
		t.Error("a factor that says nothing about where it breaks got a table")
	}
	if s := signs[0]; s.Group != 0 || s.Reading != 0.20 || s.Otherwise != 0.10 || s.Seen[0].Weight != 0.90 {
		t.Errorf("got %+v", s)
	}
	if signs[1].Group != -1 {
		t.Errorf("got group %d", signs[1].Group)
	}
}

// Given is what is known when the facts named have the values written, and every
// fault in them.
func (b *Base) Given(pairs [][2]string) (fact.Vector, []error) {
	var faults []error
	v := b.Catalogue.Vector()
	for _, p := range pairs {
		slot, ok := b.Catalogue.Slot(p[0])
		if !ok {
			faults = append(faults, fmt.Errorf("nothing called %q is ever observed", p[0]))
			continue
		}
		x, err := b.Catalogue.At(slot).Parse(p[1])
		if err != nil {
			faults = append(faults, err)
			continue
		}
		v[slot] = x
	}
	b.Derive(v)
	return v, faults
}
