// Package ask is the guided checklist: one question at a time, with a face for
// terminals and one of plain lines.
//
// Its invariant: nothing is recorded that nobody answered, and an answer is on
// disk before the next question is shown. The flow knows no terminal; a face
// shows its question and hands back what was answered. Until the safety
// questions are answered, and after an answer that refers, nothing else is
// asked and nothing is said about throwing.
package ask

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/prompt"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
)

// The orders in which the video is gone through.
const (
	Telling = "telling" // what tells most first
	Video   = "video"   // in the order of the throw, so that the video is scrubbed once
)

// Options says how a case is asked about.
type Options struct {
	Base  *rule.Base
	Today time.Time
	Order string // Telling or Video; "" is Telling
	Aged  []Aged // answers to ask again, though they stand in the file
}

// Aged is an answer that work since has made old.
type Aged struct{ Checkpoint, Throw string }

// State is how far a flow has come.
type State int

// The states. Asking has a question; the others say why there is none.
const (
	Asking   State = iota
	Complete       // nothing is open
	Enough         // nothing left would change the answer; going on is possible
	Referred       // an answer belongs to a clinician
	Broken         // the file cannot be written any more
)

// Flow is one visit to a case. It is used by one face at a time.
type Flow struct {
	base  *rule.Base
	model *triage.Model
	vocab casefile.Vocabulary
	order string

	file  *source.File
	c     *casefile.Case
	facts *observe.Facts
	looks []triage.Look // what would tell most; nil until somebody wants to know
	known bool          // looks is worked out
	rank  *triage.Result
	was   *triage.Result // the ranking before the last answer

	now     string          // the question's id
	past    []string        // questions shown before, oldest first
	ahead   []string        // questions to come to again after going back, nearest last
	skipped map[string]bool // left open on this visit
	log     *casefile.Log   // as it stands, with what was answered on this visit

	screened map[string]string // safety questions answered on this visit

	aged    map[string]bool // looks to ask again, by question
	again   map[string]bool // to be looked at on another clip
	looked  map[string]bool // was, on this visit
	note    string          // for the next answer to the question
	second  string          // throw on the second video, chosen on this visit
	rungsIn bool            // the ladder's throws are all in, or there is none
	goOn    bool            // asked to go on though nothing would change the answer
	state   State
	given   int    // answers given on this visit
	told    string // what happened to the file that its owner should know
}

// Open starts a visit to a case file at its first open question. With errors in
// the list the file has faults and the flow is nil; the error says that the file
// cannot be read or the rules not computed with.
func Open(path string, o Options) (*Flow, diag.List, error) {
	model, err := triage.New(o.Base)
	if err != nil {
		return nil, nil, err
	}
	file, err := casefile.Read(path)
	if err != nil {
		return nil, nil, err
	}
	f := &Flow{base: o.Base, model: model, vocab: observe.Vocabulary(o.Base, o.Today), order: o.Order, skipped: map[string]bool{}, again: map[string]bool{},
		looked: map[string]bool{}, aged: map[string]bool{}, screened: map[string]string{}}
	for _, a := range o.Aged {
		f.aged[lookID(a.Checkpoint, a.Throw)] = true
	}
	c, ds := casefile.Parse(file, f.vocab)
	if c == nil {
		return nil, ds, nil
	}
	log, logFaults, err := casefile.ReadLog(path, f.vocab)
	if err != nil {
		return nil, ds, err
	}
	f.log, ds = log, append(ds, logFaults...)
	if err := f.take(file, c); err != nil {
		return nil, ds, err
	}
	l := c.Ladder()
	f.rungsIn = l != nil && len(l.Rungs) > 0 && (!l.On.IsZero() || marked(l))
	if len(f.aged) > 0 {
		f.told = "some answers are asked again, since there has been work upstream of them"
	}
	f.next()
	return f, ds, nil
}

func marked(l *casefile.Ladder) bool {
	return slices.ContainsFunc(l.Rungs, func(r casefile.Rung) bool { return len(r.Marks) > 0 })
}

// take makes a file and its case the present ones. The log speaks with them: a
// pain report in it refers as an answer does.
func (f *Flow) take(file *source.File, c *casefile.Case) error {
	c.Log = f.log
	facts, err := observe.Observe(c, f.base, f.vocab.Today)
	if err != nil {
		return fmt.Errorf("%s: %w", file.Path, err)
	}
	f.file, f.c, f.facts = file, c, facts
	f.looks, f.known = nil, false
	f.was, f.rank = f.rank, nil
	return nil
}

// State tells how far the flow has come.
func (f *Flow) State() State { return f.state }

// Code is the athlete's code.
func (f *Flow) Code() string { return f.c.Code }

// Path is the case file.
func (f *Flow) Path() string { return f.file.Path }

// Given counts the answers that were saved on this visit.
func (f *Flow) Given() int { return f.given }

// Told returns what happened to the file since it was last called, "" for
// nothing: another writer's change, a copy that was kept.
func (f *Flow) Told() string {
	told := f.told
	f.told = ""
	return told
}

// Question returns the present question. Outside Asking it is the zero Question.
func (f *Flow) Question() Question {
	if f.state != Asking {
		return Question{}
	}
	q, _ := f.question(f.now)
	return q
}

// question describes a question by its id.
func (f *Flow) question(id string) (Question, bool) {
	it, ok := f.item(id)
	if !ok {
		return Question{}, false
	}
	it.Saved, it.SavedID = it.stands(f.c)
	it.Again = f.again[id]
	return it.Question.clean(), true
}

