package pages

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/casefile"
	"rungwise/engine/report"
)

// planned is an invented record with one session; the values are ours.
func planned(on string, days ...string) *report.Report {
	r := &report.Report{Rungwise: report.Version, Case: "SM-04", On: on, Gate: report.Gate{ID: "go_on", Verdict: "go_on"},
		Athlete: report.Athlete{Code: "SM-04", Reference: "running_throw", RefTitle: "running throw"},
		Plan:    &report.Plan{Start: days[0], Weeks: 1, Retest: "2026-12-05"}}
	for _, d := range days {
		r.Plan.Sessions = append(r.Plan.Sessions, report.Session{Date: d, Week: 1, Kind: "drill", Throws: 40,
			Blocks: []report.Block{{What: "warm_up", Throws: 15, Effort: 50}}})
	}
	return r
}

func refused(on string) *report.Report {
	return &report.Report{Rungwise: report.Version, Case: "SM-04", On: on,
		Gate: report.Gate{ID: "refer_pain", Verdict: "refer", Says: "Throwing hurts.", Do: "Stop throwing and see a clinician.", Screen: true}}
}

func job(r *report.Report) Job { return Job{Report: r, From: From([]byte(r.On))} }

func write(t *testing.T, r *report.Report, dir string, kinds ...string) []string {
	t.Helper()
	told, err := job(r).Write(dir, kinds)
	if err != nil {
		t.Fatal(err)
	}
	return told
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// Every page of ours that is in the folder is made to say the refusal, whatever
// kinds were asked for now; no word about a throw is left in any.
func TestARefusalReplacesEveryPage(t *testing.T) {
	dir := t.TempDir()
	write(t, planned("2026-11-10", "2026-11-12"), dir, Kinds()...)
	before := names(t, dir)
	if len(before) != 6 {
		t.Fatalf("got %v", before)
	}
	write(t, refused("2026-11-11"), dir, "md")
	if after := names(t, dir); !slices.Equal(before, after) {
		t.Errorf("%v became %v", before, after)
	}
	for _, name := range before {
		text, _ := os.ReadFile(filepath.Join(dir, name))
		if m := regexp.MustCompile(`40 throws|easy throws|running throw|Warm`).Find(text); m != nil {
			t.Errorf("%s still says %q", name, m)
		}
		if filepath.Ext(name) == ".ics" {
			if !bytes.Contains(text, []byte("METHOD:CANCEL\r\n")) || bytes.Count(text, []byte("STATUS:CANCELLED")) != 2 {
				t.Errorf("the calendar cancels nothing:\n%s", text)
			}
			continue
		}
		if !bytes.Contains(text, []byte("see a clinician")) {
			t.Errorf("%s does not say whom to see", name)
		}
	}
	if got := names(t, t.TempDir()); len(got) != 0 {
		t.Fatal(got)
	}
	empty := t.TempDir()
	write(t, refused("2026-11-11"), empty, Kinds()...)
	if got := names(t, empty); slices.Contains(got, "sm-04-plan.ics") || !slices.Contains(got, "sm-04-plan.md") {
		t.Errorf("with nothing before it wrote %v", got)
	}
}

// Our own older page is replaced without asking; one that was changed by hand is
// kept under another name and told; one that is not ours stays as it is, and
// hinders none of the others.
func TestWhoseAPageIs(t *testing.T) {
	dir := t.TempDir()
	write(t, planned("2026-11-10", "2026-11-12"), dir, Kinds()...)
	for _, name := range names(t, dir) {
		text, _ := os.ReadFile(filepath.Join(dir, name))
		if ours, intact := marked(name, text); !ours || !intact {
			t.Errorf("%s: ours %v, intact %v", name, ours, intact)
		}
	}
	md, html := filepath.Join(dir, "sm-04-plan.md"), filepath.Join(dir, "sm-04-plan.html")
	old, _ := os.ReadFile(md)
	edited := bytes.Replace(old, []byte("SM-04"), []byte("Mine"), 1)
	for range 2 { // the second one finds the first one's name taken
		if err := os.WriteFile(md, edited, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(html, []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		told, err := job(refused("2026-11-11")).Write(dir, Kinds())
		if err == nil || !strings.Contains(err.Error(), "is there already") || strings.Count(strings.Join(told, "\n"), "changed by hand") != 1 {
			t.Errorf("told %v, %v", told, err)
		}
	}
	for _, name := range []string{"sm-04-plan.md~", "sm-04-plan.md~2"} {
		if text, _ := os.ReadFile(filepath.Join(dir, name)); !bytes.Equal(text, edited) {
			t.Errorf("%s is lost", name)
		}
	}
	if text, _ := os.ReadFile(html); string(text) != "mine" {
		t.Error("a page that is not ours was touched")
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "sm-04-plan.json")); !bytes.Contains(text, []byte("refer_pain")) {
		t.Error("a page that is not ours kept the others from being written")
	}
}

// What is no file, or is one only by name, is there and not ours.
func TestOddThingsInTheFolder(t *testing.T) {
	dir := t.TempDir()
	os.Mkdir(filepath.Join(dir, "sm-04-plan.md"), 0o700)
	os.Symlink("/etc/hostname", filepath.Join(dir, "sm-04-plan.html"))
	_, err := job(refused("2026-11-11")).Write(dir, Kinds())
	if err == nil || strings.Count(err.Error(), "is there already") != 2 {
		t.Errorf("got %v", err)
	}
}

// A stop reaches every folder that pages of the case were written to, and no
// other case's.
func TestWithdrawReachesEveryFolder(t *testing.T) {
	home := t.TempDir()
	path := filepath.Join(home, "sm-04.yaml")
	inside, outside, gone := filepath.Join(home, "plans"), t.TempDir(), filepath.Join(home, "gone")
	for _, dir := range []string{inside, outside, inside, gone} {
		if err := Remember(path, dir); err != nil {
			t.Fatal(err)
		}
	}
	text, _ := os.ReadFile(List(path))
	if !strings.Contains(string(text), `"plans"`) || strings.Count(string(text), home) != 0 || filepath.Base(List(path)) != "sm-04.plans.json" {
		t.Errorf("%s holds %s", List(path), text)
	}
	write(t, planned("2026-11-10", "2026-11-12"), inside, "md", "ics")
	write(t, planned("2026-11-10", "2026-11-12"), outside, "html")
	other := planned("2026-11-10", "2026-11-12")
	other.Case = "SM-05"
	write(t, other, inside, "md")
	told, err := job(refused("2026-11-11")).Withdraw(path)
	if err != nil || len(told) != 5 {
		t.Fatalf("told %v, %v", told, err)
	}
	for _, page := range []string{filepath.Join(inside, "sm-04-plan.md"), filepath.Join(outside, "sm-04-plan.html")} {
		if text, _ := os.ReadFile(page); !bytes.Contains(text, []byte("see a clinician")) {
			t.Errorf("%s was left", page)
		}
	}
	if text, _ := os.ReadFile(filepath.Join(inside, "sm-05-plan.md")); bytes.Contains(text, []byte("see a clinician first")) {
		t.Error("another athlete's page was withdrawn")
	}
	if _, err := os.Stat(gone); err == nil {
		t.Error("a folder that is gone came back")
	}
	if err := casefile.Put(List(path), []byte("{")); err != nil {
		t.Fatal(err)
	}
	if _, err := job(refused("2026-11-11")).Withdraw(path); err == nil || !strings.Contains(err.Error(), "cannot be read") {
		t.Errorf("a list that cannot be read is passed over: %v", err)
	}
}

// A plan after a plan after a stop counts each event's SEQUENCE up.
func TestTheCalendarGoesOn(t *testing.T) {
	dir := t.TempDir()
	for i, r := range []*report.Report{planned("2026-11-10", "2026-11-12"), refused("2026-11-11"), refused("2026-11-11"), planned("2026-11-12", "2026-11-12")} {
		write(t, r, dir, "ics")
		text, _ := os.ReadFile(filepath.Join(dir, "sm-04-plan.ics"))
		want := []string{"SEQUENCE:0", "SEQUENCE:1", "SEQUENCE:1", "SEQUENCE:2"}[i]
		if strings.Count(string(text), want) != 2 || bytes.Contains(text, []byte("CANCELLED")) != (i == 1 || i == 2) {
			t.Errorf("step %d: want %s in\n%s", i, want, text)
		}
	}
	path := filepath.Join(dir, "sm-04-plan.ics")
	if err := os.WriteFile(path, stamp(path, []byte("BEGIN:VCALENDAR\r\nBROKEN"), "0123456789abcdef"), 0o600); err != nil {
		t.Fatal(err)
	}
	write(t, planned("2026-11-12", "2026-11-12"), dir, "ics")
	if text, _ := os.ReadFile(path); !bytes.Contains(text, []byte("END:VCALENDAR")) {
		t.Errorf("an unreadable calendar of ours stays:\n%s", text)
	}
}

// Whatever the bytes, a text that was stamped is ours and intact, and any change
// of it shows.
func FuzzMark(f *testing.F) {
	f.Add("# a\n", "plan.md")
	f.Add("{\n  \"rungwise\": 1\n}", "plan.json")
	f.Add("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n", "plan.ics")
	f.Fuzz(func(t *testing.T, text, name string) {
		if ours, _ := marked(name, []byte(text)); ours {
			return
		}
		page := stamp(name, []byte(text), From(nil))
		if ours, intact := marked(name, page); !ours || !intact {
			t.Fatalf("%q: ours %v, intact %v", page, ours, intact)
		}
		if _, intact := marked(name, append(page, "x\n"...)); intact {
			t.Fatal("a changed page counts as ours")
		}
	})
}
