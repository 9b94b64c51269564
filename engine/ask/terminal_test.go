package ask

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"

	"rungwise/engine/observe"

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
	flag.Parse()
	if err := flag.Set("test.parallel", "8"); err != nil { // most of them wait for a terminal or a disk
		panic(err)
	}
	debug.SetGCPercent(400) // they hold little and throw away much
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
	over chan error // everything it wrote has been read

	mu  sync.Mutex
	out bytes.Buffer
}

// inWindow starts a command; a silent terminal never answers by itself.
func inWindow(t *testing.T, w, h int, silent bool, args ...string) *window {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	v := &window{t: t, cmd: exec.Command(path, append(args, "--on=2026-11-10")...), term: vt.NewSafeEmulator(w, h), over: make(chan error, 1)}
	v.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "XDG_CACHE_HOME="+t.TempDir())
	v.tty, err = pty.StartWithSize(v.cmd, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)})
	if err != nil {
		t.Skip("no terminal to be had: ", err)
	}
	read := make(chan struct{})
	go func() { io.Copy(v, v.tty); close(read) }()
	replies := io.Writer(v.tty)
	if silent {
		replies = io.Discard
	}
	go io.Copy(replies, v.term)
	go func() { err := v.cmd.Wait(); <-read; v.over <- err }()
	t.Cleanup(func() { v.cmd.Process.Kill(); v.tty.Close() })
	return v
}

func (v *window) Write(p []byte) (int, error) {
	v.mu.Lock()
	v.out.Write(p)
	v.mu.Unlock()
	return v.term.Write(p)
}

// text is all that was written.
func (v *window) text() string {
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.out.String()
}

// screen is what somebody sees now.
func (v *window) screen() string { return ansi.Strip(v.term.Render()) }

// until does something, again and again with a pause that a person needs, until
// it is so.
func (v *window) until(what string, is func() bool, do func()) {
	v.t.Helper()
	for end := time.Now().Add(20 * time.Second); ; {
		do()
		for pause := time.Now().Add(settle); time.Now().Before(pause); time.Sleep(time.Millisecond) {
			if is() {
				return
			}
		}
		if time.Now().After(end) {
			v.t.Fatalf("never %s:\n%s", what, v.screen())
		}
	}
}

// sees waits until the screen shows words.
func (v *window) sees(words string) {
	v.t.Helper()
	v.until("shows "+words, func() bool { return strings.Contains(v.screen(), words) }, func() {})
}

// send writes bytes as they would arrive, with a pause after each piece.
func (v *window) send(pause time.Duration, pieces ...string) {
	v.t.Helper()
	for _, p := range pieces {
		if _, err := io.WriteString(v.tty, p); err != nil {
			v.t.Fatal(err)
		}
		time.Sleep(pause)
	}
}

// chooses presses the key of an answer to a safety question until it is chosen.
// Keys are read in their order: what was sent before has been read then.
func (v *window) chooses(key, words string) {
	v.t.Helper()
	words = "Enter saves: " + words
	v.until("chosen", func() bool { return strings.Contains(v.screen(), words) }, func() { v.send(0, key) })
}

// answers chooses and then presses Enter, as a safety question wants it, until
// the file holds the answer.
func (v *window) answers(path, key, words, holds string) {
	v.t.Helper()
	v.chooses(key, words)
	v.until("saved", func() bool {
		text, err := os.ReadFile(path)
		return err == nil && strings.Contains(string(text), holds)
	}, func() { time.Sleep(2 * burst); v.send(0, "\r") })
}

func (v *window) ends(status int) {
	v.t.Helper()
	select {
	case <-v.over:
		if got := v.cmd.ProcessState.ExitCode(); got != status {
			v.t.Errorf("ended with %d, want %d", got, status)
		}
	case <-time.After(20 * time.Second):
		v.t.Fatalf("does not end:\n%s", v.screen())
	}
}

// A visit in a real terminal: answers, a way back, another size, and
// Ctrl-C, which keeps everything; then the next visit goes on.
func TestInATerminal(t *testing.T) {
	t.Parallel()
	path := written(t, empty)
	v := inWindow(t, 80, 24, false, "ask", path)
	v.sees("Is there any pain")
	v.answers(path, "1", "nothing", "pain: none")
	v.until("back", func() bool { return strings.Contains(v.screen(), "> 1* nothing") }, func() { v.send(0, "b") })
	v.until("on", func() bool { return strings.Contains(v.screen(), "at night") }, func() { v.send(0, "\r") })
	v.answers(path, "2", "no", "night_pain: no")
	v.sees("tingling")
	pty.Setsize(v.tty, &pty.Winsize{Rows: 30, Cols: 120})
	v.term.Resize(120, 30)
	v.sees("│")
	v.answers(path, "2", "no", "numbness: no")
	v.sees("been cold, blue")
	v.send(0, "\x03")
	v.ends(1)
	if c := onDisk(t, path); len(c.Answers) != 3 {
		t.Errorf("on disk are %+v", c.Answers)
	}
	v = inWindow(t, 80, 24, false, "ask", path)
	v.sees("been cold, blue")
	v.until("left", func() bool { return len(v.over) > 0 }, func() { v.send(0, "q") })
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
	t.Parallel()
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
	if _, errs, status := ran(t, "", filepath.Join(t.TempDir(), "nowhere.yaml")); status != 3 || !strings.Contains(errs, "there is no such file") {
		t.Errorf("status %d, %q", status, errs)
	}
	if _, errs, status := ran(t, "", "-"); status != 2 {
		t.Errorf("status %d, %q", status, errs)
	}
}

// Killed at any point, the file reads and holds every answer that was said to
// be saved. Each killed visit is followed by one that goes on.
func TestKilledAtAnyPoint(t *testing.T) {
	t.Parallel()
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
	f := &Flow{base: opened(), vocab: observe.Vocabulary(opened(), today)}
	c := onDisk(t, path)
	if err := f.take(c.File, c); err != nil {
		t.Fatal(err)
	}
	stands := map[string]string{}
	for _, it := range f.items() {
		stands[it.ID], _ = it.stands(c)
	}
	for id, words := range saved {
		stood, ok := stands[id]
		if !ok {
			t.Errorf("%s is not asked any more", id)
			continue
		}
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
