package render

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/emersion/go-ical"

	"rungwise/engine/report"
)

func events(t testing.TB, text []byte) []ical.Event {
	t.Helper()
	cal, err := ical.NewDecoder(bytes.NewReader(text)).Decode()
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return cal.Events()
}

func TestCalendarReadsBack(t *testing.T) {
	r := planRecord()
	text, err := Calendar(r, Options{Words: houseWords(t)})
	if err != nil {
		t.Fatal(err)
	}
	again, _ := Calendar(r, Options{Words: houseWords(t)})
	if !bytes.Equal(text, again) {
		t.Error("two writings differ")
	}
	found := events(t, text)
	if len(found) != 9 { // four sessions in each of two weeks, and the retest
		t.Fatalf("%d events", len(found))
	}
	ids := map[string]bool{}
	for i, e := range found {
		start, err := e.DateTimeStart(time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		end, _ := e.DateTimeEnd(time.UTC)
		if end.Sub(start) != 24*time.Hour || e.Props.Get("DTSTART").ValueType() != ical.ValueDate {
			t.Errorf("event %d lasts from %v to %v", i, start, end)
		}
		if got := e.Props.Get("DTSTAMP").Value; got != "20261109T000000Z" {
			t.Errorf("stamped %s", got)
		}
		text, err := e.Props.Get("DESCRIPTION").Text()
		if err != nil || !strings.Contains(text, "Stop at once") {
			t.Errorf("event %d says %q, %v", i, text, err)
		}
		ids[e.Props.Get("UID").Value] = true
	}
	if len(ids) != len(found) {
		t.Errorf("%d identities for %d events", len(ids), len(found))
	}
	summary, _ := found[1].Props.Text("SUMMARY")
	if summary != "Mound day: 44 throws, 19 hard" {
		t.Errorf("the second event is %q", summary)
	}
	golden(t, "stuck.ics", strings.ReplaceAll(string(text), "\r\n", "\n"))
}

// RFC 5545 section 3.1: lines end in CR LF and should hold at most 75 octets,
// the line end not counted.
func TestCalendarLines(t *testing.T) {
	r := planRecord()
	r.Plan.Drills[0].Title = strings.Repeat("größer, höher; weiter\\ ", 12)
	text, err := Calendar(r, Options{Words: houseWords(t)})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Count(text, []byte("\n")) != bytes.Count(text, []byte("\r\n")) {
		t.Error("a line ends without CR LF")
	}
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSuffix(line, []byte("\r\n")); len(line) > 75 || !utf8.Valid(line) {
			t.Errorf("%d octets, or half a character: %q", len(line), line)
		}
	}
	said, err := events(t, text)[0].Props.Text("DESCRIPTION")
	if err != nil || !strings.Contains(said, plain(r.Plan.Drills[0].Title)) {
		t.Errorf("reads back as %q, %v", said, err)
	}
}

func TestCalendarKeepsIdentities(t *testing.T) {
	a, b := planRecord(), planRecord()
	b.Plan.Sessions = b.Plan.Sessions[1:] // Monday is taken out
	x, _ := Calendar(a, Options{Words: houseWords(t)})
	y, _ := Calendar(b, Options{Words: houseWords(t)})
	if one, two := events(t, x)[1].Props.Get("UID").Value, events(t, y)[0].Props.Get("UID").Value; one != two {
		t.Errorf("Tuesday was %s and is %s", one, two)
	}
}

func TestCalendarWithoutAPlan(t *testing.T) {
	withPlan := planRecord()
	withPlan.Gate = referRecord().Gate
	for name, r := range map[string]*report.Report{"refer": referRecord(), "none found": noneRecord(), "refer with a plan": withPlan} {
		if _, err := Calendar(r, Options{Words: houseWords(t)}); !errors.Is(err, ErrNoPlan) {
			t.Errorf("%s: %v", name, err)
		}
	}
	r := planRecord()
	r.Plan.Sessions[0].Date = "\x1b[2Jsoon"
	if _, err := Calendar(r, Options{Words: houseWords(t)}); err == nil || strings.ContainsAny(err.Error(), "\x1b") {
		t.Errorf("an unreadable day gives %v", err)
	}
}

func FuzzCalendar(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r := planRecord()
		r.Case, r.Plan.Drills[0].Title, r.Plan.Sessions[0].Kind = s, s, "light"
		text, err := Calendar(r, Options{Words: houseWords(t)})
		if err != nil {
			t.Fatal(err)
		}
		if n := len(events(t, text)); n != 9 {
			t.Errorf("%q makes %d events", s, n)
		}
		said, err := events(t, text)[0].Props.Text("DESCRIPTION")
		if want := plain(s); err != nil || !strings.Contains(said, want) {
			t.Errorf("%q reads back as %q, %v", want, said, err)
		}
	})
}
