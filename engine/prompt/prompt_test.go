package prompt

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

func over(t *testing.T, script string) (p *Prompter, out, errs *bytes.Buffer) {
	t.Helper()
	out, errs = &bytes.Buffer{}, &bytes.Buffer{}
	return New(t.Context(), strings.NewReader(script), out, errs, false), out, errs
}

// A wrong answer is said at once with what is taken, and asked again; help comes
// when it is asked for; and no line is lost between two questions.
func TestAsksUntilItIsTaken(t *testing.T) {
	p, out, errs := over(t, "maybe\n?\nY\n\nforty\n40\n")
	var said, age, name string
	into := func(to *string) func(string) error { return func(s string) error { *to = s; return nil } }
	if err := p.Ask(Question{Ask: "Numb? (y/n)", Choices: YesNo("y", "n"), Help: "In the hand."}, into(&said)); err != nil {
		t.Fatal(err)
	}
	if err := p.Ask(Question{Ask: "Name", Open: true}, into(&name)); err != nil {
		t.Fatal(err)
	}
	err := p.Ask(Question{Ask: "Age"}, func(s string) error {
		if s == "forty" {
			return Refuse("write 40", "%s is no number", Quote(s))
		}
		return into(&age)(s)
	})
	if err != nil || said != "yes" || name != "" || age != "40" {
		t.Errorf("got %q, %q, %q, %v", said, name, age, err)
	}
	if want := "Numb? (y/n): Numb? (y/n): In the hand.\nNumb? (y/n): Name: Age: Age: "; out.String() != want {
		t.Errorf("asked %q", out)
	}
	if want := "\"maybe\" is no answer to this\nhelp: it takes y (yes), n (no)\n\"forty\" is no number\nhelp: write 40\n"; errs.String() != want {
		t.Errorf("said %q", errs)
	}
	if err := p.Ask(Question{Ask: "More"}, into(&age)); !errors.Is(err, ErrLeft) || !strings.HasSuffix(out.String(), "More: \n") {
		t.Errorf("at the end: %v, %q", err, out)
	}
}

// At a terminal nothing that was typed before the question was there answers it,
// and nothing that a terminal sends by itself.
func TestTypedAheadAnswersNothingThatMust(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, w := io.Pipe()
		var out bytes.Buffer
		p := New(t.Context(), r, &out, &out, true)
		go func() {
			io.WriteString(w, "yes\n")
			time.Sleep(Settle)
			io.WriteString(w, "\x1b]11;rgb:1e1e\nno\nearly\n")
			w.Close()
		}()
		if text, err := p.Line("Pain?", true); err != nil || text != "no" {
			t.Errorf("got %q, %v", text, err)
		}
		if text, err := p.Line("", false); err != nil || text != "early" || p.Read() != 4 {
			t.Errorf("got %q, %v after %d lines", text, err, p.Read())
		}
		if got := out.String(); strings.Count(got, "came before the question") != 1 || strings.Count(got, "nobody types") != 1 || strings.Contains(got, "\x1b") {
			t.Errorf("said %q", got)
		}
	})
}

func TestEndsOfTheInput(t *testing.T) {
	p, _, _ := over(t, "# so\nok\n"+strings.Repeat("x", Longest+1))
	p.Skip = func(l string) bool { return strings.HasPrefix(l, "#") }
	if text, err := p.Line("A", true); err != nil || text != "ok" {
		t.Fatal(text, err)
	}
	if _, err := p.Line("B", true); err == nil || !strings.Contains(err.Error(), "line 3 of the answers is longer") {
		t.Errorf("got %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	r, _ := io.Pipe()
	if _, err := New(ctx, r, io.Discard, io.Discard, true).Line("A", true); !errors.Is(err, ErrLeft) {
		t.Errorf("broken off: %v", err)
	}
}

func TestPick(t *testing.T) {
	c := append(YesNo("1", "2"), Choice{Key: "3", ID: "could_not_see", Label: "out of sight"})
	for text, want := range map[string]string{"1": "yes", "Y": "yes", "no": "no", "could not see": "could_not_see",
		"Out of sight": "could_not_see", " 3 ": "could_not_see", "": "", "4": ""} {
		if got, ok := c.Pick(text); got.ID != want || ok != (want != "") {
			t.Errorf("%q picks %q", text, got.ID)
		}
	}
	if got := Words("right", "left").Refuse("rihgt").Error(); got != `"rihgt" is no answer to this; did you mean right?` {
		t.Error(got)
	}
	if got := Words("high_school").Takes("a number"); got != "it takes high school, a number" {
		t.Error(got)
	}
	if got := Quote("\x1b[31m" + strings.Repeat("é", 60)); strings.Contains(got, "\x1b") || len([]rune(got)) > 46 {
		t.Error(got)
	}
}
