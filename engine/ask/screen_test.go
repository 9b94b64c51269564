package ask

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"
	"github.com/google/go-cmp/cmp"
)

// shown makes a full screen of a case, without a terminal.
func shown(t *testing.T, text, order string, w, h int) *screen {
	t.Helper()
	m := newScreen(fresh(t, text, order), true)
	m.Init()
	m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return m
}

// press sends keys as somebody does who takes time: names of keys in brackets,
// anything else letter by letter. It reports whether the screen was left.
func press(m *screen, keys ...string) (left bool) {
	return send(m, func() { pause(m) }, keys...)
}

// pause lets every wait end.
func pause(m *screen) {
	for what, nth := range m.pace.nth {
		m.Update(passed{what, nth})
	}
}

func send(m *screen, before func(), keys ...string) (left bool) {
	named := map[string]tea.Key{"[enter]": {Code: tea.KeyEnter}, "[left]": {Code: tea.KeyLeft}, "[right]": {Code: tea.KeyRight}, "[up]": {Code: tea.KeyUp},
		"[down]": {Code: tea.KeyDown}, "[esc]": {Code: tea.KeyEscape}, "[ctrl+c]": {Code: 'c', Mod: tea.ModCtrl}, "[pgup]": {Code: tea.KeyPgUp}, "[pgdown]": {Code: tea.KeyPgDown},
		"[shift+tab]": {Code: tea.KeyTab, Mod: tea.ModShift}, "[backspace]": {Code: tea.KeyBackspace}, "[f1]": {Code: tea.KeyF1}}
	for _, k := range keys {
		hit := []tea.Key{named[k]}
		if hit[0].Code == 0 {
			hit = nil
			for _, r := range k {
				hit = append(hit, tea.Key{Code: r, Text: string(r)})
			}
		}
		for _, k := range hit {
			before()
			m.Update(tea.KeyPressMsg(k))
		}
	}
	left, m.left = m.left, false
	return left
}

func paste(m *screen, text string) { m.Update(tea.PasteMsg{Content: text}) }

func view(m *screen) string { return ansi.Strip(m.draw()) }

// thrown is SM-04 up to the video.
func thrown(t *testing.T) string {
	t.Helper()
	text, _, _ := strings.Cut(string(worked(t, "sm-04.yaml").File.Bytes), "\nseen:")
	return text + "\n"
}

// The screens that a coach meets, at three widths, line by line.
func TestScreens(t *testing.T) {
	t.Parallel()
	states := []struct {
		name string
		make func(t *testing.T, w, h int) *screen
	}{
		{"first", func(t *testing.T, w, h int) *screen { return shown(t, empty, Telling, w, h) }},
		{"number", func(t *testing.T, w, h int) *screen {
			m := shown(t, empty, Telling, w, h)
			press(m, safetyKeys()...)
			press(m, "190", "[enter]")
			return m
		}},
		{"chosen", func(t *testing.T, w, h int) *screen {
			m := shown(t, empty, Telling, w, h)
			press(m, "2")
			return m
		}},
		{"referred", func(t *testing.T, w, h int) *screen {
			m := shown(t, empty, Telling, w, h)
			press(m, "3", "[enter]")
			return m
		}},
		{"ladder", func(t *testing.T, w, h int) *screen {
			m := shown(t, safe, Telling, w, h)
			press(m, "j", "ladder", "[enter]")
			paste(m, "running_throw 91.6 92.9 93.3\nflat_lift 82.1 81.2 80.3\nflat_lyft 80\n")
			return m
		}},
		{"video", func(t *testing.T, w, h int) *screen {
			m := shown(t, thrown(t), Telling, w, h)
			press(m, "1", "1", "2", "1", "u2")
			return m
		}},
		{"saved", func(t *testing.T, w, h int) *screen {
			m := shown(t, thrown(t), Video, w, h)
			press(m, "1", "2", "2", "u", "3", "b")
			return m
		}},
		{"help", func(t *testing.T, w, h int) *screen {
			m := shown(t, thrown(t), Video, w, h)
			press(m, "1", "2", "2", "?")
			return m
		}},
		{"measure", func(t *testing.T, w, h int) *screen {
			m := shown(t, thrown(t), Video, w, h)
			press(m, "1", "j", "back_knee_bend", "[enter]", "46 deg; 47")
			return m
		}},
		{"enough", func(t *testing.T, w, h int) *screen {
			return shown(t, wholeRun(t, Telling).enough, Telling, w, h)
		}},
	}
	for _, s := range states {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			m := s.make(t, 80, 24)
			m.flow.file.Path = "sm-04.yaml" // as it is told, wherever it lies
			for _, size := range [][2]int{{60, 24}, {80, 24}, {120, 30}} {
				m.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				golden(t, fmt.Sprintf("%s_%d.txt", s.name, size[0]), fits(t, m, size[0], size[1]))
			}
		})
	}
}

