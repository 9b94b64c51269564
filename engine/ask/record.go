package ask

import (
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
)

// screenGroup is the group of the questions whose answers go on the record.
const screenGroup = "screen"

// record logs an answer to a safety question: a file can be typed over, a log
// only grows. The questions of a session are logged together, as far as they
// were answered on this visit, since they say something together only.
func (f *Flow) record(it item, c *casefile.Case) error {
	q, ok := f.base.Checklist.Question(it.ID)
	if !ok || q.Group != screenGroup {
		return nil
	}
	answer, _ := c.Answer(q.Name())
	f.screened[q.ID] = answer
	for _, detail := range f.base.Checklist.Questions {
		if detail.DetailOf == q.ID {
			delete(f.screened, detail.ID) // of the answer before
		}
	}
	answers := map[string]string{}
	for _, other := range f.base.Checklist.Questions {
		together := other.ID == q.ID || other.ID == q.DetailOf || q.DetailOf != "" && other.DetailOf == q.DetailOf || q.EachSession && other.EachSession
		if given := f.screened[other.ID]; other.Group == screenGroup && together && given != "" {
			answers[other.ID] = given
		}
	}
	today := f.vocab.Today.Format(time.DateOnly)
	x := casefile.Entry{Code: c.Code, Entered: today, On: today, What: casefile.LogScreen, Answers: answers}
	x.Refers = x.Referring(observe.SafetyRules(f.base, f.facts.Vector))
	if _, err := casefile.AppendEntry(f.log.Path, x); err != nil {
		return err
	}
	log, _, err := casefile.ReadLog(f.file.Path, f.vocab)
	if err != nil {
		return err
	}
	f.log = log
	return nil
}

// screenItem makes an item of a safety question. What stands in the file but
// does not count any more, because it is old or something came after it, is
// asked again.
func (f *Flow) screenItem(q checklist.Question) item {
	it := asked(q)
	stands := it.stands
	it.stands = func(c *casefile.Case) (string, string) {
		if _, counts := f.facts.Safety.Answers[q.ID]; c == f.c && f.screened[q.ID] == "" && (!counts || f.over() == q.Name()) {
			return "", ""
		}
		return stands(c)
	}
	return it
}

// over returns the question of the day to put again, such as the illness of an
// earlier day, where nothing else stands in the way; "" where there is none.
func (f *Flow) over() string {
	id := ""
	for _, stop := range f.facts.Safety.Stops {
		for _, q := range f.base.Checklist.Questions {
			answer := stop.Answers[q.ID]
			if q.Group != screenGroup || answer == "" || slices.Contains(q.Fine, answer) {
				continue
			}
			if q.GoodFor != 1 || !stop.On.Before(f.vocab.Today) || f.screened[q.ID] != "" || f.skipped[q.Name()] {
				return ""
			}
			id = q.Name()
		}
	}
	return id
}

// asGiven is what is known, the safety answers of this visit among it, though the
// record may wait for the rest of them before it lets them stand.
func (f *Flow) asGiven() fact.Vector {
	v := slices.Clone(f.facts.Vector)
	for id, answer := range f.screened {
		if q, ok := f.base.Catalogue.Lookup(screenGroup + "." + id); ok {
			if slot, ok := f.base.Catalogue.Slot(q.Name); ok && !v[slot].Known {
				v[slot], _ = q.Parse(answer)
			}
		}
	}
	return v
}

// ofScreen reports whether a fact is a safety question.
func ofScreen(name string) bool { return strings.HasPrefix(name, screenGroup+".") }
