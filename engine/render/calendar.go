package render

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"

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
func Calendar(r *report.Report) ([]byte, error) { return CalendarAfter(r, nil) }

// CalendarAfter writes the calendar that follows one that was written before: an
// event that has changed counts its SEQUENCE up, and a day that is gone from
// today on is cancelled. Without a plan it cancels everything that was there,
// and says nothing else. ErrNoPlan tells that there is nothing to cancel either,
// ErrOldCalendar that the calendar before cannot be read.
func CalendarAfter(r *report.Report, before []byte) ([]byte, error) {
	old, err := readCalendar(before)
	if err != nil {
		return nil, err
	}
	none := r.Plan == nil || quiet(r)
	if none && len(old) == 0 {
		return nil, ErrNoPlan
	}
	stamp, ok := date(r.On)
	if !ok {
		return nil, fmt.Errorf("the day of the record cannot be read: %q", plain(r.On))
	}
	c := &calendar{Calendar: ics.NewCalendarFor("rungwise"), old: old, stamp: stamp, had: map[string]bool{}}
	c.SetProductId("-//rungwise//throwing plan//EN")
	c.SetCalscale("GREGORIAN")
	c.SetXWRCalName(plain("Throwing plan " + r.Case))
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
	w := newWriter(r, Options{})
	for i, s := range r.Plan.Sessions {
		if s.Kind == "rest" || len(s.Blocks) == 0 && s.Throws == 0 {
			continue
		}
		on, ok := date(s.Date)
		if !ok {
			return fmt.Errorf("a session's day cannot be read: %q", plain(s.Date))
		}
		summary := fmt.Sprintf("%s day: %s, %s hard", capital(humble(s.Kind)), count(s.Throws, "throw"), none(s.High))
		c.day(identity(r.Case, s.Date, nth(r.Plan.Sessions[:i], s.Date)), on, summary, w.sessionLines(s))
	}
	if on, ok := date(r.Plan.Retest); ok {
		c.day(identity(r.Case, r.Plan.Retest, "retest"), on, "Retest: the ladder again", []string{"Rested, with the same radar gun.", stopLine})
	}
	return nil
}

// stopLine stands in every event.
const stopLine = "Stop at once at pain, numbness, tingling, a pop, a swelling or a sudden loss of speed or control, and see a licensed clinician before you throw again."

// sessionLines are the parts of a session, one a line.
func (w *writer) sessionLines(s report.Session) []string {
	var out []string
	for _, b := range s.Blocks {
		at := ""
		if b.Effort > 0 {
			at = " at " + effort(b)
		}
		out = append(out, plain(capital(humble(b.What))+": "+w.does(b)+", "+times(b)+at))
	}
	return append(out, stopLine)
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
