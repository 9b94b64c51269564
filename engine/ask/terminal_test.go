package ask

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
)

// builds is the folder of the built program.
var builds string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "rungwise-ask-")
	if err != nil {
		panic(err)
	}
	builds = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// program builds the real program once and returns its path.
var program = sync.OnceValues(func() (string, error) {
	path := filepath.Join(builds, "rungwise")
	build := exec.Command("go", "build", "-o", path, "rungwise/cmd/rungwise")
	build.Dir = here
	if out, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return path, nil
})

// window is the program in a terminal of its own.
type window struct {
	t    *testing.T
	cmd  *exec.Cmd
	tty  *os.File
	term *vt.SafeEmulator
	over chan error
}

func inWindow(t *testing.T, w, h int, args ...string) *window {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, append([]string{"ask", "--on", "2026-11-10"}, args...)...)
	cmd.Env = append(os.Environ(), "TERM=xterm-256color")
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)})
	if err != nil {
		t.Skip("no terminal to be had: ", err)
	}
	v := &window{t: t, cmd: cmd, tty: tty, term: vt.NewSafeEmulator(w, h), over: make(chan error, 1)}
	go io.Copy(v.term, tty) // what it draws
	go io.Copy(tty, v.term) // what the terminal answers
	go func() { v.over <- cmd.Wait() }()
	t.Cleanup(func() { cmd.Process.Kill(); tty.Close() })
	return v
}

// sees waits until the screen shows words.
func (v *window) sees(words string) {
	v.t.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if strings.Contains(ansi.Strip(v.term.Render()), words) {
			return
		}
	}
	v.t.Fatalf("never shows %q:\n%s", words, ansi.Strip(v.term.Render()))
}

func (v *window) press(keys string) {
	v.t.Helper()
	if _, err := io.WriteString(v.tty, keys); err != nil {
		v.t.Fatal(err)
	}
}

// answers presses a key and then Enter, as a safety question wants it, each at
// the pace of somebody who reads.
func (v *window) answers(key, chosen string) {
	v.t.Helper()
	chosen = "Enter saves: " + chosen
	for n := 0; n < 40 && !strings.Contains(ansi.Strip(v.term.Render()), chosen); n++ { // a busy machine takes its time
		time.Sleep(settle)
		v.press(key)
		time.Sleep(3 * burst)
	}
	v.sees(chosen)
	time.Sleep(2 * burst)
	v.press("\r")
}

func (v *window) ends(status int) {
	v.t.Helper()
	select {
	case <-v.over:
		if got := v.cmd.ProcessState.ExitCode(); got != status {
			v.t.Errorf("ended with %d, want %d", got, status)
		}
	case <-time.After(20 * time.Second):
		v.t.Fatalf("does not end:\n%s", ansi.Strip(v.term.Render()))
	}
}

// A visit in a real terminal: answers, a way back, another size, and
// Ctrl-C, which keeps everything; then the next visit goes on.
func TestInATerminal(t *testing.T) {
	f := fresh(t, empty, Telling)
	v := inWindow(t, 80, 24, f.Path())
	v.sees("Is there any pain")
	v.answers("1", "nothing")
	v.sees("saved: pain: nothing")
	time.Sleep(settle)
	v.press("b")
	v.sees("> 1* nothing")
	time.Sleep(settle)
	v.press("\r")
	v.sees("at night")
	v.answers("2", "no")
	v.sees("tingling")
	pty.Setsize(v.tty, &pty.Winsize{Rows: 30, Cols: 120})
	v.term.Resize(120, 30)
	v.sees("│")
	v.answers("2", "no")
	v.sees("been cold, blue")
	v.press("\x03")
	v.ends(1)
	c := onDisk(t, f.Path())
	if got, _ := c.Answer("screen.numbness"); got != "no" || len(c.Answers) != 3 {
		t.Errorf("on disk are %+v", c.Answers)
	}
	v = inWindow(t, 80, 24, f.Path())
	v.sees("been cold, blue")
	time.Sleep(settle)
	v.press("q")
	v.ends(1)
}

// ran runs the program over pipes.
func ran(t *testing.T, in string, args ...string) (out, errs string, status int) {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, append([]string{"ask", "--on", "2026-11-10"}, args...)...)
	var o, e bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(in), &o, &e
	cmd.Run()
	return o.String(), e.String(), cmd.ProcessState.ExitCode()
}

