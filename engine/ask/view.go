package ask

import (
	"fmt"
	"strings"

	tea "charm.land/bubbletea/v2"
	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"

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
		if strings.TrimSpace(ansi.Strip(lines[i])) == "" {
			lines = append(lines[:i:i], lines[i+1:]...)
		}
	}
	return lines[:min(len(lines), height)]
}

func (m *screen) header(w int) []string {
	left := " " + m.flow.Code()
	if m.flow.State() == Asking {
		left += "  " + m.q.Section
	}
	right := fmt.Sprintf("%d answered", m.progress.Answered)
	if m.progress.Open > 0 && m.flow.State() == Asking {
		right += fmt.Sprintf(", %d to come, %d min ", m.progress.Open, m.progress.Minutes)
	} else {
		right += " "
	}
	gap := w - ansi.StringWidth(left) - ansi.StringWidth(right)
	line := left
	if gap > 0 {
		line += strings.Repeat(" ", gap) + right
	}
	return []string{m.look.faint.Render(line), m.look.faint.Render(strings.Repeat("─", w))}
}

// asking draws the question with what stands beside or below it.
func (m *screen) asking(w, height int) []string {
	if w >= besideFrom {
		side := squeeze(m.side(panelWide), height)
		main := m.fitted(min(w-panelWide-4, textWide), height)
		return beside(main, side, w-panelWide-4, m.look.faint.Render("│"))
	}
	lines := m.fitted(min(w, textWide), height)
	if m.help {
		return lines
	}
	if w >= belowFrom || m.where {
		lines = append(lines, "")
		lines = append(lines, m.side(min(w-2, textWide))...)
	}
	return lines
}

// fitted is the question in a height. Where its help has no room beside the
// answers, the help stands alone.
func (m *screen) fitted(w, height int) []string {
	full := m.question(w)
	words := 0
	for _, l := range full {
		if strings.TrimSpace(l) != "" {
			words++
		}
	}
	if m.help && words > height {
		full = []string{"", " " + m.look.title.Render(m.q.Title)}
		full = append(full, styled(m.look.faint, m.q.Film, w, 1)...)
		full = append(append(full, ""), indent(tidy(m.q.Help), w, 1)...)
	}
	return squeeze(full, height)
}

