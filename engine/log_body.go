package engine

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/report"
)

// health reads what was told of the body; a session without it is refused.
func (w *teller) health() *casefile.Health {
	h := &casefile.Health{}
	if w.t.Answered != nil {
		*h = *w.t.Answered
	}
	if w.t.Sore != "" {
		place, err := casefile.SoreAt(w.t.Sore, w.e.Places())
		w.bad("sore", err)
		if h.Sore = place; err == nil && (place == "none" || w.t.ElseNone) {
			h = &casefile.Health{Pain: "no", Numbness: "no", Pop: "no", SuddenLoss: "no", Sore: place}
		}
	}
	w.t.flag(h)
	if w.t.Sore == "" && w.t.Answered == nil && !w.t.alarm() {
		w.fault("sore", "ask the athlete first: --sore none where nothing hurts, is numb or has popped; "+
			"else --pain, --numbness, --pop, or --sore and the place")
	}
	return h
}

// flag puts what the yes or no flags tell into answers.
func (t Told) flag(h *casefile.Health) {
	for _, q := range []struct {
		yes  bool
		into *string
	}{{t.Pain, &h.Pain}, {t.Numbness, &h.Numbness}, {t.Pop, &h.Pop}, {t.SuddenLoss, &h.SuddenLoss}} {
		if q.yes {
			*q.into = "yes"
		}
	}
}

// slip reads a return slip. One that names another athlete is refused, and so is
// one with a health question left blank; what complains, or may, is kept.
func (w *teller) slip() casefile.Entry {
	s := w.e.ReadSlip(w.t.Slip)
	open := s.Health.Open()
	switch {
	case s.Code != "" && !strings.EqualFold(s.Code, w.c.Code):
		w.fault("", "the slip is of %s, and this is %w, %s", s.Code, ErrOtherFile, w.c.Code)
	case s.Unread != "":
		w.says = append(w.says, report.Words(w.e.Sentence).Say("log_slip_unread", "says", fmt.Sprintf("%q", diag.Clean(s.Unread))))
	case s.Health.Complaint() != "":
	case len(s.Odd) > 0:
		w.fault("", "%q on the slip is not understood; nothing was logged", strings.Join(s.Odd, "; "))
	case len(open) > 0:
		w.fault("", "the slip leaves these blank: %s; nothing was logged: ask, and send it again", strings.Join(open, ", "))
	}
	return s.Entry
}

// Doubt is the alarming word of a note about which the athlete was not asked; ""
// for none. Until somebody has asked, the entry counts as not understood.
func (e *Engine) Doubt(t Told) string {
	note := t.Note
	if note == "" && t.Slip != "" {
		note = e.ReadSlip(t.Slip).Note
	}
	if t.Asked != "" {
		return ""
	}
	return e.Alarming(note)
}

// Meaning reads what an athlete answered about a note: none, pain, or the place.
func (e *Engine) Meaning(answer string) (string, error) {
	if strings.EqualFold(answer, "pain") {
		return "pain", nil
	}
	return casefile.SoreAt(answer, e.Places())
}

// meant takes what the athlete answered about the note. Where nobody asked, the
// entry is kept as it is and counts as not understood.
func (w *teller) meant(x *casefile.Entry) {
	word := w.e.Alarming(x.Note)
	if word == "" && w.t.Asked == "" {
		return
	}
	if x.Health == nil {
		x.Health = &casefile.Health{}
	}
	if w.t.Asked == "" {
		w.says = append(w.says, report.Words(w.e.Sentence).Say("log_note_alarms", "says", fmt.Sprintf("%q", word)))
		return
	}
	answer, err := w.e.Meaning(w.t.Asked)
	w.bad("asked", err)
	switch x.Asked = answer; answer {
	case "pain":
		x.Health.Pain = "yes"
	case "none", "":
	default:
		x.Health.Sore = answer
	}
}

