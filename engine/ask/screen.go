package ask

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"rungwise/engine/diag"
)

// Window is the terminal that the full screen is drawn on.
type Window struct {
	In    io.Reader
	Out   io.Writer
	Err   io.Writer
	Color bool
}

// Screen asks on the whole terminal. Leaving it in any way, a cancelled context
// included, keeps every answer. The error is about the terminal or the file.
func Screen(ctx context.Context, f *Flow, w Window) (Outcome, error) {
	m := newScreen(f, lipgloss.NewRenderer(w.Out), w.Color)
	p := tea.NewProgram(m, tea.WithContext(ctx), tea.WithInput(w.In), tea.WithOutput(w.Out),
		tea.WithAltScreen(), tea.WithReportFocus(), tea.WithoutSignalHandler())
	last, err := p.Run()
	if err != nil && ctx.Err() == nil && !errors.Is(err, tea.ErrInterrupted) {
		return Outcome{}, fmt.Errorf("the terminal could not be drawn on: %w; --plain needs none", err)
	}
	out := Outcome{State: f.State(), Saved: f.Given(), Open: f.Ending().Open}
	e := f.Ending()
	fmt.Fprintf(w.Err, "%s saved, %s open\n%s\n%s\n", counted(out.Saved, "answer", "answers"), counted(out.Open, "question", "questions"), e.Says, e.Do)
	if s, ok := last.(*screen); ok && f.State() == Broken {
		return out, s.failure
	}
	return out, nil
}

// What the line of text that is being typed is for.
const (
	nothing = iota
	answer
	note
	jumping
)

// screen is the model of the full screen. It changes the flow only through the
// flow's own methods, each of which saves before it returns.
type screen struct {
	flow          *Flow
	width, height int
	look          look

	q        Question
	panel    Panel
	progress Progress

	input   textinput.Model
	typing  int // what input is for
	cursor  int // option under the arrow, -1 for none
	unsure  bool
	note    string
	help    bool
	where   bool // the panel is unfolded on a small screen
	blurred bool
	message string // what happened last
	trouble string // why the last key did nothing, or what could not be saved
	failure error
}

func newScreen(f *Flow, r *lipgloss.Renderer, color bool) *screen {
	m := &screen{flow: f, width: 80, height: 24, look: newLook(r, color), input: textinput.New()}
	m.input.Prompt = ""
	m.input.CharLimit = longestLine
	m.input.Cursor.SetMode(cursor.CursorStatic)
	m.arrive()
	return m
}

// Init starts nothing: the flow has its first question.
func (m *screen) Init() tea.Cmd { return nil }

// arrive takes in the present question and what stands beside it.
func (m *screen) arrive() {
	changed := m.q.ID != m.flow.Question().ID
	m.q = m.flow.Question()
	m.panel, m.progress = m.flow.Panel(), m.flow.Progress()
	m.cursor = -1
	for i, o := range m.q.Options {
		if o.ID == m.q.SavedID {
			m.cursor = i
		}
	}
	if changed {
		m.unsure, m.note, m.help = false, "", false
	}
	m.stop()
	if m.flow.State() == Asking && (len(m.q.Options) == 0 || m.q.ID == "ladder.rungs") {
		m.start(answer, "")
	}
}

// start begins a line of text.
func (m *screen) start(what int, text string) {
	m.typing = what
	m.input.SetValue(text)
	m.input.CursorEnd()
	m.input.Focus()
}

func (m *screen) stop() {
	m.typing = nothing
	m.input.SetValue("")
	m.input.Blur()
}

// Update takes in a key, a new size, or the focus.
func (m *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case tea.BlurMsg:
		m.blurred = true
	case tea.FocusMsg:
		m.blurred = false
	case tea.KeyMsg:
		m.blurred = false
		return m, m.key(msg)
	}
	return m, nil
}

