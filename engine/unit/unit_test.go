package unit

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestParseReadsWhatCoachesWrite(t *testing.T) {
	for _, c := range []struct {
		text  string
		value float64
		unit  Unit
	}{
		{"88.5 mph", 88.5, MPH}, {"88,5 mph", 88.5, MPH}, {"142 km/h", 142, KMH}, {"142 kph", 142, KMH}, {"39.7m/s", 39.7, MPS},
		{"185 cm", 185, CM}, {"1.85 m", 1.85, M}, {"6 ft 1 in", 73, IN}, {"6ft1in", 73, IN}, {`6'1"`, 73, IN}, {"6' 1", 73, IN},
		{"6’1”", 73, IN}, {"6′ 1.5″", 73.5, IN}, {"6 feet 0 inches", 72, IN}, {"6 ft", 6, FT}, {"6'", 6, FT}, {"73 in", 73, IN}, {`73"`, 73, IN},
		{"130 deg", 130, Deg}, {"130°", 130, Deg}, {"-2.1 deg", -2.1, Deg}, {"−2.1 degrees", -2.1, Deg}, {"145 ms", 145, MS}, {"0.145 s", .145, S},
		{"0,145 s", .145, S}, {".5 s", .5, S}, {"95 %", 95, Percent}, {"95%", 95, Percent}, {"85 % of height", 85, PercentHeight},
		{" 88\u00a0MPH ", 88, MPH}, {"-0 deg", 0, Deg}, {"+4 cm", 4, CM},
	} {
		q, err := Parse(c.text)
		if err != nil || q.Value != c.value || q.Unit != c.unit {
			t.Errorf("Parse(%q) = %v, %v; want %v %q", c.text, q, err, c.value, c.unit)
		}
	}
}

func TestParseRefusesInPlainWords(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "nothing was given"}, {"   ", "nothing was given"}, {"fast", `"fast" is not a number`}, {"88 mpg", `"mpg" is not a unit known here`},
		{"88", `"88" has no unit`}, {"1,234 ms", `"1,234" can be read in two ways`}, {"1.2.3 s", `"1.2.3 s" is not a number`},
		{"88. mph", `"88. mph" is not a number`}, {"- 5 deg", `"- 5 deg" is not a number`}, {"1e3 ms", `"e3 ms" is not a unit known here`},
		{"NaN deg", `"nan deg" is not a number`}, {"Inf", `"inf" is not a number`}, {"6 ft 13 in", `"6 ft 13 in" is not feet and inches`},
		{"6.5 ft 1 in", `"6.5 ft 1 in" is not feet and inches`}, {"-6 ft 1 in", `"-6 ft 1 in" is not feet and inches`},
		{"6 ft 1 cm", `"cm" is not a unit known here`}, {"88 mph\x1b[31m", `"mph\x1b[31m" is not a unit known here`},
		{"1234567890123456789012345 cm", `"1234567890123456789012345 cm" is not a number`},
		{strings.Repeat("9", 99), `too long for a quantity: "999999999999999999999999999999..."`},
	} {
		_, err := Parse(c.text)
		if err == nil || err.Error() != c.says {
			t.Errorf("Parse(%q): %v; want %s", c.text, err, c.says)
		}
	}
}

