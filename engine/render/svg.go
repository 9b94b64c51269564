package render

import (
	"bytes"
	"embed"
	"fmt"
	"hash/fnv"
	"html"
	"math"
	"strings"
	"text/template"
	"unicode"

	"rungwise/engine/report"
)

//go:embed page.html page.css ladder.svg roster.html
var files embed.FS

// The measures of the drawing, in its own units. It is as narrow as a phone, so
// that nothing in it shrinks there; titles stand over their rows.
const (
	svgWidth  = 360.0
	svgEdge   = 14.0 // left and right of the rows
	svgRow    = 48.0
	svgTop    = 6.0
	svgBottom = 44.0 // for the axis
	svgLine   = 18.0 // for what is left out
)

// svgLadder is what the template draws.
type svgLadder struct {
	ID, Title, Desc, Axis, More string
	Width, Height               float64
	Left, Right, Foot           float64
	Ticks                       []svgTick
	Rungs                       []svgRung
}

type svgTick struct {
	X    float64
	Text string
}

type svgRung struct {
	Y, TextY, Mid float64
	Title, Label  string
	Stuck, Thrown bool
	Band          bool
	From, Wide    float64
	Dots, Misread []float64
	Mean          float64
	HasMean       bool
}

// SVG draws the ladder: a rung a row, the expected band as a bar, each throw a
// dot, the mean a tick, the measured speed in words, the stuck rung framed and
// named. The axis is in percent of the reference. It uses the colour of the text
// around it and needs no style sheet. A silent record, or one without rungs, is
// "".
func SVG(r *report.Report, o Options) string {
	if quiet(r) || len(r.Ladder.Rungs) == 0 {
		return ""
	}
	t, err := template.New("ladder.svg").Funcs(template.FuncMap{"x": xmlText, "n": oneDecimal, "add": func(a, b float64) float64 { return a + b }}).ParseFS(files, "ladder.svg")
	if err != nil {
		return ""
	}
	var b bytes.Buffer
	if err := t.Execute(&b, newLadderDrawing(r)); err != nil {
		return ""
	}
	return b.String()
}

func oneDecimal(v float64) string { return fmt.Sprintf("%.1f", v) }

// xmlText is a value as text of an XML document; what XML cannot hold is
// dropped.
func xmlText(s string) string {
	return html.EscapeString(strings.Map(func(c rune) rune {
		if c == 0xFFFE || c == 0xFFFF || unicode.Is(unicode.Cs, c) {
			return -1
		}
		return c
	}, plain(s)))
}

func newLadderDrawing(r *report.Report) svgLadder {
	s := newScale(r)
	rungs, left := drawn(r)
	rows := float64(len(rungs))
	d := svgLadder{
		ID: chartID(r), Title: "Ladder of " + r.Case, Axis: "% of the " + orElse(r.Athlete.RefTitle, "reference"),
		Width: svgWidth, Height: svgTop + rows*svgRow + svgBottom, Left: svgEdge, Right: svgWidth - svgEdge, Foot: svgTop + rows*svgRow,
	}
	x := func(percent float64) float64 { return svgEdge + 6 + s.part(percent)*(svgWidth-2*svgEdge-12) }
	for _, v := range s.ticks() {
		d.Ticks = append(d.Ticks, svgTick{X: x(v), Text: fmt.Sprintf("%.0f", v)})
	}
	var desc []string
	for i, g := range rungs {
		d.Rungs = append(d.Rungs, drawRung(r, g, svgTop+float64(i)*svgRow, x))
		desc = append(desc, orElse(g.Title, humble(g.Throw))+": "+rungLabel(r, g))
	}
	d.Desc = strings.Join(desc, "; ") + "."
	if left > 0 {
		desc = append(desc, leftOut(left))
		d.Desc = strings.Join(desc, "; ") + "."
		d.More, d.Height = shorten(leftOut(left), svgWidth-2*svgEdge), d.Height+svgLine
	}
	d.Axis = shorten(plain(d.Axis), svgWidth-2*svgEdge)
	return d
}

func drawRung(r *report.Report, g report.Rung, y float64, x func(float64) float64) svgRung {
	d := svgRung{Y: y, TextY: y + 17, Mid: y + 33, Stuck: rungNote(r, g) != "", Thrown: g.N > 0}
	d.Title, d.Label = fit(orElse(g.Title, humble(g.Throw)), rungLabel(r, g), svgWidth-2*svgEdge-12)
	if hasBand(g) {
		d.Band, d.From = true, x(100*g.Expected[0])-2
		d.Wide = x(100*g.Expected[1]) + 2 - d.From
	}
	for _, v := range shares(g, g.Speeds) {
		d.Dots = append(d.Dots, x(v))
	}
	for _, v := range shares(g, g.Misread) {
		d.Misread = append(d.Misread, x(v))
	}
	if g.Mean != nil && g.Share != nil && !math.IsNaN(*g.Share) {
		d.HasMean, d.Mean = true, x(100**g.Share)
	}
	return d
}

// chartID tells one chart from another on a page.
func chartID(r *report.Report) string {
	h := fnv.New32a()
	fmt.Fprintf(h, "%s %s %v", r.Case, r.On, r.Ladder.Rung)
	return fmt.Sprintf("ladder-%08x", h.Sum32())
}

// fit shortens a title, and then a label, until both stand beside each other on
// a line of some length with room between them.
func fit(title, label string, room float64) (string, string) {
	title, label = plain(title), plain(label)
	label = shorten(label, room*.6)
	return shorten(title, room-textWidth(label)-8), label
}

func shorten(s string, room float64) string {
	if textWidth(s) <= room {
		return s
	}
	c := []rune(s)
	for len(c) > 0 && textWidth(string(c))+textWidth("...") > room {
		c = c[:len(c)-1]
	}
	return strings.TrimRight(string(c), " ") + "..."
}

// textWidth is the most that a text of the drawing's size can take in any usual
// typeface without serifs.
func textWidth(s string) float64 {
	w := 0.0
	for _, c := range s {
		switch {
		case c > unicode.MaxLatin1:
			w += 15
		case strings.ContainsRune("iljtfrI.,:;'!|()[] ", c):
			w += 5
		case unicode.IsUpper(c) || strings.ContainsRune("mw%@", c):
			w += 12
		default:
			w += 7.6
		}
	}
	return w
}
