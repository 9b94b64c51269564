package render

import (
	"encoding/csv"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"rungwise/engine/report"
)

// Roster writes the roster in columns, a line an athlete. It is plain text, on a
// terminal too: a table of thousands is read, not set.
func Roster(w io.Writer, r *report.Roster) error {
	var b strings.Builder
	t := tabwriter.NewWriter(&b, 0, 4, 2, ' ', 0)
	fmt.Fprintln(t, "ATHLETE\tNEEDS YOU FOR\tSTUCK AT\tFIRST FACTOR\tDUE\tWEEK/BASE\tCAUTIONS")
	for _, x := range r.Rows {
		fmt.Fprintln(t, strings.Join([]string{plain(x.Case), dash(clip(x.Attention, 60)), dash(x.RungName), dash(x.FactorIs), dash(x.Due), weekOverBase(x), dash(strings.Join(x.Cautions, ", "))}, "\t"))
	}
	t.Flush() // a strings.Builder takes everything
	for _, line := range strings.SplitAfter(b.String(), "\n") {
		if _, err := io.WriteString(w, strings.TrimRight(line, " \n")+end(line)); err != nil {
			return err
		}
	}
	if len(r.Rows) == 0 {
		fmt.Fprintln(w, "nobody")
	}
	if r.Hidden > 0 {
		fmt.Fprintf(w, "%s left out by the filters\n", count(r.Hidden, "athlete"))
	}
	for i, u := range r.Unreadable {
		if i == 0 {
			fmt.Fprintf(w, "\nnot read (%d):\n", len(r.Unreadable))
		}
		if _, err := fmt.Fprintf(w, "  %s: %s\n", plain(u.File), plain(u.Says)); err != nil {
			return err
		}
	}
	return nil
}

func end(line string) string {
	if strings.HasSuffix(line, "\n") {
		return "\n"
	}
	return ""
}

func dash(s string) string {
	if s = plain(s); s == "" {
		return "-"
	}
	return s
}

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-3]) + "..."
	}
	return s
}

func weekOverBase(x report.RosterRow) string {
	if x.Week == 0 && x.Base == 0 {
		return "-"
	}
	out := fmt.Sprintf("%d/%.0f", x.Week, x.Base)
	if x.Growth != nil {
		out += fmt.Sprintf(" (load x%.2f)", *x.Growth)
	}
	return out
}

