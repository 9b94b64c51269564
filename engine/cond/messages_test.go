package cond

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/diag"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// endless is too long to be shown in a golden file.
var endless = []string{strings.Repeat("screen.pop or ", 120) + "screen.pop", strings.Repeat("screen.pop and ", 200) + "screen.pop"}

// broken is one condition for each way of getting one wrong.
var broken = []string{

	`best.weight_shft == "early" and stuck.hing == "x"`, `best.hinge == "foo"`, `best.hinge == "late"`, `weight_shift == "early"`,
	`best.hinge == holds`, `best == "x"`, `athlete.age > "15"`, `athlete.age > 15 years`, `best.back_knee_bend > 35°`, `best.back_knee_bend > 35deg`,
	`athlete.age = 15`, `screen.pain == "pain" or "soreness"`, `screen.pain == “pain”`, `screen.numbness AND screen.pop`, `screen.numbness and`,
	`load.growth > 20%`, `load.growth > 1,5`, `load.growth between 1 and 2`, `best.hinge is "none"`, `best.hinge is not "none"`, `best.hinge <> "none"`,
	`athlete.age => 3`, `screen.pop & screen.numbness`, `best.hinge == stuck.weight_shift`, `best.hinge == 3`, `athlete.age > 100`, `load.growth == 1.3`,
	`not best.hinge == "none"`, `best.hinge < "none"`, `best.hinge`, `athlete.age`, `screen.pop == "yes"`, `screen.pop == yes`, `screen.pop != yes`, `len(best.hinge) > 3`,
	`best.hinge == "none`, `(screen.pop`, `screen.pop)`, `screen.pop ? true : false`, `let x = 3; x > 2`, `screen.pop | abs`, `$env`, `screen.pop == nil`,
	`screen.pop ?? true`, `best["hinge"] == "none"`, `screen.pop screen.numbness`, `and screen.pop`, `"a" == "b"`, `best.hinge in "none"`, `best.hinge in []`, `between(1,2)`,
	`1 < 2`, `best.hinge == ["none"]`, `best.hinge + 3 > 2`, `(screen.pop == true) == (athlete.age > 3)`, `best.weight-shift == "early"`, ``, `athlete.age == 20 # x`, `any(x, # > 3)`,
	`best.hinge == high none`, `0x1F < athlete.age`, `1e5 > athlete.age`, `athlete.age > 3 == screen.pop`, `between(athlete.age, 18, 12)`, `best.hinge in ["none" "holds"]`,
	`athlete.age in 9..12.5`, `load.growth in 1..2`, `best.hinge matches "n.*"`, `{a: 1}`, `athlete . age > 3`, `filter(1..3, {# > 2})`, `screen.pop, screen.numbness`, `athlete.age >= ≥ 3`, `best.hinge == "None"`,
	"athlete.age > 12\n  and stuck.hing == \"none\"\n  or screen.pop = true",
	`abs(athlete.age, 3) > 2`, `Between(athlete.age, 3, 4)`, `screen.pop in [true]`, `"none" in ["none"]`, `athlete.age[0] > 3`, `athlete.age(3) > 2`,
	`best.hinge in [3, 4]`, `athlete.age in ["15"]`, `athlete.age in [load.growth]`, `screen.numbness < screen.pop`, `load.growth > 12345678901`,
	`best.hinge isnt "none"`, `best.hinge is not in ["none"]`, `screen.pop == no`, `screen.pain == "pain" or "soreness" or "none"`, `athlete.age == 15 or 16`,
	`best.hinge != "none" and "holds"`, `not best.hinge in ["none"]`, `(not best.hinge) == "none"`, `screen.pop xor screen.numbness`, `athlete.age ^ 2 > 400`,
	`athlete.age % 2 == 0`, `screen.pop or or screen.numbness`, `best.hinge == "`, `stuck.hinge == 'holds and athlete.age > 3`, `((screen.pop)`, `[screen.pop)`, `athlete.age ≥ 15 and load.growth – 1 > 0`,
	`True`, `screen.pop == True`, `if screen.pop then screen.numbness`, `best.hinge == "folds late"`, `beast.hinge == "none"`, `load.growth > 2 weeks`, `["none"]`, `"none"`, `athlete.age + "3" > 2`, `-screen.pop > 3`, `limit.few_slop_throws > 3`,
	`screen.pop and (best.hinge == "none" or )`, `()`, `athlete.age > limit.spike_alarm`, `athlete.age > 3 §`, `screen.pop != "no"`, `best.hinge == "holds" best.hinge == "none"`, `load.growth > (1.2`, `screen.pop /* remark */`, `.5 < load.growth.`,
}