// beside sets two columns next to each other.
func beside(left, right []string, at int, bar string) []string {
	n := max(len(left), len(right))
	out := make([]string, n)
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

func (m *screen) question(w int) []string {
	q := m.q
	lines := []string{"", " " + m.look.title.Render(q.Title)}
	if q.Film != "" {
		lines = append(lines, styled(m.look.faint, q.Film, w, 1)...)
	}
	lines = append(lines, "")
	lines = append(lines, indent(q.Ask, w, 1)...)
	lines = append(lines, m.throws(w)...)
	lines = append(lines, "")
	lines = append(lines, m.answers(w)...)
	lines = append(lines, m.typedLine(w)...)
	if m.help {
		lines = append(lines, "")
		return append(lines, indent(tidy(q.Help), w, 1)...)
	}
	return append(lines, m.remarks(w)...)
}

// throws shows the two throws side by side: what was seen in each, and which of
// the two is asked of.
func (m *screen) throws(w int) []string {
	drill, second, pair := m.flow.Pair()
	if !pair {
		if m.q.Throw == "" {
			return nil
		}
		return []string{"", " " + m.look.now.Render("> "+m.q.Throw)}
	}
	wide := max(ansi.StringWidth(drill.Throw), ansi.StringWidth(second.Throw))
	lines := []string{""}
	for _, q := range []Question{drill, second} {
		name := q.Throw + strings.Repeat(" ", wide-ansi.StringWidth(q.Throw))
		saved := q.Saved
		if saved == "" {
			saved = "-"
		}
		mark, style := "  ", m.look.faint
		if q.ID == m.q.ID {
			mark, style = "> ", m.look.now
		}
		lines = append(lines, " "+style.Render(ansi.Truncate(mark+name+"   "+saved, w-1, "…")))
	}
	return lines
}

func (m *screen) answers(w int) []string {
	var lines []string
	for i, o := range m.q.Options {
		arrow, saved := " ", " "
		if i == m.cursor && m.typing == nothing {
			arrow = ">"
		}
		if o.ID == m.q.SavedID {
			saved = "*"
		}
		key := o.Key
		if key == "" {
			key = " "
		}
		line := fmt.Sprintf(" %s %s%s %s", arrow, key, saved, o.Label)
		if i == m.cursor {
			line = m.look.title.Render(line)
		}
		lines = append(lines, ansi.Truncate(line, w, "…"))
	}
	if m.q.Unseen {
		saved := " "
		if m.q.SavedID == "could_not_see" {
			saved = "*"
		}
		lines = append(lines, fmt.Sprintf("   x%s could not see", saved))
	}
	if m.q.Typed != "" && m.typing != answer {
		lines = append(lines, hanging("   t  ", m.q.Typed, w)...)
	}
	return lines
}

// typedLine shows the text that is being typed.
func (m *screen) typedLine(w int) []string {
	switch m.typing {
	case answer:
		lines := []string{""}
		if m.q.Typed != "" {
			lines = append(lines, styled(m.look.faint, m.q.Typed, w, 1)...)
		}
		m.input.SetWidth(max(8, w-6))
		return append(lines, "  : "+m.input.View())
	case note:
		m.input.SetWidth(max(8, w-10))
		return []string{"", " note: " + m.input.View()}
	case jumping:
		m.input.SetWidth(max(8, w-24))
		return []string{"", " jump to (first letters): " + m.input.View()}
	}
	return nil
}

// remarks are the lines about this answer and the last one.
func (m *screen) remarks(w int) []string {
	lines := []string{""}
	if m.q.Again {
		lines = append(lines, indent("Not clear yet: look at one more clip, or s to leave it.", w, 1)...)
	}
	if m.q.Saved != "" && m.q.SavedID == "" && m.q.Beside == "" {
		for _, part := range strings.Split(m.q.Saved, "; ") {
			lines = append(lines, hanging(" * ", part, w)...)
		}
	}
	if m.unsure {
		lines = append(lines, " (not sure)")
	}
	if m.note != "" {
		lines = append(lines, indent("with the note: "+m.note, w, 1)...)
	}
	switch {
	case m.trouble != "":
		lines = append(lines, styled(m.look.bad, "! "+m.trouble, w, 1)...)
	case m.q.Must && m.cursor >= 0 && m.q.Options[m.cursor].ID != m.q.SavedID:
		lines = append(lines, styled(m.look.title, "Enter saves: "+m.q.Options[m.cursor].Label, w, 1)...)
	case m.message != "":
		lines = append(lines, styled(m.look.good, m.message, w, 1)...)
	}
	if m.blurred {
		lines = append(lines, indent("Keys are going to another window; click here to go on.", w, 1)...)
	}
	return lines
}

// side is the live panel.
func (m *screen) side(w int) []string {
	p := m.panel
	if p.Says == "" {
		return indent("The safety questions come first. After them it stands here what leads and what is open.", w, 1)
	}
	lines := hanging(" ", m.look.title.Render("Where it stands:")+" "+diag.Clean(p.Says), w)
	if len(p.Leading) > 0 {
		lines = append(lines, "")
	}
	for i, l := range p.Leading {
		lines = append(lines, hanging(fmt.Sprintf(" %d ", i+1), l, w)...)
	}
	if len(p.Unseen) > 0 {
		lines = append(lines, "")
		lines = append(lines, hanging(" ", m.look.title.Render("Would tell most:")+" "+spoken(p.Unseen)+".", w)...)
	}
	if len(p.Changed) > 0 {
		lines = append(lines, "")
		lines = append(lines, hanging(" ", m.look.title.Render("The last answer changed:")+" "+strings.Join(p.Changed, "; ")+".", w)...)
	}
	return lines
}

func (m *screen) ending(w int) []string {
	e := m.flow.Ending()
	lines := []string{""}
	lines = append(lines, styled(m.look.title, e.Says, w, 1)...)
	lines = append(lines, "")
	lines = append(lines, indent(e.Do, w, 1)...)
	if m.failure != nil {
		lines = append(lines, "")
		lines = append(lines, styled(m.look.bad, "! "+m.trouble, w, 1)...)
	}
	if e.State == Enough || e.State == Complete {
		lines = append(lines, "")
		lines = append(lines, m.side(w)...)
	}
	return lines
}

// keys is the foot: what each key does here.
func (m *screen) keys(w int) []string {
	var keys []string
	switch {
	case m.flow.State() == Enough:
		keys = []string{"enter finish", fmt.Sprintf("g go on (%d open)", m.flow.Ending().Open), "b back"}
	case m.flow.State() == Referred:
		keys = []string{"enter finish", "b back"}
	case m.flow.State() != Asking:
		keys = []string{"enter finish", "b back"}
	case m.typing == answer && m.q.Number && m.input.Value() == "":
		keys = append([]string{"enter save"}, m.askingKeys()...)
	case m.typing != nothing:
		keys = []string{"enter save", "esc other keys", "? help", "ctrl+c leave, all is saved"}
	default:
		keys = m.askingKeys()
	}
	lines := []string{""}
	for _, k := range keys {
		last := lines[len(lines)-1]
		switch {
		case last == "":
			lines[len(lines)-1] = " " + k
		case ansi.StringWidth(last)+3+ansi.StringWidth(k) <= w:
			lines[len(lines)-1] = last + "   " + k
		default:
			lines = append(lines, " "+k)
		}
	}
	if m.height < shortFoot && len(lines) > 1 {
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

// indent wraps words to a width, each line after so many blanks.
func indent(text string, w, by int) []string {
	return hanging(strings.Repeat(" ", by), diag.Clean(text), w)
}

// styled is indent with a style on each line.
func styled(s lipgloss.Style, text string, w, by int) []string {
	lines := indent(text, w, by)
	for i := range lines {
		lines[i] = s.Render(lines[i])
	}
	return lines
}

// hanging wraps words after a first part, the lines below in line with them.
func hanging(first, text string, w int) []string {
	by := ansi.StringWidth(first)
	lines := []string{first}
	empty := true
	for _, word := range strings.Fields(text) {
		for _, piece := range strings.Split(ansi.Hardwrap(word, max(8, w-by), true), "\n") {
			last := &lines[len(lines)-1]
			switch {
			case empty:
				*last += piece
			case ansi.StringWidth(*last)+1+ansi.StringWidth(piece) <= w:
				*last += " " + piece
			default:
				lines = append(lines, strings.Repeat(" ", by)+piece)
			}
			empty = false
		}
	}
	return lines
}
