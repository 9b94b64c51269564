// Package workload counts throws on civil days and says which hard limits they would break.
//
// Invariant: a limit is only ever judged against counted throws, never against a wish, and nothing here can make a
// limit looser: Tighten keeps the stricter of two numbers, an unknown age gets the youngest row, and missing days are
// read the way that allows less. The numbers come from outside (the rules' data); what they mean is decided here.
package workload

import (
	"fmt"
	"time"
)

// A Date is a civil date, counted in days since 1 January 1970. It carries no clock and no zone, so the day after d
// is d+1 whatever happens to the clocks that night.
type Date int

const layout = "2006-01-02"

// On returns the date of a year, month and day; the calendar is the time package's.
func On(year int, month time.Month, day int) Date {
	return DateOf(time.Date(year, month, day, 0, 0, 0, 0, time.UTC))
}

// DateOf returns the civil date that t shows in its own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// ParseDate reads a date written as 2026-11-09.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(layout, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date such as 2026-11-09", s)
	}
	return DateOf(t), nil
}

// Time returns midnight UTC of the date.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.Time().Weekday() }

// String writes the date as 2026-11-09.
func (d Date) String() string { return d.Time().Format(layout) }

// MarshalText writes the date as 2026-11-09, for JSON too.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (d *Date) UnmarshalText(b []byte) error {
	parsed, err := ParseDate(string(b))
	if err == nil {
		*d = parsed
	}
	return err
}
