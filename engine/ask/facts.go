package ask

import (
	"fmt"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
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
	it.Must = it.Section == Safety
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
	it.read = func(_ *Flow, shown Question, r Reply) (change, error) { return readFact(q, shown, r) }
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

// safety returns the first safety question that is open, and whether there is
// one.
func (f *Flow) safety() (string, bool) {
	for _, it := range f.safetyItems() {
		if now, _ := it.stands(f.c); now == "" {
			return it.ID, true
		}
	}
	return "", false
}

// safetyItems lists the safety questions. Where it hurts is asked only of those
// who say that something does.
func (f *Flow) safetyItems() []item {
	var out []item
	for _, q := range f.base.Checklist.Questions {
		if sectionOf(q) != Safety {
			continue
		}
		if pain, told := f.c.Answer("screen.pain"); q.Name() == "screen.where" && (!told || pain == "none") {
			continue
		}
		out = append(out, asked(q))
	}
	return out
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
