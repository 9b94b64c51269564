package ask

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"rungwise/engine/prompt"
)

// Outcome is how a visit ended.
type Outcome struct {
	State    State // Asking: it was left with questions open
	Saved    int   // answers saved on this visit
	Open     int   // questions that stay open
	LeftOver int   // lines of input that answered nothing
	Wrong    bool  // an answer of a script was not taken
}

// Finished reports whether the checklist was gone through and every answer
// taken. A referral is no finished checklist.
func (o Outcome) Finished() bool {
	return (o.State == Complete || o.State == Enough) && o.LeftOver == 0 && !o.Wrong
}

// Outcome is how far the visit has come, as it is told at its end.
func (f *Flow) outcome() Outcome {
	return Outcome{State: f.state, Saved: f.given, Open: f.Ending().Open}
}

// Console is where the plain face reads and writes.
type Console struct {
	In       io.Reader
	Out, Err io.Writer
	// Interactive tells that somebody types: a wrong answer is asked again.
	// Otherwise it ends the visit, since the lines after it were meant for other
	// questions.
	Interactive bool
}

// Plain asks over plain lines, with no control sequences. Lines of a script may
// be empty or start with `#`, and may name their question: `hinge/flat_lift:
// none`. The end of the input and a cancelled context leave everything saved.
// The error is about reading or writing.
func Plain(ctx context.Context, f *Flow, c Console) (Outcome, error) {
	p := &plain{Prompter: prompt.New(ctx, c.In, c.Out, c.Err, c.Interactive), f: f}
	if !c.Interactive {
		p.Skip = func(line string) bool { return line == "" || strings.HasPrefix(line, "#") }
	}
	err := p.run()
	if errors.Is(err, prompt.ErrLeft) {
		err = nil
	}
	out, first := f.outcome(), 0
	out.Wrong = p.wrong
	for err == nil && f.state != Asking && !c.Interactive {
		if _, over := p.Line("", false); over != nil {
			break
		}
		if out.LeftOver++; out.LeftOver == 1 {
			first = p.Read()
		}
	}
	p.farewell(out, first)
	return out, err
}

// plain is one visit over lines.
type plain struct {
	*prompt.Prompter
	f     *Flow
	wrong bool // a script's line was not taken
	left  bool
}

func (p *plain) run() error {
	shown := ""
	for !p.left && !p.wrong {
		if p.f.State() != Asking {
			if on, err := p.end(); err != nil || !on {
				return err
			}
			continue
		}
		q := p.f.Question()
		if shown != q.ID+q.Saved {
			p.show(q)
			shown = q.ID + q.Saved
		}
		text, err := p.ask(keysOf(q), q.Must)
		if err != nil {
			return err
		}
		again, err := p.take(text)
		if err != nil {
			return err
		}
		if again {
			shown = ""
		}
	}
	return nil
}

// ask reads a line; what a script answers is shown, where somebody's typing is
// seen anyway.
func (p *plain) ask(question string, must bool) (string, error) {
	text, err := p.Line(question, must)
	if err == nil && !p.Typed {
		p.Say("%s\n", text)
	}
	return text, err
}

func keysOf(q Question) string {
	keys := "Answer (? help"
	if q.Unseen {
		keys += ", x could not see"
	}
	if !q.Must {
		keys += ", s skip"
	}
	return keys + ", b back, q save and stop):"
}

// show prints the question: number, section, title, options.
func (p *plain) show(q Question) {
	pr := p.f.Progress()
	p.Say("\nQuestion %d, %s", pr.Answered+1, q.Section)
	if pr.Open > 0 {
		p.Say(", %d to come, about %d min", pr.Open, pr.Minutes)
	}
	p.Say("\n%s\n%s\n", q.Label(), q.Ask)
	if q.Film != "" {
		p.Say("Look at: %s\n", q.Film)
	}
	for _, o := range q.Options {
		saved := ""
		if o.ID == q.SavedID {
			saved = " (saved)"
		}
		p.Say("  %s  %s%s\n", o.Key, o.Label, saved)
	}
	if q.Typed != "" {
		p.Say("  or %s\n", q.Typed)
	}
	switch {
	case q.Again:
		p.Say("So far: %s. That is not clear yet: look at one more clip, or skip.\n", q.Saved)
	case q.Saved != "":
		p.Say("Saved: %s. An empty line keeps it.\n", q.Saved)
	}
}

