package observe

import (
	"strings"

	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/engine/safety"
)

// screenGroup is the group of the safety questions.
const screenGroup = "screen"

// health sets the facts of the safety screen from the state of the record, and
// from nothing else.
func (o *observer) health() {
	o.f.Safety = safety.Of(o.c.Record(SafetyRules(o.b, o.f.Vector), o.b.Alarms()), SafetyRules(o.b, o.f.Vector), o.today)
	for id, a := range o.f.Safety.Answers {
		o.word(screenGroup+"."+id, a.Answer)
	}
	o.set(screenGroup+".stopped", fact.Bool(len(o.f.Safety.Stops) > 0))
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
