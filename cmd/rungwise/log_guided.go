package main

import (
	"bufio"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"rungwise/engine"
	"rungwise/engine/casefile"
)

// asker asks in lines on the error stream and reads answers in lines.
type asker struct {
	a     *app
	lines *bufio.Scanner
}

var errLeft = errors.New("left before the end: nothing was logged")

// readFirst is the least time in which a person reads a question and answers it
// (house default).
const readFirst = 250 * time.Millisecond

// ask asks until take accepts the answer. An empty answer leaves the question
// open where it may be left open. At a terminal one that must be answered takes
// no line that was there before it, and none with signs that nobody types.
func (q asker) ask(question string, open bool, take func(string) error) error {
	for {
		fmt.Fprintf(q.a.err, "%s: ", question)
		shown := time.Now()
		if !q.lines.Scan() {
			fmt.Fprintln(q.a.err)
			return status{attention, errLeft}
		}
		text := strings.TrimSpace(q.lines.Text())
		if !open && q.a.interactive() && (time.Since(shown) < readFirst || strings.ContainsFunc(text, unicode.IsControl)) {
			fmt.Fprintln(q.a.err, "that line came before the question was there, or holds signs that nobody types; read it, then answer")
			continue
		}
		if text == "" && open {
			return nil
		}
		if err := take(text); err != nil {
			fmt.Fprintf(q.a.err, "%s\n", err)
			continue
		}
		return nil
	}
}

func (q asker) yesNo(question string, into *string) error {
	return q.ask(question+" (y/n)", false, func(text string) error {
		switch strings.ToLower(text) {
		case "y", "yes":
			*into = "yes"
		case "n", "no":
			*into = "no"
		default:
			return errors.New("please answer y or n")
		}
		return nil
	})
}

// askSession asks for a session, the safety questions first. A bad answer ends
// the questions: it is logged, and nothing else matters today.
func (a *app) askSession(e *engine.Engine, k *casefile.Case) ([]casefile.Entry, error) {
	q := asker{a, bufio.NewScanner(a.in)}
	h := &casefile.Health{}
	x := casefile.Entry{What: casefile.LogSession, Health: h}
	for _, s := range []struct {
		ask  string
		into *string
	}{
		{"Did throwing hurt, today or since the last session?", &h.Pain},
		{"Any numbness or tingling?", &h.Numbness},
		{"A pop, a swelling, or a joint that locks?", &h.Pop},
		{"Did velocity or control go away suddenly?", &h.SuddenLoss},
	} {
		if err := q.yesNo(s.ask, s.into); err != nil {
			return nil, err
		}
		if *s.into == "yes" {
			return []casefile.Entry{x}, nil
		}
	}
	err := q.ask("Sore anywhere? ("+strings.Join(e.Places(), ", ")+")", false, func(text string) (err error) {
		h.Sore, err = casefile.SoreAt(text, e.Places())
		return err
	})
	if err != nil {
		return nil, err
	}
	if refers, err := e.Referring(k, x); err != nil || len(refers) > 0 {
		return []casefile.Entry{x}, err
	}
	if err := q.throws(e, &x); err != nil {
		return nil, err
	}
	return []casefile.Entry{x}, nil
}

// throws asks what was thrown.
func (q asker) throws(e *engine.Engine, x *casefile.Entry) error {
	var f logFlags
	whole := func(into *int) func(string) error {
		return func(text string) error {
			n, err := strconv.Atoi(text)
			if err != nil || n < 0 {
				return errors.New("please write a whole number")
			}
			*into = n
			return nil
		}
	}
	steps := []struct {
		ask  string
		take func(string) error
	}{
		{"Throw that was worked on, such as flat_lift (empty: none)", func(text string) (err error) { x.Rung, err = throwID(e, text); return err }},
		{"Its speeds, such as 81 82 81.5 (a dash: the gun missed it; empty: not measured)", func(text string) error { f.speeds = text; return q.a.speeds(f, x) }},
		{"Did the pattern hold, throw by throw: y, n, p, or x (empty: not marked)", func(text string) error { f.marks = text; return q.a.speeds(f, x) }},
		{"Speeds of the keep-up throws of the drill (empty: none)", func(text string) error { f.keep = text; return q.a.speeds(f, x) }},
		{"Effort at the throw, in % (empty: not asked)", func(text string) (err error) {
			if x.Effort, err = strconv.ParseFloat(strings.TrimSuffix(text, "%"), 64); err != nil || x.Effort <= 0 || x.Effort > 100 {
				x.Effort = 0
				return errors.New("please write a number from 1 to 100")
			}
			return nil
		}},
		{"All throws of the session (empty: those above)", whole(&x.Throws)},
		{"The hard ones among them (empty: those above)", whole(&x.High)},
		{"A note (empty: none)", func(text string) error { x.Note = text; return nil }},
	}
	for i, s := range steps {
		if x.Rung == "" && (i == 1 || i == 2 || i == 4) || i == 2 && len(x.Marks) > 0 {
			continue // nothing to ask about, or said already
		}
		if err := q.ask(s.ask, true, s.take); err != nil {
			return err
		}
	}
	return nil
}
