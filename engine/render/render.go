// Package render puts the record into words: Markdown, terminal, page, charts,
// calendar and JSON.
//
// Its invariant: it adds nothing to the record and decides nothing. Where the
// gate refers, or the safety questions are open, every face prints the gate's
// words, the signs to stop at and who to ask, and no throw, drill or count.
// Whatever stands in the record is data: none of it is ever read as markup or
// reaches a terminal as a control character. The same record gives the same
// bytes.
package render

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"rungwise/engine/diag"
	"rungwise/engine/report"
)

// Options says how to write. The zero value writes 80 columns with the
// sentences that cannot be done without.
type Options struct {
	// Width is the columns of the reader; 0 means 80. It shapes charts, and
	// below 72 tables become lists.
	Width int
	// Words returns a sentence of the rule base by its id, "" where there is
	// none or a house has taken it out.
	Words report.Words
	// Page is AthletePage or CoachPage, for HTML; "" means AthletePage.
	Page string
}

// The pages that HTML writes.
const (
	AthletePage = "athlete"
	CoachPage   = "coach"
)

// narrow is the width below which tables become lists.
const narrow = 72

func (o Options) width() int {
	if o.Width <= 0 {
		return 80
	}
	return o.Width
}

// quiet reports whether nothing may be said about throwing. A record without a
// reference drill says nothing about throwing either way, so it is quiet when it
// lacks something.
func quiet(r *report.Report) bool {
	return r.Gate.Silent() || r.Gate.Verdict == "not_enough" && r.Athlete.Reference == ""
}

// JSON writes a record (a report, an explanation), indented by two blanks, with a line end. Control and
// direction characters are written as escapes, so that the text is safe on a
// terminal. A record with a number that is none is an error.
func JSON(w io.Writer, record any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(record); err != nil {
		return fmt.Errorf("the record cannot be written as JSON: %w", err)
	}
	var out bytes.Buffer
	for _, c := range b.String() {
		if c != '\n' && diag.Steers(c) {
			fmt.Fprintf(&out, `\u%04x`, c)
			continue
		}
		out.WriteRune(c)
	}
	_, err := w.Write(out.Bytes())
	return err
}
