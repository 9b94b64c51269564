package radar_test

import (
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/radar"
	"rungwise/engine/unit"
)

func names() []radar.Name {
	return []radar.Name{{"running_throw", "running throw"}, {"flat_no_lift", "flat ground, slide step"}, {"flat_lift", "flat ground with leg lift"},
		{"slope_net", "slope into a net"}}
}

func today() time.Time { return time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC) }

func options() radar.Options { return radar.Options{Throws: names(), Today: today()} }

// told is a line in short: "flat_lift 81.2 mph yes 2026-11-09", or why not.
func told(m *radar.Import) []string {
	var out []string
	for _, r := range m.Rows {
		if r.Status != radar.Taken {
			out = append(out, fmt.Sprintf("%d:%d %s: %s", r.Line, r.Col, r.Status, r.Why))
			continue
		}
		text := fmt.Sprintf("%d %s %s", r.Line, r.Throw, r.Speed)
		if r.Mark != "" {
			text += " " + r.Mark
		}
		if !r.On.IsZero() {
			text += " " + r.On.Format(time.DateOnly)
		}
		out = append(out, text)
	}
	return out
}

func wide(s string, big, mark bool) string {
	var b []byte
	units := utf16.Encode([]rune(s))
	if mark {
		units = append([]uint16{0xFEFF}, units...)
	}
	for _, u := range units {
		if big {
			b = append(b, byte(u>>8), byte(u))
		} else {
			b = append(b, byte(u), byte(u>>8))
		}
	}
	return string(b)
}

// The traps of such files. Source: common practice, no source.
func TestReadsWhatGunsAndSpreadsheetsWrite(t *testing.T) {
	two := []string{"2 flat_lift 81.2 mph", "3 slope_net 82 mph"}
	for _, c := range []struct {
		name, text string
		o          func(*radar.Options)
		want       []string
	}{
		{name: "plain", text: "throw,mph\nflat_lift,81.2\nslope_net,82\n", want: two},
		{name: "byte mark", text: "\ufeffmph,throw\n81.2,flat_lift\n82,slope_net\n", want: two},
		{name: "little UTF-16", text: wide("throw\tmph\nflat_lift\t81,2\nslope_net\t82\n", false, true), want: two},
		{name: "big UTF-16", text: wide("throw\tmph\nflat_lift\t81,2\nslope_net\t82\n", true, true), want: two},
		{name: "UTF-16 without a mark", text: wide("throw;mph\nflat_lift;81,2\nslope_net;82\n", false, false), want: two},
		{name: "Latin-1", text: "\xdcbung;Geschwindigkeit (mph)\nflat_lift;81,2\nslope_net;82\n", want: two},
		{name: "decimal commas in a one-column file", text: "mph\n71,2\n72,5\n", o: func(o *radar.Options) { o.Throw = "flat_lift" },
			want: []string{"2 flat_lift 71.2 mph", "3 flat_lift 72.5 mph"}},
		{name: "quoted decimal comma", text: "rung,speed (mph)\nflat_lift,\"81,2\"\nslope_net,82\n", want: two},
		{name: "bars and the unit in the cell", text: "velo|throw\n81.2 mph|flat_lift\n82 mph|Slope into a net\n", want: two},
		{name: "titles and spaces", text: "Throw ; Speed [mph]\nFlat ground with leg lift;81.2\nSLOPE-NET; 82 \n", want: two},
		{name: "unit by flag", text: "throw,velo\nflat_lift,81.2\nslope_net,82\n", o: func(o *radar.Options) { o.Unit = unit.MPH }, want: two},
		{name: "unit column and km/h", text: "velocidad,unidad,throw\n\"130,5\",km/h,flat_lift\n36.3,m/s,slope_net\n",
			want: []string{"2 flat_lift 130.5 km/h", "3 slope_net 36.3 m/s"}},
		{name: "preamble, separator hint, old line ends", text: "sep=;\rSaltmarsh Throwing Club\r\rthrow;mph\rflat_lift;81,2\rslope_net;82\r",
			want: []string{"5 flat_lift 81.2 mph", "6 slope_net 82 mph"}},
		{name: "carriage returns and missing readings", text: "throw,mph\r\nflat_lift,81.2\r\nflat_lift,\r\nflat_lift,-\r\n,\r\nslope_net,000\r\nslope_net,82\r\n",
			want: []string{"2 flat_lift 81.2 mph", "3:11 left out: no reading", "4:11 left out: no reading", "6:11 left out: no reading", "7 slope_net 82 mph"}},
		{name: "heading by hand", text: "Top,Move\n81.2,flat_lift\n82,slope_net\n", o: func(o *radar.Options) {
			o.Unit = unit.MPH
			o.Columns = []radar.Column{{radar.Speed, "top"}, {radar.Throw, "move"}}
		}, want: two},
		{name: "summary at the end", text: "throw,mph,note\nflat_lift,81.2,max effort\nslope_net,82,\nAverage,81.6,\n,82,Max\n",
			want: append(two[:2:2], "4:9 left out: a summary, not a throw", "5:2 left out: a summary, not a throw")},
		{name: "marks", text: "throw,mph,held\nflat_lift,81.2,yes\nflat_lift,82,0.5\nflat_lift,80,NO\nflat_lift,80,\nflat_lift,80,x\nflat_lift,80,perhaps\n",
			want: []string{"2 flat_lift 81.2 mph yes", "3 flat_lift 82 mph partly", "4 flat_lift 80 mph no", "5 flat_lift 80 mph", "6 flat_lift 80 mph could_not_see",
				`7:14 not understood: "perhaps" does not say whether the pattern held`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := options()
			if c.o != nil {
				c.o(&o)
			}
			m, ds := radar.Read("gun.csv", strings.NewReader(c.text), o)
			if m == nil {
				t.Fatalf("refused: %v", ds)
			}
			if diff := cmp.Diff(c.want, told(m)); diff != "" {
				t.Errorf("lines (-want +got):\n%s", diff)
			}
		})
	}
}