// KeepArm logs what was told of the arm by itself, where it could not be logged
// as it was told: nothing that is told of a body is lost beside a slip of the
// fingers. The entry is nil where nothing was told of it.
func KeepArm(trade Trade, path string, today time.Time, t Told) (*casefile.Entry, error) {
	e, _ := Open(Options{Trade: trade, Today: today}) // the house may be what is wrong
	if e == nil {
		return nil, nil
	}
	x, told := e.ofTheArm(t)
	if !told {
		return nil, nil
	}
	x.Entered, x.On = today.Format(time.DateOnly), today.Format(time.DateOnly)
	log, err := casefile.LogOf(path)
	if err == nil {
		x, err = casefile.AppendEntry(log, x)
	}
	return &x, err
}

// Complains reports whether anything was told of the arm, or may have been.
func (e *Engine) Complains(t Told) bool {
	_, told := e.ofTheArm(t)
	return told
}

// ofTheArm is what was told of the body and nothing else. What is not understood
// is kept as it stands.
func (e *Engine) ofTheArm(t Told) (x casefile.Entry, told bool) {
	x = casefile.Entry{What: casefile.LogSession, Health: &casefile.Health{}}
	var unread []string
	if t.Slip != "" {
		s := e.ReadSlip(t.Slip)
		x.Health, x.Note = s.Health, s.Note
		unread = append(unread, s.Unread)
	}
	if t.Answered != nil {
		*x.Health = *t.Answered
	}
	t.flag(x.Health)
	for _, said := range []string{t.Sore, t.Asked} {
		switch at, err := e.Meaning(said); {
		case said == "" || at == "none":
		case err != nil:
			unread = append(unread, "sore: "+said)
		case at == "pain":
			x.Health.Pain = "yes"
		default:
			x.Health.Sore = at
		}
	}
	if t.Note != "" {
		x.Note = t.Note
	}
	if e.Alarming(x.Note) == "" {
		x.Note = ""
	}
	if e.Alarming(t.Other) != "" {
		unread = append(unread, t.Other)
	}
	x.Unread = strings.Join(slices.DeleteFunc(unread, func(s string) bool { return s == "" }), "; ")
	return x, x.Health.Complaint() != "" || x.Unread != "" || x.Note != ""
}

// Log writes entries at the end of a case's log, and after them what the speeds
// of the log tell of a sudden loss; the case has its log anew afterwards. It
// returns what was written, also beside an error.
func (e *Engine) Log(c *casefile.Case, path string, entries []casefile.Entry) (written []casefile.Entry, err error) {
	put := func(x casefile.Entry) error {
		refers, err := e.Referring(c, x)
		if err != nil {
			return err
		}
		x.Refers, x.Code = refers, c.Code
		if x, err = casefile.AppendEntry(c.Log.Path, x); err == nil {
			written = append(written, x)
		}
		return err
	}
	for _, x := range entries {
		if err := put(x); err != nil {
			return written, err
		}
	}
	if _, err := e.ReadLog(c, path); err != nil {
		return written, err
	}
	if x, lost := e.LostSpeed(c); lost {
		if err := put(x); err != nil {
			return written, err
		}
		if _, err := e.ReadLog(c, path); err != nil {
			return written, err
		}
	}
	return written, nil
}

// KeepDecision logs a decision that follows sessions, once a day.
func (e *Engine) KeepDecision(c *casefile.Case, decision, rung, to, on string) error {
	last, ok := c.Log.Last(casefile.LogDecision)
	if len(c.Log.Of(casefile.LogSession)) == 0 || ok && last.On == on && last.Decision == decision && last.To == to {
		return nil
	}
	today := e.today.Format(time.DateOnly)
	_, err := casefile.AppendEntry(c.Log.Path, casefile.Entry{Code: c.Code, Entered: today, On: today,
		What: casefile.LogDecision, Decision: decision, Rung: rung, To: to})
	return err
}

// Sentence is a sentence of the rules' wording, as it stands.
func (e *Engine) Sentence(id string) string {
	text, _ := e.base.Words(id)
	return text
}
