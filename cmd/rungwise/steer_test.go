package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"rungwise/engine"

	"github.com/creack/pty"
)

// Signs that colour, clear the screen, set the window's title, sound the bell,
// begin a sequence in eight bits, and turn the direction of writing.
const steering = "\x1b[35;45m\x1b[2J\x1b]0;t\x07\u009b2J\u202e\x7f"

// planted writes a case, a house, a roster and the rest with such signs in every
// place that takes words, and in the names of the files themselves.
func planted(t *testing.T) (dir, path, house string) {
	t.Helper()
	quoted := `\e[35;45m\e[2J\e]0;t\a\u009b2J\u202e\x7f`
	dir = filepath.Join(t.TempDir(), "d"+steering)
	path, house = filepath.Join(dir, "c"+steering+".yaml"), filepath.Join(dir, "h"+steering)
	read := func(name string) string {
		b, err := os.ReadFile("../../testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	words := regexp.MustCompile(`(?m)^(\s+(?:title|why|because|by|in_words|cue|exit): |house: )(.*)$`)
	rules := words.ReplaceAllString(read("house/saltmarsh/club.yaml"), `${1}"${2} Q"`)
	rules = strings.ReplaceAll(rules, ` Q"`, quoted+`"`)
	rules = strings.ReplaceAll(rules, `"'`, `"`)
	c := read("cases/sm-04.yaml")
	c = strings.Replace(c, "flat_lift: partial}", `flat_lift: {answer: partial, note: "n`+quoted+`", clip: "c`+quoted+`", by: "b`+quoted+`", at: "a`+quoted+`"}}`, 1)
	c = strings.Replace(c, "gun: {step: 0.1 mph}", `gun: {step: 0.1 mph, name: "g`+quoted+`"}`, 1)
	c += `disagrees: [{by: "b` + quoted + `", first: hinge, because: "w` + quoted + `"}]` + "\n"
	for name, text := range map[string]string{
		path: c, filepath.Join(house, "r"+steering+".yaml"): rules,
		filepath.Join(dir, "torn"+steering+".yaml"): "rungwise: case/1\nathlete: {code: \"x" + quoted + "\", \"k" + quoted + "\": \"v" + quoted + "\"}\nscreen: {pain: \"p" + quoted + "\"}\n",
		filepath.Join(dir, "syntax.yaml"):           "a: [" + "\u202e\n",
		filepath.Join(dir, "radar.csv"):             "throw,mph\nflat_lift" + steering + ",84.1\n" + steering + ",12\n",
		filepath.Join(dir, "bad", "r.yaml"):         "extends: base\nhouse: \"h" + quoted + "\"\nsigns:\n  - id: \"i" + quoted + "\"\n    \"k" + quoted + "\": 1\n",
	} {
		if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
			t.Skip("no such names can be written here: ", err)
		}
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir, path, house
}

// onTerminal runs the program in this process with its output on a terminal.
func onTerminal(t *testing.T, args ...string) (status int, text string) {
	t.Helper()
	master, tty, err := pty.Open()
	if err != nil {
		t.Skip("no terminal to be had: ", err)
	}
	var out bytes.Buffer
	read := make(chan struct{})
	go func() { io.Copy(&out, master); close(read) }()
	status = run(world{args: args, in: strings.NewReader(""), out: tty, err: tty, env: os.Getenv, trade: engine.Shipped(),
		now: func() time.Time { return time.Date(2026, 11, 12, 9, 0, 0, 0, time.UTC) }})
	tty.Close()
	<-read
	master.Close()
	return status, out.String()
}

// Nothing that stands in a file, or in the name of one, steers the terminal, in
// any command, whether it goes well or not; what the program itself styles are
// colours and bold.
func TestNothingSteersTheTerminal(t *testing.T) {
	dir, path, house := planted(t)
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	torn, out, syntax, radar := filepath.Join(dir, "torn"+steering+".yaml"), filepath.Join(dir, "o"+steering), filepath.Join(dir, "syntax.yaml"), filepath.Join(dir, "radar.csv")
	style := regexp.MustCompile(`\x1b\[[0-9;]*m`)
	bar := regexp.MustCompile(`\r[ \[#\]0-9of]*`)
	cleaned := 0
	for _, args := range [][]string{
		{"triage", path}, {"triage", path, "--json"}, {"triage", torn}, {"triage", dir + "/none.yaml"}, {"triage", syntax},
		{"triage", path, "--on", steering}, {"triage", path, "--house", steering}, {"triage", steering},
		{"plan", path, "--coach"}, {"plan", path, "--out", out}, {"plan", path, "--out", out, "--start", "2026-11-16"}, {"plan", path, "--start", steering},
		{"why", path, "hinge"}, {"why", path, "club_late_and_hurried"}, {"why", path, steering},
		{"ladder", path}, {"ladder", path, "--csv", radar}, {"ladder", "--build", steering}, {"ladder", "--learn", dir, "--by", steering},
		{"measure", "speed", steering}, {"measure", "frames", "18", "--fps", "60", "--into", path, "flat_lift", steering},
		{"agree", path, path}, {"agree", path, torn}, {"ask", path, "--sheet"}, {"ask", path, "--plain"}, {"ask", path, "--order", steering}, {"ask", torn},
		{"log", path, "--rung", "flat_lift", "--speeds", "80 81 82", "--marks", "nnn", "--sore", "none", "--note", "n" + steering},
		{"log", path, "--list"}, {"log", path, "--list", "--json"}, {"log", path, "--drill", steering}, {"log", torn, "--list"}, {"log", path},
		{"roster", dir}, {"roster", dir, "--csv"}, {"roster", dir, "--json"}, {"roster", steering}, {"review", dir}, {"export", dir, "--out", out},
		{"new", filepath.Join(dir, "n"+steering+".yaml"), "--code", "SM-77"}, {"new", path, "--code", steering},
		{"forget", "SM-77", dir}, {"forget", steering, dir}, {"forget", "SM-77", dir, "--yes"},
		{"rules", "check", house}, {"rules", "check", filepath.Join(dir, "bad")}, {"rules", "check", steering}, {"rules", "list"}, {"rules", "list", "signs"},
		{"rules", "list", "throws"}, {"rules", "list", "drills"}, {"rules", "list", steering}, {"rules", "show", "club_late_and_hurried"}, {"rules", "show", steering},
		{"rules", "effective", house}, {"rules", "effective", house, "--changed"}, {"rules", "doc"}, {"rules", "diff", dir}, {"rules", "test", house},
		{"rules", "fmt", house}, {"rules", "new", house, "--id", steering, "--when", "true", "--factor", "hinge", "--strength", "weak", "--why", "w", "--because", "b", "--by", "b"},
		{"rules", steering}, {steering}, {"--" + steering},
	} {
		_, said := onTerminal(t, append([]string{"--house", house}, args...)...)
		said = bar.ReplaceAllString(strings.ReplaceAll(said, "\r\n", "\n"), "")
		if strings.Contains(said, "\x1b[35;45m") {
			t.Errorf("%q: a file colours the terminal", args)
		}
		said = style.ReplaceAllString(said, "")
		if at := strings.IndexFunc(said, steersTerminal); at >= 0 {
			t.Errorf("%q: %q", args, said[max(0, at-60):min(len(said), at+60)])
		}
		if strings.Contains(said, "\uFFFD") {
			cleaned++
		}
	}
	if cleaned < 40 {
		t.Errorf("what was planted shows in %d commands only", cleaned)
	}
	pages, err := os.ReadDir(out)
	if err != nil || len(pages) < 4 {
		t.Errorf("%d pages written, %v", len(pages), err)
	}
	for _, p := range pages {
		b, err := os.ReadFile(filepath.Join(out, p.Name()))
		if err != nil || strings.IndexFunc(strings.ReplaceAll(string(b), "\r\n", "\n"), steersTerminal) >= 0 {
			t.Errorf("the page %s holds signs that steer a terminal, %v", p.Name(), err)
		}
	}
}

// steersTerminal lists the signs anew: all below the blank but the line's end and
// the tab, Delete, the eight-bit controls (ECMA-48), and those of Unicode's
// bidirectional algorithm (UAX 9).
func steersTerminal(r rune) bool {
	return r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r == 0x61c || r == 0x200e || r == 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}
