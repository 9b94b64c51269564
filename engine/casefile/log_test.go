package casefile

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"rungwise/engine/source"
	"rungwise/engine/unit"
)

func at(text string) time.Time { return dayOf(text) }

func fine() *Health {
	return &Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: "none"}
}

func speeds(v ...float64) []*float64 {
	var out []*float64
	for _, x := range v {
		out = append(out, &x)
	}
	return out
}

func readLog(t *testing.T, path, on string) (*Log, string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	l, ds := ParseLog(source.New("a.log.jsonl", b), Vocabulary{Today: at(on), Throws: []string{"running_throw", "flat_lift"}})
	var out strings.Builder
	ds.Write(&out)
	return l, out.String()
}

func TestLogReadsWhatWasWritten(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	in := Entry{Entered: "2026-11-12", On: "2026-11-11", What: LogSession, Health: fine(), Rung: "flat_lift",
		Speeds: append(speeds(131, 132.5), nil), Unit: unit.KMH, Marks: []string{"yes", "partly", "could_not_see"},
		Keep: speeds(148, 149), Effort: 95, Throws: 60, High: 25, Note: "windy"}
	first, err := AppendEntry(path, in)
	if err != nil {
		t.Fatal(err)
	}
	second, err := AppendEntry(path, Entry{Entered: "2026-11-12", On: "2026-11-10", What: LogOther, Kind: "game", Pitches: 45, Innings: 3})
	if err != nil {
		t.Fatal(err)
	}
	if first.ID != 1 || second.ID != 2 {
		t.Errorf("numbers are %d and %d", first.ID, second.ID)
	}
	l, said := readLog(t, path, "2026-11-12")
	if said != "" || len(l.Entries) != 2 {
		t.Fatalf("%d entries: %s", len(l.Entries), said)
	}
	if l.Entries[0].Kind != "game" {
		t.Error("entries are not in the order of their days")
	}
	e := l.Entries[1]
	if v := e.MPH(e.Speeds); len(v) != 2 || v[0] < 81.3 || v[0] > 81.5 {
		t.Errorf("speeds are not in miles an hour, or the missed throw counts: %v", v)
	}
	if v := e.Values(); len(v) != 2 || v[1] != Partly || e.AtRung() != 3 {
		t.Errorf("marks are %v at %d throws", v, e.AtRung())
	}
}

// Each line is refused with words that name what is wrong, and the line after it
// still counts.
func TestLogReportsBadLinesAndGoesOn(t *testing.T) {
	const good = `{"rungwise":"log/1","id":2,"entered":"2026-11-12","on":"2026-11-11","what":"phase","phase":"mound"}`
	for _, c := range []struct{ line, says string }{
		{`{"rungwise":"log/1","id":1,`, "cut short"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"phase","phse":"mound"}`, "`phse` is no part"},
		{`{"rungwise":"log/1","id":"1"}`, "`id` holds something"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"phase"} {}`, "more than one entry"},
		{`{"rungwise":"log/2","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"phase"}`, "reads `log/1`"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-13-11","what":"phase"}`, "`on` is no day"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-10","on":"2026-11-11","what":"phase"}`, "lies after 2026-11-10"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"dance"}`, "no kind of entry"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","speeds":[940]}`, "nobody throws 940 mph"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","speeds":[90],"marks":["yes","no"]}`, "1 speeds and 2 marks"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","throws":-4}`, "a count is never -4"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","throws":4,"high_effort":5}`, "more high-effort"},
		{`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","health":{"pain":"maybe"}}`, "yes or no"},
		{"\x00\x01", "cut short"},
	} {
		l, ds := ParseLog(source.New("a.log.jsonl", []byte(c.line+"\n"+good+"\n")), Vocabulary{Today: at("2026-11-12")})
		if len(l.Entries) != 1 || len(l.Bad) != 1 || l.Bad[0] != 1 {
			t.Errorf("%s: %d entries, bad lines %v", c.line, len(l.Entries), l.Bad)
		}
		if len(ds) != 1 || ds[0].Line != 1 || !strings.Contains(ds[0].Headline, c.says) || ds.Errors() != 0 {
			t.Errorf("%s: got %v", c.line, ds)
		}
		for _, word := range []string{"json", "EOF", "token", "nil", "Go "} {
			if len(ds) > 0 && strings.Contains(ds[0].Headline, word) {
				t.Errorf("%s: a word of the program in %q", c.line, ds[0].Headline)
			}
		}
	}
}

