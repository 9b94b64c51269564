package render

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"rungwise/engine/report"
)

// A chart is the ladder on an axis in percent of the reference. Every place on
// it is a share of the axis, from 0 to 1; what lies beyond stands at its edge.
type chart struct {
	Axis  string
	Ticks []tick
	Rows  []chartRow
	More  string // what is left out, in words
}

type tick struct {
	At   float64
	Text string
}

// chartRow is one rung: the band where it should be, its throws, its misreads
// and its mean. Band and Mean are nil where there is none.
type chartRow struct {
	Title, Label  string
	Stuck, Thrown bool
	Band          []float64
	Dots, Misread []float64
	Mean          *float64
}

// The farthest that an axis goes, in percent.
const (
	axisLow  = 40
	axisHigh = 120
)

// newChart draws all rungs up to one beyond the last that was thrown; of a
// ladder that nobody has thrown all.
func newChart(r *report.Report) chart {
	rungs, last := r.Ladder.Rungs, 0
	for i, g := range rungs {
		if g.N > 0 || len(g.Speeds) > 0 || !shown(r) {
			last = i
		}
	}
	c := chart{Axis: plain("% of the " + orElse(r.Athlete.RefTitle, "reference"))}
	n := min(last+2, len(rungs))
	if left := len(rungs) - n; left > 0 {
		c.More = "and " + count(left, "rung") + " more, not thrown"
	}
	rungs = rungs[:n]
	low, high, step := axis(rungs)
	at := func(percent float64) float64 { return min(1, max(0, (percent-low)/(high-low))) }
	for v := step * math.Ceil(low/step); v <= high; v += step {
		c.Ticks = append(c.Ticks, tick{at(v), whole(v)})
	}
	for _, g := range rungs {
		c.Rows = append(c.Rows, newRow(r, g, at))
	}
	return c
}

func newRow(r *report.Report, g report.Rung, at func(float64) float64) chartRow {
	note := rungNote(r, g)
	label := "not thrown"
	if g.Mean != nil {
		label = fmt.Sprintf("%.1f %s", *g.Mean, g.Unit)
	} else if g.N > 0 {
		label = "no speed"
	}
	row := chartRow{Title: orElse(g.Title, humble(g.Throw)), Label: strings.Join(filled([]string{label, note}), ", "), Stuck: note != "", Thrown: g.N > 0}
	if hasBand(g) {
		row.Band = []float64{at(100 * g.Expected[0]), at(100 * g.Expected[1])}
	}
	for _, v := range shares(g, g.Speeds) {
		row.Dots = append(row.Dots, at(v))
	}
	for _, v := range shares(g, g.Misread) {
		row.Misread = append(row.Misread, at(v))
	}
	if g.Mean != nil && g.Share != nil && !math.IsNaN(*g.Share) {
		mean := at(100 * *g.Share)
		row.Mean = &mean
	}
	return row
}

// axis goes from one round percentage to another and holds every throw and band.
func axis(rungs []report.Rung) (low, high, step float64) {
	low, high = 95, 100
	for _, g := range rungs {
		all := shares(g, g.Speeds)
		if hasBand(g) {
			all = append(all, 100*g.Expected[0], 100*g.Expected[1])
		}
		for _, v := range all {
			if finite(v) {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	low, high, step = max(axisLow, 5*math.Floor(low/5)), min(axisHigh, math.Ceil(high)), 5
	if high-low > 30 {
		low, step = 10*math.Floor(low/10), 10
	}
	return low, high, step
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func hasBand(g report.Rung) bool {
	return g.Expected[1] > 0 && g.Expected[0] <= g.Expected[1] && !math.IsInf(g.Expected[1], 0)
}

// shares turns the speeds of a rung into percent of the reference. Without a
// share of the mean there is nothing to measure them by.
func shares(g report.Rung, speeds []float64) []float64 {
	if g.Mean == nil || g.Share == nil || *g.Mean <= 0 {
		return nil
	}
	var out []float64
	for _, v := range speeds {
		if p := 100 * v / *g.Mean * *g.Share; finite(p) {
			out = append(out, p)
		}
	}
	return out
}

// rungNote says where the ladder is lost.
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
	c := newChart(r)
	beside := width >= 74
	width = max(24, min(width, 110))
	left, right := 0, 0 // columns of titles and labels beside the rows
	if beside {
		for _, g := range c.Rows {
			left, right = max(left, utf8.RuneCountInString(code(g.Title))), max(right, utf8.RuneCountInString(code(g.Label)))
		}
		left, right = min(left, 28)+2, min(right, 28)+2
	}
	var b strings.Builder
	print := func(indent, text string) { b.WriteString(strings.TrimRight(indent+text, " ") + "\n") }
	for _, g := range c.Rows {
		title, label, cells := code(g.Title), code(g.Label), g.cells(width-left-right)
		if beside {
			print(pad(cut(title, left-2), left), cells+"  "+cut(label, right-2))
		} else {
			print("", cut(title+": "+label, width))
			print("", cells)
		}
	}
	if c.More != "" {
		print("", c.More)
	}
	line, labels := c.axis(width - left - right)
	indent := strings.Repeat(" ", left)
	print(indent, line)
	print(indent, labels)
	print(indent, cut(code(c.Axis), width-left))
	b.WriteString("\n" + legend(r, width) + "\n")
	return b.String()
}

// cells draws band, throws and mean, the later over the earlier.
func (g chartRow) cells(n int) string {
	cells := []rune(strings.Repeat(" ", n))
	put := func(at float64, c rune) int {
		i := column(at, n)
		cells[i] = c
		return i
	}
	if g.Band != nil {
		for i := column(g.Band[0], n); i <= column(g.Band[1], n); i++ {
			cells[i] = '-'
		}
		put(g.Band[0], '[')
		put(g.Band[1], ']')
	}
	for _, v := range g.Misread {
		put(v, 'x')
	}
	for _, v := range g.Dots {
		put(v, 'o')
	}
	if g.Mean != nil {
		put(*g.Mean, '|')
	}
	return string(cells)
}

// column is the place of a share among n columns.
func column(at float64, n int) int { return int(math.Round(at * float64(n-1))) }

// axis draws the ticks with their percentages under them; a label that has no
// room is left out.
func (c chart) axis(n int) (line, labels string) {
	over, under := []rune(strings.Repeat("-", n)), []rune(strings.Repeat(" ", n))
	free := 0
	for _, t := range c.Ticks {
		at := column(t.At, n)
		over[at] = '+'
		from := min(max(0, at-len(t.Text)/2), n-len(t.Text))
		if from >= free {
			copy(under[from:], []rune(t.Text))
			free = from + len(t.Text) + 1
		}
	}
	return string(over), string(under)
}

// legend says what the marks mean, with no line beyond the width.
func legend(r *report.Report, width int) string {
	marks := []string{"[---] where it should be", "o a throw", "| the mean"}
	if slices.ContainsFunc(r.Ladder.Rungs, func(g report.Rung) bool { return len(g.Misread) > 0 }) {
		marks = append(marks, "x a misread")
	}
	text, line := "", ""
	for _, m := range marks {
		if line != "" && len(line)+3+len(m) > width {
			text, line = text+line+"\n", ""
		}
		line = strings.TrimLeft(line+"   "+m, " ")
	}
	return text + line
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
