package render

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	ics "github.com/arran4/golang-ical"

	"rungwise/engine/report"
)

// ErrNoPlan says that a record holds no days to put into a calendar.
var ErrNoPlan = errors.New("there is no plan to put into a calendar")

// Calendar writes the sessions and the retest as an iCalendar file (RFC 5545):
// one all-day event each, rest days left out. An event keeps its identity as
// long as its athlete, its day and its place in that day stay; the time stamp
// is the day on which the record was made, so that the same record gives the
// same bytes. Without a plan, or with one whose days cannot be read, it is an
// error.
func Calendar(r *report.Report, o Options) ([]byte, error) { return CalendarAfter(r, nil, o) }

// CalendarAfter writes the calendar that follows one that was written before: an
// event that has changed counts its SEQUENCE up, and a day that is gone from
// today on is cancelled. Without a plan it cancels everything that was there,
// and says nothing else. ErrNoPlan tells that there is nothing to cancel either,
// ErrOldCalendar that the calendar before cannot be read.
func CalendarAfter(r *report.Report, before []byte, o Options) ([]byte, error) {
	old, err := readCalendar(before)
	if err != nil {
		return nil, err
	}
	none := r.Plan == nil || quiet(r)
	if none && len(old) == 0 {
		return nil, ErrNoPlan
	}
	stamp, err := time.Parse(time.DateOnly, r.On)
	if err != nil {
		return nil, fmt.Errorf("the day of the record cannot be read: %q", plain(r.On))
	}
	c := &calendar{Calendar: ics.NewCalendarFor("rungwise"), writer: newWriter(r, o), old: old, stamp: stamp, had: map[string]bool{}}
	c.SetProductId("-//rungwise//throwing plan//EN")
	c.SetCalscale("GREGORIAN")
	c.SetXWRCalName(plain(c.raw("calendar_name")))
	if none {
		c.SetMethod(ics.MethodCancel)
	} else if err := c.plan(r); err != nil {
		return nil, err
	}
	c.cancel(none)
	var b bytes.Buffer
	if err := c.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return nil, fmt.Errorf("the calendar cannot be written: %w", err)
	}
	return b.Bytes(), nil
}

// plan adds the sessions and the retest.
func (c *calendar) plan(r *report.Report) error {
	stop := c.raw("calendar_stop")
	for i, s := range r.Plan.Sessions {
		if resting(s) {
			continue
		}
		on, err := time.Parse(time.DateOnly, s.Date)
		if err != nil {
			return fmt.Errorf("a session's day cannot be read: %q", plain(s.Date))
		}
		summary := c.raw("calendar_day", "kind", capital(humble(s.Kind)), "n", count(s.Throws, "throw"), "planned", none(s.High))
		var parts []string
		for _, b := range s.Blocks {
			parts = append(parts, plain(capital(humble(b.What))+": "+c.block(b)))
		}
		c.day(identity(r.Case, s.Date, nth(r.Plan.Sessions[:i], s.Date)), on, summary, append(parts, stop))
	}
	if on, err := time.Parse(time.DateOnly, r.Plan.Retest); err == nil {
		c.day(identity(r.Case, r.Plan.Retest, "retest"), on, c.raw("calendar_retest"), append(filled([]string{c.raw("calendar_rested")}), stop))
	}
	return nil
}

// identity is the same for the same athlete, day and place in the day, and tells
// none of them to who sees it.
func identity(athlete, day, place string) string {
	sum := sha256.Sum256([]byte(athlete + "\x00" + day + "\x00" + place))
	return fmt.Sprintf("%x@rungwise", sum[:12])
}

// nth is the place of a session among those of its day.
func nth(before []report.Session, day string) string {
	n := 1
	for _, s := range before {
		if s.Date == day {
			n++
		}
	}
	return fmt.Sprint("session ", n)
}
