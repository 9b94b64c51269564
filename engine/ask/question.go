package ask

import (
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/prompt"
	"rungwise/engine/unit"
)

// The sections, in order.
const (
	Safety  = "safety first"
	Athlete = "the athlete"
	Drill   = "drill and mound"
	Ladder  = "the ladder"
	OnVideo = "on video"
	Rungs   = "at the stuck rung"
	Others  = "screens"
)

// The seconds that a question takes (house defaults).
const (
	quick   = 6  // one key, asked of the athlete or the coach
	typing  = 15 // a number or a line
	byEye   = 12 // one key after looking at one throw
	byFrame = 40 // counted or clicked on one throw
)

// Question is one question as a face shows it. Its ID is also where its answer
// stands in the case file.
type Question struct {
	ID, Section, Title string
	Ask, Help          string
	Film               string // where the camera stands and when to pause; "" = not a matter of video
	Throw              string // the throw it is asked of, in words; "" = of none
	Beside             string // id of the same question about the other throw; "" = none
	Second             bool   // it is about the second throw of the two
	Options            prompt.Choices
	Typed              string // what may be typed, in words; "" = an option only
	Number             bool   // what is typed starts with a digit or a sign
	Must               bool   // a safety question: it cannot be left open
	Unseen             bool   // "could not see" is an answer
	Sure               bool   // an answer may be given as not sure
	Notes              bool   // words may be kept with it
	Again              bool   // it stands, and another clip would make it clearer
	Saved              string // the answer on disk in words; "" = open
	SavedID            string // the id of the saved option; "" = none of them
	Seconds            int    // about how long it takes (house default)
}

// item is a question with what it reads and writes.
type item struct {
	Question
	topic string // what it can be jumped to by, besides its id
	// stands returns the answer of a case in words, and the option's id.
	stands func(*casefile.Case) (words, id string)
	// read turns a reply into a change of the file; nil: one of the options.
	read func(Reply) (change, error)
}

// answered turns a reply into a change of the file.
func (it item) answered(r Reply) (change, error) {
	if strings.TrimSpace(r.Text) == "" {
		return change{}, prompt.Refuse(it.takes(), "nothing was answered")
	}
	if it.read != nil {
		return it.read(r)
	}
	o, ok := it.Options.Pick(r.Text)
	if !ok {
		return change{}, it.wrong(r.Text)
	}
	return writes(it.ID, o.ID, o.Label), nil
}

// number reads a quantity into the place of a question. A count or a percentage
// is written bare.
func number(id string, in unit.Unit, low, high float64) func(Reply) (change, error) {
	return func(r Reply) (change, error) {
		q, err := unit.Read(r.Text, in, unit.Range{Low: low, High: high})
		switch {
		case err != nil:
			return change{}, faulty(err)
		case in.Kind() == unit.Count || in == unit.Percent:
			return writes(id, unit.Quantity{Value: q.Value}.String(), q.String()), nil
		}
		return writes(id, q.Text(1), q.Text(1)), nil
	}
}

// faulty puts a quantity's fault into a refusal; nil stays nil.
func faulty(err error) error {
	if err == nil {
		return nil
	}
	r := &prompt.Refusal{Says: err.Error()}
	if f, ok := err.(*unit.Fault); ok {
		r.Help = f.Help
	}
	return r
}

// clean takes out what could steer a terminal: words come from files.
func (q Question) clean() Question {
	for _, s := range []*string{&q.Title, &q.Ask, &q.Help, &q.Film, &q.Throw, &q.Saved, &q.Typed} {
		*s = strings.ReplaceAll(diag.Clean(*s), "\n", " ")
	}
	q.Options = slices.Clone(q.Options)
	for i := range q.Options {
		q.Options[i].Label = diag.Clean(q.Options[i].Label)
	}
	return q
}

// Label names a question on one line.
func (q Question) Label() string {
	if q.Throw == "" {
		return q.Title
	}
	return q.Title + ", " + q.Throw
}

// optionKeys are the keys that pick an option, none of which is a command of a
// face.
const optionKeys = "123456789acdefiklmoprvyz"

// options gives each answer a key; what is beyond the keys is picked by name.
func options(answers []fact.Answer) prompt.Choices {
	out := make(prompt.Choices, len(answers))
	for i, a := range answers {
		out[i] = prompt.Choice{ID: a.ID, Label: a.Label}
		if i < len(optionKeys) {
			out[i].Key = optionKeys[i : i+1]
		}
	}
	return out
}

// besides is what a question takes besides its options, in words.
func (q Question) besides() []string {
	var out []string
	if q.Typed != "" {
		out = append(out, q.Typed)
	}
	if q.Unseen {
		out = append(out, "x (could not see)")
	}
	return out
}

func (q Question) takes() string { return q.Options.Takes(q.besides()...) }

// wrong refuses a reply that is no answer.
func (q Question) wrong(text string) error { return q.Options.Refuse(text, q.besides()...) }

// unreadable refuses a typed reply, with how it is written.
func (q Question) unreadable(format, text string) error {
	return prompt.Refuse("it takes "+q.Typed, format, prompt.Quote(text))
}

// tidy joins text that was folded over lines.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }

// spoken joins words as people do: a, b and c.
func spoken(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