func TestReadConvertsAndKeepsToTheRange(t *testing.T) {
	speeds, angles := Range{20, 110}, Range{-180, 180}
	for _, c := range []struct {
		text       string
		want       Unit
		in         Range
		value      float64
		says, help string
	}{
		{text: "88", want: MPH, in: speeds, value: 88},
		{text: "141.622272 km/h", want: MPH, in: speeds, value: 88},
		{text: "940 mph", want: MPH, in: speeds, says: "940 mph is not possible here", help: "it lies between 20 and 110 mph"},
		{text: "400 deg", want: Deg, in: angles, says: "400 deg is not possible here", help: "it lies between -180 and 180 deg"},
		{text: "88 mph", want: Deg, in: angles, says: "88 mph is a speed, and an angle is needed here", help: "write it in deg"},
		{text: "6 ft 1 in", want: CM, value: 185.42},
		{text: "0.9 s", want: MS, value: 900},
		{text: "85 %", want: PercentHeight, value: 85},
		{text: "19 years", want: "years", in: Range{5, 60}, value: 19},
		{text: "19 cm", want: "years", says: "19 cm is a length, and a number is needed here", help: "write it in years"},
	} {
		q, err := Read(c.text, c.want, c.in)
		var f *Fault
		if errors.As(err, &f) {
			if f.Says != c.says || f.Help != c.help {
				t.Errorf("Read(%q, %q): %q / %q; want %q / %q", c.text, c.want, f.Says, f.Help, c.says, c.help)
			}
			continue
		}
		if c.says != "" || q.Unit != c.want || math.Abs(q.Value-c.value) > 1e-9 {
			t.Errorf("Read(%q, %q) = %v, %v; want %v", c.text, c.want, q, err, c.value)
		}
	}
}

// Official Baseball Rules 2.04: 60 ft 6 in is 18.4404 m.
func TestLengthsOfTheRules(t *testing.T) {
	q, err := Read("60 ft 6 in", M, Range{})
	if err != nil || math.Abs(q.Value-18.4404) > 1e-12 {
		t.Errorf("60 ft 6 in = %v, %v; want 18.4404 m", q, err)
	}
	stride, err := PercentOfHeight(Quantity{157.6, CM}, Quantity{73, IN})
	if err != nil || stride.Text(1) != "85 % of height" {
		t.Errorf("157.6 cm of 73 in = %s, %v; want 85 %% of height", stride.Text(1), err)
	}
	if _, err := PercentOfHeight(Quantity{157.6, CM}, Quantity{0, CM}); err == nil {
		t.Error("a height of nothing was taken")
	}
}

// Spoken broadcast rates are 24, 30, 60, 120 and 240 times 1000/1001; over ten minutes 29.97 gives the 17,982
// frames and over an hour the 107,892 of drop-frame timecode, 1798 in a minute (computed).
func TestFrameRates(t *testing.T) {
	for _, c := range []struct {
		text     string
		num, den int
		prints   string
	}{
		{"30", 30, 1, "30"}, {"60 fps", 60, 1, "60"}, {"240Hz", 240, 1, "240"}, {"29.97", 30000, 1001, "29.97"}, {"29,97 fps", 30000, 1001, "29.97"},
		{"59.94", 60000, 1001, "59.94"}, {"119.88", 120000, 1001, "119.88"}, {"23.976", 24000, 1001, "23.976"}, {"23.98", 24000, 1001, "23.976"},
		{"239.76", 240000, 1001, "239.76"}, {"30000/1001", 30000, 1001, "29.97"}, {"210", 210, 1, "210"}, {"59.9", 599, 10, "59.9"},
		{"12345/678", 4115, 226, "4115/226"}, {"60.000", 60, 1, "60"},
	} {
		r, err := ParseRate(c.text)
		if err != nil || r != (Rate{c.num, c.den}) || r.String() != c.prints {
			t.Errorf("ParseRate(%q) = %d/%d %s, %v; want %d/%d %s", c.text, r.Num, r.Den, r, err, c.num, c.den, c.prints)
		}
	}
	for _, bad := range []string{"", "fps", "0", "-30", "3", "30/0", "1e9", "60 60", "90000", "0.0001", "4294967296/1"} {
		if r, err := ParseRate(bad); err == nil {
			t.Errorf("ParseRate(%q) = %s, want a refusal", bad, r)
		}
	}
	ntsc := Rate{30000, 1001}
	for seconds, frames := range map[float64]float64{60: 1798, 600: 17982, 3600: 107892} {
		if got := math.Round(ntsc.FPS() * seconds); got != frames {
			t.Errorf("%v s at 29.97 = %v frames, want %v", seconds, got, frames)
		}
	}
}

