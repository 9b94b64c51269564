package radar

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"rungwise/engine/diag"
)

// record is one line of cells, each with its place.
type record struct {
	cells []string
	line  int   // counted from 1
	cols  []int // byte of each cell within its line, counted from 1
	rows  []int // line of each cell: a quoted one may run over several
}

// filled is the number of cells up to the last that holds something.
func (c record) filled() int {
	for i := len(c.cells); i > 0; i-- {
		if strings.TrimSpace(c.cells[i-1]) != "" {
			return i
		}
	}
	return 0
}

// cell returns the text of a column, "" where the line is too short.
func (c record) cell(i int) string {
	if i < 0 || i >= len(c.cells) {
		return ""
	}
	return strings.TrimSpace(c.cells[i])
}

// place is where a cell stands, or the line where it has no such cell.
func (r *reader) place(c record, i int) diag.Place {
	line := c.line
	if i >= 0 && i < len(c.rows) {
		line = c.rows[i]
	}
	p := diag.Place{Path: r.m.Path, Line: line, Text: r.line(line)}
	if i >= 0 && i < len(c.cols) && c.cols[i] <= len(p.Text)+1 {
		p.Col = utf8.RuneCountInString(p.Text[:c.cols[i]-1]) + 1
		p.Width = max(1, utf8.RuneCountInString(c.cells[i]))
	}
	return p
}

// line returns the text of a line without its end.
func (r *reader) line(n int) string {
	if n < 1 || n > len(r.lines) {
		return ""
	}
	text := r.text[r.lines[n-1]:]
	if i := strings.IndexByte(text, '\n'); i >= 0 {
		text = text[:i]
	}
	return strings.TrimSuffix(text, "\r")
}

// candidate is the file cut at one separator.
type candidate struct {
	sep     rune
	records []record
	heading int // index, -1 without a heading
	roles   map[string]int
	fault   diag.Diagnostic // of the cutting itself
	broken  bool
	fits    float64 // share of the lines under the heading that have no more cells than it
}

// table chooses the separator under which there is a heading with a speed and
// most lines have the heading's length, and finds the heading. Counting
// separators would take a decimal comma for one.
func (r *reader) table() {
	seps, skip := []rune{',', ';', '\t', '|'}, 0
	if hint, ok := strings.CutPrefix(strings.ToLower(r.line(1)), "sep="); ok && len([]rune(hint)) == 1 && strings.ContainsAny(hint, ",;\t|") {
		seps, skip = []rune(hint), 1
	}
	var best candidate
	best.heading = -1
	for _, sep := range seps {
		c := r.cut(sep, skip)
		if c.heading < 0 && best.heading < 0 && c.broken && !best.broken {
			best = c
		}
		if c.heading >= 0 && (best.heading < 0 || c.fits > best.fits || c.fits == best.fits && len(c.records[c.heading].cells) > len(best.records[best.heading].cells)) {
			best = c
		}
	}
	switch {
	case best.broken:
		r.ds.Add(best.fault)
	case best.heading < 0:
		r.noHeading()
	default:
		r.heading, r.body, r.roles = best.records[best.heading], best.records[best.heading+1:], best.roles
		if best.heading > 0 {
			r.m.Notes = append(r.m.Notes, fmt.Sprintf("%s above the heading on line %d", counted(best.heading, "line"), r.heading.line))
		}
		r.checkHeading()
	}
}

func (r *reader) noHeading() {
	first := 1
	for first < len(r.lines) && strings.TrimSpace(r.line(first)) == "" {
		first++
	}
	r.refuseAt(diag.Place{Path: r.m.Path, Line: first, Text: r.line(first)}, "R610", "no heading names a speed",
		"head the column of readings `speed` or `mph`, or say which it is with --column speed=HEADING")
}

// cut cuts the text at a separator and looks for the heading.
func (r *reader) cut(sep rune, skip int) candidate {
	c := candidate{sep: sep, heading: -1}
	from := 0
	if skip < len(r.lines) {
		from = r.lines[skip]
	}
	in := csv.NewReader(strings.NewReader(r.text[from:]))
	in.Comma, in.FieldsPerRecord, in.ReuseRecord = sep, -1, false
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			c.broken, c.fault = true, r.broken(err, skip)
			break
		}
		if len(c.records) == MostLines {
			c.broken, c.fault = true, diag.Diagnostic{Place: diag.Place{Path: r.m.Path}, Code: "R606",
				Headline: fmt.Sprintf("the file has more than %d lines", MostLines), Help: "export one session only"}
			break
		}
		rec := record{cells: cells}
		for i := range cells {
			line, col := in.FieldPos(i)
			rec.rows, rec.cols = append(rec.rows, line+skip), append(rec.cols, col)
		}
		rec.line = rec.rows[0]
		c.records = append(c.records, rec)
	}
	r.findHeading(&c)
	return c
}

// broken tells a fault of quotation marks at its place.
func (r *reader) broken(err error, skip int) diag.Diagnostic {
	d := diag.Diagnostic{Place: diag.Place{Path: r.m.Path}, Code: "R607", Headline: "the quotation marks of this line do not match",
		Help: "a cell in quotes begins and ends with one; take stray ones out"}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		d.Line = parse.Line + skip
		d.Text = r.line(d.Line)
		if parse.Column >= 1 && parse.Column-1 <= len(d.Text) {
			d.Col, d.Width = utf8.RuneCountInString(d.Text[:parse.Column-1])+1, 1
		}
	}
	return d
}

// headingWithin is how many lines may stand above the heading.
const headingWithin = 60

func (r *reader) findHeading(c *candidate) {
	for i, rec := range c.records {
		if i == headingWithin {
			return
		}
		if roles := r.rolesOf(rec); has(roles, Speed) {
			c.heading, c.roles = i, roles
			break
		}
	}
	if c.heading < 0 {
		return
	}
	fit, all := 0, 0
	for _, rec := range c.records[c.heading+1:] {
		if n := rec.filled(); n > 0 {
			all++
			if n <= len(c.records[c.heading].cells) {
				fit++
			}
		}
	}
	if all > 0 {
		c.fits = float64(fit) / float64(all)
	}
}

func has(roles map[string]int, role string) bool {
	_, ok := roles[role]
	return ok
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
