package ask

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

// Console is where the plain face reads and writes.
type Console struct {
	In       io.Reader
	Out, Err io.Writer
	// Interactive tells that somebody types: a wrong answer is asked again.
	// Otherwise it ends the visit, since the lines after it were meant for other
	// questions.
	Interactive bool
}

// longestLine bounds a line of input.
const longestLine = 64 << 10

// Plain asks over plain lines, with no control sequences. Lines of a script may
// be empty or start with `#`, and may name their question: `hinge/flat_lift:
// none`. The end of the input and a cancelled context leave everything saved.
// The error is about reading or writing.
func Plain(ctx context.Context, f *Flow, c Console) (Outcome, error) {
	p := &plain{f: f, c: c, lines: lines(ctx, c.In)}
	err := p.run(ctx)
	out := Outcome{State: f.State(), Saved: f.Given(), Open: f.Ending().Open, Wrong: p.wrong}
	if err == nil && f.State() != Asking && !c.Interactive {
		out.LeftOver = p.leftOver(ctx)
	}
	p.farewell(out)
	return out, err
}

// plain is one visit over lines.
type plain struct {
	f     *Flow
	c     Console
	lines <-chan line
	n     int // number of the last line read
	first int // number of the first line left over
	note  string
	wrong bool
	left  bool
	shown time.Time // when the present question was printed
}

// line is one line of input and when it came; err is set where reading failed.
type line struct {
	text string
	at   time.Time
	err  error
}

// lines reads the whole input with one scanner, so that nothing that was piped
// in is lost between two questions.
func lines(ctx context.Context, in io.Reader) <-chan line {
	out := make(chan line)
	go func() {
		defer close(out)
		s := bufio.NewScanner(in)
		s.Buffer(make([]byte, 0, 4096), longestLine)
		for s.Scan() {
			select {
			case out <- line{text: s.Text(), at: time.Now()}:
			case <-ctx.Done():
				return
			}
		}
		if err := s.Err(); err != nil {
			select {
			case out <- line{err: err}:
			case <-ctx.Done():
			}
		}
	}()
	return out
}

// read returns the next line that is meant as an answer; ok is false at the end
// of the input.
func (p *plain) read(ctx context.Context) (text string, ok bool, err error) {
	for {
		select {
		case <-ctx.Done():
			return "", false, nil
		case l, more := <-p.lines:
			if !more {
				return "", false, nil
			}
			p.n++
			if errors.Is(l.err, bufio.ErrTooLong) {
				return "", false, fmt.Errorf("line %d of the answers is longer than any answer", p.n)
			}
			if l.err != nil {
				return "", false, fmt.Errorf("the answers could not be read: %w", l.err)
			}
			text = strings.TrimSpace(l.text)
			if !p.c.Interactive && (text == "" || strings.HasPrefix(text, "#")) {
				continue
			}
			if why := p.arrived(text, l.at); why != "" {
				p.say("! %s\n%s ", why, prompt(p.f.Question()))
				continue
			}
			return text, true, nil
		}
	}
}

// arrived says why a line is none that somebody typed at the question, "" where
// it is one. A script is taken as it stands.
func (p *plain) arrived(text string, at time.Time) string {
	switch {
	case !p.c.Interactive || p.f.State() != Asking:
		return ""
	case p.f.Question().Must && at.Sub(p.shown) < settle:
		return "that line came before the question was there; read it, then answer"
	case strings.ContainsFunc(text, unicode.IsControl):
		return "that line holds signs that nobody types; write the answer again"
	}
	return ""
}

// say prints words that may come from a file or a person, made safe.
func (p *plain) say(format string, args ...any) {
	fmt.Fprint(p.c.Out, diag.Clean(fmt.Sprintf(format, args...)))
}

// echo shows what a script answered, where nobody's typing does.
func (p *plain) echo(text string) {
	if !p.c.Interactive {
		p.say("%s\n", text)
	}
}

