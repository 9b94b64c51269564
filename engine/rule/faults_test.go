package rule

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/diag"
	"rungwise/rules"
)

// fixtures are house files, each with a fault. The lines at its top say which
// fault is expected and what stands under its caret.
func fixtures(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("testdata/faults/*.yaml")
	if err != nil || len(files) < 60 {
		t.Fatalf("%d fixtures, at least 60 are asked (%v)", len(files), err)
	}
	return files
}

// laidOver is what the faults of a house file over the embedded base are.
func laidOver(c *Content, text string) diag.List {
	_, ds := c.Load(fstest.MapFS{"club.yaml": {Data: []byte(text)}}, "house", time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC))
	return ds
}

func embeddedContent() *Content {
	return Read(Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
}

// under is what stands under the caret of a diagnostic.
func under(d diag.Diagnostic) string {
	line := []rune(d.Text)
	if d.Col < 1 || d.Col > len(line) {
		return ""
	}
	return string(line[d.Col-1 : min(len(line), d.Col-1+d.Width)])
}

// Every fault stands at its character, in every way of writing a value; the
// words are kept beside it and are plain; and a sure mend takes it away and
// leaves nothing new.
func TestFaultsStandAtTheirCharacter(t *testing.T) {
	base, mended := embeddedContent(), 0
	for _, name := range fixtures(t) {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			text := string(data)
			ds := laidOver(base, text)
			standsWhere(t, text, ds)
			keep(t, strings.TrimSuffix(name, ".yaml")+".golden", movable.ReplaceAllString(written(t, ds), "$1..."))
			for _, d := range ds {
				wordsArePlain(t, text, d)
				if d.Fix == nil {
					continue
				}
				mended++
				if after := laidOver(base, text[:d.Fix.Start]+d.Fix.Text+text[d.Fix.End:]); len(after) != len(ds)-1 {
					t.Errorf("after the mend of %q there are %d faults, there were %d:\n%s", d.Headline, len(after), len(ds), written(t, after))
				}
			}
		})
	}
	if mended < 15 {
		t.Errorf("only %d mends were tried", mended)
	}
}

func standsWhere(t *testing.T, text string, ds diag.List) {
	t.Helper()
	var want, got []string
	for _, m := range regexp.MustCompile(`(?m)^# expect: (.*?)\r?$`).FindAllStringSubmatch(text, -1) {
		want = append(want, m[1])
	}
	for _, d := range ds {
		got = append(got, d.Code+" "+under(d))
		if line := strings.Split(text, "\n")[d.Line-1]; strings.TrimSuffix(line, "\r") != d.Text {
			t.Errorf("line %d of the file is not %q", d.Line, d.Text)
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("expected %q, got %q", want, got)
	}
}

// movable is what changes in messages when the base does: lines of its files and
// fingerprints.
var movable = regexp.MustCompile(`(rules/[a-z_/]+\.yaml:|write base: )[0-9a-f]+`)

func keep(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("the messages changed (-update rewrites them):\n%s\nwere\n%s", got, want)
	}
}

// programmers are words that no coach should read.
var programmers = regexp.MustCompile(`(?i)\b(token|eof|nil|null|float64|float|int|int64|string|bool|boolean|func|map\[|struct|interface|unmarshal|identifier|literal|parse|parser|syntax|array|undefined|panic|runtime|!!\w+|expr|node|scalar|mapping|sequence|regexp|json|invalid)\b`)

// wordsArePlain holds the wording: headlines are plain words without the mend, a
// fault has one help, and nothing in it is for programmers.
func wordsArePlain(t *testing.T, text string, d diag.Diagnostic) {
	t.Helper()
	for _, s := range append([]string{d.Headline, d.Under, d.Why, d.Help}, d.Notes...) {
		if w := programmers.FindString(s); w != "" && !strings.Contains(text, w) {
			t.Errorf("%q says %q", s, w)
		}
	}
	first := []rune(d.Headline)[0]
	if first >= 'A' && first <= 'Z' && !strings.HasPrefix(d.Headline, "YAML") || strings.HasSuffix(d.Headline, ".") {
		t.Errorf("the headline %q starts or ends otherwise than others", d.Headline)
	}
	if d.Help == "" {
		t.Errorf("%s has no help", d.Headline)
	}
}
