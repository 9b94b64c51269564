package cond

import (
	"slices"
	"testing"
)

func TestSpaced(t *testing.T) {
	for text, want := range map[string]string{
		`athlete.age>15&&!( athlete.age<13 )`:             `athlete.age > 15 and not (athlete.age < 13)`,
		`best.hinge  in[ "none","holds" ]`:                `best.hinge in ["none", "holds"]`,
		`between( athlete.age ,10,12)`:                    `between(athlete.age, 10, 12)`,
		`reference.gain> -3 and abs(mound.gain)-1 < 2`:    `reference.gain > -3 and abs(mound.gain) - 1 < 2`,
		`athlete.age in 9..12`:                            `athlete.age in 9..12`,
		"screen.pop||screen.numbness  \n  and screen.pop": "screen.pop or screen.numbness\n  and screen.pop",
		"screen.pop \n":                                   "screen.pop\n",
		`best.hinge == "a  b&&c"`:                         `best.hinge == "a  b&&c"`,
		`best.hinge == "none`:                             `best.hinge == "none`,
		`athlete.age > 15°`:                               `athlete.age > 15°`,
		``:                                                ``,
	} {
		got := Spaced(text)
		if got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
		if Spaced(got) != got {
			t.Errorf("%q is not settled: %q", got, Spaced(got))
		}
		if !slices.Equal(Marks(text), Marks(got)) {
			t.Errorf("%q and %q are not the same", text, got)
		}
	}
}

// What is spaced says the same: both compile, or neither, and they agree.
func FuzzSpaced(f *testing.F) {
	for _, text := range broken {
		f.Add(text)
	}
	f.Add(`athlete.age>15&&!(athlete.age<13)`)
	cat := catalogue(f)
	f.Fuzz(func(t *testing.T, text string) {
		got := Spaced(text)
		if Spaced(got) != got || !slices.Equal(Marks(text), Marks(got)) {
			t.Fatalf("%q -> %q -> %q", text, got, Spaced(got))
		}
		a, _ := Compile(text, cat)
		b, _ := Compile(got, cat)
		if (a == nil) != (b == nil) {
			t.Fatalf("%q -> %q: one of them does not compile", text, got)
		}
		if a == nil {
			return
		}
		if example, _ := Differ(a, b); example != nil {
			t.Fatalf("%q -> %q: they differ", text, got)
		}
	})
}