// Reply is what a face hands back: the key, id or label of an option, or what
// was typed.
type Reply struct {
	Text   string
	Unsure bool // the answer is not sure
}

// Answer saves an answer to the present question and goes to the next one. It
// says what became of it: saved, or taken for this visit where nothing in the
// file holds it. The error is a *prompt.Refusal where the answer was not taken;
// any other error means that the file could not be written. In both cases the
// question stays.
func (f *Flow) Answer(r Reply) (string, error) {
	it, ok := f.present()
	if !ok {
		return "", prompt.Refuse("", "nothing is being asked")
	}
	ch, err := it.answered(r)
	if err != nil {
		return "", err
	}
	if err := f.save(it, ch); err != nil {
		return "", err
	}
	became, words := "taken for this visit", ch.words
	stood, _ := it.stands(f.c)
	if len(ch.sets) > 0 {
		became = "saved"
		f.given++
		if stood != "" && !ch.stay {
			words = stood
		}
	}
	said := became + ": " + it.Question.clean().Label() + ": " + words
	delete(f.skipped, it.ID)
	delete(f.aged, it.ID)
	if ch.stay {
		return said, nil
	}
	f.ahead = nil
	f.forward(it)
	if other, ok := f.item(it.Beside); ok && !it.Second && f.state != Referred && stood != "could not see" && f.isOpen(other) {
		f.now, f.state = other.ID, Asking // the two throws stay side by side
	}
	return said, nil
}

// present is the question that is being asked.
func (f *Flow) present() (item, bool) {
	if f.state != Asking {
		return item{}, false
	}
	return f.item(f.now)
}

// Note keeps free words with an answer that is saved already, else with the next
// one that is given to the question; it says which.
func (f *Flow) Note(words string) (string, error) {
	it, ok := f.present()
	if !ok || !it.Notes {
		return "", prompt.Refuse("", noNotes)
	}
	if now, _ := it.stands(f.c); now == "" {
		f.note = strings.TrimSpace(words)
		return "the note goes with the next answer", nil
	}
	return "saved: the note", f.save(it, f.noted(it.ID, words))
}

const noNotes = "notes are kept with what was seen on video"

// Keep leaves the present question as it stands and goes on. A question with no
// answer is left open for this visit.
func (f *Flow) Keep() error {
	it, ok := f.present()
	if !ok {
		return nil
	}
	if now, _ := it.stands(f.c); now == "" || it.Must && f.now == f.unsafe() {
		if it.Must {
			return prompt.Refuse("", "the safety questions come first: answer it, or leave and come back")
		}
		f.skipped[it.ID] = true
	}
	delete(f.aged, it.ID) // left as it is: asked again on the next visit
	f.forward(it)
	return nil
}

// Back shows the question before; it says why where there is none.
func (f *Flow) Back() error {
	for len(f.past) > 0 {
		last := f.past[len(f.past)-1]
		f.past = f.past[:len(f.past)-1]
		if _, ok := f.item(last); !ok {
			continue // it does not come up any more
		}
		if f.state == Asking {
			f.ahead = append(f.ahead, f.now)
		}
		f.now, f.state, f.note = last, Asking, ""
		return nil
	}
	return prompt.Refuse("", "this is the first question of this visit")
}

// Jump shows a question by its id, by the id of its checkpoint, or by the first
// letters of either. The safety questions come before any other.
func (f *Flow) Jump(id string) error {
	it, err := f.find(strings.ToLower(strings.TrimSpace(id)))
	if err != nil {
		return err
	}
	if open, ok := f.safety(); ok && it.Section != Safety && open != it.ID {
		return prompt.Refuse("", "the safety questions come first")
	}
	if f.state == Asking && f.now != it.ID {
		f.past = append(f.past, f.now)
	}
	f.ahead = nil
	f.now, f.state, f.note = it.ID, Asking, ""
	return nil
}

// find resolves what somebody typed to reach a question.
func (f *Flow) find(id string) (item, error) {
	items := f.items()
	for _, match := range []func(it item) bool{
		func(it item) bool { return it.ID == id },
		func(it item) bool { return it.topic == id || strings.EqualFold(it.Title, id) },
		func(it item) bool { return strings.HasPrefix(it.topic, id) || strings.HasPrefix(it.ID, id) },
		func(it item) bool { return strings.Contains(strings.ToLower(it.Title), id) },
	} {
		if i := slices.IndexFunc(items, match); i >= 0 && id != "" {
			return items[i], nil
		}
	}
	return item{}, prompt.Refuse("write the first letters of its name, such as hinge", "no question is called %q", diag.Clean(id))
}

// named finds the question that a line of a script is meant for, by its id
// without the name of its part.
func (f *Flow) named(id string) (string, bool) {
	for _, it := range f.items() {
		if it.ID == id || it.ID == "seen."+id || it.ID == "ladder."+id {
			return it.ID, true
		}
	}
	return "", false
}

// GoOn asks on after Enough.
func (f *Flow) GoOn() {
	if f.state == Enough {
		f.goOn = true
		f.next()
	}
}

// forward leaves the present question for the next one.
func (f *Flow) forward(it item) {
	if f.again[it.ID] { // it was looked at on another clip
		delete(f.again, it.ID)
		f.looked[it.ID] = true
	}
	f.past, f.note = append(f.past, f.now), ""
	for len(f.ahead) > 0 {
		last := f.ahead[len(f.ahead)-1]
		f.ahead = f.ahead[:len(f.ahead)-1]
		if _, ok := f.item(last); ok {
			f.now = last
			return
		}
	}
	f.next()
}
