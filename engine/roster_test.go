package engine

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/report"
)

var study = flag.Bool("study", false, "run the long studies")

func engineOn(t testing.TB, on string) *Engine {
	t.Helper()
	today, err := time.Parse(time.DateOnly, on)
	if err != nil {
		t.Fatal(err)
	}
	e, ds := Open(Options{Trade: Shipped(), Today: today})
	if e == nil {
		t.Fatal(ds.Sorted()[0])
	}
	return e
}

var speed = regexp.MustCompile(`\b\d\d\.\d\b`)

// athletes writes so many case files, made of the club's invented ones with
// speeds of their own, every other one with a log.
func athletes(t testing.TB, dir string, n int, rng *rand.Rand) {
	t.Helper()
	paths, err := filepath.Glob("../testdata/cases/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for i := range n {
		b, err := os.ReadFile(paths[i%len(paths)])
		if err != nil {
			t.Fatal(err)
		}
		text := regexp.MustCompile(`code: SM-\d+`).ReplaceAllString(string(b), fmt.Sprintf("code: SM-%05d", i))
		shift := rng.NormFloat64()
		text = speed.ReplaceAllStringFunc(text, func(s string) string {
			var v float64
			fmt.Sscan(s, &v)
			return fmt.Sprintf("%.1f", v+shift)
		})
		path := filepath.Join(dir, fmt.Sprintf("sm-%05d.yaml", i))
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if i%2 == 0 {
			writeLog(t, path, rng)
		}
	}
}

