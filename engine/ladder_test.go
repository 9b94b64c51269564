package engine_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/source"
	"rungwise/testdata/cases"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func opened(t *testing.T) *engine.Engine {
	t.Helper()
	e, ds := engine.Open(engine.Options{Trade: engine.Shipped(), Today: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)})
	if e == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	return e
}

func wordsOf(e *engine.Engine) func(string) string {
	return func(id string) string {
		text, _ := e.Base().Words(id)
		return text
	}
}

// madeWith is the line that names the rule base, which changes with every rule.
var madeWith = regexp.MustCompile(`Made on .*\n`)

func golden(t *testing.T, name, got string) {
	t.Helper()
	got = madeWith.ReplaceAllString(got, "Made on a day with a rule base.\n")
	path := filepath.Join("testdata", "ladder", name+".md")
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", path, diff)
	}
}

// The ladders of the worked cases as a coach reads them.
func TestLadderPages(t *testing.T) {
	e := opened(t)
	for _, name := range []string{"sm-04", "sm-08", "sm-11", "sm-17", "sm-21", "sm-30"} {
		for _, width := range []int{60, 80} {
			r, err := e.Ladder(read(t, e, name), "")
			if err != nil {
				t.Fatal(err)
			}
			text := render.Ladder(r, render.Options{Width: width, Words: wordsOf(e)})
			golden(t, fmt.Sprintf("%s_%d", name, width), text)
			chart := false
			for _, line := range strings.Split(text, "\n") {
				chart = chart != strings.HasPrefix(line, "```")
				if chart && utf8.RuneCountInString(line) > width {
					t.Errorf("%s: %q is wider than %d", name, line, width)
				}
			}
			if diag.Clean(text) != text {
				t.Errorf("%s: there are control characters in the text", name)
			}
		}
	}
}

func read(t *testing.T, e *engine.Engine, name string) *casefile.Case {
	t.Helper()
	f, err := source.Open(cases.FS, name+".yaml", name+".yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, ds := e.Case(f)
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	return c
}

func TestBuiltLadders(t *testing.T) {
	e := opened(t)
	for _, from := range []string{"running_throw", "long_toss", "weight_rock", "walk_in", "feet_set"} {
		b, err := e.BuildLadder(from, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		golden(t, "from_"+from, render.BuiltLadder(b, render.Options{Width: 80, Words: wordsOf(e)}))
	}
}

// Of throws with the same demands the one that was thrown stands on the ladder.
func TestAMeasuredThrowStandsForItsLike(t *testing.T) {
	e := opened(t)
	text := strings.Replace(string(must(t, cases.FS.ReadFile, "sm-04.yaml")), "throw: slope_net", "throw: slope_stretch", 1)
	c, ds := e.Case(source.New("sm-04.yaml", []byte(text)))
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	b, err := e.BuildLadder("running_throw", nil, c)
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, r := range b.Rungs {
		found = found || r.Throw == "slope_stretch" && r.Measured
		if r.Throw == "slope_net" {
			t.Error("the throw that was not measured is on the ladder")
		}
	}
	if !found {
		t.Errorf("the measured one is not: %+v", b.Rungs)
	}
}

func must(t *testing.T, read func(string) ([]byte, error), name string) []byte {
	t.Helper()
	b, err := read(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
