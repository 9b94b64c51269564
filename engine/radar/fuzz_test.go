package radar_test

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"rungwise/engine/radar"
	"rungwise/engine/unit"
)

var figures = regexp.MustCompile(`[0-9.,]+`)

// inFile lists every number that stands in a text: runs of digits, points and
// commas as they stand, and cut at commas, since a comma may separate cells.
func inFile(text string) []float64 {
	var out []float64
	for _, run := range figures.FindAllString(text, -1) {
		runs := []string{run}
		if strings.Contains(run, ",") {
			runs = append(runs, strings.Split(run, ",")...)
			parts := strings.Split(run, ",")
			for i := range parts[1:] {
				runs = append(runs, parts[i]+"."+parts[i+1]) // a decimal comma between other separators
			}
		}
		for _, s := range runs {
			if v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err == nil {
				out = append(out, v)
			}
		}
	}
	return out
}

// plainly decodes apart from the reader: everything that the bytes may mean.
func plainly(b string) string {
	out := b
	if !utf8.ValidString(b) {
		r := make([]rune, len(b))
		for i := range len(b) {
			r[i] = rune(b[i])
		}
		out = string(r)
	}
	for _, big := range []int{0, 1} {
		var units []uint16
		for i := 0; i+1 < len(b); i += 2 {
			units = append(units, uint16(b[i+1-big])<<8|uint16(b[i+big]))
		}
		out += "\n" + string(utf16.Decode(units))
	}
	return out
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"throw,mph\nflat_lift,81.2\n", "\ufeffmph;throw\n81,2;flat_lift\n", "date|velo|unit|throw\n03/04/2026|130,5|km/h|slope_net\n",
		"sep=;\nx\nthrow;speed (mph);held\n\"flat_lift\";\"81,2\";yes\nAverage;81\n", "mph\n71,2\n", "time\tthrow\tm/s\n10:00\tflat_lift\t36.2\n10:00\tflat_lift\t36.2\n",
		"PK\x03\x04", wide("throw\tmph\nflat_lift\t81,2\n", false, true), wide("throw\tmph\nflat_lift\t81,2\n", true, false), "throw,mph\n\"flat_lift,81\n",
		"\xdcbung;Tempo (km/h)\nflat_lift;130,2\n", "throw,mph\nflat_lift,81,2\nflat_lift,1.234,5\nflat_lift,+81.2\nflat_lift,-81\nflat_lift,8\"1\"\n",
	} {
		f.Add([]byte(s), uint8(0))
		f.Add([]byte(s), uint8(255))
	}
	f.Fuzz(func(t *testing.T, b []byte, bits uint8) {
		o := radar.Options{Throws: names(), Today: time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC)}
		if bits&1 > 0 {
			o.Unit = unit.MPH
		}
		if bits&2 > 0 {
			o.Throw = "flat_lift"
		}
		if bits&4 > 0 {
			o.DateOrder = radar.DayFirst
		}
		m, ds := radar.Read("gun.csv", strings.NewReader(string(b)), o)
		if (m == nil) != (ds.Errors() > 0) {
			t.Fatalf("import %v with faults %v", m, ds)
		}
		if m == nil {
			_ = ds.Write(&strings.Builder{})
			return
		}
		there := inFile(plainly(string(b)))
		for _, r := range m.Rows {
			switch {
			case r.Status == radar.Taken && !slices.Contains(there, r.Speed.Value):
				t.Errorf("%v was taken and does not stand in %q", r.Speed, b)
			case r.Status == radar.Taken && (r.MPH() < 20 || r.MPH() > 115 || r.Throw == ""):
				t.Errorf("%v at %q was taken", r.Speed, r.Throw)
			case r.Status != radar.Taken && r.Why == "":
				t.Error("a line was left out without a word")
			}
		}
	})
}
