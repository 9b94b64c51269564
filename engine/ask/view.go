package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
)

// The widths at which the picture changes, and what it never passes.
const (
	besideFrom = 100 // the panel stands beside the question
	belowFrom  = 80  // it stands below; under this it folds away
	widest     = 132
	panelWide  = 40
	textWide   = 84 // lines of words are not longer
	narrowest  = 24
	shortFoot  = 18 // windows lower than this have one line of keys
)

// look is the few styles. Each only underlines what the words and marks say
// already; colours are the terminal's own, so they fit dark and light.
type look struct {
	title, faint, now, good, bad lipgloss.Style
}

func newLook(color bool) look {
	bare := lipgloss.NewStyle()
	l := look{title: bare.Bold(true), faint: bare.Faint(true), now: bare.Bold(true), good: bare, bad: bare.Bold(true)}
	if color {
		l.now = l.now.Foreground(lipgloss.Color("6"))
		l.good = l.good.Foreground(lipgloss.Color("2"))
		l.bad = l.bad.Foreground(lipgloss.Color("1"))
	}
	return l
}

// View is the whole window, with pastes kept apart from keys.
func (m *screen) View() tea.View {
	v := tea.NewView(m.draw())
	v.AltScreen, v.ReportFocus = true, true
	return v
}

// draw sets the lines of the whole screen.
func (m *screen) draw() string {
	w := min(max(m.width, narrowest), widest)
	head, foot := m.header(w), m.keys(w)
	left := max(1, m.height-len(head)-len(foot))
	body := m.ending(min(w, textWide))
	if m.flow.State() == Asking {
		body = m.asking(w, left)
	}
	lines := append(head, squeeze(body, left)...)
	for len(lines)+len(foot) < m.height {
		lines = append(lines, "")
	}
	lines = append(lines, foot...)
	return strings.Join(lines[:min(len(lines), max(1, m.height))], "\n")
}

// squeeze makes lines fit a height: blank lines go first, then what stands
// last.
func squeeze(lines []string, height int) []string {
	for i := len(lines) - 1; i >= 0 && len(lines) > height; i-- {
		if unwritten(lines[i]) {
			lines = append(lines[:i:i], lines[i+1:]...)
		}
	}
	return lines[:min(len(lines), height)]
}

func unwritten(line string) bool { return strings.TrimSpace(ansi.Strip(line)) == "" }

func (m *screen) header(w int) []string {
	left, right := " "+m.flow.Code(), fmt.Sprintf("%d answered", m.progress.Answered)
	if m.flow.State() == Asking {
		left += "  " + m.q.Section
		if m.progress.Open > 0 {
			right += fmt.Sprintf(", %d to come, %d min", m.progress.Open, m.progress.Minutes)
		}
	}
	line := left
	if gap := w - ansi.StringWidth(left) - ansi.StringWidth(right) - 1; gap > 0 {
		line += strings.Repeat(" ", gap) + right + " "
	}
	return []string{m.look.faint.Render(line), m.look.faint.Render(strings.Repeat("─", w))}
}

// asking draws the question with what stands beside or below it.
func (m *screen) asking(w, height int) []string {
	if w >= besideFrom {
		at := w - panelWide - 4
		side := page{w: panelWide}
		m.side(&side)
		return beside(m.fitted(min(at, textWide), height), squeeze(side.lines, height), at, m.look.faint.Render("│"))
	}
	p := page{w: min(w, textWide), lines: m.fitted(min(w, textWide), height)}
	if !m.help && (w >= belowFrom || m.where) {
		p.blank()
		p.w = min(w-2, textWide)
		m.side(&p)
	}
	return p.lines
}

// fitted is the question in a height. Where its help has no room beside the
// answers, the help stands alone.
func (m *screen) fitted(w, height int) []string {
	p := page{w: w}
	m.question(&p)
	words := slices.DeleteFunc(slices.Clone(p.lines), unwritten)
	if m.help && len(words) > height {
		p.lines = nil
		p.blank()
		p.hang(" ", m.look.title.Render(m.q.Title))
		p.text(m.look.faint, m.q.Film)
		p.blank()
		p.words(tidy(m.q.Help))
	}
	return squeeze(p.lines, height)
}

