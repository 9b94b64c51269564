package engine

import (
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/safety"
)

// Remember writes into the log what a case file says of the body today and the
// log does not hold, and a loss of speed that the log's sessions tell: what is
// typed into a file can be typed over and a loss outthrown, what is logged stays.
// It returns what it wrote. The case has its log anew afterwards.
func (e *Engine) Remember(c *casefile.Case, path string) ([]casefile.Entry, error) {
	rules, err := e.safetyRules(c)
	if err != nil {
		return nil, err
	}
	unrecorded := c.Unrecorded(rules, e.base.Alarms(), e.today)
	if x, lost := e.LostSpeed(c); lost {
		unrecorded = append(unrecorded, x)
	}
	var out []casefile.Entry
	for _, x := range unrecorded {
		x.Refers, x.Code = x.Referring(rules), c.Code
		written, err := casefile.AppendEntry(c.Log.Path, x)
		if err != nil {
			return out, err
		}
		out = append(out, written)
	}
	if len(out) == 0 {
		return nil, nil
	}
	_, err = e.ReadLog(c, path)
	return out, err
}

// safetyRules is how the answers of an athlete are read.
func (e *Engine) safetyRules(c *casefile.Case) (safety.Rules, error) {
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return safety.Rules{}, err
	}
	return observe.SafetyRules(e.base, facts.Vector), nil
}

// Referring lists the questions of an entry whose answers send the athlete to a
// clinician. It is written down with them: a birthday lifts nothing.
func (e *Engine) Referring(c *casefile.Case, x casefile.Entry) ([]string, error) {
	rules, err := e.safetyRules(c)
	if err != nil {
		return nil, err
	}
	return x.Referring(rules), nil
}

// LostSpeed is the entry for the record where the speeds of the log tell of a
// sudden loss, which stops throwing as an answer does; ok is false where the
// record has it, or nothing was lost.
func (e *Engine) LostSpeed(c *casefile.Case) (x casefile.Entry, ok bool) {
	session, logged := c.Log.Last(casefile.LogSession)
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil || !logged || !facts.SpeedLost || slices.ContainsFunc(c.Log.Entries, func(x casefile.Entry) bool {
		return x.ID > session.ID && x.Answers["sudden_loss"] == "yes"
	}) {
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

// Clinicians lists who may clear an athlete.
func (e *Engine) Clinicians() []string { return e.vocabulary().Clinicians() }