func (m *screen) key(k tea.KeyMsg) tea.Cmd {
	if k.String() == "ctrl+c" || k.String() == "ctrl+d" {
		return tea.Quit
	}
	m.trouble = ""
	switch {
	case k.Paste:
		return m.paste(string(k.Runes))
	case m.flow.State() != Asking:
		return m.ended(k.String())
	case m.typing != nothing && !m.asCommand(k):
		return m.typed(k)
	case k.Type == tea.KeyRunes && len(k.Runes) > 1:
		for _, r := range k.Runes { // keys that came in one read
			if cmd := m.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}); cmd != nil {
				return cmd
			}
		}
		return nil
	}
	return m.command(k.String())
}

// asCommand reports whether a key is a command although a line can be typed:
// with nothing typed yet, whatever could not begin an answer.
func (m *screen) asCommand(k tea.KeyMsg) bool {
	if m.typing != answer || m.input.Value() != "" {
		return false
	}
	switch k.String() {
	case "left", "right", "up", "down", "shift+tab", "pgup", "pgdown", "?", "f1", "enter":
		return true
	}
	return m.q.Number && k.Type == tea.KeyRunes && strings.ContainsRune("bsjnquwxgh", k.Runes[0])
}

// typed edits the line of text, or hands it in.
func (m *screen) typed(k tea.KeyMsg) tea.Cmd {
	switch k.String() {
	case "esc":
		m.stop()
		return nil
	case "enter":
		return m.handIn()
	}
	m.input, _ = m.input.Update(k)
	return nil
}

func (m *screen) handIn() tea.Cmd {
	text, what := m.input.Value(), m.typing
	switch what {
	case answer:
		return m.answer(text)
	case note:
		kept, err := m.flow.Note(text)
		m.stop()
		if err == nil && kept {
			m.message = "saved: the note"
			m.arrive()
		} else if err == nil {
			m.note = text
		}
		m.fail(err)
	case jumping:
		m.stop()
		if err := m.flow.Jump(text); err != nil {
			m.fail(err)
			return nil
		}
		m.arrive()
	}
	return nil
}

// answer hands an answer to the flow and shows what came of it.
func (m *screen) answer(text string) tea.Cmd {
	q := m.q
	words, err := m.flow.Answer(Reply{Text: text, Unsure: m.unsure, Note: m.note})
	if err != nil {
		m.fail(err)
		if m.flow.State() == Broken {
			m.failure = err
			m.arrive()
		}
		return nil
	}
	m.unsure, m.note = false, ""
	m.message = fmt.Sprintf("saved: %s: %s", label(q), diag.Clean(words))
	if told := m.flow.Told(); told != "" {
		m.message += "; " + told
	}
	m.arrive()
	return nil
}

// fail keeps why something was not taken, for the eyes.
func (m *screen) fail(err error) {
	if err == nil {
		return
	}
	m.message, m.trouble = "", diag.Clean(err.Error())
	var r *Refusal
	var c *Conflict
	switch {
	case errors.As(err, &r):
	case errors.As(err, &c):
		m.arrive()
	default:
		m.trouble = "not saved: " + m.trouble
	}
}

// paste takes what was pasted: several lines as so many answers, one line into
// the text.
func (m *screen) paste(text string) tea.Cmd {
	if m.flow.State() != Asking {
		return nil
	}
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
	if m.typing == nothing && m.q.Typed != "" {
		m.start(answer, "")
	}
	if m.typing == nothing {
		m.trouble = "this question takes one of the answers above"
		return nil
	}
	if len(lines) == 1 && !strings.ContainsAny(text, "\r\n") || m.typing != answer {
		m.input.SetValue(m.input.Value() + diag.Clean(strings.Join(lines, " ")))
		m.input.CursorEnd()
		return nil
	}
	for i, l := range lines {
		if strings.TrimSpace(l) == "" {
			continue
		}
		at := m.q.ID
		if m.answer(l); m.trouble != "" {
			m.start(answer, diag.Clean(l))
			if rest := len(lines) - i - 1; rest > 0 {
				m.trouble += fmt.Sprintf("; %s after it not taken", counted(rest, "line", "lines"))
			}
			return nil
		}
		if m.q.ID != at {
			if rest := len(lines) - i - 1; rest > 0 {
				m.trouble = counted(rest, "pasted line", "pasted lines") + " not taken: the question changed"
			}
			return nil
		}
	}
	return nil
}

