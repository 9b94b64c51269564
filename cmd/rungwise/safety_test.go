package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"rungwise/engine"
	"rungwise/testdata/cases"
)

// call runs the program in this process, as typed, with an empty input.
func call(t *testing.T, args ...string) (status int, out, err string) {
	t.Helper()
	return callWith(t, "", args...)
}

// callWith is call with something on the standard input.
func callWith(t *testing.T, in string, args ...string) (status int, out, err string) {
	t.Helper()
	var o, e bytes.Buffer
	code := run(world{args: args, in: strings.NewReader(in), out: &o, err: &e, env: func(string) string { return "" }, trade: engine.Shipped(),
		now: func() time.Time { return time.Date(2026, 11, 10, 9, 0, 0, 0, time.UTC) }})
	return code, o.String(), e.String()
}

var counted = regexp.MustCompile(`\d+ (more )?(throws|pitches|mph|km/h)`)

// A case to be referred prints no throw, drill or count anywhere: every command
// that reads a case, in every format.
func TestReferredCasesPrintNoThrow(t *testing.T) {
	e, _ := engine.Open(engine.Options{Trade: engine.Shipped(), Today: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)})
	if e == nil {
		t.Fatal("the base does not open")
	}
	var names []string
	for _, x := range e.Base().Throws {
		names = append(names, x.ID, x.Title)
	}
	for _, x := range e.Base().Drills {
		names = append(names, x.ID, x.Title)
	}
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for i, screen := range []string{
		"{pain: pain, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: no, surgery: none}",
		"{pain: soreness, where: elbow, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: no, surgery: none}",
		"{pain: none, numbness: yes, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: no, surgery: none}",
		"{pain: none, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: yes, surgery: none}",
		"{pain: none, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: no, surgery: not_cleared}",
		"{pain: none, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: yes, sudden_loss: no, surgery: none}",
		"{pain: none, where: elbow, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, sudden_loss: no, surgery: none}",
		"{pain: none, numbness: no, pop: no, night_pain: no, arm_colour: no, concussion: none, heart: no, surgery: none}",
	} {
		t.Run(screen, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "sm.yaml")
			changed := regexp.MustCompile(`(?m)^screen:.*$`).ReplaceAll(text, []byte("screen: "+screen))
			if err := os.WriteFile(path, changed, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, "radar.csv"), []byte("throw,mph\nflat_lift,84.1\n"), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, text, 0o600); err != nil { // yesterday there was a plan
				t.Fatal(err)
			}
			if code, _, errs := call(t, "plan", path, "--out", filepath.Join(dir, "out"), "--as", "md,html,ics,json"); code != 0 {
				t.Fatal(errs)
			}
			if err := os.WriteFile(path, changed, 0o600); err != nil {
				t.Fatal(err)
			}
			calls := readers(path, dir)
			if i > 0 && i < 7 { // the gate is another, what comes after it the same
				calls = calls[:7]
			}
			for _, args := range calls {
				_, out, errs := call(t, args...)
				silent(t, strings.Join(args, " "), out+errs, names)
			}
			pages, _ := filepath.Glob(filepath.Join(dir, "out", "*"))
			if len(pages) < 6 {
				t.Errorf("only %v are there", pages)
			}
			for _, page := range pages {
				b, err := os.ReadFile(page)
				if err != nil {
					t.Fatal(err)
				}
				silent(t, filepath.Base(page), string(b), names)
			}
		})
	}
}

// readers are the calls that speak of a case.
func readers(path, dir string) [][]string {
	out := [][]string{
		{"triage", path}, {"triage", path, "--json"}, {"triage", path, "--width", "60"},
		{"plan", path}, {"plan", path, "--json"}, {"plan", path, "--coach"},
		{"plan", path, "--out", filepath.Join(dir, "out"), "--as", "md,html,ics,json"},
	}
	out = append(out, []string{"ladder", path}, []string{"ladder", path, "--json"}, []string{"ask", path, "--plain"}, []string{"ask", path, "--sheet"},
		[]string{"triage", path, "--set", "screen.pain=none,screen.numbness=no,screen.sudden_loss=no,screen.surgery=none"},
		[]string{"ladder", path, "--csv", filepath.Join(dir, "radar.csv"), "--day", "2026-11-10"},
		[]string{"log", path, "--decide"}, []string{"log", path, "--decide", "--json"},
		[]string{"roster", dir}, []string{"roster", dir, "--json"}, []string{"roster", dir, "--csv"}, []string{"roster", dir, "--html", filepath.Join(dir, "out", "roster.html")})
	for _, name := range []string{"go_on", "faded", "weight_shift", "shift_late_only_when_stuck", "flat_lift", "weekly_growth", "few_slope_throws", "stuck.hinge"} {
		out = append(out, []string{"why", path, name}, []string{"why", path, name, "--json"})
	}
	return out
}

func silent(t *testing.T, what, text string, names []string) {
	t.Helper()
	asked := strings.Fields(what)
	for _, name := range names {
		if strings.Contains(text, name) && asked[len(asked)-1] != name && !(len(asked) > 2 && asked[2] == name) {
			t.Errorf("%s speaks of %q", what, name)
		}
	}
	if m := counted.FindString(text); m != "" {
		t.Errorf("%s counts %q", what, m)
	}
}
