package diag

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	names := []string{"weight_shift", "hinge", "hand_break", "trunk_at_landing"}
	for word, want := range map[string]string{
		"wieght_shift": "weight_shift", "hing": "hinge", "Hinge": "hinge", "trunk_at_landin": "trunk_at_landing", "banana": "",
	} {
		got, ok := Nearest(word, names)
		if got != want || ok != (want != "") {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

func TestStringPutsTheCaretUnderThePlace(t *testing.T) {
	d := Diagnostic{Place: Place{Path: "a.yaml", Line: 3, Col: 7, Width: 4, Text: "when: °abcd"}, Code: "R101",
		Headline: "nothing called `abcd` is ever observed", Under: "not in the checklist", Help: "write `abce`"}
	want := "a.yaml:3:7  nothing called `abcd` is ever observed  [R101]\n" +
		"  3 | when: °abcd\n" +
		"    |       ^^^^ not in the checklist\n" +
		"   help: write `abce`\n"
	if got := d.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestSortedDropsCopiesAndOrdersByPlace(t *testing.T) {
	a := Diagnostic{Place: Place{Path: "a", Line: 2}, Code: "X", Headline: "two"}
	b := Diagnostic{Place: Place{Path: "a", Line: 1}, Code: "X", Headline: "one"}
	got := List{a, b, a}.Sorted()
	if len(got) != 2 || got[0].Headline != "one" {
		t.Errorf("got %v", got)
	}
}

func TestCleanTakesOutWhatSteersATerminal(t *testing.T) {
	got := Clean("a\x1b[31mb\u202ec\td")
	if strings.ContainsAny(got, "\x1b\u202e\t") {
		t.Errorf("got %q", got)
	}
}

// A file on one line must not be printed once for each of its faults.
func TestALongLineIsShownAroundThePlace(t *testing.T) {
	line := "a: [" + strings.Repeat("über, ", 1000) + "]"
	for _, col := range []int{1, 5, 61, 62, 3000, 6005} {
		p := Place{Line: 1, Col: col, Width: 4, Text: line}
		text, at := p.Excerpt()
		if got, want := []rune(text)[at-1], []rune(line)[col-1]; got != want || len([]rune(text)) > longest+lead {
			t.Errorf("column %d: %q under the caret, not %q, in %d characters", col, got, want, len(text))
		}
	}
	var l List
	for i := range 5000 {
		l.Add(Diagnostic{Place: Place{Path: "a", Line: 1, Col: 5 + i, Width: 4, Text: line}, Code: "X", Headline: "no"})
	}
	var b strings.Builder
	if l.Write(&b); b.Len() > 20_000 || !strings.Contains(b.String(), "4980 more on this line") {
		t.Errorf("%d bytes of messages:\n%.500s", b.Len(), b.String())
	}
}

func TestNothingThatSteersPassesTheBorder(t *testing.T) {
	const in = "a\x1b[31m\u009b2J\x07\u202eb\x7f\tc\r\nd\re\xc2\x9b\x9bé\u2066"
	for _, json := range []bool{false, true} {
		for size := 1; size < 9; size++ { // however it comes in parts
			var b strings.Builder
			w := NewWriter(&b)
			if json {
				w.JSON()
			}
			for at := 0; at < len(in); at += size {
				if n, err := w.Write([]byte(in[at:min(at+size, len(in))])); err != nil || n == 0 {
					t.Fatal(n, err)
				}
			}
			w.Flush()
			want := "a\uFFFD[31m\uFFFD2J\uFFFD\uFFFDb\uFFFD\tc\r\nd\uFFFDe\uFFFD\uFFFDé\uFFFD"
			if json {
				want = `a\u001b[31m\u009b2J\u0007\u202eb\u007f` + "\tc\r\n" + `d\u000de\u009b` + "\uFFFD" + `é\u2066`
			}
			if b.String() != want {
				t.Errorf("in parts of %d: got %q, want %q", size, b.String(), want)
			}
		}
	}
}
