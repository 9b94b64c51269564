package render

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/diag"
	"rungwise/engine/report"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares text with a file under testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

// faces are the Markdown faces by name.
var faces = map[string]func(*report.Report, Options) string{"triage": Triage, "plan": Plan, "coach": CoachPlan}

func samples() map[string]*report.Report {
	return map[string]*report.Report{"stuck": planRecord(), "refer": referRecord(), "screen": screenRecord(), "none_found": noneRecord()}
}

func TestMarkdownGolden(t *testing.T) {
	words := houseWords(t)
	for name, r := range samples() {
		for face, write := range faces {
			for _, width := range []int{60, 80} {
				golden(t, fmt.Sprintf("%s_%s_%d.md", name, face, width), write(r, Options{Width: width, Words: words}))
			}
		}
	}
}

func TestTerminalGolden(t *testing.T) {
	words := houseWords(t)
	for _, width := range []int{60, 80, 120} {
		for face, write := range faces {
			var b bytes.Buffer
			if err := terminal(&b, write(planRecord(), Options{Width: width, Words: words}), width, true, []string{"TERM=xterm"}); err != nil {
				t.Fatal(err)
			}
			golden(t, fmt.Sprintf("stuck_%s_%d.txt", face, width), b.String())
			for line := range strings.Lines(b.String()) {
				if line = strings.TrimSuffix(line, "\n"); utf8.RuneCountInString(line) > width || strings.TrimRight(line, " ") != line {
					t.Errorf("%s at %d: %q is too long or ends in a blank", face, width, line)
				}
			}
		}
	}
}

