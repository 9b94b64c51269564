package ask

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"charm.land/bubbles/v2/textinput"
	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"
	uv "github.com/charmbracelet/ultraviolet"

	"rungwise/engine/diag"
	"rungwise/engine/prompt"
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
	m := newScreen(f, w.Color)
	p := tea.NewProgram(m, tea.WithContext(ctx), tea.WithInput(w.In), tea.WithOutput(w.Out), tea.WithoutSignalHandler())
	last, err := p.Run()
	if err != nil && ctx.Err() == nil && !errors.Is(err, tea.ErrInterrupted) {
		return Outcome{}, fmt.Errorf("the terminal could not be drawn on: %w; --plain needs none", err)
	}
	out, e := f.outcome(), f.Ending()
	fmt.Fprintf(w.Err, "%s saved, %s open\n%s\n%s\n", counted(out.Saved, "answer"), counted(out.Open, "question"), e.Says, e.Do)
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
	pace          pace

	q        Question
	panel    Panel
	progress Progress

	input   textinput.Model
	typing  int // what input is for
	cursor  int // option under the arrow, -1 for none
	unsure  bool
	help    bool
	where   bool // the panel is unfolded on a small screen
	blurred bool
	message string // what happened last
	trouble string // why the last key did nothing, or what could not be saved
	failure error
	fresh   bool // the question has changed
	left    bool // it was left
}

func newScreen(f *Flow, color bool) *screen {
	m := &screen{flow: f, width: 80, height: 24, look: newLook(color), input: textinput.New()}
	m.input.Prompt = ""
	m.input.CharLimit = prompt.Longest
	plain := textinput.StyleState{Text: lipgloss.NewStyle()}
	m.input.SetStyles(textinput.Styles{Focused: plain, Blurred: plain}) // a cursor that neither blinks nor asks
	m.arrive()
	return m
}

// Init gives the first question its time to be read.
func (m *screen) Init() tea.Cmd {
	m.fresh = false
	return m.pace.wait(toBeRead, settle)
}

// arrive takes in the present question and what stands beside it.
func (m *screen) arrive() {
	changed := m.q.ID != m.flow.Question().ID
	m.q = m.flow.Question()
	m.panel, m.progress = m.flow.Panel(), m.flow.Progress()
	m.toSaved()
	if changed {
		m.unsure, m.help = false, false
		m.fresh = true
	}
	m.stop()
	if m.flow.State() == Asking && m.lineByLine() {
		m.start(answer, "")
	}
}

// toSaved puts the arrow at the saved answer; with none, nothing is chosen.
func (m *screen) toSaved() {
	m.cursor = slices.IndexFunc(m.q.Options, func(o prompt.Choice) bool { return o.ID == m.q.SavedID })
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

// Update takes in a key, a paste, a new size, or the focus. Nothing else that a
// terminal sends is ever an answer.
func (m *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case tea.BlurMsg:
		m.blurred = true
	case tea.FocusMsg:
		m.blurred = false
	case passed:
		m.pace.pass(msg)
	case uv.UnknownEvent:
		return m, m.pace.wait(restReply, rest)
	case tea.PasteMsg:
		after := m.pace.wait(betweens, burst)
		m.paste(msg.Content)
		return m, m.then(after)
	case tea.KeyPressMsg:
		m.blurred = false
		after := m.key(msg)
		return m, m.then(after)
	}
	return m, nil
}

// then goes on after a key or a paste: out, or to a question that is new and has
// to be read.
func (m *screen) then(after tea.Cmd) tea.Cmd {
	switch {
	case m.left:
		return tea.Quit
	case m.fresh:
		m.fresh = false
		return tea.Batch(after, m.pace.wait(toBeRead, settle))
	}
	return after
}

