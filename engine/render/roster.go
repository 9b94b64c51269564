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
	for line := range strings.Lines(b.String()) {
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " \n")); err != nil {
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
	page, err := template.New("roster.html").Funcs(template.FuncMap{
		"plain": plain, "spark": sparkPath, "mark": sparkMark, "day": dayMonth, "load": weekOverBase, "list": func(s []string) string { return strings.Join(s, ", ") },
		"urgent": func(n int) string {
			return [...]string{"stop", "ask", "look", "due", "open", "none"}[min(max(n, 0), 5)]
		},
	}).ParseFS(files, "roster.html")
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

// Review writes the review of closed problems as Markdown. Lines with too few
// athletes show their counts and no share.
func Review(r *report.Review, o Options) string {
	w := newWriter(&report.Report{On: r.On}, o)
	w.title = w.say("head_review")
	w.section("counts", "")
	w.para(w.say("review_counts", "n", count(r.Athletes, "athlete"), "of", count(r.Closed, "closed problem")))
	w.section("factors", "head_by_factor")
	w.outcomes(r.Factors)
	w.section("drills", "head_by_drill")
	w.outcomes(r.Drills)
	w.section("says", "head_how_to_read")
	w.bullets(each(r.Says, esc)...)
	w.listed("unread", "head_unread", each(r.Unread, func(u report.Unreadable) string { return esc(u.File + ": " + u.Says) })...)
	return w.markdown(nil, o)
}

func (w *writer) outcomes(all []report.Outcome) {
	var rows [][]string
	for _, x := range all {
		share := "too few athletes"
		if x.Low != nil && x.High != nil {
			share = fmt.Sprintf("%.0f to %.0f %%", 100**x.Low, 100**x.High)
		}
		rows = append(rows, []string{esc(x.Title), strconv.Itoa(x.Athletes), strconv.Itoa(x.Closed), strconv.Itoa(x.Passed), share})
	}
	w.table([]string{"Worked on", "Athletes", "Closed", "Passed", "Share, 95 of 100"}, rows)
}
