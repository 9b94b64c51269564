package render

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
)

// ErrOldCalendar says that the calendar written before cannot be read.
var ErrOldCalendar = errors.New("the calendar that is there cannot be read")

// ourUID ends the identity of every event of ours.
const ourUID = "@rungwise"

// mostSequence is beyond what any plan is renewed.
const mostSequence = 1 << 20

// calendar is one calendar in the making, and the one before it.
type calendar struct {
	*ics.Calendar
	*writer
	old   []oldEvent
	stamp time.Time       // the day on which it is made
	had   map[string]bool // identities that are in it
}

// oldEvent is an event of ours as it stood.
type oldEvent struct {
	id        string
	on, stamp time.Time
	sequence  int
	text      string // what it says
	gone      bool   // it was cancelled already
}

// readCalendar reads the events of ours; no text is no events. An event without
// a day is left out.
func readCalendar(text []byte) ([]oldEvent, error) {
	if len(bytes.TrimSpace(text)) == 0 {
		return nil, nil
	}
	cal, err := ics.ParseCalendar(bytes.NewReader(text))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrOldCalendar, err)
	}
	var out []oldEvent
	for _, e := range cal.Events() {
		o := oldEvent{id: e.Id(), text: says(e)}
		on, err := e.GetAllDayStartAt()
		if err != nil || !strings.HasSuffix(o.id, ourUID) {
			continue
		}
		o.on = time.Date(on.Year(), on.Month(), on.Day(), 0, 0, 0, 0, time.UTC)
		if o.stamp, err = e.GetDtStampTime(); err != nil {
			o.stamp = o.on
		}
		if p := e.GetProperty(ics.ComponentPropertySequence); p != nil {
			if n, err := strconv.Atoi(p.Value); err == nil && n >= 0 && n < mostSequence {
				o.sequence = n
			}
		}
		if p := e.GetProperty(ics.ComponentPropertyStatus); p != nil {
			o.gone = p.Value == string(ics.ObjectStatusCancelled)
		}
		out = append(out, o)
	}
	return out, nil
}

// says is what an event tells, to see whether it has changed.
func says(e *ics.VEvent) string {
	var out []string
	for _, p := range []ics.ComponentProperty{ics.ComponentPropertySummary, ics.ComponentPropertyDescription} {
		if v := e.GetProperty(p); v != nil {
			out = append(out, v.Value)
		}
	}
	return strings.Join(out, "\x00")
}

// day adds one all-day event, with the SEQUENCE that follows from the one before.
func (c *calendar) day(id string, on time.Time, summary string, lines []string) {
	e := c.event(id, on)
	e.SetSummary(plain(summary))
	e.SetDescription(strings.Join(lines, "\n"))
	e.SetTimeTransparency(ics.TransparencyTransparent)
	stamp, sequence := c.stamp, 0
	for _, o := range c.old {
		if o.id != id {
			continue
		}
		if sequence = o.sequence + 1; o.text == says(e) && !o.gone {
			sequence, stamp = o.sequence, earlier(o.stamp, stamp)
		}
	}
	e.SetDtStampTime(stamp)
	e.SetSequence(sequence)
}

func (c *calendar) event(id string, on time.Time) *ics.VEvent {
	c.had[id] = true
	e := c.AddEvent(id)
	e.SetDtStampTime(c.stamp)
	e.SetAllDayStartAt(on)
	e.SetAllDayEndAt(on.AddDate(0, 0, 1))
	return e
}

// cancel takes back the events before that are not in this calendar: all of
// them, or those from today on. What lies behind is left as it was.
func (c *calendar) cancel(all bool) {
	for _, o := range c.old {
		if c.had[o.id] || !all && o.on.Before(c.stamp) {
			continue
		}
		e := c.event(o.id, o.on)
		e.SetSummary(c.raw("calendar_gone"))
		e.SetStatus(ics.ObjectStatusCancelled)
		e.SetTimeTransparency(ics.TransparencyTransparent)
		sequence := o.sequence + 1
		if o.gone {
			sequence = o.sequence
			e.SetDtStampTime(earlier(o.stamp, c.stamp))
		}
		e.SetSequence(sequence)
	}
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
