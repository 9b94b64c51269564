package rule

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/fact"
)

func TestSmallBaseHasNothingToFind(t *testing.T) {
	for _, f := range clean(t, "", "").Lint() {
		if f.Code != "L304" && f.Code != "L307" { // it is too small to read every fact
			t.Errorf("%s", f.Diagnostic)
		}
	}
}

// Each planted fault is found where it was planted, and nothing else is.
func TestPlantedFaults(t *testing.T) {
	data, err := os.ReadFile("testdata/planted.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b := clean(t, string(data), "")
	got := map[string][]string{}
	for _, f := range b.Lint() {
		if f.Path != "rules/x.yaml" {
			continue
		}
		line := strings.TrimSpace(f.Text)
		got[f.Code] = append(got[f.Code], string([]rune(f.Text)[f.Col-1:min(f.Col-1+f.Width, len([]rune(f.Text)))]))
		if f.Help == "" {
			t.Errorf("no help for %s at %q", f.Code, line)
		}
		wordsArePlain(t, string(data), f.Diagnostic)
	}
	want := map[string][]string{
		"L301": {"athlete.age > 20", `stuck.hinge == "none"`},
		"L308": {`best.hinge in ["holds", "partial", "none"]`},
		"L309": {"athlete.age > 15"},
		"L302": {"never_raised"},
		"L303": {"never_raised"},
		"L305": {"copy"},
		"L306": {"for_nobody"},
		"L310": {`best.hinge == "holds" and stuck.hinge == "none" and screen.numbness`},
		"L311": {"load.mound_throws_28d >= 40"},
		"L312": {"not (load.mound_throws_28d >= 40)"},
		"L313": {"ladder.found and athlete.age < 30"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s\n%s", diff, written(t, Diagnostics(b.Lint())))
	}
}

// Every example case shows what is claimed.
func TestFindingsShowTheirCase(t *testing.T) {
	data, err := os.ReadFile("testdata/planted.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b := clean(t, string(data), "")
	for _, f := range b.Lint() {
		if len(f.Case) == 0 {
			continue
		}
		var pairs [][2]string
		for _, p := range f.Case {
			pairs = append(pairs, [2]string{p.Name, p.Text})
		}
		v, ds := b.Given(pairs)
		if len(ds) > 0 {
			t.Fatalf("%s: the case does not read: %v", f.Rules, ds)
		}
		for i, id := range f.Rules {
			if f.Code == "L305" {
				continue // claims nothing of a case
			}
			if got, want := truthOf(t, b, id, v), shownBy(f.Code, i); got != want {
				t.Errorf("%s: rule %d, %s, is %v in its case, want %v", f.Code, i, id, got, want)
			}
		}
		if !slices.ContainsFunc(f.Notes, func(n string) bool { return strings.Contains(n, "try it: rungwise triage --set ") }) {
			t.Errorf("%s: no case to try among %v", f.Code, f.Notes)
		}
	}
}

// shownBy is how the rules of a finding come out in its case, by their place in
// it. With L310, L313 both hold; with L311 and L312 only the first does.
func shownBy(code string, i int) fact.Truth {
	if code == "L301" || i > 0 && (code == "L311" || code == "L312") {
		return fact.No
	}
	return fact.Yes
}

func truthOf(t *testing.T, b *Base, id string, v fact.Vector) fact.Truth {
	t.Helper()
	for _, r := range b.Conditions() {
		if r.ID == id {
			return r.When.Eval(v)
		}
	}
	t.Fatalf("no rule %s", id)
	return fact.Unknown
}

// Nothing of the embedded base is left without an explanation.
func TestEmbeddedBaseIsExplained(t *testing.T) {
	for _, f := range embedded(t).Lint() {
		t.Errorf("%s", f.Diagnostic)
	}
}

// However many signs read alike, what is told of them stays short, and says how
// many more there are. Compared each with each, 2,000 would take minutes.
func TestManySignsAreToldInFewWords(t *testing.T) {
	same, overlapping := "extends: base\nsigns:\n", "extends: base\nsigns:\n"
	sign := func(i int, when string) string {
		return fmt.Sprintf("  - {id: club_%d, add: {when: '%s', supports: {hinge: weak}, why: a, source: house default, examples: {fires: {load.mound_throws_28d: 90, stuck.hinge: none}, silent: {load.mound_throws_28d: 0}}}, because: a, by: b}\n", i, when)
	}
	for i := range 2000 {
		same += sign(i, "load.mound_throws_28d > 50")
		when := fmt.Sprintf("load.mound_throws_28d > 5%d", i)
		if i%2 == 0 {
			when += ` and stuck.hinge == "none"`
		}
		overlapping += sign(i, when)
	}
	for name, house := range map[string]string{"same": same, "overlapping": overlapping} {
		b, ds := load(t, "", house)
		if ds.Errors() > 0 {
			t.Fatal(written(t, ds[:1]))
		}
		text := written(t, Diagnostics(b.Lint()))
		if n := len(text); n > 60_000 || !strings.Contains(text, "more like this one") {
			t.Errorf("%s: %d characters are told:\n%.2000s", name, n, text)
		}
	}
}