// drawn shows the faults of a condition as a coach sees them.
func drawn(text string, faults []Fault) string {
	var ds diag.List
	for _, f := range faults {
		line, from := 1, 0
		runes := []rune(text)
		for i, r := range runes[:f.From] {
			if r == '\n' {
				line, from = line+1, i+1
			}
		}
		shown := string(runes[from:])
		shown, _, _ = strings.Cut(shown, "\n")
		d := f.Diagnostic
		d.Place = diag.Place{Path: "when", Line: line, Col: f.From - from + 1, Width: f.To - f.From, Text: shown}
		ds.Add(d)
	}
	var b strings.Builder
	if err := ds.Write(&b); err != nil {
		panic(err) // a strings.Builder takes everything
	}
	for _, f := range faults {
		if f.Fix != nil {
			fmt.Fprintf(&b, "   mended: %s\n", mended(text, *f.Fix))
		}
	}
	return b.String()
}

func mended(text string, x Fix) string {
	r := []rune(text)
	return string(r[:x.From]) + x.Text + string(r[x.To:])
}

// TestMessages compares every message with its golden text.
func TestMessages(t *testing.T) {
	cat := catalogue(t)
	var b strings.Builder
	for _, text := range broken {
		_, faults := Compile(text, cat)
		if len(faults) == 0 {
			t.Errorf("no fault in %s", text)
		}
		fmt.Fprintf(&b, "%s\n\n", drawn(text, faults))
	}
	golden := filepath.Join("testdata", "messages.golden")
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), b.String()); d != "" {
		t.Errorf("the messages changed (-update rewrites them):\n%s", d)
	}
}

// programmers are words that no coach should read.
var programmers = regexp.MustCompile(`(?i)\b(token|eof|nil|null|float64|int|string|bool|boolean|func|map|struct|interface|operator|identifier|literal|expr|parse|parser|syntax|node|array|type|undefined|panic|runtime)\b`)

// TestMessagesAreInHouseStyle holds the wording of every message: no
// programmer's words beyond those that the coach wrote, no capital at the
// start, no full stop, a help with one action, and no mend in the headline.
func TestMessagesAreInHouseStyle(t *testing.T) {
	cat := catalogue(t)
	for _, text := range broken {
		_, faults := Compile(text, cat)
		for _, f := range faults {
			for _, said := range []string{f.Headline, f.Under, f.Why, f.Help} {
				if w := programmers.FindString(said); w != "" && !strings.Contains(text, w) {
					t.Errorf("%s: %q says %q", text, said, w)
				}
				if strings.HasSuffix(said, ".") && !strings.HasSuffix(said, "...") {
					t.Errorf("%s: %q ends with a full stop", text, said)
				}
			}
			if f.Headline == "" || f.Help == "" || strings.ToLower(f.Headline[:1]) != f.Headline[:1] {
				t.Errorf("%s: headline %q, help %q", text, f.Headline, f.Help)
			}
		}
	}
}

// TestMendsMend applies each sure mend: the fault must be gone, and no other
// may come in its place.
func TestMendsMend(t *testing.T) {
	cat := catalogue(t)
	for _, text := range broken {
		_, faults := Compile(text, cat)
		for _, f := range faults {
			if f.Fix == nil {
				continue
			}
			after := mended(text, *f.Fix)
			if _, left := Compile(after, cat); len(left) >= len(faults) && !later(left, f.Code) {
				t.Errorf("%s: mended to %s, which has %d faults: %s", text, after, len(left), drawn(after, left))
			}
		}
	}
}

// later reports whether only faults of another kind are left, which the slip
// had hidden.
func later(left []Fault, code string) bool {
	return !slices.ContainsFunc(left, func(f Fault) bool { return f.Code == code })
}

// TestEveryCodeHasACase holds that no fault can be told without a golden text.
func TestEveryCodeHasACase(t *testing.T) {
	cat := catalogue(t)
	seen := map[string]bool{}
	for _, text := range append(endless, broken...) {
		_, faults := Compile(text, cat)
		for _, f := range faults {
			seen[f.Code] = true
		}
	}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		for _, code := range regexp.MustCompile(`"(R1\d\d)"`).FindAllStringSubmatch(string(b), -1) {
			if !seen[code[1]] && code[1] != "R199" {
				t.Errorf("%s: %s has no case", file, code[1])
			}
		}
	}
}

// TestAllFaultsAreTold holds that one slip does not hide another.
func TestAllFaultsAreTold(t *testing.T) {
	cat := catalogue(t)
	for _, c := range []struct {
		text  string
		codes []string
	}{
		{`best.hing == "none" and stuk.hinge = "none" and foo > 3`, []string{"R101", "R101", "R111", "R101"}},
		{`best.hinge == "folds" and stuck.hinge == "hold" and athlete.age > "5"`, []string{"R104", "R104", "R103"}},
		{`athlete.age > 90 and load.growth == 1.3`, []string{"R108", "R120"}},
		{`5 < athlete.throws < 7`, []string{"R105", "R105"}},
	} {
		_, faults := Compile(c.text, cat)
		var codes []string
		for _, f := range faults {
			codes = append(codes, f.Code)
		}
		if !slices.Equal(codes, c.codes) {
			t.Errorf("%s: %v, want %v", c.text, codes, c.codes)
		}
	}
}