func TestFrames(t *testing.T) {
	for _, c := range []struct {
		text, prints string
		ms           float64
	}{
		{"33 frames @ 60", "33 frames @ 60", 550}, {"33 frames @ 59.94 fps", "33 frames @ 59.94", 550.55}, {"33 frames at 60 fps", "33 frames @ 60", 550},
		{"1 frame@30", "1 frame @ 30", 1000. / 30}, {"-4 frames @ 120", "-4 frames @ 120", -100. / 3}, {"15f @ 30", "15 frames @ 30", 500}, {"0 frames @ 30", "0 frames @ 30", 0},
	} {
		f, err := ParseFrames(c.text)
		if err != nil || f.String() != c.prints || math.Abs(f.Time().Value-c.ms) > 1e-9 || f.Time().Unit != MS {
			t.Errorf("ParseFrames(%q) = %s, %v, %v; want %s, %v ms", c.text, f, f.Time(), err, c.prints, c.ms)
		}
	}
	for _, c := range []struct{ text, says string }{
		{"33", `"33" is not a count of frames at a rate`}, {"33 @ 60", `"33 @ 60" is not a count of frames at a rate`},
		{"33.5 frames @ 60", "frames are counted whole, not 33.5"}, {"33 frames @ fast", `"fast" is not a frame rate`},
		{"33 frames @ 1", "1 frames a second is not possible here"}, {"200000 frames @ 60", "200000 frames is not possible here"},
		{"x frames @ 60", `"x frames" is not a number`},
	} {
		if _, err := ParseFrames(c.text); err == nil || err.Error() != c.says {
			t.Errorf("ParseFrames(%q): %v; want %s", c.text, err, c.says)
		}
	}
	if !LooksLikeFrames("33 Frames") || LooksLikeFrames("88 mph") {
		t.Error("frames were not told from a speed")
	}
}

// There and back through any two units of a kind returns the value, and units of two kinds never convert.
func TestConversionsRoundTrip(t *testing.T) {
	all := []Unit{MPH, KMH, MPS, CM, M, FT, IN, Deg, MS, S, Percent, PercentHeight, "years"}
	r := rand.New(rand.NewPCG(1, 2))
	for _, a := range all {
		for _, b := range all {
			q := Quantity{r.Float64()*200 - 100, a}
			c, ok := q.In(b)
			if ok != (a.Kind() == b.Kind()) {
				t.Fatalf("%s in %q: ok %v", q, b, ok)
			}
			if back, _ := c.In(a); ok && math.Abs(back.Value-q.Value) > 1e-9 {
				t.Errorf("%s in %s and back = %s", q, c, back)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"88.5 mph", "88,5 km/h", `6'1"`, "6 ft 1 in", "-2.1 deg", "33 frames @ 59.94 fps", "95 %", "30000/1001", "85 % of height", "1,234 s", "\x1b[2J"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Parse(s)
		if again, err2 := Parse(q.String()); err == nil && (err2 != nil || again != q || math.IsInf(q.Value, 0) || math.IsNaN(q.Value)) {
			t.Errorf("%q read as %s, then as %s (%v)", s, q, again, err2)
		}
		fr, errF := ParseFrames(s)
		if again, err2 := ParseFrames(fr.String()); errF == nil && (err2 != nil || again != fr) {
			t.Errorf("%q read as %s, then as %s (%v)", s, fr, again, err2)
		}
		for _, e := range []error{err, errF} {
			if e != nil && strings.ContainsFunc(e.Error(), func(r rune) bool { return r < ' ' }) {
				t.Errorf("%q: a control character in %q", s, e.Error())
			}
		}
		for _, w := range []Unit{MPH, CM, Deg, MS, Percent, "years", None} {
			if got, err := Read(s, w, Range{-10, 10}); err == nil && !(got.Value >= -10 && got.Value <= 10) {
				t.Errorf("%q read as %s, outside its range", s, got)
			}
		}
	})
}
