package render

import (
	"bytes"
	"embed"
	"fmt"
	"hash/fnv"
	"html"
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
	chart
	ID, Title, Desc     string
	Width, Height, Foot float64
	Left, Right         float64
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
	t, err := template.New("ladder.svg").Funcs(template.FuncMap{
		"text": xmlText, "n": oneDecimal,
		"x":    func(at, more float64) string { return oneDecimal(svgX(at) + more) },
		"y":    func(row int, more float64) string { return oneDecimal(svgTop + float64(row)*svgRow + more) },
		"add":  func(a, b float64) float64 { return a + b },
		"wide": func(band []float64) string { return oneDecimal(svgX(band[1]) + 2 - (svgX(band[0]) - 2)) },
	}).ParseFS(files, "ladder.svg")
	if err != nil {
		return ""
	}
	var b bytes.Buffer
	if err := t.Execute(&b, newLadderDrawing(r)); err != nil {
		return ""
	}
	return b.String()
}

func svgX(at float64) float64 { return svgEdge + 6 + at*(svgWidth-2*svgEdge-12) }

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
	c := newChart(r)
	foot := svgTop + float64(len(c.Rows))*svgRow
	d := svgLadder{chart: c, ID: chartID(r), Title: "Ladder of " + r.Case, Width: svgWidth, Height: foot + svgBottom, Foot: foot,
		Left: svgEdge, Right: svgWidth - svgEdge}
	var desc []string
	for i := range d.Rows {
		g := &d.Rows[i]
		desc = append(desc, g.Title+": "+g.Label)
		g.Title, g.Label = fit(g.Title, g.Label, svgWidth-2*svgEdge-12)
	}
	if c.More != "" {
		desc = append(desc, c.More)
		d.Height += svgLine
	}
	d.Desc = strings.Join(desc, "; ") + "."
	d.More, d.Axis = shorten(c.More, svgWidth-2*svgEdge), shorten(c.Axis, svgWidth-2*svgEdge)
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