func TestCorrectionsStandInTheirPlace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	write := func(e Entry) {
		t.Helper()
		if _, err := AppendEntry(path, e); err != nil {
			t.Fatal(err)
		}
	}
	write(Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogSession, Health: &Health{Pain: "yes"}, Throws: 10})
	write(Entry{Entered: "2026-11-11", On: "2026-11-11", What: LogSession, Health: fine(), Throws: 20})
	write(Entry{Entered: "2026-11-12", On: "2026-11-10", What: LogSession, Health: fine(), Throws: 30, Corrects: 1})
	write(Entry{Entered: "2026-11-13", On: "2026-11-11", What: LogVoid, Corrects: 2})
	write(Entry{Entered: "2026-11-14", On: "2026-11-10", What: LogSession, Health: fine(), Throws: 40, Corrects: 1})
	for _, c := range []struct {
		on     string
		throws []int
		later  int
	}{
		{"2026-11-11", []int{10, 20}, 3},
		{"2026-11-12", []int{30, 20}, 2},
		{"2026-11-13", []int{30}, 1},
		{"2026-11-14", []int{40}, 0},
	} {
		l, said := readLog(t, path, c.on)
		var got []int
		for _, e := range l.Entries {
			got = append(got, e.Throws)
		}
		if fmt.Sprint(got) != fmt.Sprint(c.throws) || l.Later != c.later || said != "" {
			t.Errorf("on %s: throws %v, %d later: %s", c.on, got, l.Later, said)
		}
		if len(l.Withdrawn) != 3 || l.Withdrawn[0].Health.Complaint() != "pain" {
			t.Errorf("on %s: what was taken back is not shown: %v", c.on, l.Withdrawn)
		}
	}
}

func TestAppendEntryRefusesAndLeavesTheFileAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	if _, err := AppendEntry(path, Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogSession, Speeds: speeds(940)}); !errors.Is(err, ErrEntry) {
		t.Fatalf("got %v", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a refused entry made a file")
	}
}

func TestManyLoggersGetTheirOwnNumbers(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 10 {
				if _, err := AppendEntry(path, Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogPhase, Phase: "mound"}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	l, said := readLog(t, path, "2026-11-10")
	if len(l.Entries) != 40 || said != "" {
		t.Errorf("%d entries: %s", len(l.Entries), said)
	}
}

// The writer that is killed: it says each number once the entry is on disk.
func TestMain(m *testing.M) {
	if path := os.Getenv("RUNGWISE_TEST_WRITER"); path != "" {
		for {
			e, err := AppendEntry(path, Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogSession, Health: fine(), Throws: 10, Note: strings.Repeat("x", 3000)})
			if err != nil {
				os.Exit(1)
			}
			fmt.Println(e.ID)
		}
	}
	os.Exit(m.Run())
}

// A process that is killed while it writes loses nothing that it said it wrote,
// and spoils no other line.
func TestKilledWriterLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	for round := range 10 {
		said := killedWriter(t, path, time.Duration(3+7*round)*time.Millisecond)
		l, _ := readLog(t, path, "2026-11-10")
		have := map[int]bool{}
		for _, e := range l.Entries {
			have[e.ID] = true
		}
		for _, id := range said {
			if !have[id] {
				t.Fatalf("round %d: entry %d was said to be on disk and is gone", round, id)
			}
		}
	}
	if l, _ := readLog(t, path, "2026-11-10"); len(l.Entries) == 0 {
		t.Error("nothing was ever written: the test shows nothing")
	}
	if _, err := AppendEntry(path, Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogPhase, Phase: "mound"}); err != nil {
		t.Errorf("the log cannot be written any more: %v", err)
	}
}

// killedWriter returns the numbers that a writer said before it was killed.
func killedWriter(t *testing.T, path string, after time.Duration) []int {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), "RUNGWISE_TEST_WRITER="+path)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var said []int
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if len(said) == 0 { // it is under way: how long a start takes says nothing
			time.AfterFunc(after, func() { c.Process.Kill() })
		}
		if id, err := strconv.Atoi(lines.Text()); err == nil {
			said = append(said, id)
		}
	}
	c.Wait()
	return said
}

func TestTornLastLineIsEndedFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	if err := os.WriteFile(path, []byte(`{"rungwise":"log/1","id":1,"ent`), 0o600); err != nil {
		t.Fatal(err)
	}
	e, err := AppendEntry(path, Entry{Entered: "2026-11-10", On: "2026-11-10", What: LogPhase, Phase: "mound"})
	if err != nil || e.ID != 2 {
		t.Fatalf("number %d, %v", e.ID, err)
	}
	if l, _ := readLog(t, path, "2026-11-10"); len(l.Entries) != 1 || len(l.Bad) != 1 {
		t.Errorf("%d entries, bad %v", len(l.Entries), l.Bad)
	}
}

func FuzzParseLog(f *testing.F) {
	f.Add(`{"rungwise":"log/1","id":1,"entered":"2026-11-12","on":"2026-11-11","what":"session","speeds":[90,null],"marks":["yes","no"]}` + "\n")
	f.Add(`{"rungwise":"log/1","id":2,"entered":"2026-11-12","on":"2026-11-11","what":"void","corrects":1}`)
	f.Add("\n\n{}\n[]\nnull\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, ds := ParseLog(source.New("a.log.jsonl", []byte(text)), Vocabulary{Today: at("2026-11-12")})
		if len(l.Bad) > 0 && len(ds) == 0 {
			t.Fatal("a line was left out without a word")
		}
		for _, e := range l.Entries {
			_, _ = e.Day(), e.MPH(e.Speeds)
		}
	})
}