// fits checks that a screen keeps to its window, and returns it.
func fits(t *testing.T, m *screen, w, h int) string {
	t.Helper()
	lines := strings.Split(view(m), "\n")
	if len(lines) != h {
		t.Errorf("%d lines on a screen of %d", len(lines), h)
	}
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
		if n := ansi.StringWidth(l); n > w {
			t.Errorf("%d columns on a screen of %d: %s", n, w, l)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(here, "testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// No size of window breaks a screen or passes its edge.
func TestEverySizeOfWindow(t *testing.T) {
	t.Parallel()
	m := shown(t, thrown(t), Telling, 80, 24)
	press(m, "1", "1")
	for w := 24; w <= 200; w += 11 {
		for h := 5; h <= 50; h += 9 {
			m.Update(tea.WindowSizeMsg{Width: w, Height: h})
			lines := strings.Split(view(m), "\n")
			if len(lines) > h {
				t.Errorf("%d lines at %dx%d", len(lines), w, h)
			}
			for _, l := range lines {
				if n := ansi.StringWidth(l); n > w {
					t.Errorf("%d columns at %dx%d: %q", n, w, h, l)
				}
			}
			if w >= 60 && h >= 14 && !strings.Contains(view(m), "x  could not see") {
				t.Errorf("an answer cannot be seen at %dx%d:\n%s", w, h, view(m))
			}
		}
	}
}

// safetyKeys answers every safety question with nothing wrong.
func safetyKeys() []string {
	return []string{"1", "[enter]", "2", "[enter]", "2", "[enter]", "2", "[enter]", "2", "[enter]", "2", "[enter]", "1", "[enter]", "1", "[enter]", "2", "[enter]", "2", "[enter]", "2", "[enter]"}
}

func TestKeysOnTheScreen(t *testing.T) {
	t.Parallel()
	m := shown(t, empty, Telling, 80, 24)
	press(m, "s")
	if m.q.ID != "screen.pain" || !strings.Contains(m.trouble, "safety questions come first") {
		t.Fatalf("at %s, %q", m.q.ID, m.trouble)
	}
	press(m, "1", "[enter]", "2", "[enter]", "2", "[enter]", "2", "[enter]")
	press(m, "[left]", "[pgup]", "b")
	if m.q.ID != "screen.night_pain" || m.q.SavedID != "no" || m.cursor != 1 {
		t.Fatalf("back leads to %s, %q, %d", m.q.ID, m.q.SavedID, m.cursor)
	}
	press(m, "[right]", "[enter]", "[pgdown]")
	press(m, safetyKeys()[8:]...)
	if m.q.ID != "athlete.age" || m.typing != answer {
		t.Fatalf("at %s", m.q.ID)
	}
	press(m, "b", "[right]", "1", "9", "[backspace]", "8", "[enter]")
	if m.q.ID != "athlete.throws" {
		t.Fatalf("at %s: %s", m.q.ID, m.trouble)
	}
	press(m, "[down]", "[down]", "[enter]")
	c := onDisk(t, m.flow.Path())
	if age, _ := c.Answer("athlete.age"); age != "18" {
		t.Errorf("age is %s", age)
	}
	if arm, _ := c.Answer("athlete.throws"); arm != "left" {
		t.Errorf("arm is %s", arm)
	}
	press(m, "[enter]")
	if !strings.Contains(m.trouble, "no answer yet") {
		t.Errorf("enter on nothing says %q", m.trouble)
	}
	if !press(m, "q") || !press(m, "[ctrl+c]") {
		t.Error("no way out")
	}
}

func TestKeysOnVideo(t *testing.T) {
	t.Parallel()
	m := shown(t, thrown(t), Video, 80, 24)
	press(m, "1", "j", "hinge", "[enter]", "n", "low light", "[enter]", "u", "1")
	c := onDisk(t, m.flow.Path())
	l := c.Observed("hinge", "running_throw").Looks[0]
	if l.Answer != "holds" || !l.Unsure || l.Note != "low light" {
		t.Fatalf("got %+v", l)
	}
	if m.q.ID != "seen.hinge/flat_lift" || m.unsure || m.flow.note != "" {
		t.Fatalf("at %s, %v, %q", m.q.ID, m.unsure, m.flow.note)
	}
	press(m, "x")
	if got := onDisk(t, m.flow.Path()).Observed("hinge", "flat_lift"); got == nil || !got.Looks[0].Unseen {
		t.Errorf("got %+v", got)
	}
	press(m, "j", "arm_tempo", "[enter]", "t", "33 @ 60", "[enter]", "w", "?", "[esc]", "j", "nowhere", "[enter]")
	if !strings.Contains(m.trouble, "no question is called") || m.help || m.where {
		t.Errorf("trouble %q, help %v, panel %v", m.trouble, m.help, m.where)
	}
	if got := onDisk(t, m.flow.Path()).Observed("arm_tempo", "running_throw"); got == nil || got.Looks[0].Frames.Count != 33 {
		t.Errorf("got %+v", got)
	}
	m.Update(tea.BlurMsg{})
	if !strings.Contains(view(m), "another window") {
		t.Error("nothing says that keys go elsewhere")
	}
}

// SM-04 from the first to the last key, with nothing known but a code.
func TestAFullRunOnTheScreen(t *testing.T) {
	t.Parallel()
	m := shown(t, empty, Telling, 100, 30)
	for _, s := range wholeRun(t, Telling).steps {
		if s.q.ID == "" {
			break // it stopped by itself
		}
		o, ok := s.q.Options.Pick(s.text)
		switch {
		case s.q.Must:
			press(m, o.Key, "[enter]")
		case s.q.ID == "ladder.rungs" || len(s.q.Options) == 0 && s.text != "":
			press(m, s.text, "[enter]")
		case s.text == "":
			press(m, "s")
		case ok:
			press(m, o.Key)
		default:
			press(m, "t", s.text, "[enter]")
		}
	}
	if !strings.Contains(view(m), "Nothing that is left would change") || !press(m, "[enter]") {
		t.Errorf("does not end by itself:\n%s", view(m))
	}
	if got, want := judged(t, onDisk(t, m.flow.Path())), "stuck at flat_lift, go_on, weight_shift lead"; !strings.HasPrefix(got, want) {
		t.Errorf("got %s, want %s", got, want)
	}
}

// Every key that the foot names does something there.
func TestEveryKeyOfTheFoot(t *testing.T) {
	t.Parallel()
	for _, at := range []string{"seen.hinge/running_throw", "seen.back_knee_bend/running_throw", "athlete.age", "ladder.flat_lift.held"} {
		m := shown(t, thrown(t), Video, 60, 24)
		again := func() {
			jump(t, m.flow, at)
			m.help, m.where, m.unsure, m.message, m.q = false, false, false, "", Question{}
			m.arrive()
		}
		again()
		for _, k := range m.askingKeys() {
			again()
			key, _, _ := strings.Cut(k, " ")
			before := view(m)
			left := press(m, key[:1])
			if key == "q" && !left || key != "q" && view(m) == before {
				t.Errorf("at %s the key %q does nothing", at, k)
			}
			if m.trouble != "" {
				t.Errorf("at %s the key %q says %q", at, k, m.trouble)
			}
		}
	}
}

func TestPastedLadder(t *testing.T) {
	t.Parallel()
	m := shown(t, safe, Telling, 80, 24)
	press(m, "j", "ladder", "[enter]")
	paste(m, strings.Join(rungLines(worked(t, "sm-04.yaml").Ladder()), "\n")+"\n")
	l := onDisk(t, m.flow.Path()).Ladder()
	if l == nil || len(l.Rungs) != 7 || l.Rung("flat_lift").Speeds[4] != 81.6 {
		t.Fatalf("got %+v, %s", l, m.trouble)
	}
	if m.q.ID == "ladder.rungs" {
		t.Error("done was not taken")
	}
}

// What stands in a file cannot steer the terminal.
func TestNoEscapeFromAFile(t *testing.T) {
	t.Parallel()
	text := thrown(t) + "seen:\n  hinge: {running_throw: {answer: holds, note: \"a\\e[2Jb\\u202ec\"}}\n"
	m := shown(t, text, Video, 80, 24)
	press(m, "1", "j", "hinge", "[enter]")
	if strings.ContainsAny(view(m), "\x1b\u202e") {
		t.Error("the note steers the terminal")
	}
}
