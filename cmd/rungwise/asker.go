package main

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/prompt"
)

// asker asks for the flags of a command that were not given. At a terminal a
// wrong answer is told and asked again; a line of a pipe answers its question or
// none, and what is wrong is told at the end with all that was understood.
type asker struct {
	a     *app
	c     *cobra.Command
	again bool // a wrong answer of a pipe is asked again too
	wrong bool
}

// prompter is the one reader of answers; it reads from its first question on.
func (a *app) prompter() *prompt.Prompter {
	if a.lines == nil {
		a.lines = prompt.New(context.Background(), a.in, a.err, a.err, a.typed())
	}
	return a.lines
}

// flag asks for the value of a flag; check says what is wrong with it once it is
// set.
func (q *asker) flag(name string, ask prompt.Question, check func(string) error) error {
	take := func(answer string) error {
		if err := q.set(name, answer); err != nil {
			return err
		}
		err := check(answer)
		if err != nil && (q.a.typed() || q.again) {
			_ = q.set(name, "") // the flag was set a moment ago
		}
		return err
	}
	if q.a.typed() || q.again {
		return q.a.prompter().Ask(ask, take)
	}
	answer, err := q.a.prompter().Line(ask.Ask+":", false)
	if err != nil || answer == "" {
		return err
	}
	if err := take(answer); err != nil {
		q.a.prompter().Complain(err)
		q.wrong = true
	}
	return nil
}

func (q *asker) set(name, value string) error {
	f := q.c.Flags().Lookup(name)
	if value == "" {
		value = f.DefValue
	}
	if name == "effort" {
		value = strings.TrimSuffix(value, "%")
	}
	if err := f.Value.Set(value); err != nil {
		return prompt.Refuse("", "please write a number")
	}
	f.Changed = f.Value.String() != f.DefValue
	return nil
}

// mend asks anew for the flags that are wrong; false where there is none that
// could be put right so.
func (q *asker) mend(err error) bool {
	all := each(err)
	for _, one := range all {
		var wrong *engine.Typed
		if !errors.As(one, &wrong) || slices.Contains([]string{"", "sore", "asked", "drill"}, wrong.Flag) {
			return false
		}
		q.a.prompter().Complain(one)
		ask := prompt.Question{Ask: "--" + wrong.Flag}
		if err := q.a.prompter().Ask(ask, func(s string) error { return q.set(wrong.Flag, s) }); err != nil {
			return false
		}
	}
	return len(all) > 0
}

// each is every fault that an error joins.
func each(err error) []error {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		return many.Unwrap()
	}
	return nil
}

// lost says that what was answered is not written, and how to say it again.
func (q *asker) lost(err error, file, what string) error {
	if errors.Is(err, prompt.ErrLeft) {
		err = halted("%w: %s", err, what)
	}
	if line := again(q.c, file); line != "" {
		q.a.after = "what was understood, to be put right and run again:\n  " + line
	}
	return err
}

// session asks for a session, the safety questions first. A bad answer ends the
// questions: it is logged, and nothing else matters today.
func (q *asker) session(e *engine.Engine, k *casefile.Case, t *engine.Told) error {
	h := &casefile.Health{}
	for _, s := range []struct {
		id   string
		into *string
	}{{"ask_pain", &h.Pain}, {"ask_numbness", &h.Numbness}, {"ask_pop", &h.Pop}, {"ask_sudden_loss", &h.SuddenLoss}} {
		ask := prompt.Question{Ask: e.Sentence(s.id) + " (y/n)", Choices: prompt.YesNo("y", "n")}
		if err := q.a.prompter().Ask(ask, func(answer string) error { *s.into = answer; return nil }); err != nil {
			return err
		}
		if *s.into == "yes" {
			t.Answered = h
			return nil
		}
	}
	sore := prompt.Question{Ask: e.Sentence("ask_sore") + " (" + strings.Join(e.Places(), ", ") + ")"}
	err := q.a.prompter().Ask(sore, func(text string) (err error) {
		h.Sore, err = casefile.SoreAt(text, e.Places())
		return err
	})
	if err != nil {
		return err
	}
	t.Answered, t.ElseNone = h, true
	_ = q.set("sore", h.Sore)      // so that the call says it again
	_ = q.set("else-none", "true") // both flags are there
	refers, err := e.Referring(k, casefile.Entry{What: casefile.LogSession, Health: h})
	if err != nil || len(refers) > 0 {
		return err
	}
	return q.throws(e, k, t)
}

// throws asks what was thrown.
func (q *asker) throws(e *engine.Engine, k *casefile.Case, t *engine.Told) error {
	told := map[string]bool{} // of a pipe, whose wrong answers stand
	for _, flag := range []string{"rung", "speeds", "marks", "keep", "effort", "throws", "high", "note"} {
		ofRung := flag == "speeds" || flag == "marks" || flag == "effort"
		if ofRung && t.Rung == "" || flag == "marks" && marked(t.Speeds) {
			continue // nothing to ask about, or said already
		}
		err := q.flag(flag, prompt.Question{Ask: e.Sentence("ask_" + flag), Open: true}, func(string) error {
			_, _, err := e.Entries(k, *t)
			for _, one := range each(err) {
				if !told[one.Error()] {
					told[one.Error()] = !q.a.typed()
					return one
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	if q.wrong {
		return halted("not every answer was understood: nothing was logged")
	}
	return nil
}

// marked reports whether marks stand after the speeds already.
func marked(speeds string) bool {
	at, err := casefile.ReadThrows(speeds)
	return err == nil && len(at.Marks) > 0
}

// doubt puts the question that a note with an alarming word raises.
func (q *asker) doubt(e *engine.Engine, word string, t *engine.Told) error {
	ask := prompt.Question{Ask: strings.ReplaceAll(e.Sentence("ask_about_note"), "{says}", prompt.Quote(word)) + " (none, pain, or where)"}
	return q.a.prompter().Ask(ask, func(answer string) (err error) {
		t.Asked, err = e.Meaning(answer)
		return err
	})
}
