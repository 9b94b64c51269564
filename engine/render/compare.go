package render

import (
	"strings"

	"rungwise/engine/report"
)

// differs puts the checkpoints side by side: what differs in a table, then what
// is unclear and what was not seen by name, and the rest in one line.
func (w *writer) differs() {
	if len(w.r.Comparison.Rows) == 0 {
		return
	}
	w.section("compared", "What differs")
	if a := w.r.Athlete; a.Compared != "" {
		w.para(esc("Drill: " + a.RefTitle + ". Beside it: " + a.CompTitle + "."))
	}
	var rows [][]string
	for _, row := range w.rows("differs") {
		rows = append(rows, []string{esc(row.Title), seen(row.Best), seen(row.Stuck), esc(row.Moment)})
	}
	w.table([]string{"Look at", "Drill", "There", "When"}, rows)
	if len(rows) == 0 {
		w.para("Nothing differs clearly.")
	}
	var unclear []string
	for _, row := range w.rows("unclear") {
		unclear = append(unclear, join(bold(esc("Too close to call: "+row.Title+".")), esc(sentence(pair(row))), esc(sentence(row.Note))))
	}
	w.bullets(unclear...)
	w.summed("Not seen: ", "unseen")
	w.summed("Alike: ", "same")
}

func (w *writer) summed(label, verdict string) {
	var names []string
	for _, row := range w.rows(verdict) {
		names = append(names, row.Title)
	}
	if len(names) > 0 {
		w.para(bold(esc(strings.TrimSpace(label))), esc(list(names)+"."))
	}
}

func (w *writer) rows(verdict string) []report.Row {
	var out []report.Row
	for _, row := range w.r.Comparison.Rows {
		if row.Verdict == verdict {
			out = append(out, row)
		}
	}
	return out
}

func seen(s string) string { return esc(orElse(humble(s), "not seen")) }

func pair(row report.Row) string {
	if row.Best == "" && row.Stuck == "" {
		return ""
	}
	return orElse(humble(row.Best), "not seen") + " in the drill, " + orElse(humble(row.Stuck), "not seen") + " there"
}
