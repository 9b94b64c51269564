package ask

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// The seconds that a question takes (house defaults).
const (
	quick   = 6  // one key, asked of the athlete or the coach
	typing  = 15 // a number or a line
	byEye   = 12 // one key after looking at one throw
	byFrame = 40 // counted or clicked on one throw
)

// asked makes an item of a question about the athlete.
func asked(q checklist.Question) item {
	it := item{topic: q.ID, Question: Question{ID: q.Name(), Section: sectionOf(q), Title: q.Title, Ask: q.Ask, Help: q.Help, Seconds: quick}}
	switch {
	case q.YesNo:
		it.Options = []Option{{Key: "1", ID: "yes", Label: "yes"}, {Key: "2", ID: "no", Label: "no"}}
	case q.Number != nil:
		it.Typed, it.Number, it.Seconds = "a number in "+q.Number.Unit, true, typing
	default:
		it.Options = options(q.Answers)
	}
	it.stands = func(c *casefile.Case) (string, string) {
		value, ok := c.Answer(q.Name())
		switch {
		case !ok:
			return "", ""
		case q.Number != nil:
			return value + " " + q.Number.Unit, ""
		case q.YesNo:
			return value, value
		}
		return q.Label(value), value
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		ch, err := readFact(q, shown, r)
		if ch.apply != nil && ofScreen(q.Name()) && len(f.c.Screen()) == 0 {
			answer := ch.apply
			ch.apply = func(file *source.File) ([]byte, error) { // the first answer dates them
				data, err := answer(file)
				if err != nil {
					return nil, err
				}
				return source.New(file.Path, data).Set([]string{screenGroup, "on"}, f.vocab.Today.Format(time.DateOnly))
			}
		}
		return ch, err
	}
	return it
}

// sectionOf sorts the questions of the checklist. The screen that any coach can
// ask is the safety screen.
func sectionOf(q checklist.Question) string {
	switch {
	case q.Group == "screen" && q.By == checklist.ByCoach:
		return Safety
	case q.Group == "athlete" || q.Group == "load":
		return Athlete
	}
	return Others
}

func readFact(q checklist.Question, shown Question, r Reply) (change, error) {
	path := []string{q.Group, q.ID}
	if q.Number != nil {
		v, err := unit.Read(r.Text, unit.Unit(q.Number.Unit), unit.Range{Low: q.Number.Low, High: q.Number.High})
		if err != nil {
			return change{}, faulty(err)
		}
		if v.Unit.Kind() == unit.Count {
			return change{apply: set(path, unit.Quantity{Value: v.Value}.String()), words: v.String()}, nil
		}
		return change{apply: set(path, v.Text(1)), words: v.Text(1)}, nil
	}
	o, ok := shown.pick(r.Text)
	if !ok && q.YesNo && len(r.Text) == 1 {
		o, ok = shown.pick(map[string]string{"y": "yes", "n": "no"}[strings.ToLower(r.Text)])
	}
	if !ok {
		return change{}, shown.wrong(r.Text)
	}
	return change{apply: set(path, o.ID), words: o.Label}, nil
}

// faulty puts a quantity's fault into a refusal.
func faulty(err error) error {
	if f, ok := err.(*unit.Fault); ok {
		return &Refusal{Says: f.Says, Help: f.Help}
	}
	return refuse("", "%s", err)
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
			name := f.base.Catalogue.At(slot).Name
			if _, told := f.c.Answer(name); !told && !f.skipped[name] && !f.base.Catalogue.At(slot).Constant {
				return name
			}
		}
	}
	return id
}

// refused reports whether the answers end the visit: one belongs to a clinician,
// or what was answered on this visit keeps the safety screen shut.
func (f *Flow) refused() bool {
	g := f.gate()
	return g != nil && (g.Verdict == rule.Refer || f.shuts(g) && f.unsafe() == "")
}

// unsafe returns the safety question to put again because its answer, as it
// stands in the file, keeps the screen shut; "" where there is none, or all of
// it was answered on this visit.
func (f *Flow) unsafe() string {
	g := f.gate()
	if g == nil || !f.shuts(g) {
		return ""
	}
	for _, name := range f.reads(g) {
		if _, ok := f.c.Answer(name); ok && f.screened[strings.TrimPrefix(name, screenGroup+".")] == "" {
			return name
		}
	}
	return ""
}

// shuts reports a gate that keeps the safety screen shut though nothing that it
// needs is open.
func (f *Flow) shuts(g *rule.Gate) bool {
	return g.Verdict == rule.NotEnough && len(g.Needs) == 0 && len(f.reads(g)) > 0
}

// reads lists the safety questions that a gate's condition reads, in the order
// in which they are asked.
func (f *Flow) reads(g *rule.Gate) []string {
	var out []string
	for _, q := range f.base.Checklist.Questions {
		slot, _ := f.base.Catalogue.Slot(q.Name())
		if sectionOf(q) == Safety && g.When != nil && slices.Contains(g.When.Reads(), slot) {
			out = append(out, q.Name())
		}
	}
	return out
}

// safetyItems lists the safety questions that this athlete is asked.
func (f *Flow) safetyItems() []item {
	var out []item
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) != Safety {
			continue
		}
		needed, must := f.needed(q)
		if !needed {
			continue
		}
		it := f.screenItem(q)
		it.Must = must
		out = append(out, it)
	}
	return out
}

// needed reports whether a safety question is put to this athlete, and whether
// it cannot be left open. A question that gates wait for only in some cases is
// put where one of them does; one that no gate waits for may be left open.
func (f *Flow) needed(q checklist.Question) (put, must bool) {
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

// title names a throw for people.
func (f *Flow) title(id string) string {
	if t, ok := f.base.Throw(id); ok {
		return t.Title
	}
	return strings.ReplaceAll(id, "_", " ")
}

// spoken joins words as people do: a, b and c.
func spoken(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return fmt.Sprintf("%s and %s", strings.Join(words[:len(words)-1], ", "), words[len(words)-1])
}
