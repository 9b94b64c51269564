package ask

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	uv "github.com/charmbracelet/ultraviolet"
	"github.com/creack/pty"
)

// Replies of a terminal about its colour, its cursor, its modes and itself.
// They hold the digits 1, 2 and 3, which are answers to safety questions.
const (
	colour = "\x1b]11;rgb:1e1e/2222/3333\x1b\\"
	cursor = "\x1b[12;1R"
	modes  = "\x1b[?2026;2$y\x1b[?2027;1$y"
	self   = "\x1b[?61;1;2c\x1b[?1u"
)

// silent is the program on a terminal that never answers by itself.
type silent struct {
	t    *testing.T
	tty  *os.File
	cmd  *exec.Cmd
	over chan error
	mu   sync.Mutex
	out  bytes.Buffer
}

func onSilent(t *testing.T, args ...string) *silent {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	s := &silent{t: t, cmd: exec.Command(path, args...), over: make(chan error, 1)}
	s.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "XDG_CACHE_HOME="+t.TempDir())
	s.tty, err = pty.StartWithSize(s.cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Skip("no terminal to be had: ", err)
	}
	read := make(chan struct{})
	go func() { io.Copy(s, s.tty); close(read) }()
	go func() { err := s.cmd.Wait(); <-read; s.over <- err }()
	t.Cleanup(func() { s.cmd.Process.Kill(); s.tty.Close() })
	return s
}

func (s *silent) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out.Write(p)
}

func (s *silent) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out.String()
}

func (s *silent) sees(words string) {
	s.t.Helper()
	for end := time.Now().Add(20 * time.Second); !strings.Contains(s.text(), words); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			s.t.Fatalf("never shows %q:\n%q", words, s.text())
		}
	}
}

// prompts counts how often the plain face asked for a line.
func (s *silent) prompts() int {
	return strings.Count(s.text(), "save and stop):") + strings.Count(s.text(), "b to go back:")
}

// send writes bytes as they would arrive, with a pause after each piece.
func (s *silent) send(pause time.Duration, pieces ...string) {
	for _, p := range pieces {
		io.WriteString(s.tty, p)
		time.Sleep(pause)
	}
}

// answers gives the first safety question its first answer, at a person's pace,
// and again where a busy machine was not ready for it.
func (s *silent) answers() {
	s.t.Helper()
	const saved = "saved: pain: nothing"
	for n := 0; n < 5 && !strings.Contains(s.text(), saved); n++ {
		s.send(2*settle, "1", "\r")
		for wait := 0; wait < 8 && !strings.Contains(s.text(), saved); wait++ {
			time.Sleep(settle)
		}
	}
	s.sees(saved)
}

// No command asks the terminal anything unless it draws on the whole of it, and
// each starts at once on a terminal that never answers.
func TestNoCommandWaitsForTheTerminal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sm-04.yaml")
	if err := os.WriteFile(path, worked(t, "sm-04.yaml").File.Bytes, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := program(); err != nil {
		t.Fatal(err)
	}
	query := regexp.MustCompile(`\x1b\][0-9]+;\?|\x1b\[[?>=]?[0-9;]*(c|n|\$p)|\x1b\[\?u|\x1bP\+q`)
	for _, args := range [][]string{{"--help"}, {"triage", path}, {"plan", path}, {"ladder", path}, {"why", path, "weight_shift"},
		{"rules", "list"}, {"roster", filepath.Dir(path)}, {"ask", path, "--sheet"}, {"log", path, "--list"}, {"demo", "--help"}} {
		t.Run(args[0], func(t *testing.T) {
			began := time.Now()
			s := onSilent(t, append(args, "--on=2026-11-10")...)
			select {
			case <-s.over:
			case <-time.After(20 * time.Second):
				t.Fatal("does not end")
			}
			if took := time.Since(began); took > 3*time.Second { // alone on a machine it is a fraction of a second
				t.Errorf("took %v", took)
			}
			if query.MatchString(s.text()) {
				t.Errorf("asks the terminal: %q", s.text())
			}
		})
	}
}

