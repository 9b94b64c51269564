package casefile

import (
	"fmt"
	"strings"
	"testing"
)

func show(t Thrown) string {
	var b strings.Builder
	for i, v := range t.Speeds {
		if v == nil {
			b.WriteString("-")
		} else {
			fmt.Fprintf(&b, "%g", *v)
		}
		if i < len(t.Marks) {
			b.WriteString(t.Marks[i][:1])
		}
		b.WriteString(" ")
	}
	return strings.TrimSpace(b.String() + string(t.Unit))
}

func TestReadThrows(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"81 82 81.5", "81 82 81.5"},
		{"81,5 82,0 81", "81.5 82 81"},
		{"81,5; 82,1", "81.5 82.1"},
		{"81,82,81.5", "81 82 81.5"},
		{"81, 82, 83", "81 82 83"},
		{"\ufeff81.2 y\r\n- ?\r\n80.9 n\r\n", "81.2y -c 80.9n"},
		{"131 132 km/h", "131 132 km/h"},
		{"81 – 82", "81 - 82"},
		{"", ""},
	} {
		got, err := ReadThrows(c.text)
		if err != nil || show(got) != c.want {
			t.Errorf("%q: got %q, %v", c.text, show(got), err)
		}
	}
	for _, text := range []string{"fast", "y 81", "81 y 82", "81 y y", "81 mph 82 km/h", "1e999", "-5"} {
		if got, err := ReadThrows(text); err == nil {
			t.Errorf("%q was read as %q", text, show(got))
		}
	}
}

func TestReadMarks(t *testing.T) {
	for text, want := range map[string]string{"y y n p": "yes yes no partly", "yynp": "yes yes no partly", "y,n,?": "yes no could_not_see", "no": "no"} {
		got, err := ReadMarks(text)
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
	if _, err := ReadMarks("y maybe"); err == nil {
		t.Error("a word that is no mark was read")
	}
}

func TestReadOther(t *testing.T) {
	for text, want := range map[string]string{
		"game 45 pitches 3 innings":  "game 45 3 0 0",
		"practice 40 throws 10 hard": "practice 0 0 40 10",
		"catching":                   "catching 0 0 0 0",
		"Catching, 6 innings":        "catching 0 6 0 0",
	} {
		e, err := ReadOther(text)
		if got := fmt.Sprint(e.Kind, " ", e.Pitches, " ", e.Innings, " ", e.Throws, " ", e.High); err != nil || got != want {
			t.Errorf("%q: got %s, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "game", "game 3 innings", "practice", "bowling 3 throws", "game 45", "game 4.5 pitches", "game -3 pitches"} {
		if e, err := ReadOther(text); err == nil {
			t.Errorf("%q was read as %+v", text, e)
		}
	}
}

func TestReadSlip(t *testing.T) {
	e, code, err := ReadSlip("code: SM-04\ndate: 2026-11-12\npain: no\nnumbness: no\npop or swelling: no\nsore: inside of the elbow\nthrows: 45\nhard: 10\nnote: cold, wet\n")
	if err != nil || code != "SM-04" || e.On != "2026-11-12" || e.Throws != 45 || e.High != 10 || e.Note != "cold, wet" {
		t.Errorf("got %+v, %s, %v", e, code, err)
	}
	if e.Health.Sore != "elbow" || !e.Health.Answered() {
		t.Errorf("health is %+v", e.Health)
	}
	if e, _, err := ReadSlip("throws 30, no pain, sore none"); err != nil || e.Throws != 30 || e.Health.Pain != "no" || e.Health.Numbness != "" {
		t.Errorf("got %+v, %v", e.Health, err)
	}
	for _, text := range []string{"", "code: SM-04", "throws: lots", "my elbow hurts", "sore: a bit"} {
		_, _, err := ReadSlip(text)
		if err == nil {
			t.Errorf("%q was read", text)
			continue
		}
		if strings.Contains(text, "elbow") && !strings.Contains(err.Error(), "ask the athlete") {
			t.Errorf("%q: the alarm is not told: %v", text, err)
		}
	}
}

func FuzzReadThrows(f *testing.F) {
	f.Add("81 y 82 n km/h")
	f.Add("81,5;-;")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ReadThrows(text)
		if err == nil && len(got.Marks) > 0 && len(got.Marks) != len(got.Speeds) {
			t.Fatal("marks without speeds")
		}
	})
}

func FuzzReadSlip(f *testing.F) {
	f.Add("code: SM-04\nsore: elbow\nthrows 45")
	f.Fuzz(func(t *testing.T, text string) {
		if e, _, err := ReadSlip(text); err == nil && e.Health == nil {
			t.Fatal("a slip without answers")
		}
	})
}