// take handles one line. again asks for the question to be shown once more.
func (p *plain) take(text string) (again bool, err error) {
	word, rest, _ := strings.Cut(text, " ")
	rest = strings.TrimSpace(rest)
	switch {
	case text == "?" || text == "help":
		p.help(p.f.Question())
		return false, nil
	case text == "" || text == "s" || text == "skip":
		return true, p.told(p.f.Keep())
	case text == "b" || text == "back":
		return true, p.told(p.f.Back())
	case text == "q" || text == "quit":
		p.left = true
		return false, nil
	case text == "w" || text == "where":
		p.standing()
		return false, nil
	case (word == "j" || word == "jump") && rest != "":
		return true, p.told(p.f.Jump(rest))
	case word == "note:" && rest != "":
		return false, p.said(p.f.Note(rest))
	}
	if id, answer, named := p.named(text); named {
		if err := p.told(p.f.Jump(id)); err != nil || p.wrong {
			return true, err
		}
		text = answer
	}
	return true, p.answer(text)
}

// named takes a line apart that names its question.
func (p *plain) named(text string) (id, answer string, ok bool) {
	id, answer, _ = strings.Cut(text, ": ")
	id, ok = p.f.named(id)
	return id, strings.TrimSpace(answer), ok && answer != ""
}

func (p *plain) answer(text string) error {
	said, err := p.f.Answer(Reply{Text: text})
	if err == nil {
		if told := p.f.Told(); told != "" {
			said += "\nnote: " + told
		}
	}
	return p.said(said, err)
}

// said tells what became of an answer or a note.
func (p *plain) said(words string, err error) error {
	if err == nil {
		p.Say("%s\n", words)
	}
	return p.told(err)
}

// told says why something was not taken, which ends a script. Only a failed
// write comes back as an error.
func (p *plain) told(err error) error {
	var r *prompt.Refusal
	var c *Conflict
	broken := p.f.State() == Broken
	switch {
	case err == nil:
		return nil
	case errors.As(err, &r):
		if !p.Typed {
			fmt.Fprintf(p.Err, "line %d: ", p.Read())
		}
	case errors.As(err, &c) && !broken:
	case p.Typed && !broken:
		err = prompt.Refuse("mend that and answer again, or q to stop", "not saved: %s", err)
	default:
		return err
	}
	p.Complain(err)
	p.wrong = !p.Typed
	return nil
}

func (p *plain) help(q Question) {
	if q.Help != "" {
		p.Say("%s\n", tidy(q.Help))
	}
	p.Say("Type the number or the words of an answer.")
	if q.Sure {
		p.Say(" Put ? after it if you are not sure. Several clips: put ; between.")
	}
	p.Say("\n")
	if q.Notes {
		p.Say("note: WORDS keeps words with the answer.\n")
	}
	p.Say("b goes back, s leaves it open for now, j NAME jumps to a question, w tells where the case stands, q saves and stops.\n")
}

// standing prints the panel.
func (p *plain) standing() {
	panel := p.f.Panel()
	if panel.Says == "" {
		p.Say("The safety questions come first.\n")
		return
	}
	p.Say("%s\n", panel.Says)
	for i, l := range panel.Leading {
		p.Say("  %d  %s\n", i+1, l)
	}
	if len(panel.Unseen) > 0 {
		p.Say("Would tell most: %s.\n", spoken(panel.Unseen))
	}
}

// end says why nothing is asked any more; on is true where it goes on after
// all.
func (p *plain) end() (on bool, err error) {
	e, ask := p.f.Ending(), ""
	p.Say("\n%s\n%s\n", e.Says, e.Do)
	switch {
	case e.State == Enough:
		ask = "Press Enter to finish, g to go on with " + counted(e.Open, "open question") + ":"
	case e.State == Referred && p.Typed:
		ask = "Press Enter to finish, b to go back:"
	default:
		return false, nil
	}
	text, err := p.ask(ask, false)
	if err != nil {
		return false, err
	}
	switch text {
	case "g", "go on":
		p.f.GoOn()
		return true, nil
	case "", "q":
		return false, nil
	case "b", "back":
		return p.f.Back() == nil, nil
	}
	if _, _, named := p.named(text); named {
		_, err := p.take(text)
		return true, err
	}
	p.wrong = !p.Typed
	fmt.Fprintf(p.Err, "line %d: %s answers no question\n", p.Read(), prompt.Quote(text))
	return true, nil
}

// farewell tells on the error stream what was saved and what is open, and on
// which line what is left over begins.
func (p *plain) farewell(o Outcome, first int) {
	saved, open := counted(o.Saved, "answer"), counted(o.Open, "question")
	switch {
	case o.LeftOver == 1:
		fmt.Fprintf(p.Err, "1 answer was left over at the end, the first on line %d\n", first)
	case o.LeftOver > 1:
		fmt.Fprintf(p.Err, "%d answers were left over at the end, the first on line %d\n", o.LeftOver, first)
	case o.State == Asking:
		fmt.Fprintf(p.Err, "left unfinished: %s saved, %s open; the same command goes on at: %s\n", saved, open, p.f.Question().Label())
	default:
		fmt.Fprintf(p.Err, "%s saved, %s left open\n", saved, open)
	}
}

// counted says how many there are of something.
func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
