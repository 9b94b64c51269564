package render

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"rungwise/engine/report"
)

// ErrNoPlan says that a record holds no days to put into a calendar.
var ErrNoPlan = errors.New("there is no plan to put into a calendar")

// Calendar writes the sessions and the retest as an iCalendar file (RFC 5545):
// one all-day event each, rest days left out. An event keeps its identity as
// long as its athlete, its day and its place in that day stay; the time stamp
// is the plan's first day, so that the same record gives the same bytes.
// Without a plan, or with one whose days cannot be read, it is an error.
func Calendar(r *report.Report) ([]byte, error) {
	if r.Plan == nil || quiet(r) {
		return nil, ErrNoPlan
	}
	stamp, ok := date(r.Plan.Start)
	if !ok {
		return nil, fmt.Errorf("the plan's first day cannot be read: %q", plain(r.Plan.Start))
	}
	cal := ics.NewCalendarFor("rungwise")
	cal.SetProductId("-//rungwise//throwing plan//EN")
	cal.SetCalscale("GREGORIAN")
	cal.SetXWRCalName(plain("Throwing plan " + r.Case))
	w := newWriter(r, Options{})
	for i, s := range r.Plan.Sessions {
		if s.Kind == "rest" || len(s.Blocks) == 0 && s.Throws == 0 {
			continue
		}
		on, ok := date(s.Date)
		if !ok {
			return nil, fmt.Errorf("a session's day cannot be read: %q", plain(s.Date))
		}
		summary := fmt.Sprintf("%s day: %s, %s hard", capital(humble(s.Kind)), count(s.Throws, "throw"), none(s.High))
		addDay(cal, identity(r.Case, s.Date, nth(r.Plan.Sessions[:i], s.Date)), on, stamp, summary, w.sessionLines(s))
	}
	if on, ok := date(r.Plan.Retest); ok {
		addDay(cal, identity(r.Case, r.Plan.Retest, "retest"), on, stamp, "Retest: the ladder again", []string{"Rested, with the same radar gun.", stopLine})
	}
	var b bytes.Buffer
	if err := cal.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return nil, fmt.Errorf("the calendar cannot be written: %w", err)
	}
	return b.Bytes(), nil
}

// stopLine stands in every event.
const stopLine = "Stop at once at pain, numbness, tingling, a pop, a swelling or a sudden loss of speed or control, and see a licensed clinician before you throw again."

func addDay(cal *ics.Calendar, id string, on, stamp time.Time, summary string, lines []string) {
	e := cal.AddEvent(id)
	e.SetDtStampTime(stamp)
	e.SetAllDayStartAt(on)
	e.SetAllDayEndAt(on.AddDate(0, 0, 1))
	e.SetSummary(plain(summary))
	e.SetDescription(strings.Join(lines, "\n"))
	e.SetTimeTransparency(ics.TransparencyTransparent)
}

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
