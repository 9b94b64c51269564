package main

import (
	"bufio"
	"errors"
	"fmt"
	"strings"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
)

// askAbout puts the question that a note with an alarming word raises. Where
// nobody is there to answer, the entry is kept as it is and counts as not
// understood.
func (a *app) askAbout(e *engine.Engine, f logFlags, x *casefile.Entry) error {
	word, asked := e.Alarming(x.Note), f.asked
	if word == "" && asked == "" {
		return nil
	}
	if x.Health == nil {
		x.Health = &casefile.Health{}
	}
	take := func(text string) error {
		if strings.EqualFold(text, "pain") {
			x.Health.Pain, x.Asked = "yes", "pain"
			return nil
		}
		place, err := casefile.SoreAt(text, e.Places())
		if err != nil {
			return err
		}
		if x.Asked = place; place != "none" {
			x.Health.Sore = place
		}
		return nil
	}
	switch {
	case asked != "":
		if err := take(asked); err != nil {
			return status{usage, err}
		}
		return nil
	case a.interactive():
		q := asker{a, bufio.NewScanner(a.in)}
		return q.ask(fmt.Sprintf("The note says %q. Pain? (none, pain, or where)", word), false, take)
	}
	fmt.Fprintf(a.err, "the note says %q, and nobody said what that means: ask the athlete, then log it with --asked none, --asked pain, or --asked and the place; until somebody has asked, no throw is printed\n", word)
	return nil
}

// errOtherFile tells that what was to be logged is another athlete's.
var errOtherFile = errors.New("another athlete's file")

// slip reads a return slip. One that names another athlete is refused, and so is
// one with a health question left blank; what complains, or may, is kept.
func (a *app) slip(e *engine.Engine, k *casefile.Case, text string) ([]casefile.Entry, error) {
	s := e.ReadSlip(text)
	if s.Code != "" && !strings.EqualFold(s.Code, k.Code) {
		return nil, fmt.Errorf("the slip is of %s, and this is %w, %s", s.Code, errOtherFile, k.Code)
	}
	open := s.Health.Open()
	switch {
	case s.Unread != "":
		fmt.Fprintf(a.err, "%q on the slip is not understood and may speak of the arm: it is logged as it stands, and until somebody has asked the athlete no throw is printed\n", diag.Clean(s.Unread))
	case s.Health.Complaint() != "":
	case len(s.Odd) > 0:
		return nil, fmt.Errorf("%q on the slip is not understood; nothing was logged", strings.Join(s.Odd, "; "))
	case len(open) > 0:
		return nil, fmt.Errorf("the slip leaves these blank: %s; nothing was logged: ask, and send it again", strings.Join(open, ", "))
	}
	return []casefile.Entry{s.Entry}, nil
}

func (f logFlags) health(places []string) (*casefile.Health, error) {
	h := &casefile.Health{}
	if f.sore != "" {
		place, err := casefile.SoreAt(f.sore, places)
		if err != nil {
			return nil, err
		}
		if h.Sore = place; place == "none" || f.elseNone {
			h = &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: place}
		}
	}
	f.flag(h)
	if f.sore == "" && !f.alarm() {
		return nil, errors.New("ask the athlete first: --sore none where nothing hurts, is numb or has popped; else --pain, --numbness, --pop, or --sore and the place")
	}
	return h, nil
}
