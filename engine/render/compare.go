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
	w.bullets(w.footing()...)
	var unclear []string
	for _, row := range w.rows("unclear") {
		unclear = append(unclear, join(bold(esc("Too close to call: "+row.Title+".")), esc(sentence(pair(row))), esc(sentence(row.Note))))
	}
	w.bullets(unclear...)
	w.summed("Not seen: ", "unseen")
	w.summed("Alike: ", "same")
}

// footing says what the settled rows rest on: the clips behind them, and what
// to keep in mind about the camera.
func (w *writer) footing() []string {
	var out []string
	for _, verdict := range []string{"differs", "same"} {
		for _, row := range w.rows(verdict) {
			if line := join(esc(sentence(clips(row))), esc(sentence(row.Note))); line != "" {
				out = append(out, join(bold(esc(sentence(row.Title))), line))
			}
		}
	}
	return out
}

// clips names the clips behind a row, "" where none was named.
func clips(row report.Row) string {
	var parts []string
	if row.BestFrom != "" {
		parts = append(parts, "drill: "+row.BestFrom)
	}
	if row.StuckFrom != "" {
		parts = append(parts, "there: "+row.StuckFrom)
	}
	return strings.Join(parts, ", ")
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