func TestLinesThatAreNotUnderstood(t *testing.T) {
	text := "throw,mph\n" +
		"flat_lift,81,2\n" + // a decimal comma without quotes
		"flat_lif,81.2\n" + // no such throw, though one is near
		"flat_lift,\"1,234\"\n" + // two meanings
		"flat_lift,145\n" + // km/h taken for mph
		"flat_lift,81.2 km/h\n" + // another unit than the heading's
		"flat_lift,fast\n" +
		",81.2\n" +
		"slope_net,82\n"
	m, ds := radar.Read("gun.csv", strings.NewReader(text), options())
	if m == nil {
		t.Fatalf("refused: %v", ds)
	}
	want := []string{
		"2:14 not understood: 3 cells under a heading of 2",
		`3:1 not understood: no throw is called "flat_lif"`,
		`4:11 not understood: "1,234" is not a speed`,
		"5:11 not understood: nobody throws 145 mph",
		`6:11 not understood: "81.2 km/h" is in another unit than the file's mph`,
		`7:11 not understood: "fast" is not a speed`,
		"8:1 not understood: the line names no throw",
		"9 slope_net 82 mph",
	}
	if diff := cmp.Diff(want, told(m)); diff != "" {
		t.Errorf("lines (-want +got):\n%s", diff)
	}
	if m.Rows[1].Help != "did you mean `flat_lift`?" {
		t.Errorf("a near miss is told as %q", m.Rows[1].Help)
	}
}

func TestFilesThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name, text, want string
		o                func(*radar.Options)
	}{
		{name: "empty", text: " \n\n", want: "gun.csv:  the file is empty"},
		{name: "workbook", text: "PK\x03\x04rest", want: "gun.csv:  this is a spreadsheet workbook, not a text file"},
		{name: "old workbook", text: "\xd0\xcf\x11\xe0rest", want: "gun.csv:  this is a spreadsheet workbook, not a text file"},
		{name: "picture", text: "abc\x00\x00\x00", want: "gun.csv:  this is not a text file"},
		{name: "no speed", text: "throw,angle\nflat_lift,81\n", want: "gun.csv:1  no heading names a speed"},
		{name: "no heading", text: "flat_lift,81\n", want: "gun.csv:1  no heading names a speed"},
		{name: "no unit", text: "throw,velo\nflat_lift,81\n", want: "gun.csv:1:7  nothing says in which unit the speeds are"},
		{name: "two units", text: "throw,mph\nflat_lift,81\n", o: func(o *radar.Options) { o.Unit = unit.KMH }, want: "gun.csv:1:7  the heading says mph and --unit says km/h"},
		{name: "two speeds", text: "throw,mph,peak\nflat_lift,81,82\n", want: "gun.csv:1:11  two headings could be the speed: `mph` and `peak`"},
		{name: "no throw", text: "mph\n81\n", want: "gun.csv:1  no column says which throw a reading belongs to"},
		{name: "wrong heading named", text: "throw,mph\nflat_lift,81\n", o: func(o *radar.Options) { o.Columns = []radar.Column{{radar.Held, "ok"}} },
			want: `gun.csv:1  no heading is called "ok"`},
		{name: "open quotes", text: "throw,mph\n\"flat_lift,81\n", want: "gun.csv:2  the quotation marks of this line do not match"},
		{name: "either day", text: "date,throw,mph\n03/04/2026,flat_lift,81\n", want: `gun.csv:2:1  "03/04/2026" can be two days`},
		{name: "both orders", text: "date,throw,mph\n13/04/2026,flat_lift,81\n04/13/2026,flat_lift,81\n",
			want: "gun.csv:3:1  dates with the day first and dates with the month first stand in one column"},
		{name: "two days", text: "date,throw,mph\n2026-11-07,flat_lift,81\n2026-11-09,flat_lift,81\n",
			want: "gun.csv:3:22  the file holds more than one day: 2026-11-07 and 2026-11-09"},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := options()
			if c.o != nil {
				c.o(&o)
			}
			m, ds := radar.Read("gun.csv", strings.NewReader(c.text), o)
			if m != nil || ds.Errors() == 0 {
				t.Fatalf("was read: %v", told(m))
			}
			if got, _, _ := strings.Cut(ds.Sorted()[0].String(), "  ["); got != c.want {
				t.Errorf("told as %q, want %q", got, c.want)
			}
		})
	}
}

func TestDates(t *testing.T) {
	for _, c := range []struct{ cell, order, want string }{
		{"2026-11-09", "", "2026-11-09"}, {"2026-11-09T18:20:11Z", "", "2026-11-09"}, {"20261109", "", "2026-11-09"}, {"2026/11/09 6:20", "", "2026-11-09"},
		{"9.11.2026", "", "2026-11-09"}, {"09.11.26", "", "2026-11-09"}, {"9 Nov 2026", "", "2026-11-09"}, {"Nov 9, 2026", "", "2026-11-09"},
		{"09/11/2026", radar.DayFirst, "2026-11-09"}, {"11/09/2026", radar.MonthFirst, "2026-11-09"}, {"10/10/2026", "", "2026-10-10"},
		{"13/10/2026", "", "2026-10-13"}, {"10/13/2026", "", "2026-10-13"}, {"11-09-26", radar.MonthFirst, "2026-11-09"},
		{"31.2.2026", "", `"31.2.2026" is not a date`}, {"yesterday", "", `"yesterday" is not a date`}, {"2027-01-01", "", "2027-01-01 lies after today"},
	} {
		o := options()
		o.DateOrder = c.order
		m, ds := radar.Read("gun.csv", strings.NewReader("date;throw;mph\n"+c.cell+";flat_lift;81\n"), o)
		if m == nil {
			t.Errorf("%s: refused: %v", c.cell, ds)
			continue
		}
		got := m.Rows[0].Why
		if m.Rows[0].Status == radar.Taken {
			got = m.Rows[0].On.Format(time.DateOnly)
		}
		if got != c.want {
			t.Errorf("%s is read as %q, want %q", c.cell, got, c.want)
		}
	}
}

