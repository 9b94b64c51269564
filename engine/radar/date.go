package radar

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

// The ways in which dates are written. Only the last one can mean two days.
var (
	yearFirst = regexp.MustCompile(`^(\d{4})[-/.]?(\d{2})[-/.]?(\d{2})(?:[T ]\d{1,2}:\d{2}.*)?$`)
	dotted    = regexp.MustCompile(`^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})(?:[ ,]+\d{1,2}:\d{2}.*)?$`)
	stroked   = regexp.MustCompile(`^(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})(?:[ ,]+\d{1,2}:\d{2}.*)?$`)
)

// dateOrder settles which number of a date with strokes is the day: as the
// caller says, else as the dates that can mean one day only show it for the
// whole column. With neither the file is refused.
func (r *reader) dateOrder() {
	r.order = r.o.DateOrder
	at, ok := r.roles[Date]
	if !ok || r.order != "" {
		return
	}
	var open *record
	for _, rec := range r.body {
		m := stroked.FindStringSubmatch(rec.cell(at))
		if m == nil {
			continue
		}
		says, note := "", ""
		switch a, b := number(m[1]), number(m[2]); {
		case a > 12 && b <= 12:
			says, note = DayFirst, "dates read with the day first, as one of them can only mean that"
		case b > 12 && a <= 12:
			says, note = MonthFirst, "dates read with the month first, as one of them can only mean that"
		case a != b && open == nil:
			open = &rec
		}
		if says != "" && r.order == "" {
			r.order, r.m.Notes = says, append(r.m.Notes, note)
		}
		if says != "" && says != r.order {
			r.refuseAt(r.place(rec, at), "R617", "dates with the day first and dates with the month first stand in one column", "write them like 2026-11-09")
			return
		}
	}
	if r.order == "" && open != nil {
		r.refuseAt(r.place(*open, at), "R618", fmt.Sprintf("%q can be two days", short(open.cell(at))), "say which with --date-order dmy or mdy")
	}
}

// readDate reads a date; a time of day after it is left out.
func (r *reader) readDate(cell string) (time.Time, bool) {
	if m := yearFirst.FindStringSubmatch(cell); m != nil {
		return day(m[1], m[2], m[3])
	}
	if m := dotted.FindStringSubmatch(cell); m != nil {
		return day(m[3], m[2], m[1])
	}
	if m := stroked.FindStringSubmatch(cell); m != nil {
		if r.order == MonthFirst {
			return day(m[3], m[1], m[2])
		}
		return day(m[3], m[2], m[1]) // day first, or both numbers the same
	}
	for _, layout := range []string{"2 Jan 2006", "Jan 2 2006", "Jan 2, 2006", "2-Jan-2006", "2-Jan-06", "2 January 2006", "January 2, 2006"} {
		if t, err := time.Parse(layout, cell); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// day makes a date of its numbers; a year of two digits is of this century.
func day(year, month, date string) (time.Time, bool) {
	y, m, d := number(year), number(month), number(date)
	if len(year) == 2 {
		y += 2000
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return t, t.Year() == y && int(t.Month()) == m && t.Day() == d
}

// number reads digits that a pattern has bounded.
func number(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}