// key carries out a key, unless it is none that was pressed at this question. It
// returns what is waited for after it.
func (m *screen) key(k tea.KeyPressMsg) tea.Cmd {
	if k.String() == "ctrl+c" || k.String() == "ctrl+d" {
		m.left = true
		return nil
	}
	m.trouble = ""
	text := m.flow.State() == Asking && m.typing != nothing && !m.asCommand(k)
	why, after := m.pace.key(k, m.q.Must, text)
	switch {
	case why != "":
		m.trouble = why
		if m.q.Must {
			m.toSaved()
		}
	case m.flow.State() != Asking:
		m.ended(k.String())
	case text:
		m.typed(k)
	default:
		m.command(k.String())
	}
	return after
}

// asCommand reports whether a key is a command although a line can be typed:
// with nothing typed yet, whatever could not begin an answer.
func (m *screen) asCommand(k tea.KeyPressMsg) bool {
	if m.typing != answer || m.input.Value() != "" {
		return false
	}
	switch k.String() {
	case "left", "right", "up", "down", "shift+tab", "pgup", "pgdown", "?", "f1", "enter":
		return true
	}
	return m.q.Number && len(k.Text) == 1 && strings.Contains("bsjnquwxgh", k.Text)
}

// typed edits the line of text, or hands it in.
func (m *screen) typed(k tea.KeyPressMsg) {
	switch k.String() {
	case "esc":
		m.stop()
		return
	case "enter":
		m.handIn()
	}
	m.input, _ = m.input.Update(k)
}

func (m *screen) handIn() {
	text, what := m.input.Value(), m.typing
	switch what {
	case answer:
		m.answer(text)
	case note:
		said, err := m.flow.Note(text)
		m.stop()
		m.fail(err)
		if err == nil && m.q.Saved != "" {
			m.message = said
			m.arrive()
		}
	case jumping:
		m.stop()
		if err := m.flow.Jump(text); err != nil {
			m.fail(err)
			return
		}
		m.arrive()
	}
}

// answer hands an answer to the flow and shows what came of it.
func (m *screen) answer(text string) {
	said, err := m.flow.Answer(Reply{Text: text, Unsure: m.unsure})
	if err != nil {
		m.fail(err)
		if m.flow.State() == Broken {
			m.failure = err
			m.arrive()
		}
		return
	}
	m.unsure = false
	m.message = diag.Clean(said)
	if told := m.flow.Told(); told != "" {
		m.message += "; " + told
	}
	m.arrive()
}

// fail keeps why something was not taken, for the eyes.
func (m *screen) fail(err error) {
	if err == nil {
		return
	}
	m.message, m.trouble = "", diag.Clean(err.Error())
	var r *prompt.Refusal
	var c *Conflict
	switch {
	case errors.As(err, &r):
	case errors.As(err, &c):
		m.arrive()
	default:
		m.trouble = "not saved: " + m.trouble
	}
}

// paste takes what was pasted into a line of text. Only where nothing but text
// answers, and it is no safety question, do several lines answer by themselves.
func (m *screen) paste(text string) {
	m.trouble = ""
	if m.flow.State() != Asking {
		return
	}
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
	if m.typing == nothing && m.q.Typed != "" && !m.q.Must {
		m.start(answer, "")
	}
	switch {
	case m.typing == nothing:
		m.trouble = onlyOptions
	case m.typing == answer && !m.q.Must && m.lineByLine() && strings.ContainsAny(text, "\r\n"):
		lines = slices.DeleteFunc(lines, func(l string) bool { return strings.TrimSpace(l) == "" })
		m.pasteLines(lines)
	default:
		m.input.SetValue(m.input.Value() + diag.Clean(strings.Join(lines, " ")))
		m.input.CursorEnd()
	}
}

// pasteLines hands in line after line, up to one that is not taken and as long
// as the question stays.
func (m *screen) pasteLines(lines []string) {
	at := m.q.ID
	for i, l := range lines {
		m.answer(l)
		rest := len(lines) - i - 1
		switch {
		case m.trouble != "":
			m.start(answer, diag.Clean(l))
			if rest > 0 {
				m.trouble += fmt.Sprintf("; %s after it not taken", counted(rest, "line"))
			}
			return
		case m.q.ID != at:
			if rest > 0 {
				m.trouble = counted(rest, "pasted line") + " not taken: the question changed"
			}
			return
		}
	}
}

