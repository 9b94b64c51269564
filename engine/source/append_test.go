package source

import (
	"strings"
	"testing"
)

func TestAppendKeepsTheRest(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing there", "seen:\n  hinge: {running_throw: holds}\n", "seen:\n  hinge: {running_throw: holds, flat_lift: late}\n"},
		{"no file", "", "seen: {hinge: {flat_lift: late}}\n"},
		{"one word", "seen:\n  hinge: {flat_lift: holds} # keep\n", "seen:\n  hinge: {flat_lift: [holds, late]} # keep\n"},
		{"one look with details", "seen: {hinge: {flat_lift: {answer: holds, at: 3.2 s}}}\n", "seen: {hinge: {flat_lift: [{answer: holds, at: 3.2 s}, late]}}\n"},
		{"clicked points", "seen: {hinge: {flat_lift: {points: [[1, 2], [3, 4]]}}}\n", "seen: {hinge: {flat_lift: [{points: [[1, 2], [3, 4]]}, late]}}\n"},
		{"a list", "seen: {hinge: {flat_lift: [holds, late]}, z: 1}\n", "seen: {hinge: {flat_lift: [holds, late, late]}, z: 1}\n"},
		{"a list of lists", "seen: {hinge: {flat_lift: [{points: [[1, 2]]}]}}\n", "seen: {hinge: {flat_lift: [{points: [[1, 2]]}, late]}}\n"},
		{"an empty list", "seen: {hinge: {flat_lift: []}}\n", "seen: {hinge: {flat_lift: [late]}}\n"},
		{"a list over lines", "seen:\n  hinge:\n    flat_lift:\n      - holds # first\n      - {answer: late}\nz: 1\n",
			"seen:\n  hinge:\n    flat_lift:\n      - holds # first\n      - {answer: late}\n      - late\nz: 1\n"},
		{"a quoted word", "seen: {hinge: {flat_lift: 'holds'}}\n", "seen: {hinge: {flat_lift: ['holds', late]}}\n"},
		{"a bare key", "seen:\n  hinge:\n    flat_lift:\n", "seen:\n  hinge:\n    flat_lift: late\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := New("x.yaml", []byte(c.text)).Append([]string{"seen", "hinge", "flat_lift"}, "late")
			if err != nil || string(got) != c.want {
				t.Errorf("got %v\n%s\nwant\n%s", err, got, c.want)
			}
		})
	}
}

func TestAppendRefusesWhatWouldNotReadBack(t *testing.T) {
	for _, c := range []struct{ text, path, value string }{
		{"a: [1\n", "a", "2"}, {"a: {b: 1}\n", "a.b", "x: y"}, {"a: {b: 1}\n", "a.b.c", "2"}, {"a:\n  b: 1\n", "a", "2"},
	} {
		if got, err := New("x.yaml", []byte(c.text)).Append(strings.Split(c.path, "."), c.value); err == nil {
			t.Errorf("%q was changed to %q", c.text, got)
		}
	}
}

// A changed file reads back as meant or is refused; it is never broken.
func FuzzAppend(f *testing.F) {
	f.Add("seen:\n  hinge: {running_throw: holds} # c\nload:\n", "seen.hinge.running_throw", "late")
	f.Add("a:\n- 1 # x\n- {b: c}\n", "a", "{d: [1, 2]}")
	f.Add("a: |\n  text\nb: 1\n", "a", "'x'")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		out, err := New("x.yaml", []byte(text)).Append(strings.Split(path, "."), value)
		if err != nil {
			return
		}
		if _, ds := New("x.yaml", out).YAML(); ds.Errors() > 0 {
			t.Fatalf("broken by the change:\n%s\n->\n%s", text, out)
		}
	})
}
