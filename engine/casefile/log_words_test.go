package casefile

import (
	"fmt"
	"strings"
	"testing"

	"rungwise/engine/safety"
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
	for text, want := range map[string]string{"y y n p": "yes yes no partly", "yynp": "yes yes no partly", "y,n,?": "yes no could_not_see", "y,n,x": "yes no could_not_see", "yXp": "yes could_not_see partly", "no": "no"} {
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

func slip(text string) Slip {
	return ReadSlip(text, []string{"none", "elbow", "shoulder", "upper_arm", "hip"}, safety.Alarms{Words: []string{"hurt", "elbow"}})
}

func TestReadSlip(t *testing.T) {
	s := slip("code: SM-04\ndate: 2026-11-12\npain (no or where): no\nnumbness: no\npop or swelling: no\nsore: inside of the upper arm\nthrows: 45\nhard: 10\nnote: cold, wet\n")
	if s.Code != "SM-04" || s.On != "2026-11-12" || s.Throws != 45 || s.High != 10 || s.Note != "cold, wet" || s.Unread != "" || len(s.Odd) > 0 {
		t.Errorf("got %+v", s)
	}
	if s.Health.Sore != "upper_arm" || len(s.Health.Open()) > 0 {
		t.Errorf("health is %+v", s.Health)
	}
	if s := slip("throws 30, no pain, sore none"); s.Throws != 30 || s.Health.Pain != "no" || strings.Join(s.Health.Open(), ", ") != "numbness, pop or swelling" {
		t.Errorf("got %+v", s.Health)
	}
	if s := slip("pain: elbow"); s.Health.Pain != "yes" || s.Health.Sore != "elbow" {
		t.Errorf("a place for an answer is %+v", s.Health)
	}
	for _, text := range []string{"pain: yes, pain: no", "pain: yes\nno pain", "pain: yes; pain: n", "sore: elbow, sore: none", "pain: no, pain: elbow"} {
		if s := slip(text); s.Health.Complaint() == "" {
			t.Errorf("%q takes back what hurts: %+v", text, s.Health)
		}
	}
	for text, unread := range map[string]bool{"throws: lots": false, "blah blah": true, "pain: no; elbow": true, "pain: no, only after": true, "numbness: no, sometimes": true, "pain: n, y": true, "my elbow hurts": true, "sore: a bit": true, "pain: a little": true, "numbness: sometimes": true, "hurts": true} {
		if s := slip(text); (s.Unread != "") != unread || !unread && len(s.Odd) == 0 {
			t.Errorf("%q: unread %q, odd %q", text, s.Unread, s.Odd)
		}
	}
}

// The empty slip, sent back untouched, answers nothing.
func TestEmptySlipAnswersNothing(t *testing.T) {
	for _, text := range []string{"", SlipForm, "code: SM-04"} {
		if s := slip(text); len(s.Health.Answers()) > 0 || len(s.Health.Open()) != 4 {
			t.Errorf("%q answers %v", text, s.Health.Answers())
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
		s := slip(text)
		for id, answer := range s.Health.Answers() {
			if answer == "" {
				t.Fatalf("%s is answered with nothing", id)
			}
		}
		if strings.Contains(strings.ToLower(text), "hurt") && s.Unread == "" && s.Health.Complaint() == "" && s.Note == "" && s.Code == "" && s.On == "" {
			t.Fatalf("%q is lost: %+v", text, s)
		}
	})
}