func TestStatuses(t *testing.T) {
	for _, c := range []struct {
		name, in, says string
		args           []string
		status         int
	}{
		{"left open", "none\nno\n", "left unfinished: 2 answers saved", nil, 1},
		{"referred", "pain\n", "1 answer saved", nil, 1},
		{"left over", "pain\n1\n1\n", "2 answers were left over", nil, 1},
		{"wrong", "none\nperhaps\n", "line 2:", nil, 1},
		{"bad order", "", "--order is telling or video", []string{"--order", "up"}, 2},
		{"sheet", "", "", []string{"--sheet"}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := fresh(t, empty, Telling)
			out, errs, status := ran(t, c.in, append([]string{f.Path()}, c.args...)...)
			if status != c.status || !strings.Contains(errs, c.says) || strings.Contains(out+errs, "\x1b") {
				t.Errorf("status %d, %q", status, errs)
			}
		})
	}
	t.Chdir(t.TempDir())
	if _, errs, status := ran(t, "", "nowhere.yaml"); status != 3 || !strings.Contains(errs, "there is no such file") {
		t.Errorf("status %d, %q", status, errs)
	}
	if _, errs, status := ran(t, "", "-"); status != 2 {
		t.Errorf("status %d, %q", status, errs)
	}
}

// Killed at any point, the file reads and holds every answer that was said to
// be saved. Each killed visit is followed by one that goes on.
func TestKilledAtAnyPoint(t *testing.T) {
	points := 12
	if *study {
		points = 200
	}
	var ids, lines []string
	for _, s := range wholeRun(t, Video).steps {
		if s.q.ID != "" && s.text != "" && s.text != "done" && s.q.ID != "video.throw" {
			ids, lines = append(ids, s.q.ID), append(lines, s.q.ID+": "+s.text)
		}
	}
	rng := rand.New(rand.NewPCG(6, 2026))
	f := fresh(t, empty, Video)
	saved := map[string]string{}
	for at, n := 0, 0; n < points; n++ {
		if at >= len(lines) {
			at, saved, f = 0, map[string]string{}, fresh(t, empty, Video)
		}
		acks := killed(t, f.Path(), lines[at:], rng.IntN(8), time.Duration(rng.IntN(6000))*time.Microsecond)
		for i, words := range acks {
			saved[ids[at+i]] = words
		}
		at += len(acks)
		holds(t, f.Path(), saved)
		if t.Failed() {
			return
		}
	}
}

// killed runs the program over lines and kills it a moment after so many
// answers were said to be saved. It returns what was said, in order.
func killed(t *testing.T, path string, lines []string, after int, moment time.Duration) []string {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(bin, "ask", path, "--plain", "--order", "video", "--on", "2026-11-10")
	cmd.Stdin = strings.NewReader(strings.Join(lines, "\n") + "\n")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var acks []string
	for s := bufio.NewScanner(out); s.Scan(); {
		if _, words, ok := strings.Cut(s.Text(), "saved: "); ok && strings.HasPrefix(s.Text(), "saved: ") {
			acks = append(acks, words)
		}
		if len(acks) == after || after == 0 {
			time.AfterFunc(moment, func() { cmd.Process.Kill() })
			after = -1
		}
	}
	cmd.Wait()
	return acks
}

// holds checks that a file reads and that each acknowledged answer stands.
func holds(t *testing.T, path string, saved map[string]string) {
	t.Helper()
	f := &Flow{base: opened(), vocab: vocabulary(Options{Base: opened(), Today: today})}
	c := onDisk(t, path)
	if err := f.take(c.File, c); err != nil {
		t.Fatal(err)
	}
	for id, words := range saved {
		it, ok := f.item(id)
		if !ok {
			t.Errorf("%s is not asked any more", id)
			continue
		}
		stood, _ := it.stands(c)
		_, said, _ := strings.Cut(words, ": ")
		if id == "ladder.rungs" {
			said = rungSaid(said)
		}
		if !strings.Contains(stood, said) {
			t.Errorf("%s was said to be saved as %q and is %q", id, said, stood)
		}
	}
}

// rungSaid is an acknowledged rung as it stands in the list of rungs.
func rungSaid(said string) string {
	throw, speeds, _ := strings.Cut(strings.TrimSuffix(said, " mph"), ": ")
	out := throw + ":"
	for _, s := range strings.Fields(speeds) {
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		out += " " + s
	}
	return out
}
