package cond

import (
	"strings"
	"testing"

	"rungwise/engine/diag"
)

// nested is a nest of chained comparisons, each of which the parser hangs into
// its tree twice.
var nested = strings.Repeat("1 < (", 35) + "1" + strings.Repeat(") < 2", 35)

// FuzzCompile holds that no text makes the reader fall over, that every fault
// lies in the text, and that a condition comes back exactly when none of the
// faults is an error.
func FuzzCompile(f *testing.F) {
	for _, c := range broken {
		f.Add(c)
	}
	for _, c := range absent {
		f.Add(c.text)
	}
	f.Add(nested)
	f.Add("((((((((((" + `"` + "\x00\xff‘“°")
	cat := catalogue(f)
	f.Fuzz(func(t *testing.T, text string) {
		c, faults := Compile(text, cat)
		runes, errors := len([]rune(text)), 0
		for _, x := range faults {
			if x.From < 0 || x.To > runes || x.From > x.To || x.From == x.To && runes > 0 {
				t.Errorf("%q: %s lies at %d to %d of %d", text, x.Code, x.From, x.To, runes)
			}
			if m := x.Fix; m != nil && (m.From < 0 || m.To > runes || m.From > m.To) {
				t.Errorf("%q: the mend of %s lies at %d to %d of %d", text, x.Code, m.From, m.To, runes)
			}
			if x.Level == diag.Error {
				errors++
			}
		}
		if (c == nil) != (errors > 0) {
			t.Fatalf("%q: %d errors, condition %v", text, errors, c)
		}
		if c != nil {
			v := cat.Vector()
			c.Eval(v)
		}
	})
}
