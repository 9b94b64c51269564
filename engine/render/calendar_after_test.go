package render

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"rungwise/engine/report"
)

// two reads a calendar with two readers and returns each event as UID, SEQUENCE,
// status and stamp, the same from both.
func two(t *testing.T, text []byte) map[string]string {
	t.Helper()
	first, second := map[string]string{}, map[string]string{}
	for _, e := range events(t, text) {
		status := ""
		if p := e.Props.Get("STATUS"); p != nil {
			status = p.Value
		}
		first[e.Props.Get("UID").Value] = fmt.Sprint(e.Props.Get("SEQUENCE").Value, status, e.Props.Get("DTSTAMP").Value)
	}
	cal, err := ics.ParseCalendar(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range cal.Events() {
		status := ""
		if p := e.GetProperty(ics.ComponentPropertyStatus); p != nil {
			status = p.Value
		}
		second[e.Id()] = fmt.Sprint(e.GetProperty(ics.ComponentPropertySequence).Value, status, e.GetProperty(ics.ComponentPropertyDtstamp).Value)
	}
	if fmt.Sprint(first) != fmt.Sprint(second) {
		t.Fatalf("two readers: %v and %v", first, second)
	}
	return first
}

func after(t *testing.T, r *report.Report, before []byte) []byte {
	t.Helper()
	text, err := CalendarAfter(r, before, Options{Words: houseWords(t)})
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// RFC 5546 section 3.2.5 and RFC 5545 section 3.8.7.4: a cancellation has the
// same UID, a higher SEQUENCE, METHOD:CANCEL and STATUS:CANCELLED.
func TestARefusalCancelsTheCalendar(t *testing.T) {
	plan := after(t, planRecord(), nil)
	no := referRecord()
	no.On = "2026-11-10"
	gone := after(t, no, plan)
	was, is := two(t, plan), two(t, gone)
	if len(was) != len(is) || !bytes.Contains(gone, []byte("\r\nMETHOD:CANCEL\r\n")) {
		t.Fatalf("%d events before, %d after in\n%s", len(was), len(is), gone)
	}
	for id := range was {
		if is[id] != "1CANCELLED20261110T000000Z" {
			t.Errorf("%s is %s", id, is[id])
		}
	}
	if strings.Contains(string(gone), "throws") || strings.Contains(string(gone), "Mound") {
		t.Errorf("a cancelled day speaks of throws:\n%s", gone)
	}
	if again := after(t, no, gone); !bytes.Equal(gone, again) {
		t.Error("cancelled twice, and the second time differs")
	}
	if _, err := CalendarAfter(no, nil, Options{Words: houseWords(t)}); !errors.Is(err, ErrNoPlan) {
		t.Errorf("got %v", err)
	}
	if _, err := CalendarAfter(no, []byte("BEGIN:VCALENDAR\r\nnothing"), Options{Words: houseWords(t)}); !errors.Is(err, ErrOldCalendar) {
		t.Errorf("got %v", err)
	}
}

// A new plan keeps what is unchanged to the byte, counts up what has changed,
// cancels what is gone from today on, and stamps nothing ahead of its day.
func TestANewPlanUpdatesTheCalendar(t *testing.T) {
	before := after(t, planRecord(), nil)
	r := planRecord()
	r.On = "2026-11-12"
	var kept []report.Session
	changed, dropped := "", ""
	for _, s := range r.Plan.Sessions {
		switch {
		case s.Kind == "rest", s.Date < "2026-11-12":
			continue // behind
		case changed == "":
			changed, s.Throws = identity(r.Case, s.Date, "session 1"), s.Throws+1
		case dropped == "":
			dropped = identity(r.Case, s.Date, "session 1")
			continue
		}
		kept = append(kept, s)
	}
	r.Plan.Sessions = kept
	was, is := two(t, before), two(t, after(t, r, before))
	if is[changed] != "120261112T000000Z" || is[dropped] != "1CANCELLED20261112T000000Z" {
		t.Errorf("changed is %s, gone is %s", is[changed], is[dropped])
	}
	same := 0
	for id, text := range is {
		if id != changed && id != dropped {
			same++
			if text != was[id] {
				t.Errorf("%s was %s and is %s", id, was[id], text)
			}
		}
		if stamp := text[len(text)-16:]; stamp > "20261112T000000Z" {
			t.Errorf("stamped ahead: %s", stamp)
		}
	}
	if same < 3 {
		t.Errorf("only %d events stay", same)
	}
	for _, s := range planRecord().Plan.Sessions {
		if _, there := is[identity(r.Case, s.Date, "session 1")]; there && s.Date < "2026-11-12" {
			t.Errorf("%s lies behind and is in it", s.Date)
		}
	}
}

// A calendar whose stamps lie ahead, as an older one may have them, is brought
// back.
func TestNoStampAhead(t *testing.T) {
	r := planRecord()
	text := bytes.ReplaceAll(after(t, r, nil), []byte("DTSTAMP:20261109"), []byte("DTSTAMP:20991109"))
	for _, e := range events(t, after(t, r, text)) {
		if at, err := e.Props.DateTime("DTSTAMP", time.UTC); err != nil || at.Year() != 2026 {
			t.Errorf("stamped %v, %v", at, err)
		}
	}
}

// Whatever lies there, following it ends, and what comes out is a calendar.
func FuzzCalendarAfter(f *testing.F) {
	plan, err := Calendar(planRecord(), Options{Words: houseWords(f)})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(plan)
	f.Add([]byte("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a@rungwise\r\nSEQUENCE:-9\r\nDTSTART;VALUE=DATE:20261112\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"))
	f.Fuzz(func(t *testing.T, old []byte) {
		text, err := CalendarAfter(planRecord(), old, Options{Words: houseWords(t)})
		if err != nil {
			return
		}
		events(t, text)
	})
}