func TestTerminalHonoursItsSurroundings(t *testing.T) {
	sgr := regexp.MustCompile(`\x1b\[[0-9;]*m`)
	colour := regexp.MustCompile(`[\[;](?:[34][0-7]|9[0-7]|10[0-7]|[34]8;[0-9;]*)[;m]`)
	write := func(color bool, env ...string) string {
		var b bytes.Buffer
		if err := terminal(&b, Plan(planRecord(), Options{Words: houseWords(t)}), 80, color, env); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	forced := []string{"CLICOLOR_FORCE=1", "TERM=xterm-256color"}
	bare := write(true, "TERM=xterm")
	for name, text := range map[string]string{"coloured": write(true, forced...), "asked for none": write(false, forced...),
		"NO_COLOR": write(true, "NO_COLOR=1", "TERM=xterm-256color"), "dumb": write(true, "TERM=dumb")} {
		if sgr.ReplaceAllString(text, "") != bare {
			t.Errorf("%s: the text differs without its colours", name)
		}
		if has := colour.MatchString(text); has != (name == "coloured") {
			t.Errorf("%s: colours %v", name, has)
		}
		for _, found := range sgr.FindAllString(text, -1) {
			if strings.Contains(found, "38;") || strings.Contains(found, "48;") || regexp.MustCompile(`[\[;](?:4|10)[0-7][;m]`).MatchString(found) {
				t.Errorf("%s: %q is a background or no colour of the sixteen", name, found)
			}
		}
		if strings.Count(text, "\x1b") != len(sgr.FindAllString(text, -1)) {
			t.Errorf("%s: an escape that is no style", name)
		}
	}
	if strings.Contains(write(true, "TERM=dumb"), "\x1b") || strings.Contains(bare, "\x1b") {
		t.Error("a dumb terminal or a pipe gets an escape")
	}
}

func TestJSONIsStableAndReadsBack(t *testing.T) {
	for name, r := range samples() {
		var a, b bytes.Buffer
		if err := JSON(&a, r); err != nil {
			t.Fatal(err)
		}
		_ = JSON(&b, r)
		if !bytes.Equal(a.Bytes(), b.Bytes()) || !bytes.HasSuffix(a.Bytes(), []byte("}\n")) {
			t.Errorf("%s: two writings differ, or no line end", name)
		}
		back := &report.Report{}
		if err := json.Unmarshal(a.Bytes(), back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, back); diff != "" {
			t.Errorf("%s reads back otherwise:\n%s", name, diff)
		}
	}
}

func TestJSONNeverSteersATerminal(t *testing.T) {
	r := referRecord()
	r.Case = "a\x1b[2J\u009b2J\u202eb\x7f"
	var b bytes.Buffer
	if err := JSON(&b, r); err != nil {
		t.Fatal(err)
	}
	if strings.IndexFunc(strings.ReplaceAll(b.String(), "\n", ""), diag.Steers) >= 0 {
		t.Errorf("a control character is left in %q", b.String())
	}
	back := &report.Report{}
	if err := json.Unmarshal(b.Bytes(), back); err != nil || back.Case != r.Case {
		t.Errorf("read back %q, %v", back.Case, err)
	}
}

// Throwing words that a silent page may not hold: the rule base's throws and
// drills, counts, speeds. "Stop throwing" and "do not throw" are allowed.
var advice = regexp.MustCompile(`(?i)mph|km/h|running throw|long toss|flat ground|slope|drill|rung|ladder|\d+ ?x ?\d+|\d+ throws|effort|bullpen|mound`)

func TestQuietGatesPrintNoThrow(t *testing.T) {
	words := houseWords(t)
	for name, r := range map[string]*report.Report{"refer": referRecord(), "screen": screenRecord()} {
		full := planRecord() // a record that should hold nothing more, and does
		full.Gate, full.Case = r.Gate, r.Case
		for kind, record := range map[string]*report.Report{"as made": r, "overfull": full} {
			if kind == "overfull" && name == "screen" && !record.Gate.Screen {
				t.Fatal("the screen gate is not marked")
			}
			if kind == "overfull" {
				record.Cautions = nil // a stop sign may speak of a session
			}
			for face, write := range faces {
				text := write(record, Options{Words: words})
				if found := advice.FindString(text); found != "" {
					t.Errorf("%s, %s, %s: %q in\n%s", name, kind, face, found, text)
				}
				for _, want := range []string{esc(r.Gate.Says), "licensed clinician"} {
					if !strings.Contains(text, want) {
						t.Errorf("%s, %s, %s: %q is missing in\n%s", name, kind, face, want, text)
					}
				}
			}
		}
	}
}

// A house may blank every sentence; what stops a throw stays.
func TestSafetyOutlivesTheWording(t *testing.T) {
	for name, words := range map[string]report.Words{"none": nil, "blank": func(string) string { return " " },
		"broken": func(string) string { return "{nothing} {" }} {
		text := Plan(planRecord(), Options{Words: words})
		for _, want := range []string{"numbness or tingling", "licensed clinician", "pop, a swelling", "cold, blue, pale or swollen", "a blow to the head, fainting", "pain anywhere", "goes away suddenly", "league's rules"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is gone", name, want)
			}
		}
		if text := Plan(referRecord(), Options{Words: words}); !strings.Contains(text, "Only a licensed clinician") || !strings.Contains(text, "Stop throwing") {
			t.Errorf("%s: the referral says only\n%s", name, text)
		}
	}
}

func TestAthletesPageHoldsNoHealthAnswer(t *testing.T) {
	r := planRecord()
	r.Shaky = append(r.Shaky, report.Shaky{Fact: "screen.hip_screen", Title: "hip screen", If: "failed"})
	r.NextLook = append(r.NextLook, report.NextLook{Fact: "screen.trunk_screen", Title: "trunk screen"})
	r.Assumed = []string{"clearance after surgery was taken for granted"}
	r.Cautions = append(r.Cautions, report.Caution{ID: "told", Level: "note", Text: "Something private to know.", Private: true})
	text := Plan(r, Options{Words: houseWords(t)})
	for _, bad := range []string{"surgery was taken", "hip screen", "trunk screen", "private to know"} {
		if strings.Contains(text, bad) {
			t.Errorf("%q stands on the athlete's page", bad)
		}
	}
	if coach := CoachPlan(r, Options{Words: houseWords(t)}); !strings.Contains(coach, "surgery") || !strings.Contains(coach, "staff") {
		t.Error("the coach's page lacks the health answers, or does not say whom it is for")
	}
}