// lineByLine reports whether nothing but text answers.
func (m *screen) lineByLine() bool { return len(m.q.Options) == 0 || m.q.ID == rungsID }

const (
	onlyOptions = "this question takes one of the answers above"
	noAnswer    = "no answer yet; s leaves it open for now"
)

// binding is what keys do while a question is asked. The foot shows it in words,
// "" for not at all; cannot says why it does nothing here, "" where it does.
type binding struct {
	keys, foot string
	shown      bool
	cannot     string
	do         func()
}

// bindings lists the keys in the order of the foot.
func (m *screen) bindings() []binding {
	q := m.q
	unless := func(can bool, why string) string {
		if can {
			return ""
		}
		return why
	}
	return []binding{
		{"x", "x could not see", q.Sure, unless(q.Unseen, "only what is looked at on video can be out of sight; s leaves it open for now"),
			func() { m.answer("x") }},
		{"u", "u not sure", q.Sure, unless(q.Sure, "only what is looked at on video can be unsure"), func() { m.unsure = !m.unsure }},
		{"t", "t type", q.Typed != "" && m.typing == nothing, unless(q.Typed != "", onlyOptions), func() { m.start(answer, "") }},
		{"n", "n note", q.Notes, unless(q.Notes, noNotes), func() { m.start(note, "") }},
		{"b left shift+tab pgup", "b back", true, "", func() { m.went(m.flow.Back()) }},
		{"s", "s skip", !q.Must, "", m.keep},
		{"j", "j jump", !q.Must, "", func() { m.start(jumping, "") }},
		{"? f1 h", "? help", true, "", func() { m.help = !m.help }},
		{"w", "w where it stands", m.width < belowFrom, "", func() { m.where = !m.where }},
		{"q", "q leave, all is saved", true, "", func() { m.left = true }},
		{"up", "", false, "", func() { m.move(-1) }},
		{"down", "", false, "", func() { m.move(1) }},
		{"enter", "", false, "", m.enter},
		{"right pgdown", "", false, unless(q.Saved != "", noAnswer), m.keep},
		{"esc", "", false, "", func() { m.help, m.where = false, false }},
	}
}

// command carries out a key that is no text.
func (m *screen) command(k string) {
	if i := m.optionOf(k); i >= 0 {
		if m.cursor = i; m.q.Must {
			m.message = "" // Enter gives the answer
		} else {
			m.answer(m.q.Options[i].ID)
		}
		return
	}
	for _, b := range m.bindings() {
		if slices.Contains(strings.Fields(b.keys), k) {
			if m.trouble = b.cannot; b.cannot == "" {
				b.do()
			}
		}
	}
	if k == "space" && !m.q.Must {
		m.enter()
	}
}

// optionOf is the place of the option that a key gives, -1 for none.
func (m *screen) optionOf(key string) int {
	if m.typing != nothing {
		return -1
	}
	return slices.IndexFunc(m.q.Options, func(o prompt.Choice) bool { return o.Key == key })
}

// went shows the question that the flow went to, or why it did not.
func (m *screen) went(err error) {
	if err != nil {
		m.fail(err)
		return
	}
	m.message = ""
	m.arrive()
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
func (m *screen) enter() {
	switch {
	case m.cursor >= 0 && (m.q.Options[m.cursor].ID != m.q.SavedID || m.unsure):
		m.answer(m.q.Options[m.cursor].ID)
	case m.q.ID == rungsID:
		m.trouble = "write done when all rungs are in"
	case m.q.Saved == "":
		m.trouble = noAnswer
	default:
		m.keep()
	}
}

func (m *screen) keep() { m.went(m.flow.Keep()) }

// ended takes a key when nothing is asked any more.
func (m *screen) ended(k string) {
	switch k {
	case "g":
		if m.flow.State() == Enough {
			m.flow.GoOn()
			m.went(nil)
		}
	case "left", "b", "shift+tab", "pgup":
		if m.flow.State() != Broken && m.flow.Back() == nil {
			m.went(nil)
		}
	case "w":
		m.where = !m.where
	case "enter", "q", "esc":
		m.left = true
	}
}
