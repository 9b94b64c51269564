package ask

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	uv "github.com/charmbracelet/ultraviolet"
)

// Replies of a terminal about its colour, its cursor, its modes and itself.
// They hold the digits 1, 2 and 3, which are answers to safety questions.
const (
	colour = "\x1b]11;rgb:1e1e/2222/3333\x1b\\"
	cursor = "\x1b[12;1R"
	modes  = "\x1b[?2026;2$y\x1b[?2027;1$y"
	self   = "\x1b[?61;1;2c\x1b[?1u"
)

// No command asks the terminal anything unless it draws on the whole of it, and
// each ends on a terminal that never answers.
func TestNoCommandWaitsForTheTerminal(t *testing.T) {
	t.Parallel()
	path := written(t, string(worked(t, "sm-04.yaml").File.Bytes))
	query := regexp.MustCompile(`\x1b\][0-9]+;\?|\x1b\[[?>=]?[0-9;]*(c|n|\$p)|\x1b\[\?u|\x1bP\+q`)
	for _, args := range [][]string{{"--help"}, {"triage", path}, {"plan", path}, {"ladder", path}, {"why", path, "weight_shift"},
		{"rules", "list"}, {"roster", filepath.Dir(path)}, {"ask", path, "--sheet"}, {"log", path, "--list"}, {"demo", "--help"}} {
		t.Run(args[0], func(t *testing.T) {
			t.Parallel()
			v := inWindow(t, 80, 24, true, args...)
			select {
			case <-v.over:
			case <-time.After(20 * time.Second):
				t.Fatal("does not end")
			}
			if query.MatchString(v.text()) {
				t.Errorf("asks the terminal: %q", v.text())
			}
		})
	}
}

// What a terminal or a paste sends never answers a safety question, however late
// or torn it comes; and the keys of somebody who reads still do.
func TestNoiseAnswersNothing(t *testing.T) {
	t.Parallel()
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
		{"late", rest + settle, 40 * time.Millisecond, []string{cursor, colour}},
	}
	for i, n := range all {
		if !*study && i%2 == 0 && n.wait < time.Second {
			continue // every other kind by default, all with -study
		}
		t.Run(n.name, func(t *testing.T) {
			t.Parallel()
			path := written(t, empty)
			v := inWindow(t, 80, 24, true, "ask", path)
			v.sees("Is there any pain")
			time.Sleep(n.wait)
			v.send(n.pause, n.sends...)
			v.chooses("2", "dull muscle soreness")
			if after, err := os.ReadFile(path); err != nil || string(after) != empty {
				t.Fatalf("the file became\n%s%v", after, err)
			}
			v.answers(path, "1", "nothing", "pain: none")
			v.send(0, "\x03")
			v.ends(1)
			if got, _ := onDisk(t, path).Answer("screen.pain"); got != "none" {
				t.Errorf("a person's answer became %q", got)
			}
		})
	}
}

// What was typed before the question was there is thrown away.
func TestTypedAheadAnswersNoSafetyQuestion(t *testing.T) {
	t.Parallel()
	path := written(t, empty)
	v := inWindow(t, 80, 24, true, "ask", path)
	v.send(0, "1\r2\r2\r")
	v.sees("Is there any pain")
	v.chooses("2", "dull muscle soreness")
	if c := onDisk(t, path); len(c.Answers) > 0 {
		t.Fatalf("saved is %+v", c.Answers)
	}
	v.answers(path, "1", "nothing", "pain: none")
	v.send(0, "\x03")
	v.ends(1)
}

// hurried sends keys in one go.
func hurried(m *screen, keys ...string) { send(m, func() {}, keys...) }

// A safety answer takes its key and then Enter, neither of them in a burst.
func TestASafetyAnswerTakesTwoKeys(t *testing.T) {
	t.Parallel()
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
	t.Parallel()
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
