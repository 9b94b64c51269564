package observe

import (
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/engine/safety"
)

// screenGroup is the group of the safety questions.
const screenGroup = "screen"

// health sets the facts of the safety screen from the state of the record, and
// from nothing else.
func (o *observer) health() {
	if o.asked.Refers == nil { // what other facts say later is no answer of a body
		o.asked = SafetyRules(o.b, slices.Clone(o.f.Vector))
	}
	record := o.c.Record(o.asked, o.b.Alarms())
	if o.f.SpeedLost {
		record = append(record, safety.Report{On: o.newest().Day(), From: "the speeds of the log", Answers: map[string]string{"sudden_loss": "yes"}})
	}
	o.f.Safety = safety.Of(record, o.asked, o.today)
	for id, a := range o.f.Safety.Answers {
		o.word(screenGroup+"."+id, a.Answer)
	}
	o.set(screenGroup+".stopped", fact.Bool(len(o.f.Safety.Stops) > 0))
}

// speedLost notes a loss of speed in the drill that noise does not explain and that
// no clearance has come after, and takes it into the state as an answer.
func (o *observer) speedLost() {
	if f := o.f.Floor; !f.Loss && !f.Stuck {
		return
	}
	session := o.newest()
	if o.c.Log != nil {
		cleared, ok := o.c.Log.Last(casefile.LogClearance)
		o.f.SpeedLost = !ok || cleared.On < session.On || cleared.ID < session.ID
	} else {
		o.f.SpeedLost = true
	}
	o.health()
}

// newest is the newest session of the log, the zero entry where there is none.
func (o *observer) newest() casefile.Entry {
	if o.c.Log == nil {
		return casefile.Entry{}
	}
	session, _ := o.c.Log.Last(casefile.LogSession)
	return session
}

// SafetyRules is how a base reads the answers of the screen. What is known of the
// athlete besides, such as the age, stands in the vector: a gate may read both.
func SafetyRules(b *rule.Base, known fact.Vector) safety.Rules {
	rules := safety.Rules{Refers: func(answers map[string]string) bool {
		v := b.Catalogue.Vector()
		copy(v, known)
		for i := range v {
			f := b.Catalogue.At(i)
			if strings.HasPrefix(f.Name, screenGroup+".") {
				v[i] = fact.Value{}
			}
			if q, ok := b.Checklist.Question(f.Name); ok && q.Group == screenGroup {
				if answer := answers[q.ID]; answer != "" {
					v[i], _ = f.Parse(answer) // an answer that the base does not know says nothing to a gate
				}
			}
		}
		return b.Refers(v)
	}}
	for _, q := range b.Checklist.Questions {
		if q.Group == screenGroup {
			rules.Questions = append(rules.Questions, safety.Question{ID: q.ID, Fine: q.Fine, GoodFor: q.GoodFor, Session: q.EachSession, Of: q.DetailOf, LiftedBy: q.LiftedBy})
		}
	}
	return rules
}