func (p *plain) run(ctx context.Context) error {
	shown := ""
	for !p.left {
		if p.f.State() != Asking {
			if on, err := p.end(ctx); err != nil || !on {
				return err
			}
			continue
		}
		if q := p.f.Question(); shown != q.ID+q.Saved {
			p.show(q)
			shown, p.shown = q.ID+q.Saved, time.Now()
		}
		p.say("%s ", prompt(p.f.Question()))
		text, ok, err := p.read(ctx)
		if err != nil || !ok {
			p.say("\n")
			return err
		}
		p.echo(text)
		again, err := p.take(text)
		if err != nil {
			return err
		}
		if again {
			shown = ""
		}
		if p.wrong && !p.c.Interactive {
			return nil
		}
	}
	return nil
}

func prompt(q Question) string {
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
	p.say("\nQuestion %d, %s", pr.Answered+1, q.Section)
	if pr.Open > 0 {
		p.say(", %d to come, about %d min", pr.Open, pr.Minutes)
	}
	p.say("\n%s", q.Title)
	if q.Throw != "" {
		p.say(", %s", q.Throw)
	}
	p.say("\n%s\n", q.Ask)
	if q.Film != "" {
		p.say("Look at: %s\n", q.Film)
	}
	for _, o := range q.Options {
		saved := ""
		if o.ID == q.SavedID {
			saved = " (saved)"
		}
		p.say("  %s  %s%s\n", o.Key, o.Label, saved)
	}
	if q.Typed != "" {
		p.say("  or %s\n", q.Typed)
	}
	switch {
	case q.Again:
		p.say("So far: %s. That is not clear yet: look at one more clip, or skip.\n", q.Saved)
	case q.Saved != "":
		p.say("Saved: %s. An empty line keeps it.\n", q.Saved)
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
	case text == "":
		return true, p.told(p.f.Keep())
	case text == "s" || text == "skip":
		p.note = ""
		return true, p.told(p.f.Keep())
	case text == "b" || text == "back":
		if !p.f.Back() {
			return true, p.told(refuse("", "this is the first question of this visit"))
		}
		return true, nil
	case text == "q" || text == "quit":
		p.left = true
		return false, nil
	case text == "w" || text == "where":
		p.standing()
		return false, nil
	case (word == "j" || word == "jump") && rest != "":
		return true, p.told(p.f.Jump(rest))
	case word == "note:" && rest != "":
		return false, p.keepNote(rest)
	}
	if id, answer, ok := strings.Cut(text, ": "); ok {
		if id, known := p.named(id); known {
			if err := p.told(p.f.Jump(id)); err != nil || p.wrong {
				return true, err
			}
			return true, p.answer(strings.TrimSpace(answer))
		}
	}
	return true, p.answer(text)
}

// named finds the question that a line of a script is meant for, by its id.
func (p *plain) named(id string) (string, bool) {
	for _, it := range p.f.items() {
		if it.ID == id || it.ID == "seen."+id || it.ID == "ladder."+id {
			return it.ID, true
		}
	}
	return "", false
}

func (p *plain) answer(text string) error {
	q := p.f.Question()
	words, err := p.f.Answer(Reply{Text: text, Note: p.note})
	if err == nil {
		p.note = ""
		p.say("saved: %s: %s\n", label(q), words)
		if told := p.f.Told(); told != "" {
			p.say("note: %s\n", told)
		}
	}
	return p.told(err)
}

// label names a question on one line.
func label(q Question) string {
	if q.Throw == "" {
		return q.Title
	}
	return q.Title + ", " + q.Throw
}

func (p *plain) keepNote(words string) error {
	kept, err := p.f.Note(words)
	switch {
	case err != nil:
		return p.told(err)
	case kept:
		p.say("saved: the note\n")
	default:
		p.note = words
		p.say("the note goes with the next answer\n")
	}
	return nil
}