// What stops or limits an athlete because of a health answer stands on his own
// page, under the signs to stop at and before anything to throw.
func TestAthletesPageSaysWhatHisHealthAsks(t *testing.T) {
	r := planRecord()
	r.Cautions = append(r.Cautions, report.Caution{ID: "sore_elsewhere", Level: "stop", Text: "Have it looked at before the first session.", Private: true})
	page, err := HTML(r, Options{Words: houseWords(t)})
	if err != nil {
		t.Fatal(err)
	}
	none := planRecord()
	none.Cautions, none.Plan, none.Gate.Verdict = r.Cautions, nil, "none_found"
	for name, text := range map[string]string{"md": Plan(r, Options{Words: houseWords(t)}), "html": string(page), "none": Plan(none, Options{Words: houseWords(t)})} {
		for _, want := range []string{"Cleared after surgery: keep to what the clearance says.", "Have it looked at before the first session."} {
			at := strings.Index(text, want)
			if at < 0 || at < strings.Index(text, "a pop, a swelling") || name != "none" && at > strings.Index(text, "Week 1") {
				t.Errorf("%s: %q at %d", name, want, at)
			}
		}
	}
}

// The page says after each part of a session whether it goes on, stays or ends,
// as the record does.
func TestSessionsSayWhenTheyEnd(t *testing.T) {
	r := planRecord()
	s := &r.Plan.Sessions[0]
	s.Blocks = []report.Block{{What: "warm_up", Throws: 15, Effort: 50, Exit: "You are warm. Otherwise the session ends here."},
		{What: "isolation", Drill: r.Plan.Drills[0].ID, Throws: 10, Exit: "the test of the drill"},
		{What: "ladder", Throw: "flat_no_lift", Title: "flat throw", Throws: 3, Effort: 95, Exit: "You have it in 2 of 3. If not, stay here for today."}}
	page, err := HTML(r, Options{Words: houseWords(t)})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"80": Plan(r, Options{Words: houseWords(t)}), "60": Plan(r, Options{Width: 60, Words: houseWords(t)}), "html": string(page)} {
		for _, want := range []string{"Otherwise the session ends here.", "You have it in 2 of 3. If not, stay here for today."} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: nothing says %q", name, want)
			}
		}
		if strings.Contains(text, "the test of the drill") {
			t.Errorf("%s: the drill's test stands twice", name)
		}
	}
}

func TestStopRulesStandFirst(t *testing.T) {
	text := Plan(planRecord(), Options{Words: houseWords(t)})
	stop, other := strings.Index(text, "## When to stop"), strings.Index(text, "## What")
	if stop < 0 || other < stop {
		t.Errorf("stop rules at %d, the next heading at %d", stop, other)
	}
}

func TestChancesAreRoundForPeople(t *testing.T) {
	decimals := regexp.MustCompile(`\b0\.\d|\d\.\d ?%`)
	for face, write := range faces {
		text := strings.ReplaceAll(write(planRecord(), Options{Words: houseWords(t)}), "0.6", "") // the mound's gain in mph
		if found := decimals.FindString(text); found != "" {
			t.Errorf("%s tells a chance as %q", face, found)
		}
	}
}

func TestNoPlaceholderIsLeft(t *testing.T) {
	for name, r := range samples() {
		for face, write := range faces {
			if text := write(r, Options{Words: houseWords(t)}); strings.ContainsAny(text, "{}") {
				t.Errorf("%s, %s: a placeholder is left in\n%s", name, face, text)
			}
		}
	}
}

// What the absence of a sign says is no reason in the words of its presence.
func TestReasonsSayWhatWasSeen(t *testing.T) {
	yes, no := true, false
	for _, c := range []struct {
		g    report.Reason
		want string
	}{
		{report.Reason{Title: "shift late", Why: "it waits", Says: "for", Holds: &yes}, "Shift late. It waits."},
		{report.Reason{Title: "shift late", Why: "it waits", Says: "against", Holds: &no}, "Looked for, and not there: shift late."},
		{report.Reason{Title: "large gap", Says: "against", Holds: &no, Is: "11.5 mph", Asks: "at least 15 mph"}, "Looked for, and not there: large gap (11.5 mph, where it takes at least 15 mph)."},
		{report.Reason{Title: "shift late", Why: "it waits", Says: "against"}, "Does not speak for it: shift late."},
		{report.Reason{Rule: "shift_late", Why: "it waits", Says: "for"}, "Shift late. It waits."},
	} {
		if got := newSpeaker(&report.Report{}, Options{Words: houseWords(t)}).reason(c.g); got != c.want {
			t.Errorf("%+v is told as %q, want %q", c.g, got, c.want)
		}
	}
}