// writeLog logs a few weeks without waiting for the disk.
func writeLog(t testing.TB, path string, rng *rand.Rand) {
	t.Helper()
	var b bytes.Buffer
	day := time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)
	for id := 1; id <= 6; id++ {
		on := day.Format(time.DateOnly)
		e := casefile.Entry{Format: casefile.LogFormat, ID: id, Entered: on, On: on, What: casefile.LogSession, Rung: "flat_lift", Throws: 50,
			Health: &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: "none"}}
		for range 8 {
			v := 80 + 5*rng.Float64()
			e.Speeds, e.Marks = append(e.Speeds, &v), append(e.Marks, []string{"yes", "no"}[rng.IntN(2)])
		}
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(append(line, '\n'))
		day = day.AddDate(0, 0, 2+rng.IntN(3))
	}
	if err := os.WriteFile(casefile.LogPath(path), b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

// A folder of thousands: within 90 s cold, 5 s warm and 300 MB (goals of the
// project). The normal run reads a few and holds nothing but the result.
func TestRosterOfThousands(t *testing.T) {
	n := 24
	if *study {
		n = 5000
	}
	dir, cacheDir := t.TempDir(), t.TempDir()
	athletes(t, dir, n, rand.New(rand.NewPCG(9, 1)))
	e := engineOn(t, "2026-12-01")
	run := func(o RosterOptions) (*report.Roster, time.Duration) {
		start := time.Now()
		r, err := e.Roster(dir, o)
		if err != nil {
			t.Fatal(err)
		}
		return r, time.Since(start)
	}
	calls := 0
	cold, first := run(RosterOptions{Workers: 2, Cache: cacheDir, Program: "x", Progress: func(done, total int) {
		calls++
		if done != calls || total != n {
			t.Errorf("progress %d of %d at call %d", done, total, calls)
		}
	}})
	warm, second := run(RosterOptions{Workers: 2, Cache: cacheDir, Program: "x"})
	alone, _ := run(RosterOptions{Workers: 1})
	if len(cold.Rows)+len(cold.Unreadable) != n {
		t.Errorf("%d rows and %d unreadable of %d files", len(cold.Rows), len(cold.Unreadable), n)
	}
	a, b, c := asJSON(t, cold), asJSON(t, warm), asJSON(t, alone)
	if a != b || a != c {
		t.Error("cold, warm and alone give different rosters")
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("%d cases: cold %.1f s, warm %.2f s, %d MB from the system", n, first.Seconds(), second.Seconds(), m.Sys>>20)
	if *study && (first > 90*time.Second || second > 5*time.Second || m.Sys>>20 > 300) {
		t.Error("slower or larger than promised")
	}
}

func asJSON(t testing.TB, v any) string {
	t.Helper()
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Another day, another rule, another case or another log line is another result;
// a spoilt cache is none.
func TestRosterCacheIsOnlyAHelp(t *testing.T) {
	dir, cacheDir := t.TempDir(), t.TempDir()
	athletes(t, dir, 3, rand.New(rand.NewPCG(9, 2)))
	e := engineOn(t, "2026-12-01")
	read := func(e *Engine, program string) string {
		t.Helper()
		r, err := e.Roster(dir, RosterOptions{Cache: cacheDir, Program: program})
		if err != nil {
			t.Fatal(err)
		}
		fresh, err := e.Roster(dir, RosterOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if asJSON(t, r) != asJSON(t, fresh) {
			t.Error("the cache gives another result")
		}
		return asJSON(t, r)
	}
	first := read(e, "a")
	if read(engineOn(t, "2026-12-20"), "a") == first {
		t.Error("another day gives the same roster")
	}
	path := filepath.Join(dir, "sm-00000.yaml")
	if _, err := casefile.AppendEntry(casefile.LogPath(path), casefile.Entry{Entered: "2026-12-01", On: "2026-12-01", What: casefile.LogSlip, Health: &casefile.Health{Pain: "yes"}}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(read(e, "a"), "stop: pain") {
		t.Error("a new line of the log is not seen")
	}
	files, err := filepath.Glob(filepath.Join(cacheDir, "*", "*.jsonl"))
	if err != nil || len(files) != 1 {
		t.Fatalf("kept in %v, %v", files, err)
	}
	if info, err := os.Stat(files[0]); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("anybody may read what is kept: %v", info.Mode())
	}
	if err := os.WriteFile(files[0], []byte("{\"key\":\"x\"}\nrubbish\n\x00"), 0o600); err != nil {
		t.Fatal(err)
	}
	read(e, "a")
	if err := ForgetKept(cacheDir); err != nil {
		t.Fatal(err)
	}
	read(e, "b")
}

func TestRosterOrderAndUnreadable(t *testing.T) {
	dir := t.TempDir()
	athletes(t, dir, 8, rand.New(rand.NewPCG(9, 3)))
	for name, text := range map[string]string{"broken.yaml": "rungwise: case/1\nathlete: {code: A, age: lots}\n", "notes.yaml": "a: 1\n", "empty.yml": ""} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, hidden := range []string{"house", ".old"} {
		if err := os.Mkdir(filepath.Join(dir, hidden), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, hidden, "rules.yaml"), []byte("extends: base\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r, err := engineOn(t, "2026-12-01").Roster(dir, RosterOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Unreadable) != 3 {
		t.Errorf("unreadable: %+v", r.Unreadable)
	}
	for _, u := range r.Unreadable {
		if u.Says == "" {
			t.Errorf("%s: not said why", u.File)
		}
	}
	for i := 1; i < len(r.Rows); i++ {
		if r.Rows[i].Urgency < r.Rows[i-1].Urgency {
			t.Errorf("%s (%d) stands after %s (%d)", r.Rows[i].Case, r.Rows[i].Urgency, r.Rows[i-1].Case, r.Rows[i-1].Urgency)
		}
	}
	for _, x := range r.Rows {
		if x.Urgency <= 1 && (x.Rung != "" || x.Factor != "" || len(x.Spark) > 0 || x.Week != 0) {
			t.Errorf("%s must not throw, and its line speaks of throws: %+v", x.Case, x)
		}
	}
	all := len(r.Rows)
	FilterRoster(r, RosterFilter{Due: true, Stuck: "flat_lift"})
	for _, x := range r.Rows {
		if x.Urgency > 3 || x.Rung != "flat_lift" {
			t.Errorf("the filter keeps %+v", x)
		}
	}
	if len(r.Rows)+r.Hidden != all {
		t.Errorf("%d shown and %d hidden of %d", len(r.Rows), r.Hidden, all)
	}
	if _, err := engineOn(t, "2026-12-01").Roster(filepath.Join(dir, "nowhere"), RosterOptions{}); err == nil {
		t.Error("a folder that is not there was read")
	}
}