// told says why something was not taken. Only a failed write comes back as an
// error, and so does a conflict in a script.
func (p *plain) told(err error) error {
	var r *Refusal
	var c *Conflict
	switch {
	case err == nil:
		return nil
	case errors.As(err, &r):
		where := ""
		if !p.c.Interactive {
			where = fmt.Sprintf("line %d: ", p.n)
		}
		fmt.Fprintf(p.c.Err, "%s%s\n", where, diag.Clean(r.Says))
		if r.Help != "" {
			fmt.Fprintf(p.c.Err, "help: %s\n", diag.Clean(r.Help))
		}
		p.wrong = !p.c.Interactive
		return nil
	case errors.As(err, &c) && p.f.State() != Broken:
		fmt.Fprintf(p.c.Err, "%s\n", diag.Clean(c.Error()))
		p.wrong = !p.c.Interactive
		return nil
	case p.c.Interactive && p.f.State() != Broken:
		fmt.Fprintf(p.c.Err, "not saved: %s\nhelp: mend that and answer again, or q to stop\n", diag.Clean(err.Error()))
		return nil
	}
	return err
}

func (p *plain) help(q Question) {
	if q.Help != "" {
		p.say("%s\n", tidy(q.Help))
	}
	p.say("Type the number or the words of an answer.")
	if q.Sure {
		p.say(" Put ? after it if you are not sure. Several clips: put ; between.")
	}
	p.say("\n")
	if q.Notes {
		p.say("note: WORDS keeps words with the answer.\n")
	}
	p.say("b goes back, s leaves it open for now, j NAME jumps to a question, w tells where the case stands, q saves and stops.\n")
}

// standing prints the panel.
func (p *plain) standing() {
	panel := p.f.Panel()
	if panel.Says == "" {
		p.say("The safety questions come first.\n")
		return
	}
	p.say("%s\n", panel.Says)
	for i, l := range panel.Leading {
		p.say("  %d  %s\n", i+1, l.words())
	}
	if len(panel.Unseen) > 0 {
		p.say("Would tell most: %s.\n", spoken(panel.Unseen))
	}
}

// words tells a leading factor on one line.
func (l Leading) words() string {
	out := fmt.Sprintf("%s: %s, %s", l.Title, l.Words, l.Range)
	if l.Of != "" {
		out += "; likely follows from " + l.Of
	}
	return out
}

// end says why nothing is asked any more; on is true where it goes on after
// all.
func (p *plain) end(ctx context.Context) (on bool, err error) {
	e := p.f.Ending()
	p.say("\n%s\n%s\n", e.Says, e.Do)
	switch {
	case e.State == Enough:
		p.say("Press Enter to finish, g to go on with %s: ", counted(e.Open, "open question", "open questions"))
	case e.State == Referred && p.c.Interactive:
		p.say("Press Enter to finish, b to go back: ")
	default:
		return false, nil
	}
	text, ok, err := p.read(ctx)
	if err != nil || !ok {
		p.say("\n")
		return false, err
	}
	p.echo(text)
	switch text {
	case "g", "go on":
		p.f.GoOn()
		return true, nil
	case "", "q":
		return false, nil
	case "b", "back":
		return p.f.Back(), nil
	}
	if id, _, found := strings.Cut(text, ": "); found {
		if _, known := p.named(id); known {
			_, err := p.take(text)
			return !p.wrong, err
		}
	}
	p.wrong = !p.c.Interactive
	fmt.Fprintf(p.c.Err, "line %d: %s answers no question\n", p.n, quoted(text))
	return p.c.Interactive, nil
}

// leftOver counts the lines that are still there, and keeps where they start.
func (p *plain) leftOver(ctx context.Context) int {
	left := 0
	for {
		_, ok, err := p.read(ctx)
		if err != nil || !ok {
			return left
		}
		if left++; left == 1 {
			p.first = p.n
		}
	}
}

// farewell tells on the error stream what was saved and what is open.
func (p *plain) farewell(o Outcome) {
	switch {
	case o.LeftOver > 0:
		fmt.Fprintf(p.c.Err, "%s left over at the end, the first on line %d\n", counted(o.LeftOver, "answer was", "answers were"), p.first)
	case o.State == Asking:
		fmt.Fprintf(p.c.Err, "left unfinished: %s saved, %s open; the same command goes on at: %s\n",
			counted(o.Saved, "answer", "answers"), counted(o.Open, "question", "questions"), label(p.f.Question()))
	default:
		fmt.Fprintf(p.c.Err, "%s saved, %s left open\n", counted(o.Saved, "answer", "answers"), counted(o.Open, "question", "questions"))
	}
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