// RosterCSV writes the roster as comma-separated values with a heading; what a
// spreadsheet would take for a formula is put behind an apostrophe.
func RosterCSV(w io.Writer, r *report.Roster) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"file", "athlete", "gate", "urgency", "attention", "stuck_rung", "first_factor", "due", "due_now", "last_log", "week_throws", "base_throws", "growth", "cautions", "bad_log_lines"}}
	for _, x := range r.Rows {
		growth := ""
		if x.Growth != nil {
			growth = strconv.FormatFloat(*x.Growth, 'f', 2, 64)
		}
		rows = append(rows, []string{x.File, x.Case, x.Gate, strconv.Itoa(x.Urgency), x.Attention, x.Rung, x.Factor, x.Due, strconv.FormatBool(x.DueNow),
			x.LastLog, strconv.Itoa(x.Week), strconv.FormatFloat(x.Base, 'f', 1, 64), growth, strings.Join(x.Cautions, " "), strconv.Itoa(x.BadLines)})
	}
	for _, u := range r.Unreadable {
		rows = append(rows, []string{u.File, "", "unreadable", "", u.Says, "", "", "", "", "", "", "", "", "", ""})
	}
	for _, row := range rows {
		for i := range row {
			row[i] = cell(row[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// cell keeps a spreadsheet from reading words as a formula.
func cell(s string) string {
	s = plain(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// RosterPage writes the roster as one page without scripts: a line an athlete,
// each with the small picture of the ladder.
func RosterPage(w io.Writer, r *report.Roster) error {
	page, err := template.New("roster").Funcs(template.FuncMap{
		"plain": plain, "spark": sparkPath, "mark": sparkMark, "day": dayMonth, "load": weekOverBase, "list": func(s []string) string { return strings.Join(s, ", ") },
		"urgent": func(n int) string {
			return [...]string{"stop", "ask", "look", "due", "open", "none"}[min(max(n, 0), 5)]
		},
	}).Parse(rosterPage)
	if err != nil {
		return fmt.Errorf("the page cannot be made: %w", err)
	}
	return page.Execute(w, r)
}

// The little picture: width and height in pixels, and the share of the reference
// at its lower edge; healthy carry-overs stay well above it.
const (
	sparkWide, sparkHigh = 120, 28
	sparkLow             = 75.0
	sparkTop             = 103.0
)

func sparkAt(values []float64, i int) (x, y float64) {
	x = 4
	if len(values) > 1 {
		x += float64(i) * (sparkWide - 8) / float64(len(values)-1)
	}
	share := min(max(values[i], sparkLow), sparkTop)
	return x, 2 + (sparkTop-share)/(sparkTop-sparkLow)*(sparkHigh-4)
}

// sparkPath joins the measured rungs.
func sparkPath(values []float64) string {
	var b strings.Builder
	for i, v := range values {
		if v == 0 {
			continue
		}
		x, y := sparkAt(values, i)
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%.1f,%.1f", x, y)
	}
	return b.String()
}

type point struct{ X, Y float64 }

// sparkMark is the place of the stuck rung, nil where there is none.
func sparkMark(x report.RosterRow) *point {
	if x.SparkAt < 0 || x.SparkAt >= len(x.Spark) || x.Spark[x.SparkAt] == 0 {
		return nil
	}
	px, py := sparkAt(x.Spark, x.SparkAt)
	return &point{px, py}
}

const rosterPage = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Roster, {{day .On}}</title>
<style>
body { font: 16px/1.4 system-ui, sans-serif; margin: 1rem auto; max-width: 75rem; padding: 0 .7rem; color: #1a1a1a; background: #fff }
table { border-collapse: collapse; width: 100% }
th, td { text-align: left; padding: .3rem .5rem; border-bottom: 1px solid #ccc; vertical-align: middle }
tr.stop td:nth-child(2), tr.ask td:nth-child(2) { font-weight: bold }
polyline { fill: none; stroke: #245; stroke-width: 1.5 }
circle { fill: #fff; stroke: #a30; stroke-width: 2 }
small { color: #555 }
@media (max-width: 45rem) { thead { display: none } td { display: block; border: 0; padding: .1rem .5rem } tr { display: block; border-bottom: 1px solid #999; padding: .4rem 0 } }
@media print { body { max-width: none; font-size: 11px } tr { break-inside: avoid } }
</style>
</head>
<body>
<h1>Roster, {{day .On}}</h1>
<table>
<thead><tr><th>Athlete</th><th>Needs you for</th><th>Ladder</th><th>Stuck at</th><th>First factor</th><th>Due</th><th>Week / base</th></tr></thead>
<tbody>
{{range .Rows}}<tr class="{{urgent .Urgency}}"><td>{{plain .Case}}</td><td>{{plain .Attention}}</td><td>{{if .Spark}}<svg width="120" height="28" viewBox="0 0 120 28" role="img" aria-label="ladder in percent of the drill: {{range .Spark}}{{if .}}{{printf "%.0f" .}} {{else}}not measured {{end}}{{end}}"><polyline points="{{spark .Spark}}"/>{{with mark .}}<circle cx="{{printf "%.1f" .X}}" cy="{{printf "%.1f" .Y}}" r="3.5"/>{{end}}</svg>{{end}}</td><td>{{plain .RungName}}</td><td>{{plain .FactorIs}}</td><td>{{if .Due}}{{day .Due}}{{end}}</td><td>{{load .}}</td></tr>
{{else}}<tr><td colspan="7">Nobody.</td></tr>
{{end}}</tbody>
</table>
{{if .Hidden}}<p><small>{{.Hidden}} left out by the filters.</small></p>
{{end}}{{if .Unreadable}}<h2>Not read</h2>
<ul>
{{range .Unreadable}}<li>{{plain .File}}: {{plain .Says}}</li>
{{end}}</ul>
{{end}}<p><small>The line is the ladder, each rung in percent of the drill; the ring is where it breaks. Rule base {{.Rules.Version}}, {{.Rules.Hash}}{{if .Rules.House}}, house rules {{.Rules.House}}{{end}}. League rules and licensed clinicians come first.</small></p>
</body>
</html>
`

// Review writes the review of closed problems as Markdown. Lines with too few
// athletes show their counts and no share.
func Review(r *report.Review, o Options) string {
	b := &builder{lists: o.width() < narrow}
	b.title = "What became of closed problems, to " + esc(dayMonth(r.On))
	b.section("counts", "")
	b.para(esc(fmt.Sprintf("%s with a log, %s.", count(r.Athletes, "athlete"), count(r.Closed, "closed problem"))))
	for _, t := range []struct {
		head string
		list []report.Outcome
	}{{"By factor", r.Factors}, {"By drill", r.Drills}} {
		b.section(t.head, t.head)
		var rows [][]string
		for _, x := range t.list {
			rows = append(rows, []string{esc(x.Title), fmt.Sprint(x.Athletes), fmt.Sprint(x.Closed), fmt.Sprint(x.Passed), shareWords(x)})
		}
		b.table([]string{"Worked on", "Athletes", "Closed", "Passed", "Share, 95 of 100"}, rows)
	}
	b.section("says", "How to read it")
	var items []string
	for _, s := range r.Says {
		items = append(items, esc(s))
	}
	b.bullets(items...)
	if len(r.Unread) > 0 {
		b.section("unread", "Not read, or not all of it")
		items = nil
		for _, u := range r.Unread {
			items = append(items, esc(u.File+": "+u.Says))
		}
		b.bullets(items...)
	}
	return b.markdown(nil, o)
}

func shareWords(x report.Outcome) string {
	if x.Low == nil || x.High == nil {
		return "too few athletes"
	}
	return fmt.Sprintf("%.0f to %.0f %%", 100**x.Low, 100**x.High)
}
