package source

import (
	"strings"
	"testing"
)

func TestSetKeepsTheRest(t *testing.T) {
	for _, c := range []struct{ name, text, path, value, want string }{
		{"empty file", "", "a.b", "c", "a: {b: c}\n"},
		{"replace a word", "a: {b: c, d: e} # keep\n", "a.b", "x", "a: {b: x, d: e} # keep\n"},
		{"add to a bracketed map", "a: {b: c} # keep\n", "a.d", "e", "a: {b: c, d: e} # keep\n"},
		{"add to an empty bracketed map", "a: {}\n", "a.d", "e", "a: {d: e}\n"},
		{"add to an indented map", "a:\n  b: c # one\n\n# end\nz: 1\n", "a.d", "e", "a:\n  b: c # one\n  d: e\n\n# end\nz: 1\n"},
		{"add deeper", "seen:\n  hinge: {running_throw: holds}\n", "seen.weight_shift.flat_lift", "late", "seen:\n  hinge: {running_throw: holds}\n  weight_shift: {flat_lift: late}\n"},
		{"fill a bare key", "seen:\nz: 1\n", "seen.hinge.flat_lift", "holds", "seen:\n  hinge: {flat_lift: holds}\nz: 1\n"},
		{"bare key at the end", "seen:", "seen", "{}", "seen: {}\n"},
		{"replace a bracketed value", "a: {b: {points: [[1, 2], [3, 4]]}, c: 1}\n", "a.b", "holds", "a: {b: holds, c: 1}\n"},
		{"replace a quoted value", "a: 'it''s' # x\n", "a", "late", "a: late # x\n"},
		{"new key at the top", "a: 1\n", "b", "2", "a: 1\nb: 2\n"},
		{"map after a list", "a:\n  - {b: 1}\n  - {b: [1, 2]}\n", "c", "3", "a:\n  - {b: 1}\n  - {b: [1, 2]}\nc: 3\n"},
		{"entry of a list", "a:\n  - {b: 1}\n  - {b: 2} # two\n", "a.1.c", "3", "a:\n  - {b: 1}\n  - {b: 2, c: 3} # two\n"},
		{"entry over lines", "a:\n  - b: 1 # one\n    d: 2\n  - b: 2\n", "a.0.c", "3", "a:\n  - b: 1 # one\n    d: 2\n    c: 3\n  - b: 2\n"},
		{"map over lines", "a: {b: 1,\n    c: 2\n  }\n", "a.d", "3", "a: {b: 1,\n    c: 2, d: 3\n  }\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := New("x.yaml", []byte(c.text)).Set(strings.Split(c.path, "."), c.value)
			if err != nil || string(got) != c.want {
				t.Errorf("got %v\n%s\nwant\n%s", err, got, c.want)
			}
		})
	}
}

func TestSetRefusesWhatWouldNotReadBack(t *testing.T) {
	for _, c := range []struct{ text, path, value string }{
		{"a: 1\n", "a.b", "2"}, {"a: [1\n", "a", "2"}, {"a: {b: 1}\n", "a.b", "x: y"},
	} {
		if got, err := New("x.yaml", []byte(c.text)).Set(strings.Split(c.path, "."), c.value); err == nil {
			t.Errorf("%q was changed to %q", c.text, got)
		}
	}
}

func TestQuoteReadsBack(t *testing.T) {
	for _, words := range []string{"late", "nov-09-side.mov", "3.2 s", "it's: late # no", "null", "", " x", "a\nb", "-", "!pain", "{a}", "é", "yes", "33 frames @ 60"} {
		root, ds := New("x", []byte("a: ["+Quote(words)+"]\n")).YAML()
		if len(ds) > 0 || len(root.Get("a").Items()) != 1 || root.Get("a").Items()[0].Text() != words {
			t.Errorf("%q came back as %v %v", words, Quote(words), ds)
		}
	}
}

// A changed file reads back as meant or is refused; it is never broken.
func FuzzSet(f *testing.F) {
	f.Add("seen:\n  hinge: {running_throw: holds} # c\nload:\n", "seen.hinge.flat_lift", "late")
	f.Add("a: {b: [1, {c: d}]}\n", "a.b", "'x'")
	f.Add("", "a", "1")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		out, err := New("x.yaml", []byte(text)).Set(strings.Split(path, "."), value)
		if err != nil {
			return
		}
		if _, ds := New("x.yaml", out).YAML(); ds.Errors() > 0 {
			t.Fatalf("broken by the change:\n%s\n->\n%s", text, out)
		}
	})
}
