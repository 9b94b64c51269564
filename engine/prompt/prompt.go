// Package prompt asks in plain lines, with no control sequences.
//
// Its invariant: one Prompter reads an input, and no line of it is lost between
// two questions. A line that somebody typed before a question was there to be
// read, or that holds signs which nobody types, answers nothing that must be
// answered. Whatever is printed is clean.
package prompt

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"rungwise/engine/diag"
)

// Settle is the least time in which a person reads a question and answers it
// (house default).
const Settle = 250 * time.Millisecond

// Longest bounds a line of input, in bytes.
const Longest = 64 << 10

// ErrLeft tells that the input ended, or the visit was broken off, before an
// answer came.
var ErrLeft = errors.New("left before the end")

// Prompter asks on Out, says what is wrong on Err, and reads lines. Typed tells
// that somebody types at a terminal.
type Prompter struct {
	Out, Err io.Writer
	Typed    bool
	Skip     func(line string) bool // lines that are no answers; nil = none

	lines <-chan line
	left  <-chan struct{}
	n     int
}

// line is one line of input and when it came; err is set where reading failed.
type line struct {
	text string
	at   time.Time
	err  error
}

// New begins to read an input. Nobody else may read it any more. A cancelled
// context ends it as its end does.
func New(ctx context.Context, in io.Reader, out, err io.Writer, typed bool) *Prompter {
	lines := make(chan line)
	go func() {
		defer close(lines)
		send := func(l line) bool {
			select {
			case lines <- l:
				return true
			case <-ctx.Done():
				return false
			}
		}
		s := bufio.NewScanner(in)
		s.Buffer(make([]byte, 0, 4096), Longest)
		for s.Scan() {
			if !send(line{text: strings.TrimSpace(s.Text()), at: time.Now()}) {
				return
			}
		}
		if err := s.Err(); err != nil {
			send(line{err: err})
		}
	}()
	return &Prompter{Out: out, Err: err, Typed: typed, lines: lines, left: ctx.Done()}
}

// Read counts the lines that were read.
func (p *Prompter) Read() int { return p.n }

// Say prints words that may come from a file or a person, made safe.
func (p *Prompter) Say(format string, args ...any) {
	fmt.Fprint(p.Out, diag.Clean(fmt.Sprintf(format, args...)))
}

// Complain says why an answer was not taken, and what would be.
func (p *Prompter) Complain(err error) {
	var r *Refusal
	if !errors.As(err, &r) {
		r = &Refusal{Says: err.Error()}
	}
	fmt.Fprintln(p.Err, diag.Clean(r.Says))
	if r.Help != "" {
		fmt.Fprintf(p.Err, "help: %s\n", diag.Clean(r.Help))
	}
}

// Line puts a question and returns the next line without the blanks around it.
// One that must be answered takes no line typed before it was there. ErrLeft
// tells that there is none; any other error that the input cannot be read.
func (p *Prompter) Line(ask string, must bool) (string, error) {
	p.put(ask)
	shown := time.Now()
	for {
		select {
		case <-p.left:
			return "", p.end(ask)
		case l, more := <-p.lines:
			if !more {
				return "", p.end(ask)
			}
			p.n++
			if errors.Is(l.err, bufio.ErrTooLong) {
				return "", fmt.Errorf("line %d of the answers is longer than any answer", p.n)
			}
			if l.err != nil {
				return "", fmt.Errorf("the answers could not be read: %w", l.err)
			}
			if p.Skip != nil && p.Skip(l.text) {
				continue
			}
			why := p.unmeant(l, must, shown)
			if why == "" {
				return l.text, nil
			}
			p.Say("! %s\n", why)
			p.put(ask)
		}
	}
}

func (p *Prompter) put(ask string) {
	if ask != "" {
		p.Say("%s ", ask)
	}
}

// end closes the line on which a question stands open.
func (p *Prompter) end(ask string) error {
	if ask != "" {
		p.Say("\n")
	}
	return ErrLeft
}

// unmeant says why a line is none that somebody typed at the question, "" where
// it is one. What is piped in is taken as it stands.
func (p *Prompter) unmeant(l line, must bool, shown time.Time) string {
	switch {
	case !p.Typed:
	case must && l.at.Sub(shown) < Settle:
		return "that line came before the question was there; read it, then answer"
	case strings.ContainsFunc(l.text, func(r rune) bool { return unicode.IsControl(r) && r != '\t' }):
		return "that line holds signs that nobody types; write the answer again"
	}
	return ""
}

// Question is one thing asked on a line.
type Question struct {
	Ask     string  // without the colon after it
	Choices Choices // nil: free words
	Help    string  // shown for `?`
	Open    bool    // an empty line leaves it unanswered
}

// Ask asks until take accepts the answer: the id of a choice, or the words. What
// is wrong is said at once, with what would be taken. A question left open is
// never taken.
func (p *Prompter) Ask(q Question, take func(answer string) error) error {
	for {
		text, err := p.Line(q.Ask+":", !q.Open)
		switch {
		case err != nil:
			return err
		case text == "" && q.Open:
			return nil
		case text == "?" && q.Help != "":
			p.Say("%s\n", q.Help)
			continue
		}
		if len(q.Choices) > 0 {
			c, ok := q.Choices.Pick(text)
			if !ok {
				p.Complain(q.Choices.Refuse(text))
				continue
			}
			text = c.ID
		}
		if err = take(text); err == nil {
			return nil
		}
		p.Complain(err)
	}
}
