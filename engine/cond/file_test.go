package cond

import (
	"strings"
	"testing"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// compileIn reads a file with one condition under `when`.
func compileIn(t testing.TB, body string) (*Condition, *source.File, diag.List) {
	t.Helper()
	f := source.New("rules/x.yaml", []byte(body))
	n, ds := f.YAML()
	c := CompileNode(n.Get("when"), catalogue(t), &ds)
	return c, f, ds.Sorted()
}

// pointed returns the text that a diagnostic underlines.
func pointed(d diag.Diagnostic) string {
	r := []rune(d.Text)
	return string(r[d.Col-1 : d.Col-1+d.Width])
}

// TestPlaces holds that a fault is pointed at to the character in every way
// that YAML has of writing text, and that the mend works in the file.
func TestPlaces(t *testing.T) {
	for name, body := range map[string]string{
		"plain":        "id: a\nwhen: screen.pop and stuck.hing == \"none\"\n",
		"plain folded": "when: screen.pop\n  and stuck.hing == \"none\"\n",
		"single":       "when: 'screen.pop and stuck.hing == \"none\"'\n",
		"double":       "when: \"screen.pop and stuck.hing == 'none'\"\n",
		"escaped":      "when: \"\\u0073creen.pop and stuck.hing == \\\"none\\\"\"\n",
		"literal":      "when: |\n  screen.pop\n  and stuck.hing == \"none\"\n",
		"folded":       "when: >\n  screen.pop\n  and stuck.hing == \"none\"\n",
		"accents":      "note: é\nwhen: screen.pop and stuck.hing == \"none\" # é\n",
		"in a list":    "list: [{a: ü}]\nwhen: stuck.hing == \"none\"\n",
	} {
		t.Run(name, func(t *testing.T) {
			c, f, ds := compileIn(t, body)
			at := -1
			for i, d := range ds {
				if d.Code == "R101" {
					at = i
				}
			}
			if c != nil || at < 0 {
				t.Fatalf("got %v, %v", c, ds)
			}
			d := ds[at]
			if pointed(d) != "stuck.hing" {
				t.Errorf("the caret stands under %q: %s", pointed(d), d)
			}
			if d.Fix == nil {
				t.Fatal("no mend")
			}
			fixed := string(f.Bytes[:d.Fix.Start]) + d.Fix.Text + string(f.Bytes[d.Fix.End:])
			if !strings.Contains(fixed, "stuck.hinge == ") {
				t.Fatalf("mended to %s", fixed)
			}
			if c, _, ds := compileIn(t, fixed); c == nil {
				t.Errorf("mended to %s, which has %v", fixed, ds)
			}
		})
	}
}

// TestMendsInQuotes holds that a mend with quotes keeps the file's quotes
// whole.
func TestMendsInQuotes(t *testing.T) {
	for body, want := range map[string]string{
		"when: \"best.hinge == none\"\n":    "when: \"best.hinge == \\\"none\\\"\"\n",
		"when: 'best.hinge == none'\n":      "when: 'best.hinge == \"none\"'\n",
		"when: best.hinge == none\n":        "when: best.hinge == \"none\"\n",
		"when: |\n  best.hinge == none\n":   "when: |\n  best.hinge == \"none\"\n",
		"when: 'best.hinge == ''None'''\n":  "when: 'best.hinge == \"none\"'\n",
		"when: none == best.hinge\n":        "", // YAML would take the quote for its own
		"when: best.hinge\n  is\n  not 3\n": "", // the mend would run over lines
	} {
		_, f, ds := compileIn(t, body)
		if len(ds) != 1 {
			t.Fatalf("%q: %v", body, ds)
		}
		if x := ds[0].Fix; want == "" && x != nil {
			t.Errorf("%q: mended to %v", body, x)
		} else if want != "" {
			if x == nil {
				t.Fatalf("%q: no mend", body)
			}
			if got := string(f.Bytes[:x.Start]) + x.Text + string(f.Bytes[x.End:]); got != want {
				t.Errorf("%q: mended to %q, want %q", body, got, want)
			}
		}
	}
}

// TestTraps holds what YAML does to a condition before it is read.
func TestTraps(t *testing.T) {
	for _, c := range []struct {
		body, code, under string
		usable            bool
	}{
		{"when: screen.pop and # stuck.hinge == \"none\"\n", "Y230", "# stuck.hinge == \"none\"", false},
		{"when: screen.pop # since the winter\n", "Y230", "# since the winter", true},
		{"when: ''\n", "R128", "'", false},
		{"when: [screen.pop]\n", "R128", "[", false},
		{"when: !screen.pop\n", "Y202", "!", false},
		{"when: !pop screen.pop\n", "Y202", "!", false},
		{"when:\n", "R128", "", false},
	} {
		got, _, ds := compileIn(t, c.body)
		if (got != nil) != c.usable || len(ds) != 1 || ds[0].Code != c.code {
			t.Errorf("%q: condition %v, %v", c.body, got, ds)
			continue
		}
		if c.under != "" && !strings.HasPrefix(pointed(ds[0]), c.under) {
			t.Errorf("%q: the caret stands under %q", c.body, pointed(ds[0]))
		}
	}
}
