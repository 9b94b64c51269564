package render

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"rungwise/engine/report"
)

// A scale is the axis of a ladder chart in percent of the reference, from one
// round number to another.
type scale struct{ low, high, step float64 }

// The farthest that an axis goes; a dot beyond it stands at the edge.
const (
	axisLow  = 40
	axisHigh = 120
)

// drawn is the rungs that a chart shows: all up to one beyond the last that was
// thrown, and how many are left out after it. Of a ladder that nobody has thrown
// it is all.
func drawn(r *report.Report) (rungs []report.Rung, left int) {
	last := 0
	for i, g := range r.Ladder.Rungs {
		if g.N > 0 || len(g.Speeds) > 0 {
			last = i
		}
	}
	if !shown(r) {
		last = len(r.Ladder.Rungs) - 1
	}
	n := min(last+2, len(r.Ladder.Rungs))
	return r.Ladder.Rungs[:n], len(r.Ladder.Rungs) - n
}

// leftOut says how many rungs a chart does not show, "" for none.
func leftOut(n int) string {
	if n == 0 {
		return ""
	}
	return "and " + count(n, "rung") + " more, not thrown"
}

// newScale holds every throw, mean and band of the ladder.
func newScale(r *report.Report) scale {
	low, high := 95.0, 100.0
	see := func(v float64) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			low, high = min(low, v), max(high, v)
		}
	}
	rungs, _ := drawn(r)
	for _, g := range rungs {
		if hasBand(g) {
			see(100 * g.Expected[0])
			see(100 * g.Expected[1])
		}
		for _, v := range shares(g, g.Speeds) {
			see(v)
		}
	}
	s := scale{low: max(axisLow, 5*math.Floor(low/5)), high: min(axisHigh, math.Ceil(high)), step: 5}
	if s.high-s.low > 30 {
		s.step = 10
		s.low = 10 * math.Floor(s.low/10)
	}
	return s
}

// at is the place of a percentage on an axis of n steps, within it.
func (s scale) at(percent float64, n int) int {
	return int(math.Round(s.part(percent) * float64(n)))
}

// part is the place of a percentage between 0 and 1.
func (s scale) part(percent float64) float64 {
	return min(1, max(0, (percent-s.low)/(s.high-s.low)))
}

// ticks are the labelled percentages, rising.
func (s scale) ticks() []float64 {
	var out []float64
	for v := s.step * math.Ceil(s.low/s.step); v <= s.high; v += s.step {
		out = append(out, v)
	}
	return out
}

func hasBand(g report.Rung) bool {
	return g.Expected[1] > 0 && g.Expected[0] <= g.Expected[1] && !math.IsInf(g.Expected[1], 0)
}

// shares turns the speeds of a rung into percent of the reference. Without a
// share of the mean there is nothing to measure them by.
func shares(g report.Rung, speeds []float64) []float64 {
	if g.Mean == nil || g.Share == nil || *g.Mean <= 0 {
		return nil
	}
	out := make([]float64, 0, len(speeds))
	for _, v := range speeds {
		if p := 100 * v / *g.Mean * *g.Share; !math.IsNaN(p) && !math.IsInf(p, 0) {
			out = append(out, p)
		}
	}
	return out
}

// rungLabel says what was measured at a rung, and in words where it is stuck.
func rungLabel(r *report.Report, g report.Rung) string {
	text := "not thrown"
	if g.Mean != nil {
		text = fmt.Sprintf("%.1f %s", *g.Mean, g.Unit)
	} else if g.N > 0 {
		text = "no speed"
	}
	if note := rungNote(r, g); note != "" {
		text += ", " + note
	}
	return text
}

func rungNote(r *report.Report, g report.Rung) string {
	l := r.Ladder
	switch {
	case l.Verdict == "range" && g.Throw != "" && g.Throw == l.RungTo:
		return "lost by here"
	case g.Stuck && l.Verdict == "range":
		return "lost from here"
	case g.Stuck:
		return "stuck"
	}
	return ""
}

