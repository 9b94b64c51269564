package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"rungwise/engine"
	"rungwise/testdata/cases"
)

// atTerminal runs the program in this process as somebody types at it: each answer
// is typed once its question is there and could have been read.
func atTerminal(t *testing.T, answers [][2]string, args ...string) (status int, said string) {
	t.Helper()
	master, tty, err := pty.Open()
	if err != nil {
		t.Skip("no terminal to be had: ", err)
	}
	defer master.Close()
	all := make(chan string)
	go func() {
		var out strings.Builder
		part := make([]byte, 4096)
		for seen := 0; ; {
			n, err := master.Read(part)
			out.Write(part[:n])
			if len(answers) > 0 && strings.Contains(out.String()[seen:], answers[0][0]) {
				seen = out.Len()
				time.Sleep(300 * time.Millisecond)
				master.WriteString(answers[0][1] + "\n")
				answers = answers[1:]
			}
			if err != nil {
				all <- out.String()
				return
			}
		}
	}()
	status = run(world{trade: engine.Shipped(), args: args, in: tty, out: tty, err: tty, env: func(string) string { return "" },
		now: func() time.Time { return time.Date(2026, 11, 12, 9, 0, 0, 0, time.UTC) }})
	master.WriteString("\n") // whoever still reads comes to an end
	time.Sleep(50 * time.Millisecond)
	tty.Close()
	select {
	case said = <-all:
	case <-time.After(5 * time.Second):
		t.Fatal("the terminal does not end")
	}
	return status, said
}

// A wrong flag, and a wrong answer, is told at once at a terminal and asked again;
// nothing else that was typed is lost.
func TestWhatIsWrongIsAskedAgain(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "sm-50.yaml")
	code, said := atTerminal(t, [][2]string{{"Throws: right or left", "rigth"}, {"Throws: right or left", "right"}, {"Level:", ""}, {"Drill at which", ""}},
		"new", path, "--code", "SM-50", "--age", "17", "--throws", "rihgt")
	text, _ := os.ReadFile(path)
	if code != done || strings.Count(said, "did you mean `right`") != 2 || !strings.Contains(string(text), "code: SM-50, age: 17, throws: right") {
		t.Errorf("status %d, %s\n%s", code, said, text)
	}

	data, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(dir, "sm-04.yaml")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	code, said = atTerminal(t, [][2]string{{"--rung:", "flat_lift"}},
		"log", path, "--rung", "flat_lfit", "--speeds", "86 86.5 87", "--sore", "none")
	log, _ := os.ReadFile(filepath.Join(dir, "sm-04.log.jsonl"))
	if code != done || !strings.Contains(said, "did you mean flat_lift") || !strings.Contains(string(log), `"rung":"flat_lift"`) {
		t.Errorf("status %d, %s\n%s", code, said, log)
	}
}

// A complaint beside a wrong flag is no question of the flag: it is logged at once.
func TestAComplaintWaitsForNoFlag(t *testing.T) {
	a := athleteOf(t, "sm-04.yaml")
	code, said := atTerminal(t, nil, "log", a.path, "--pain", "--rung", "flat_lfit")
	if code == done || !strings.Contains(said, "is logged by itself, as entry 1") || strings.Contains(said, "--rung:") {
		t.Errorf("status %d, %s", code, said)
	}
}
