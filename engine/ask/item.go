package ask

import (
	"fmt"
	"strconv"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
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

// Option is one answer that a single key gives.
type Option struct{ Key, ID, Label string }

// Question is one question as a face shows it.
type Question struct {
	ID, Section, Title string
	Ask, Help          string
	Film               string // where the camera stands and when to pause; "" = not a matter of video
	Throw              string // the throw it is asked of, in words; "" = of none
	Beside             string // id of the same question about the other throw; "" = none
	Second             bool   // it is about the second throw of the two
	Options            []Option
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
	// read turns a reply into a change of the file.
	read func(*Flow, Question, Reply) (change, error)
}

// change is one answer on its way to disk.
type change struct {
	apply func(*source.File) ([]byte, error) // nil: nothing is written
	words string
	stay  bool // the same question follows
}

// set is a change of one value at a path of keys. A section that the file does
// not have yet is begun on a line of its own, so that what follows in it stands
// line by line.
func set(path []string, text string) func(*source.File) ([]byte, error) {
	return func(file *source.File) ([]byte, error) {
		root, _ := file.YAML()
		if len(path) > 1 && !has(root, path[0]) {
			begun := source.New(file.Path, begin(file, path[0]+":\n"))
			if out, err := begun.Set(path, text); err == nil {
				return out, nil
			}
		}
		return file.Set(path, text)
	}
}

// begin adds lines at the end of a file.
func begin(file *source.File, lines string) []byte {
	out := append([]byte{}, file.Bytes...)
	if len(out) > 0 && out[len(out)-1] != '\n' {
		out = append(out, '\n')
	}
	return append(out, lines...)
}

// optionKeys are the keys that pick an option, none of which is a command of a
// face.
const optionKeys = "123456789acdefiklmoprvyz"

// options gives each answer a key; what is beyond the keys is picked by name.
func options(answers []fact.Answer) []Option {
	out := make([]Option, len(answers))
	for i, a := range answers {
		out[i] = Option{ID: a.ID, Label: a.Label}
		if i < len(optionKeys) {
			out[i].Key = optionKeys[i : i+1]
		}
	}
	return out
}

// pick finds the option that a reply names by key, id or label.
func (q Question) pick(text string) (Option, bool) {
	text = strings.TrimSpace(text)
	for _, o := range q.Options {
		if text != "" && text == o.Key || strings.EqualFold(text, o.ID) || strings.EqualFold(text, o.Label) ||
			strings.EqualFold(text, strings.ReplaceAll(o.ID, "_", " ")) {
			return o, true
		}
	}
	return Option{}, false
}

// takes says in words what a question takes.
func (q Question) takes() string {
	var keys []string
	for _, o := range q.Options {
		keys = append(keys, fmt.Sprintf("%s (%s)", o.Key, o.Label))
	}
	if q.Typed != "" {
		keys = append(keys, q.Typed)
	}
	if q.Unseen {
		keys = append(keys, "x (could not see)")
	}
	return "it takes " + strings.Join(keys, ", ")
}

// wrong refuses a reply that is no answer, with the nearest one.
func (q Question) wrong(text string) error {
	var ids []string
	for _, o := range q.Options {
		ids = append(ids, o.ID)
	}
	help := q.takes()
	if near, ok := diag.Nearest(strings.TrimSpace(text), ids); ok {
		help = fmt.Sprintf("did you mean %s?", near)
	}
	return refuse(help, "%s is no answer to this", quoted(text))
}

// quoted shows what somebody wrote, shortened and without control characters.
func quoted(s string) string {
	s = diag.Clean(strings.TrimSpace(s))
	if r := []rune(s); len(r) > 40 {
		s = string(r[:40]) + "..."
	}
	return strconv.Quote(s)
}

// unseen reports whether a reply says that it could not be seen.
func unseen(text string) bool {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "x", casefile.CouldNotSee, "could not see":
		return true
	}
	return false
}
