package render

import (
	"cmp"
	_ "embed"
	"io"
	"reflect"
	"slices"
	"strings"
	"text/template"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

// linesText has a template for each record that is told in plain lines, by the
// name of the record's type.
//
//go:embed lines.tmpl
var linesText string

// Lines writes a record in plain lines, on a terminal too. A record that has no
// lines is an error.
func Lines(w io.Writer, record any) error {
	if r, ok := record.(*report.Roster); ok {
		return Roster(w, r)
	}
	t, err := template.New("lines").Funcs(template.FuncMap{
		"after": strings.TrimPrefix, "count": count, "day": dayMonth, "fields": fields,
		"percent": func(p float64) float64 { return 100 * p }, "join": strings.Join, "entries": logLines,
		"line":  entryLine,
		"speed": func(v *float64, u string) string { return unit.Quantity{Value: *v, Unit: unit.Unit(u)}.String() },
		"drawn": func(l diag.List) (string, error) { var b strings.Builder; err := l.Write(&b); return b.String(), err },
		"level": levels,
	}).Parse(linesText)
	if err != nil {
		return err
	}
	return t.ExecuteTemplate(w, lineName(record), record)
}

func lineName(record any) string {
	t := reflect.TypeOf(record)
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t.Name()
}

func fields(s string) string { return strings.Join(strings.Fields(s), " ") }

// levels counts the diagnostics of a level in words, "" for none.
func levels(l diag.List, level string) string {
	n := 0
	for _, d := range l {
		if d.Level.String() == level {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return count(n, level)
}

// logLine is an entry of a log, and whether a later one took it back.
type logLine struct {
	casefile.Entry
	Back bool
}

// logLines lists the entries by day; what a later one corrected or took back
// stays in the list, since what it complained of stays in force.
func logLines(l *casefile.Log) []logLine {
	var out []logLine
	for _, e := range l.Entries {
		out = append(out, logLine{e, false})
	}
	for _, e := range l.Withdrawn {
		out = append(out, logLine{e, true})
	}
	slices.SortStableFunc(out, func(x, y logLine) int { return cmp.Or(strings.Compare(x.On, y.On), cmp.Compare(x.ID, y.ID)) })
	return out
}

func entryLine(e casefile.Entry) (string, error) {
	var b strings.Builder
	err := Lines(&b, e)
	return Line(strings.ReplaceAll(b.String(), "\n", "")), err
}
