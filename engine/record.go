package engine

import (
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/report"
)

// Remember writes into the log what a case file says of the body today and the
// log does not hold: what is typed into a file can be typed over, what is logged
// stays. It returns what it wrote. The case has its log anew afterwards.
func (e *Engine) Remember(c *casefile.Case, path string) ([]casefile.Entry, error) {
	var out []casefile.Entry
	for _, x := range c.Unrecorded(observe.SafetyRules(e.base, e.base.Catalogue.Vector()), e.base.Alarms(), e.today) {
		written, err := casefile.AppendEntry(c.Log.Path, x)
		if err != nil {
			return out, err
		}
		out = append(out, written)
	}
	if len(out) == 0 {
		return nil, nil
	}
	_, err := e.ReadLog(c, path)
	return out, err
}

// LostSpeed is the entry for the record where the speeds of the log tell of a
// sudden loss, which stops throwing as an answer does; ok is false where the
// record has it, or nothing was lost.
func (e *Engine) LostSpeed(c *casefile.Case, w *report.Week) (x casefile.Entry, ok bool) {
	lost := slices.ContainsFunc(w.Reasons, func(r report.WeekReason) bool { return r.ID == "velocity_loss" })
	session, logged := c.Log.Last(casefile.LogSession)
	if !lost || !logged {
		return x, false
	}
	return casefile.Entry{Entered: e.today.Format(time.DateOnly), On: session.On, What: casefile.LogScreen, Answers: map[string]string{"sudden_loss": "yes"}}, true
}

// Alarming returns the word of a note that may tell of an arm that hurts, "" for
// none.
func (e *Engine) Alarming(note string) string { return e.base.Alarms().Find(note) }

// ReadSlip reads a return slip with the base's places and words.
func (e *Engine) ReadSlip(text string) casefile.Slip {
	return casefile.ReadSlip(text, e.Places(), e.base.Alarms())
}

// Places lists where it can be sore.
func (e *Engine) Places() []string { return e.vocabulary().Places() }

// Refers reports whether answers of a session by themselves send an athlete to a
// clinician.
func (e *Engine) Refers(c *casefile.Case, h *casefile.Health) (bool, error) {
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return false, err
	}
	return observe.SafetyRules(e.base, facts.Vector).Refers(h.Answers()), nil
}