// command carries out a key that is no text.
func (m *screen) command(k string) tea.Cmd {
	if o, ok := m.optionOf(k); ok {
		return m.answer(o.ID)
	}
	switch k {
	case "up", "down":
		m.move(map[string]int{"up": -1, "down": 1}[k])
	case "enter", " ":
		return m.enter()
	case "left", "b", "shift+tab", "pgup":
		if !m.flow.Back() {
			m.trouble = "this is the first question of this visit"
			return nil
		}
		m.message = ""
		m.arrive()
	case "right", "pgdown":
		if m.q.Saved == "" {
			m.trouble = "no answer yet; s leaves it open for now"
			return nil
		}
		m.keep()
	case "s":
		m.keep()
	case "?", "f1", "h":
		m.help = !m.help
	case "w":
		m.where = !m.where
	case "x":
		return m.unseen()
	case "u":
		m.toggle()
	case "t":
		m.begin(m.q.Typed != "", answer, "this question takes one of the answers above")
	case "n":
		m.begin(m.q.Notes, note, "notes are kept with what was seen on video")
	case "j":
		m.begin(true, jumping, "")
	case "esc":
		m.help, m.where = false, false
	case "q":
		return tea.Quit
	}
	return nil
}

func (m *screen) optionOf(key string) (Option, bool) {
	for _, o := range m.q.Options {
		if o.Key == key && m.typing == nothing {
			return o, true
		}
	}
	return Option{}, false
}

func (m *screen) move(by int) {
	if n := len(m.q.Options); n > 0 {
		if m.cursor < 0 && by < 0 {
			m.cursor = 0
		}
		m.cursor = (m.cursor + by + n) % n
	}
}

// enter takes the option under the arrow, or keeps the saved answer.
func (m *screen) enter() tea.Cmd {
	switch {
	case m.cursor >= 0 && (m.q.Options[m.cursor].ID != m.q.SavedID || m.unsure):
		return m.answer(m.q.Options[m.cursor].ID)
	case m.q.Saved != "" && m.q.ID != "ladder.rungs":
		m.keep()
	case m.q.ID == "ladder.rungs":
		m.trouble = "write done when all rungs are in"
	default:
		m.trouble = "no answer yet; s leaves it open for now"
	}
	return nil
}

func (m *screen) keep() {
	if err := m.flow.Keep(); err != nil {
		m.fail(err)
		return
	}
	m.message = ""
	m.arrive()
}

func (m *screen) unseen() tea.Cmd {
	if !m.q.Unseen {
		m.trouble = "only what is looked at on video can be out of sight; s leaves it open for now"
		return nil
	}
	return m.answer("x")
}

func (m *screen) toggle() {
	if !m.q.Sure {
		m.trouble = "only what is looked at on video can be unsure"
		return
	}
	m.unsure = !m.unsure
}

func (m *screen) begin(can bool, what int, otherwise string) {
	if !can {
		m.trouble = otherwise
		return
	}
	m.start(what, "")
}

// ended takes a key when nothing is asked any more.
func (m *screen) ended(k string) tea.Cmd {
	switch k {
	case "g":
		if m.flow.State() == Enough {
			m.flow.GoOn()
			m.message = ""
			m.arrive()
		}
	case "left", "b", "shift+tab", "pgup":
		if m.flow.State() != Broken && m.flow.Back() {
			m.message = ""
			m.arrive()
		}
	case "w":
		m.where = !m.where
	case "enter", "q", "esc":
		return tea.Quit
	}
	return nil
}