// beside sets two columns next to each other.
func beside(left, right []string, at int, bar string) []string {
	out := make([]string, max(len(left), len(right)))
	for i := range out {
		l, r := "", ""
		if i < len(left) {
			l = left[i]
		}
		if i < len(right) {
			r = right[i]
		}
		out[i] = l + strings.Repeat(" ", max(0, at-ansi.StringWidth(l))) + " " + bar + " " + r
	}
	return out
}

func (m *screen) question(p *page) {
	p.blank()
	p.add(" " + m.look.title.Render(m.q.Title))
	if m.q.Film != "" {
		p.text(m.look.faint, m.q.Film)
	}
	p.blank()
	p.words(m.q.Ask)
	m.throws(p)
	p.blank()
	m.answers(p)
	m.typedLine(p)
	p.blank()
	if m.help {
		p.words(tidy(m.q.Help))
		return
	}
	m.remarks(p)
}

// throws shows the two throws side by side, the drill first: what was seen in
// each, and which of the two is asked of.
func (m *screen) throws(p *page) {
	if m.q.Throw == "" {
		return
	}
	p.blank()
	other, pair := m.flow.question(m.q.Beside)
	if !pair {
		p.add(" " + m.look.now.Render("> "+m.q.Throw))
		return
	}
	both := []Question{m.q, other}
	if m.q.Second {
		slices.Reverse(both)
	}
	wide := max(ansi.StringWidth(m.q.Throw), ansi.StringWidth(other.Throw))
	for _, q := range both {
		mark, style := "  ", m.look.faint
		if q.ID == m.q.ID {
			mark, style = "> ", m.look.now
		}
		name := q.Throw + strings.Repeat(" ", wide-ansi.StringWidth(q.Throw))
		p.add(" " + style.Render(ansi.Truncate(mark+name+"   "+cmp.Or(q.Saved, "-"), p.w-1, "…")))
	}
}

func (m *screen) answers(p *page) {
	mark := func(id string) string {
		if id == m.q.SavedID {
			return "*"
		}
		return " "
	}
	for i, o := range m.q.Options {
		arrow := " "
		if i == m.cursor && m.typing == nothing {
			arrow = ">"
		}
		line := fmt.Sprintf(" %s %s%s %s", arrow, cmp.Or(o.Key, " "), mark(o.ID), o.Label)
		if i == m.cursor {
			line = m.look.title.Render(line)
		}
		p.add(ansi.Truncate(line, p.w, "…"))
	}
	if m.q.Unseen {
		p.add("   x" + mark(casefile.CouldNotSee) + " could not see")
	}
	if m.q.Typed != "" && m.typing != answer {
		p.hang("   t  ", m.q.Typed)
	}
}

// typedLine shows the text that is being typed.
func (m *screen) typedLine(p *page) {
	if m.typing == nothing {
		return
	}
	p.blank()
	if m.typing == answer && m.q.Typed != "" {
		p.text(m.look.faint, m.q.Typed)
	}
	label := map[int]string{answer: "  : ", note: " note: ", jumping: " jump to (first letters): "}[m.typing]
	m.input.SetWidth(max(8, p.w-len(label)-2))
	p.add(label + m.input.View())
}

// remarks are the lines about this answer and the last one.
func (m *screen) remarks(p *page) {
	if m.q.Again {
		p.words("Not clear yet: look at one more clip, or s to leave it.")
	}
	if m.q.Saved != "" && m.q.SavedID == "" && m.q.Beside == "" {
		for _, part := range strings.Split(m.q.Saved, "; ") {
			p.hang(" * ", part)
		}
	}
	if m.unsure {
		p.add(" (not sure)")
	}
	if m.flow.note != "" {
		p.words("with the note: " + m.flow.note)
	}
	switch {
	case m.trouble != "":
		p.text(m.look.bad, "! "+m.trouble)
	case m.q.Must && m.cursor >= 0 && m.q.Options[m.cursor].ID != m.q.SavedID:
		p.text(m.look.title, "Enter saves: "+m.q.Options[m.cursor].Label)
	case m.message != "":
		p.text(m.look.good, m.message)
	}
	if m.blurred {
		p.words("Keys are going to another window; click here to go on.")
	}
}

