package plan

import (
	"encoding/json"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/testdata/frozen"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// today is the day on which the worked cases are read.
func today() time.Time { return time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC) }

// opened returns the real rule base, with a house's rules over it where there are any.
func opened(t testing.TB, house fs.FS) *rule.Base {
	t.Helper()
	b, ds := loadWith(house)
	if ds.Errors() > 0 {
		t.Fatal(ds)
	}
	return b
}

func loadWith(house fs.FS) (*rule.Base, diag.List) {
	return rule.Load(rule.Options{Rules: frozen.Rules(), Checklists: frozen.Checklists(), House: house, On: today()})
}

// read reads one of the worked cases and triages it.
func read(t testing.TB, b *rule.Base, name string) Input {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "cases", name+".yaml")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: today()}
	for _, x := range b.Throws {
		v.Throws = append(v.Throws, x.ID)
	}
	for _, x := range b.Factors {
		v.Factors = append(v.Factors, x.ID)
	}
	c, ds := casefile.Parse(source.New(path, data), v)
	if c == nil {
		t.Fatal(ds)
	}
	facts, err := observe.Observe(c, b, today())
	if err != nil {
		t.Fatal(err)
	}
	m, err := triage.New(b)
	if err != nil {
		t.Fatal(err)
	}
	r := m.Run(triage.Case{Vector: facts.Vector, Lambda: facts.Lambda, Unsure: facts.Unsure, Break: facts.Ladder.Break})
	return Input{Base: b, Facts: facts, Triage: r, Case: c, On: today()}
}

func TestGolden(t *testing.T) {
	p, refused := Make(read(t, opened(t, nil), "sm-04"))
	if p == nil {
		t.Fatal(refused)
	}
	got := written(t, p)
	kept := filepath.Join("testdata", "sm-04.json")
	if *update {
		if err := os.WriteFile(kept, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func written(t testing.TB, p *report.Plan) []byte {
	t.Helper()
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(b, '\n')
}