// What a terminal or a paste sends never answers a safety question, however late
// or torn it comes; and the keys of somebody who reads still do.
func TestNoiseAnswersNothing(t *testing.T) {
	type noise struct {
		name  string
		wait  time.Duration // after the question is shown
		pause time.Duration
		sends []string
	}
	letters := func(s string) []string { return strings.Split(s, "") }
	all := []noise{
		{"never", 0, 0, nil},
		{"out of order", 0, 40 * time.Millisecond, []string{cursor, colour, self, modes}},
		{"in one go", 300 * time.Millisecond, 0, []string{colour + cursor + modes + self}},
		{"torn after the head", 300 * time.Millisecond, 120 * time.Millisecond, []string{"\x1b]11;rgb:", "1e1e/2222/3333\x1b\\", "\x1b[", "1;2R", "\x1b", "[1;3R"}},
		{"letter by letter", 300 * time.Millisecond, 70 * time.Millisecond, letters(colour + cursor)},
		{"bare rest, slowly", 300 * time.Millisecond, 400 * time.Millisecond, []string{"1", "2", "1", "1", "3"}},
		{"paste", 300 * time.Millisecond, 50 * time.Millisecond, []string{"\x1b[200~1\r2\r2\r\x1b[201~", "\x1b[200~none\n\x1b[201~"}},
		{"paste without marks", 300 * time.Millisecond, 300 * time.Millisecond, []string{"1\r2\r2\r", "1\r", "none\n"}},
		{"held Enter", 300 * time.Millisecond, 30 * time.Millisecond, letters("\r\r\r\r\r\r\r\r")},
		{"late", 6 * time.Second, 40 * time.Millisecond, []string{cursor, colour}},
	}
	if _, err := program(); err != nil {
		t.Fatal(err)
	}
	for i, n := range all {
		if !*study && i%2 == 0 && n.wait < time.Second {
			continue // every other kind by default, all with -study
		}
		t.Run(n.name, func(t *testing.T) {
			t.Parallel()
			path, before := filepath.Join(t.TempDir(), "case.yaml"), []byte(empty)
			if err := os.WriteFile(path, before, 0o600); err != nil {
				t.Fatal(err)
			}
			s := onSilent(t, "ask", "--on", "2026-11-10", path)
			s.sees("Is there any pain")
			time.Sleep(n.wait)
			s.send(n.pause, n.sends...)
			time.Sleep(rest + 2*settle)
			if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
				t.Fatalf("the file became\n%s%v", after, err)
			}
			s.answers()
			s.send(settle, "\x03")
			<-s.over
			if got, _ := onDisk(t, path).Answer("screen.pain"); got != "none" {
				t.Errorf("a person's answer became %q", got)
			}
		})
	}
}

// What was typed before the question was there is thrown away.
func TestTypedAheadAnswersNoSafetyQuestion(t *testing.T) {
	for _, plain := range []bool{false, true} {
		f := fresh(t, empty, Telling)
		args := []string{"ask", "--on", "2026-11-10", f.Path()}
		if plain {
			args = append(args, "--plain")
		}
		s := onSilent(t, args...)
		s.send(0, "1\r2\r2\r")
		s.sees("Is there any pain")
		time.Sleep(2 * settle)
		if c := onDisk(t, f.Path()); len(c.Answers) > 0 {
			t.Fatalf("plain %v: saved is %+v", plain, c.Answers)
		}
		s.answers()
		s.send(2*settle, "\x03")
		<-s.over
	}
}

// hurried sends keys in one go.
func hurried(m *screen, keys ...string) { send(m, func() {}, keys...) }

// A safety answer takes its key and then Enter, neither of them in a burst.
func TestASafetyAnswerTakesTwoKeys(t *testing.T) {
	m := shown(t, empty, Video, 80, 24)
	hurried(m, "1", "[enter]") // before the question can have been read
	if m.cursor >= 0 || m.q.ID != "screen.pain" {
		t.Fatal("a key from before the question counts")
	}
	press(m, "2")
	if m.cursor != 1 || len(onDisk(t, m.flow.Path()).Answers) > 0 {
		t.Fatal("one key answers, or chooses nothing")
	}
	hurried(m, "[enter]")
	if m.cursor >= 0 || m.q.ID != "screen.pain" || m.trouble == "" {
		t.Fatalf("a burst answers, or leaves something chosen: %q", m.trouble)
	}
	paste(m, "1\n2\n")
	press(m, "[enter]", "[enter]")
	if m.q.ID != "screen.pain" {
		t.Fatal("a paste or a bare Enter answers")
	}
	press(m, "1", "[enter]")
	if got, _ := onDisk(t, m.flow.Path()).Answer("screen.pain"); got != "none" || m.q.ID != "screen.night_pain" {
		t.Errorf("got %q, at %s: %s", got, m.q.ID, m.trouble)
	}
	hurried(m, "1")
	if m.cursor >= 0 {
		t.Error("a key from before the second question counts")
	}
}

// Elsewhere one key answers, but no key of a burst or of the rest of a reply.
func TestTheRestOfAReplyIsNoKey(t *testing.T) {
	m := shown(t, thrown(t), Video, 80, 24)
	at := m.q.ID
	for _, head := range []tea.Msg{uv.UnknownEvent("\x1b]11;rgb:1"), tea.KeyPressMsg{Code: ']', Mod: tea.ModAlt}, tea.KeyPressMsg{Code: tea.KeyEscape}} {
		pause(m)
		m.Update(head)
		m.Update(passed{betweens, m.pace.nth[betweens]})
		hurried(m, "1", "e", "1", "/", "2")
		if m.q.ID != at || m.trouble == "" {
			t.Fatalf("after %v: at %s", head, m.q.ID)
		}
	}
	pause(m)
	hurried(m, "y", "1")
	if m.q.ID != at {
		t.Error("a key of a burst answers")
	}
	press(m, "1")
	if m.q.ID == at {
		t.Errorf("a pressed key does not answer: %s", m.trouble)
	}
}