// TextChart draws the ladder for a width in columns, in plain characters: a
// rung a row, [---] where it should be, o a throw, | the mean, x a misread. The
// axis is in percent of the reference. Below 74 columns the words of a rung
// stand over its row. A ladder without rungs is "".
func TextChart(r *report.Report, width int) string {
	if len(r.Ladder.Rungs) == 0 {
		return ""
	}
	c := textChart{r: r, scale: newScale(r), width: max(24, min(width, 110))}
	if width >= 74 {
		c.measure()
	}
	var b strings.Builder
	rungs, left := drawn(r)
	for _, g := range rungs {
		c.rung(&b, g)
	}
	if left > 0 {
		fmt.Fprintln(&b, leftOut(left))
	}
	c.axis(&b)
	fmt.Fprintf(&b, "\n%s\n", wrap("[---] where it should be   o a throw   | the mean"+c.misread(), c.width))
	return b.String()
}

type textChart struct {
	r     *report.Report
	scale scale
	width int
	left  int // columns of titles beside the rows, 0 = they stand above
	right int // columns of labels beside the rows
}

// measure makes room for titles and labels beside the rows.
func (c *textChart) measure() {
	rungs, _ := drawn(c.r)
	for _, g := range rungs {
		c.left = max(c.left, utf8.RuneCountInString(code(g.Title)))
		c.right = max(c.right, utf8.RuneCountInString(code(rungLabel(c.r, g))))
	}
	c.left, c.right = min(c.left, 28)+2, min(c.right, 28)+2
}

func (c textChart) columns() int { return c.width - c.left - c.right }

func (c textChart) rung(b *strings.Builder, g report.Rung) {
	title, label := code(g.Title), code(rungLabel(c.r, g))
	row := c.row(g)
	if c.left == 0 {
		fmt.Fprintf(b, "%s\n%s\n", strings.TrimRight(cut(title+": "+label, c.width), " "), strings.TrimRight(row, " "))
		return
	}
	fmt.Fprintf(b, "%s\n", strings.TrimRight(pad(cut(title, c.left-2), c.left)+row+"  "+cut(label, c.right-2), " "))
}

// row draws band, throws and mean, the later over the earlier.
func (c textChart) row(g report.Rung) string {
	n := c.columns()
	cells := []rune(strings.Repeat(" ", n))
	if hasBand(g) {
		from, to := c.scale.at(100*g.Expected[0], n-1), c.scale.at(100*g.Expected[1], n-1)
		for i := from; i <= to; i++ {
			cells[i] = '-'
		}
		cells[from], cells[to] = '[', ']'
	}
	for _, v := range shares(g, g.Misread) {
		cells[c.scale.at(v, n-1)] = 'x'
	}
	for _, v := range shares(g, g.Speeds) {
		cells[c.scale.at(v, n-1)] = 'o'
	}
	if g.Share != nil && g.Mean != nil && !math.IsNaN(*g.Share) {
		cells[c.scale.at(100**g.Share, n-1)] = '|'
	}
	return string(cells)
}

// axis writes the ticks with their percentages under them; a label that has no
// room is left out.
func (c textChart) axis(b *strings.Builder) {
	n := c.columns()
	line, labels := []rune(strings.Repeat("-", n)), []rune(strings.Repeat(" ", n))
	free := 0
	for _, v := range c.scale.ticks() {
		at := c.scale.at(v, n-1)
		line[at] = '+'
		text := []rune(fmt.Sprintf("%.0f", v))
		from := min(max(0, at-len(text)/2), n-len(text))
		if from < free {
			continue
		}
		copy(labels[from:], text)
		free = from + len(text) + 1
	}
	indent := strings.Repeat(" ", c.left)
	fmt.Fprintf(b, "%s%s\n%s%s\n", indent, string(line), indent, strings.TrimRight(string(labels), " "))
	fmt.Fprintf(b, "%s%s\n", indent, strings.TrimRight(cut("% of the "+code(orElse(c.r.Athlete.RefTitle, "reference")), c.width-c.left), " "))
}

func (c textChart) misread() string {
	for _, g := range c.r.Ladder.Rungs {
		if len(g.Misread) > 0 {
			return "   x a misread"
		}
	}
	return ""
}

// cut shortens text to a number of columns.
func cut(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return strings.TrimRight(string(r[:max(0, n-3)]), " ") + "..."
}

func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}

// wrap breaks a line at runs of blanks.
func wrap(s string, width int) string {
	var lines []string
	line := ""
	for _, p := range strings.Split(s, "   ") {
		if line != "" && len(line)+3+len(p) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimLeft(line+"   "+p, " ")
	}
	return strings.Join(append(lines, line), "\n")
}