// side is the live panel.
func (m *screen) side(p *page) {
	if m.panel.Says == "" {
		p.words("The safety questions come first. After them it stands here what leads and what is open.")
		return
	}
	p.hang(" ", m.look.title.Render("Where it stands:")+" "+diag.Clean(m.panel.Says))
	for i, l := range m.panel.Leading {
		if i == 0 {
			p.blank()
		}
		p.hang(fmt.Sprintf(" %d ", i+1), l)
	}
	for _, part := range []struct{ title, words string }{
		{"Would tell most:", spoken(m.panel.Unseen)}, {"The last answer changed:", strings.Join(m.panel.Changed, "; ")},
	} {
		if part.words != "" {
			p.blank()
			p.hang(" ", m.look.title.Render(part.title)+" "+part.words+".")
		}
	}
}

func (m *screen) ending(w int) []string {
	e, p := m.flow.Ending(), page{w: w}
	p.blank()
	p.text(m.look.title, e.Says)
	p.blank()
	p.words(e.Do)
	if m.failure != nil {
		p.blank()
		p.text(m.look.bad, "! "+m.trouble)
	}
	if e.State == Enough || e.State == Complete {
		p.blank()
		m.side(&p)
	}
	return p.lines
}

// keys is the foot: what each key does here.
func (m *screen) keys(w int) []string {
	var keys []string
	switch {
	case m.flow.State() == Enough:
		keys = []string{"enter finish", fmt.Sprintf("g go on (%d open)", m.flow.Ending().Open), "b back"}
	case m.flow.State() != Asking:
		keys = []string{"enter finish", "b back"}
	case m.typing == answer && m.q.Number && m.input.Value() == "":
		keys = append([]string{"enter save"}, m.askingKeys()...)
	case m.typing != nothing:
		keys = []string{"enter save", "esc other keys", "? help", "ctrl+c leave, all is saved"}
	default:
		keys = m.askingKeys()
	}
	lines := []string{" " + keys[0]}
	for _, k := range keys[1:] {
		last := &lines[len(lines)-1]
		if ansi.StringWidth(*last)+3+ansi.StringWidth(k) <= w {
			*last += "   " + k
		} else {
			lines = append(lines, " "+k)
		}
	}
	if m.height < shortFoot {
		lines = lines[:1]
	}
	for i := range lines {
		lines[i] = m.look.faint.Render(lines[i])
	}
	return lines
}

func (m *screen) askingKeys() []string {
	var keys []string
	if n := len(m.q.Options); n > 0 && m.typing == nothing {
		does := "answer"
		if m.q.Must {
			does = "choose   enter save"
		}
		keys = append(keys, fmt.Sprintf("%s-%s %s", m.q.Options[0].Key, m.q.Options[min(n, len(optionKeys))-1].Key, does))
	}
	for _, b := range m.bindings() {
		if b.shown {
			keys = append(keys, b.foot)
		}
	}
	return keys
}

// page is lines under each other, w columns wide.
type page struct {
	w     int
	lines []string
}

func (p *page) add(line string) { p.lines = append(p.lines, line) }
func (p *page) blank()          { p.add("") }

// words wraps words, each line after one blank.
func (p *page) words(words string) { p.hang(" ", diag.Clean(words)) }

// text is words in a style.
func (p *page) text(s lipgloss.Style, words string) {
	from := len(p.lines)
	p.words(words)
	for i := from; i < len(p.lines); i++ {
		p.lines[i] = s.Render(p.lines[i])
	}
}

// hang wraps words after a first part, the lines below in line with them.
func (p *page) hang(first, words string) {
	by := ansi.StringWidth(first)
	p.add(first)
	begun := false
	for _, word := range strings.Fields(words) {
		for _, piece := range strings.Split(ansi.Hardwrap(word, max(8, p.w-by), true), "\n") {
			last := &p.lines[len(p.lines)-1]
			switch {
			case !begun:
				*last += piece
			case ansi.StringWidth(*last)+1+ansi.StringWidth(piece) <= p.w:
				*last += " " + piece
			default:
				p.add(strings.Repeat(" ", by) + piece)
			}
			begun = true
		}
	}
}
