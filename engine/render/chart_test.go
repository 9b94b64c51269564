package render

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"rungwise/engine/report"
)

// few are ladders with few or no speeds, and with numbers that are none.
func few() map[string]*report.Report {
	out := map[string]*report.Report{"stuck": stuckRecord(), "none found": noneRecord()}
	empty := stuckRecord()
	for i := range empty.Ladder.Rungs {
		g := &empty.Ladder.Rungs[i]
		g.N, g.Speeds, g.Mean, g.Share, g.SD = 0, nil, nil, nil, nil
	}
	one := stuckRecord()
	one.Ladder.Rungs = one.Ladder.Rungs[:1]
	wild := stuckRecord()
	wild.Ladder.Rungs[0].Speeds = []float64{-4, 0, 1e9, math.NaN(), math.Inf(1)}
	wild.Ladder.Rungs[1].Share, wild.Ladder.Rungs[2].Mean = of(math.NaN()), of(0.0)
	wild.Ladder.Rungs[3].Expected = [2]float64{math.Inf(-1), math.Inf(1)}
	wild.Ladder.Rungs[4].Expected = [2]float64{3, 1}
	wild.Ladder.Rungs[5].Misread = []float64{40, 81}
	pair := stuckRecord()
	pair.Ladder.Verdict, pair.Ladder.RungTo = "range", "slope_net"
	out["empty"], out["one"], out["wild"], out["range"] = empty, one, wild, pair
	return out
}

type svgText struct {
	x, y  float64
	end   string
	value string
}

// readSVG parses a drawing strictly and returns its texts and ids.
func readSVG(t testing.TB, drawing string) (texts []svgText, ids map[string]int) {
	t.Helper()
	ids = map[string]int{}
	d := xml.NewDecoder(strings.NewReader(drawing))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts, ids
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, drawing)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]string{}
		for _, a := range e.Attr {
			at[a.Name.Local] = a.Value
			if a.Name.Local == "id" {
				ids[a.Value]++
			}
		}
		if e.Name.Local == "text" {
			var value string
			if err := d.DecodeElement(&value, &e); err != nil {
				t.Fatal(err)
			}
			x, _ := strconv.ParseFloat(at["x"], 64)
			y, _ := strconv.ParseFloat(at["y"], 64)
			texts = append(texts, svgText{x, y, at["text-anchor"], value})
		}
	}
}

// checkSVG wants each id once, all text inside the drawing, and no two texts
// over each other.
func checkSVG(t testing.TB, drawing string) {
	t.Helper()
	texts, ids := readSVG(t, drawing)
	for id, n := range ids {
		if n != 1 {
			t.Errorf("the id %s stands %d times", id, n)
		}
	}
	if strings.Contains(drawing, "NaN") || strings.Contains(drawing, "Inf") {
		t.Errorf("a number that is none in\n%s", drawing)
	}
	box := func(s svgText) (from, to float64) {
		w := textWidth(s.value)
		switch s.end {
		case "end":
			return s.x - w, s.x
		case "middle":
			return s.x - w/2, s.x + w/2
		}
		return s.x, s.x + w
	}
	for i, a := range texts {
		from, to := box(a)
		if from < 0 || to > svgWidth {
			t.Errorf("%q reaches from %.0f to %.0f", a.value, from, to)
		}
		for _, b := range texts[i+1:] {
			if bFrom, bTo := box(b); math.Abs(a.y-b.y) < 13 && from < bTo && bFrom < to {
				t.Errorf("%q and %q lie over each other", a.value, b.value)
			}
		}
	}
}

func TestSVG(t *testing.T) {
	for name, r := range few() {
		drawing := SVG(r, Options{})
		checkSVG(t, drawing)
		if !strings.Contains(drawing, "<title") || !strings.Contains(drawing, "<desc") {
			t.Errorf("%s: no title or description", name)
		}
	}
	drawing := SVG(stuckRecord(), Options{})
	if !strings.Contains(drawing, "81.4 mph, stuck") || strings.Count(drawing, "<circle") != 35 {
		t.Errorf("the stuck rung is not named, or %d throws are drawn and not 35", strings.Count(drawing, "<circle"))
	}
	golden(t, "stuck.svg", drawing)
	other := stuckRecord()
	other.Case = "SM-05"
	if chartID(other) == chartID(stuckRecord()) {
		t.Error("two charts share their ids")
	}
}

func TestChartsOfRandomLadders(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	for range 300 {
		r := stuckRecord()
		r.Ladder.Rungs = nil
		for i := range 1 + rnd.IntN(15) {
			var speeds []float64
			for range rnd.IntN(7) {
				speeds = append(speeds, 60+40*rnd.Float64())
			}
			title := strings.Repeat("long title ", rnd.IntN(6)) + "WMÖ東"[:rnd.IntN(3)]
			low := .7 + .3*rnd.Float64()
			r.Ladder.Rungs = append(r.Ladder.Rungs, rung(fmt.Sprint("t", i), title, "", low, low+.05, 1, speeds...))
		}
		checkSVG(t, SVG(r, Options{}))
		checkText(t, r, 60+rnd.IntN(141))
	}
}

// checkText wants plain characters and no line beyond the width.
func checkText(t testing.TB, r *report.Report, width int) {
	t.Helper()
	for line := range strings.Lines(TextChart(r, width)) {
		line = strings.TrimSuffix(line, "\n")
		if n := utf8.RuneCountInString(line); n > width {
			t.Errorf("%d columns of %d: %q", n, width, line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("ends in a blank: %q", line)
		}
	}
}

func TestTextChart(t *testing.T) {
	for name, r := range few() {
		for width := 60; width <= 200; width++ {
			checkText(t, r, width)
		}
		for _, width := range []int{60, 80, 120} {
			golden(t, fmt.Sprintf("chart_%s_%d.txt", strings.ReplaceAll(name, " ", "_"), width), TextChart(r, width))
		}
	}
	text := TextChart(stuckRecord(), 100)
	if strings.IndexFunc(text, func(c rune) bool { return c > 126 }) >= 0 || !strings.Contains(text, "81.4 mph, stuck") {
		t.Errorf("not plain, or the stuck rung is not named:\n%s", text)
	}
	if TextChart(referRecord(), 80) != "" {
		t.Error("a chart without rungs")
	}
}

func FuzzCharts(f *testing.F) {
	for i, s := range hostile {
		f.Add(s, 60+i, 82.5, .9)
	}
	f.Fuzz(func(t *testing.T, s string, width int, speed, share float64) {
		r := stuckRecord()
		flood(reflect.ValueOf(r), s)
		g := &r.Ladder.Rungs[2]
		g.Speeds[0], g.Share, g.Expected[0] = speed, &share, share
		checkSVG(t, SVG(r, Options{}))
		if width >= 60 {
			checkText(t, r, width)
		}
	})
}

func TestChartsLeaveOutWhatNobodyThrew(t *testing.T) {
	r := stuckRecord()
	for i := range 4 {
		r.Ladder.Rungs = append(r.Ladder.Rungs, rung(fmt.Sprint("later_", i), fmt.Sprint("later ", i), "", .9, .95, 1))
	}
	for name, text := range map[string]string{"text": TextChart(r, 80), "drawing": SVG(r, Options{})} {
		if !strings.Contains(text, "later 0") || strings.Contains(text, "later 1") || !strings.Contains(text, "and 3 rungs more, not thrown") {
			t.Errorf("%s:\n%s", name, text)
		}
	}
}
