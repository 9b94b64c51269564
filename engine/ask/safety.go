package ask

import (
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
)

// screenGroup is the group of the questions whose answers go on the record.
const screenGroup = "screen"

// safetyItems lists the safety questions that this athlete is asked.
func (f *Flow) safetyItems() []item {
	var out []item
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) != Safety {
			continue
		}
		if put, must := f.needed(q); put {
			it := f.screenItem(q)
			it.Must = must
			out = append(out, it)
		}
	}
	return out
}

// needed reports whether a safety question is put to this athlete, and whether
// it cannot be left open. A question that gates wait for only in some cases is
// put where one of them does; one that no gate waits for may be left open.
func (f *Flow) needed(q checklist.Question) (put, must bool) {
	if q.Name() == f.unsafe() {
		return true, true
	}
	put = true
	for i := range f.base.Gates {
		g := &f.base.Gates[i]
		if g.Verdict != rule.NotEnough || !slices.Contains(g.Needs, q.Name()) {
			continue
		}
		if g.Applies(f.asGiven()) {
			return true, true
		}
		put = false
	}
	return put, false
}

// asGiven is what is known, the safety answers of this visit among it, though the
// record may wait for the rest of them before it lets them stand.
func (f *Flow) asGiven() fact.Vector {
	v := slices.Clone(f.facts.Vector)
	for name, answer := range f.screened {
		if slot, ok := f.base.Catalogue.Slot(name); ok && !v[slot].Known {
			v[slot], _ = f.base.Catalogue.At(slot).Parse(answer)
		}
	}
	return v
}

// screenItem makes an item of a safety question. What stands in the file but
// does not count any more, because it is old or something came after it, is
// asked again.
func (f *Flow) screenItem(q checklist.Question) item {
	it := asked(q)
	stands := it.stands
	it.stands = func(c *casefile.Case) (string, string) {
		if _, counts := f.facts.Safety.Answers[q.ID]; c == f.c && f.screened[q.Name()] == "" && (!counts || f.over() == q.Name()) {
			return "", ""
		}
		return stands(c)
	}
	it.read = func(r Reply) (change, error) {
		ch, err := asked(q).answered(r)
		if err == nil && len(f.c.Screen()) == 0 { // the first answer dates them
			ch.sets = append(ch.sets, setting{screenGroup + ".on", f.vocab.Today.Format(time.DateOnly)})
		}
		return ch, err
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
			if q.GoodFor != 1 || !stop.On.Before(f.vocab.Today) || f.screened[q.Name()] != "" || f.skipped[q.Name()] {
				return ""
			}
			id = q.Name()
		}
	}
	return id
}

// safety returns the safety question to put now, and whether there is one: the
// first that is open, else one whose answer does not fit the others.
func (f *Flow) safety() (string, bool) {
	for _, it := range f.safetyItems() {
		if now, _ := it.stands(f.c); now == "" && !f.skipped[it.ID] {
			return f.before(it.ID), true
		}
	}
	id := f.unsafe()
	return id, id != ""
}

// before returns the question to put before a safety question: one that may
// spare the athlete it, such as the age before a parent's consent.
func (f *Flow) before(id string) string {
	for _, g := range f.base.Gates {
		if g.Unless == nil || !slices.Contains(g.Needs, id) || g.Unless.Eval(f.facts.Vector) != fact.Unknown {
			continue
		}
		for _, slot := range g.Unless.Reads() {
			x := f.base.Catalogue.At(slot)
			if _, told := f.c.Answer(x.Name); !told && !f.skipped[x.Name] && !x.Constant {
				return x.Name
			}
		}
	}
	return id
}

// gate returns the gate that decides.
func (f *Flow) gate() *rule.Gate { return f.base.Deciding(f.facts.Vector) }

// settled returns the gate that makes the video needless: the drill has to be
// restored first, or no break was found.
func (f *Flow) settled() *rule.Gate {
	if g := f.gate(); g != nil && (g.Verdict == rule.Restore || g.Verdict == rule.NoneFound) {
		return g
	}
	return nil
}

// refused reports whether the answers end the visit: one belongs to a clinician,
// or what was answered on this visit keeps the safety screen shut.
func (f *Flow) refused() bool {
	g := f.gate()
	return g != nil && (g.Verdict == rule.Refer || len(f.shutBy(g)) > 0 && f.unsafe() == "")
}

// unsafe returns the safety question to put again because its answer, as it
// stands in the file, keeps the screen shut; "" where there is none, or all of
// it was answered on this visit.
func (f *Flow) unsafe() string {
	for _, name := range f.shutBy(f.gate()) {
		if _, ok := f.c.Answer(name); ok && f.screened[name] == "" {
			return name
		}
	}
	return ""
}

// shutBy lists the safety questions whose answers keep the safety screen shut at
// a gate though nothing that it needs is open, in the order in which they are
// asked.
func (f *Flow) shutBy(g *rule.Gate) []string {
	if g == nil || g.When == nil || g.Verdict != rule.NotEnough || len(g.Needs) > 0 {
		return nil
	}
	var out []string
	for _, q := range f.base.Checklist.Questions {
		if slot, _ := f.base.Catalogue.Slot(q.Name()); sectionOf(q) == Safety && slices.Contains(g.When.Reads(), slot) {
			out = append(out, q.Name())
		}
	}
	return out
}

// record logs an answer to a safety question: a file can be typed over, a log
// only grows. The questions of a session are logged together, as far as they
// were answered on this visit, since they say something together only.
func (f *Flow) record(it item, c *casefile.Case) error {
	q, ok := f.base.Checklist.Question(it.ID)
	if !ok || q.Group != screenGroup {
		return nil
	}
	f.screened[q.Name()], _ = c.Answer(q.Name())
	answers := map[string]string{}
	for _, other := range f.base.Checklist.Questions {
		if other.DetailOf == q.ID {
			delete(f.screened, other.Name()) // of the answer before
		}
		together := other.ID == q.ID || other.ID == q.DetailOf || q.DetailOf != "" && other.DetailOf == q.DetailOf ||
			q.EachSession && other.EachSession
		if given := f.screened[other.Name()]; other.Group == screenGroup && together && given != "" {
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
	if err == nil {
		f.log = log
	}
	return err
}

// throwAnswers lists throws as options.
func (f *Flow) throwAnswers(keep func(id string) bool) []fact.Answer {
	var out []fact.Answer
	for _, t := range f.base.Throws {
		if keep(t.ID) {
			out = append(out, fact.Answer{ID: t.ID, Label: t.Title})
		}
	}
	return out
}

// words is a sentence of the rules, which a house may have left out.
func (f *Flow) words(id string) string {
	text, _ := f.base.Words(id)
	return tidy(text)
}

// title names a throw for people.
func (f *Flow) title(id string) string {
	if t, ok := f.base.Throw(id); ok {
		return t.Title
	}
	return strings.ReplaceAll(id, "_", " ")
}
