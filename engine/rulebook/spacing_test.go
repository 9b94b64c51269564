package rulebook

import (
	"io/fs"
	"strings"
	"testing"

	"rungwise/checklists"
	"rungwise/engine/source"
	"rungwise/rules"
)

func TestFormat(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a condition", "signs:\n  - id: a\n    when: athlete.age>15&&screen.pop   # c\n", "signs:\n  - id: a\n    when: athlete.age > 15 and screen.pop   # c\n"},
		{"in quotes", "a: {when: 'best.hinge==\"none\"'}\n", "a: {when: 'best.hinge == \"none\"'}\n"},
		{"escaped", "when: \"best.hinge==\\\"none\\\"\"\n", "when: \"best.hinge == \\\"none\\\"\"\n"},
		{"on lines", "when: |\n  athlete.age>15\n    and  screen.pop\nb: 1\n", "when: |\n  athlete.age > 15\n    and screen.pop\nb: 1\n"},
		{"folded stays", "when: >-\n  athlete.age>15\n  and screen.pop\n", "when: >-\n  athlete.age>15\n  and screen.pop\n"},
		{"brackets", "a: { b: [ 1,2 ], c: 'x , y' }\n", "a: {b: [1, 2], c: 'x , y'}\n"},
		{"columns stay", "a: {b: 1,   c: 2}\n", "a: {b: 1,   c: 2}\n"},
		{"line ends", "a: 1  \r\nb: 2\t\r\n\r\n\r\n\r\nc: 3", "a: 1\nb: 2\n\nc: 3\n"},
		{"blank lines in a text stay", "a: |\n  x  \n\n\n  y\nb: 2\n", "a: |\n  x  \n\n\n  y\nb: 2\n"},
		{"comments", "#one\na: 1 #two\n  #three\n## four\n#\n", "# one\na: 1 #two\n  # three\n## four\n#\n"},
		{"an apostrophe", "a: {b: it's, c:  [don't,x]}\n", "a: {b: it's, c:  [don't, x]}\n"},
		{"other keys are no conditions", "why: a>b\n", "why: a>b\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, ds, err := Format(source.New("x.yaml", []byte(c.text)))
			if err != nil || len(ds) > 0 || string(got) != c.want {
				t.Errorf("got %v %v\n%q\nwant\n%q", err, ds, got, c.want)
			}
		})
	}
}

func TestFaultsComeBack(t *testing.T) {
	if got, ds, err := Format(source.New("x.yaml", []byte("a: [1\n"))); got != nil || len(ds) != 1 || err != nil {
		t.Errorf("got %q %v %v", got, ds, err)
	}
	if got, ds, err := Format(source.New("x.yaml", nil)); got != nil || len(ds) != 0 || err != nil {
		t.Errorf("got %q %v %v", got, ds, err)
	}
}

// The files that we ship are set already, and stay so.
func TestShippedFilesAreSet(t *testing.T) {
	for _, fsys := range []fs.FS{rules.FS, checklists.FS} {
		err := fs.WalkDir(fsys, ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".yaml") {
				return err
			}
			f, err := source.Open(fsys, path, path)
			if err != nil {
				return err
			}
			got, ds, err := Format(f)
			if err != nil || len(ds) > 0 {
				t.Errorf("%s: %v %v", path, ds, err)
			} else if string(got) != string(f.Bytes) {
				t.Errorf("%s would be set otherwise: %s", path, firstDifference(string(f.Bytes), string(got)))
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return x[i] + " -> " + y[i]
		}
	}
	return "their length"
}

// What comes back says the same, has every comment, and is settled.
func FuzzFormat(f *testing.F) {
	for _, text := range []string{"a: {when: ' x>1 && y '}\n", "# c\n\n\nsigns:\n  - id: a\n    when: |\n      a>1\n\n  - {id: b, when: !a, c: [1,2]}\n", "a: >\n  b\n\n  c\n\n\nd: \"x\n  y\"\n",
		"? a\n: b\n", "- - a\n  - b\n-\n  c: d\n", "a: 'it''s' #x\r\n", "\ufeffa: 1\n", "a:\n  - b: |+\n      c\n\n\n  - d: 1\n", "when: 1 # a\n#b", "when:\n  a>1\n  && b\n"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		in := source.New("x.yaml", []byte(text))
		got, ds, err := Format(in)
		if err != nil || len(ds) > 0 || got == nil {
			return
		}
		if !alike(in, source.New("x.yaml", got)) {
			t.Fatalf("%q became %q", text, got)
		}
		again, _, err := Format(source.New("x.yaml", got))
		if err != nil || string(again) != string(got) {
			t.Fatalf("%q became %q and then %q (%v)", text, got, again, err)
		}
	})
}
