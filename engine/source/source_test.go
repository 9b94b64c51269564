package source

import (
	"strings"
	"testing"
	"unicode/utf8"

	"rungwise/engine/diag"
)

func TestPlaceAtInEveryScalarStyle(t *testing.T) {
	for _, c := range []struct{ name, text, word string }{
		{"plain", "a:\n  when: best.hinge == holds\n", "holds"},
		{"plain over lines", "when: best.hinge\n  and stuck.hinge\n  or late\n", "late"},
		{"single quoted", "when: 'it''s late'\n", "late"},
		{"double quoted", "when: \"a \\\"b\\\" late\"\n", "late"},
		{"double quoted escape", "when: \"35\\u00b0 late\"\n", "late"},
		{"literal", "when: |\n    best == 1\n    and late\n", "late"},
		{"folded", "when: >\n    best == 1\n    and late\n", "late"},
		{"folded with a blank line", "when: >\n    best == 1\n\n    and late\n", "late"},
		{"accents before", "when: é ü late\n", "late"},
		{"double quoted over lines", "when: \"best\n   and late\"\n", "late"},
		{"literal with deeper lines", "when: |\n    best == 1\n      and (b\n        or late)\n", "late"},
		{"folded with deeper lines", "when: >\n    best == 1\n      and b\n      or late\n\n\n    end\n", "late"},
		{"folded after deeper lines", "when: >\n    best == 1\n      and b\n\n\n    late\n", "late"},
		{"literal with its indentation told", "when: |2\n    best\n   late\n", "late"},
		{"double quoted with a line taken away", "when: \"best \\\n   and late\"\n", "late"},
		{"windows line ends", "when: |\r\n    best == 1\r\n      and late\r\n", "late"},
		{"byte-order mark", "\ufeffwhen: now late\n", "late"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := New("x.yaml", []byte(c.text))
			root, ds := f.YAML()
			if len(ds) > 0 {
				t.Fatalf("unexpected faults: %v", ds)
			}
			v := root.Get("when")
			if v == nil {
				v = root.Get("a").Get("when")
			}
			at := strings.Index(v.Text(), c.word)
			from := utf8.RuneCountInString(v.Text()[:at])
			p := v.PlaceAt(from, from+utf8.RuneCountInString(c.word))
			got := string([]rune(p.Text)[p.Col-1 : p.Col-1+p.Width])
			if got != c.word {
				t.Errorf("place %d:%d holds %q, want %q", p.Line, p.Col, got, c.word)
			}
		})
	}
}

func TestYAMLFaults(t *testing.T) {
	for _, c := range []struct{ name, text, code string }{
		{"label", "when: !pain\n", "Y202"},
		{"repeated key", "a: 1\na: 2\n", "Y203"},
		{"tab", "a:\n\tb: 1\n", "Y201"},
		{"alias", "a: &x 1\nb: *x\n", "Y208"},
		{"second document", "a: 1\n---\nb: 2\n", "Y206"},
		{"colon", "note: athlete: tall\n", "Y210"},
		{"open quote", "a: \"b\nc: d\n", "Y211"},
		{"not text", "a: \xff\n", "Y205"},
		{"too deep", strings.Repeat("[", 40) + strings.Repeat("]", 40) + "\n", "Y207"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, ds := New("x.yaml", []byte(c.text)).YAML()
			for _, d := range ds {
				if d.Code == c.code {
					return
				}
			}
			t.Errorf("no %s among %v", c.code, ds)
		})
	}
}

func TestObjectNamesUnknownKeys(t *testing.T) {
	root, ds := New("x.yaml", []byte("weigth: 3\nid: a\n")).YAML()
	o := root.Object(&ds, "a drill")
	o.Text("id")
	o.Number("weight")
	o.Close()
	if len(ds) != 1 || !strings.Contains(ds[0].Help, "`weight`") {
		t.Fatalf("got %v", ds)
	}
}

func TestNumberOffersTheDecimalPoint(t *testing.T) {
	root, ds := New("x.yaml", []byte("a: 88,5\nb: \"4\"\nc: .nan\n")).YAML()
	o := root.Object(&ds, "it")
	for _, key := range []string{"a", "b", "c"} {
		if _, ok := o.Number(key); ok {
			t.Errorf("%s was taken for a number", key)
		}
	}
	if len(ds) != 3 || !strings.Contains(ds[0].Help, "88.5") || !strings.Contains(ds[1].Help, "quotes") {
		t.Fatalf("got %v", ds)
	}
}

// Every mapped place lies in the file, on the line it names, and holds the
// character that it is the place of.
func FuzzPlaces(f *testing.F) {
	for _, text := range []string{"when: |\n  a\n  b\nx: 'it''s'\n", "a: >-\n  one\n\n  two\n", "\"\\u00b0\": [1, 2]\n", "a: |\n  x\n    y\n\n  z\n", "a: >\n  x\n    y\n    z\n\n\n  w\n",
		"a: |2\n    x\n   y\n", "a: \"x \\\n  y\\tz\n\n  w\"\n", "a: x\n  y\n\n\n  z\n", "- 'a\n  b\n\n  c'\n", "a: |+\n\n\n  x\n\n\nb: 1\n", "a: |\r\n  x\r\n   y\r\nb: 1\r\n"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		file := New("x.yaml", []byte(text))
		root, _ := file.YAML()
		odd := strings.ContainsAny(text, "\u0085\u2028\u2029") || strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\r")
		walk(root, func(n *Node) {
			runes := []rune(n.Text())
			if len(runes) == 0 {
				return
			}
			offsets := n.offsets()
			for i := range min(len(runes), 200) {
				inFile(t, file, n.PlaceAt(i, i+1))
				if !odd {
					holds(t, file, n, runes[i], offsets[i])
				}
			}
			inFile(t, file, n.Place())
		})
	})
}

// holds checks the byte at which a character of a text stands: the character
// itself, the escape that stands for it, or the line end or blank that YAML made
// a space or a line end of.
func holds(t *testing.T, f *File, n *Node, r rune, at int) {
	t.Helper()
	if at >= len(f.Bytes) {
		if r == '\n' {
			return // the last line of a file that does not end with a line end
		}
		t.Fatalf("%q of %q lies behind the file %q", r, n.Text(), f.Bytes)
	}
	got, _ := utf8.DecodeRune(f.Bytes[at:])
	folded := (r == ' ' || r == '\n') && (got == ' ' || got == '\t' || got == '\n' || got == '\r')
	escaped := got == '\\' && n.Quoted()
	if got != r && !folded && !escaped {
		t.Fatalf("%q of %q is mapped to %q at %d of %q", r, n.Text(), got, at, f.Bytes)
	}
}

func inFile(t *testing.T, f *File, p diag.Place) {
	t.Helper()
	if p.Line < 1 || p.Line > len(f.lines) || p.Col < 1 || p.Col > utf8.RuneCountInString(p.Text)+1 {
		t.Fatalf("place %d:%d lies outside the file", p.Line, p.Col)
	}
	if f.line(p.Line-1) != p.Text {
		t.Fatalf("place %d:%d shows %q", p.Line, p.Col, p.Text)
	}
}

func walk(n *Node, do func(*Node)) {
	if n == nil {
		return
	}
	do(n)
	for _, f := range n.Fields() {
		walk(f.Key, do)
		walk(f.Value, do)
	}
	for _, item := range n.Items() {
		walk(item, do)
	}
}