func TestOneDateSettlesTheColumn(t *testing.T) {
	o := options()
	o.Day = time.Date(2026, 4, 3, 0, 0, 0, 0, time.UTC)
	m, ds := radar.Read("gun.csv", strings.NewReader("date,throw,mph\n03/04/2026,flat_lift,81\n14/04/2026,flat_lift,82\n"), o)
	if m == nil {
		t.Fatal(ds)
	}
	want := []string{"2 flat_lift 81 mph 2026-04-03", "3:22 left out: of another day, 2026-04-14"}
	if diff := cmp.Diff(want, told(m)); diff != "" {
		t.Error(diff)
	}
}

func TestTheSameLineTwice(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"two throws of one speed", "throw,mph\nflat_lift,81\nflat_lift,81\n", []string{"2 flat_lift 81 mph", "3 flat_lift 81 mph"}},
		{"the same time", "time,throw,mph\n10:01:22,flat_lift,81\n10:01:22,flat_lift,81\n10:01:40,flat_lift,81\n",
			[]string{"2 flat_lift 81 mph", "3:20 left out: the same line as line 2", "4 flat_lift 81 mph"}},
		{"the same number", "no.,throw,mph\n1,flat_lift,81\n1,flat_lift,81\n", []string{"2 flat_lift 81 mph", "3:13 left out: the same line as line 2"}},
		{"pasted twice", "throw,mph\nflat_lift,81\nflat_lift,82\nthrow,mph\nflat_lift,81\nflat_lift,82\n",
			[]string{"2 flat_lift 81 mph", "3 flat_lift 82 mph", "4:7 left out: the heading again",
				"5:11 left out: the lines under this heading stand already from line 2 on", "6:11 left out: the lines under this heading stand already from line 2 on"}},
	} {
		m, ds := radar.Read("gun.csv", strings.NewReader(c.text), options())
		if m == nil {
			t.Fatal(ds)
		}
		if diff := cmp.Diff(c.want, told(m)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

func TestTooLarge(t *testing.T) {
	for name, text := range map[string]string{
		"bytes": "throw,mph\n" + strings.Repeat("flat_lift,81.2 mph \n", radar.MostBytes/20+1),
		"lines": "throw,mph\n" + strings.Repeat("flat_lift,81\n", radar.MostLines+1),
	} {
		if m, ds := radar.Read("gun.csv", strings.NewReader(text), options()); m != nil || ds.Errors() != 1 {
			t.Errorf("%s: not refused once: %v", name, ds)
		}
	}
}

// A list costs as much a line however long it is, also where blocks of it repeat.
func TestALongListIsReadInOnePass(t *testing.T) {
	var blocks strings.Builder
	for i := range 12_000 {
		fmt.Fprintf(&blocks, "throw,mph\nflat_lift,%d.%02d\nflat_lift,%d.0\n", 60+i%40, i/40%100, 60+i/4000)
	}
	for name, text := range map[string]string{
		"misspelled": "throw,mph\n" + strings.Repeat("flat_lyft,84.1\n", 40_000),
		"blocks":     blocks.String(),
	} {
		began := time.Now()
		m, _ := radar.Read("a.csv", strings.NewReader(text), options())
		if took := time.Since(began); m == nil || len(m.Rows) < 20_000 || took > 5*time.Second {
			t.Errorf("%s: %v for %d rows", name, took, len(m.Rows))
		}
	}
}
