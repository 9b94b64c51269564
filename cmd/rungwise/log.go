package main

import (
	"errors"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/radar"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

const logExample = `  rungwise log sm-04.yaml --rung flat_lift --speeds "81 82 81.5" --marks "y y n" --keep "92 91.5 93" --sore none
  rungwise log sm-04.yaml --rung flat_lift --speeds - --sore none < numbers.txt
  rungwise log sm-04.yaml --other "game 45 pitches 3 innings"
  rungwise log sm-04.yaml --pain
  rungwise log sm-04.yaml --cleared --by "physical therapist" --in-writing --day 2026-11-20
  rungwise log sm-04.yaml --correct 7 --rung flat_lift --speeds "81 82" --sore none
  rungwise log sm-04.yaml --decide`

func (a *app) logCommand() *cobra.Command {
	var t engine.Told
	c := onCase(&cobra.Command{
		Use:     "log FILE",
		Short:   "write down a session, or throws elsewhere; says when it is time to move on, stay or step back",
		Example: logExample,
		Args:    cobra.ExactArgs(1),
	})
	bindLog(c, &t)
	c.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return a.mistyped(c, status{usage, plainFlag(err)}) })
	a.unread = func(failed *cobra.Command, err error) error {
		if failed == c {
			err = a.mistyped(c, err)
		}
		return err
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		logged, err := a.log(c, args[0], &t)
		if err != nil && !logged {
			return a.kept(args[0], t, err)
		}
		return err
	}
	return a.prints(c, shown{record: (*report.Week)(nil), words: "-"})
}

func bindLog(c *cobra.Command, t *engine.Told) {
	fl := c.Flags()
	bindArm(c, t)
	fl.StringVar(&t.Day, "day", "", "the day of the session, such as 2026-11-11 (else today)")
	fl.BoolVar(&t.ElseNone, "else-none", false, "with --sore and a place: asked, and nothing else is wrong")
	fl.StringVar(&t.Rung, "rung", "", "the throw that was worked on, such as flat_lift")
	fl.StringVar(&t.Speeds, "speeds", "", "its speeds, such as \"81 82 81.5\"; a dash is a throw the gun missed; - alone reads standard input")
	fl.StringVar(&t.Unit, "unit", "", "of the speeds: mph (else), km/h or m/s")
	fl.StringVar(&t.Marks, "marks", "", "did the pattern hold, throw by throw: y, n, p, or x where nobody could see")
	fl.StringVar(&t.Keep, "keep", "", "speeds of the keep-up throws of the drill")
	fl.Float64Var(&t.Effort, "effort", 0, "effort at the rung, in %")
	fl.IntVar(&t.Throws, "throws", 0, "all throws of the session")
	fl.IntVar(&t.High, "high", 0, "the hard ones among them")
	fl.StringArrayVar(&t.Drills, "drill", nil, "an isolation drill and its throws, such as rock_and_go:10 (repeat for more)")
	fl.BoolVar(&t.Changed, "changed", false, "something else changed before this session (a cue, a drill, the gun): the count starts again")
	fl.StringVar(&t.CSV, "csv", "", "radar readings from a file")
	fl.BoolVar(&t.Form, "slip-form", false, "print an empty return slip for the athlete or a parent")
	fl.BoolVar(&t.Cleared, "cleared", false, "a licensed clinician has cleared the athlete to throw; with --by and --in-writing, and --day where it was not today")
	fl.StringVar(&t.By, "by", "", "with --cleared: who cleared, such as \"physical therapist\"")
	fl.BoolVar(&t.Writing, "in-writing", false, "with --cleared: it was given in writing")
	fl.StringVar(&t.Phase, "phase", "", "the part of the year from now on: velocity, mound, season, time_off")
	fl.StringVar(&t.Trial, "trial", "", "put a drill on trial: \"rock_and_go until 2026-12-09\"")
	fl.StringVar(&t.TrialEnds, "trial-ends", "", "end a trial: \"rock_and_go keep\" or \"rock_and_go drop\"")
	fl.StringVar(&t.Close, "close", "", "close the problem that was worked on: passed or not_passed")
	fl.StringVar(&t.Factor, "factor", "", "with --close: the factor that was worked on (else the case's first)")
	fl.IntVar(&t.Correct, "correct", 0, "number of the entry in whose place this one stands")
	fl.IntVar(&t.Void, "void", 0, "number of an entry to take back")
	fl.BoolVar(&t.Again, "again", false, "log it even where the same throws stand in the log already")
	fl.BoolVar(&t.List, "list", false, "show the log with the numbers of its entries")
	fl.BoolVar(&t.Decide, "decide", false, "show the weekly decision now")
	fl.BoolVar(&t.Guide, "ask", false, "ask line by line, also without a terminal")
}

// bindArm binds the flags that may tell of the body.
func bindArm(c *cobra.Command, t *engine.Told) {
	fl := c.Flags()
	fl.StringVar(&t.Sore, "sore", "", "none: asked, and no pain, numbness, pop, sudden loss or soreness; else where it is sore, such as elbow, upper_arm or hip")
	for _, q := range []struct {
		into        *bool
		name, about string
	}{{&t.Pain, "pain", "throwing hurts"}, {&t.Numbness, "numbness", "numbness or tingling"}, {&t.Pop, "pop", "a pop, swelling or locking"},
		{&t.SuddenLoss, "sudden-loss", "velocity or control went away suddenly"}} {
		fl.BoolFunc(q.name, q.about, yes(q.into))
	}
	fl.StringVar(&t.Other, "other", "", "thrown elsewhere: \"game 45 pitches 3 innings\", \"practice 40 throws 10 hard\", \"catching\"")
	fl.StringVar(&t.Slip, "slip", "", "a return slip, pasted; - reads standard input")
	fl.StringVar(&t.Asked, "asked", "", "what the athlete answered about a note that may tell of the arm: none, pain, or the place")
	fl.StringVar(&t.Note, "note", "", "a note")
}

// yes takes what is written behind a flag that tells of a body: whatever is not a
// no is a yes.
func yes(into *bool) func(string) error {
	return func(text string) error {
		switch strings.ToLower(text) {
		case "no", "n", "false", "0":
			*into = false
		default:
			*into = true
		}
		return nil
	}
}

// log writes down what the flags tell; logged says whether anything was.
func (a *app) log(c *cobra.Command, path string, t *engine.Told) (logged bool, err error) {
	switch alone := t.Form || t.List; {
	case alone && (t.Kinds() > 0 || t.Note != ""):
		return false, mistake("--list and --slip-form stand alone")
	case t.Form:
		return false, a.show(shown{words: casefile.SlipForm})
	case path == "-":
		return false, mistake("a log lies beside a case file, so give the file's name")
	}
	e, k, err := a.readCase(path)
	if err != nil {
		return false, err
	}
	if t.List {
		if k.Log.Later > 0 {
			defer a.say("%d later entr%s left out: they were written down after %s", k.Log.Later, map[bool]string{true: "y", false: "ies"}[k.Log.Later == 1], a.on)
		}
		return false, a.show(shown{record: k.Log})
	}
	entries, err := a.tell(c, e, k, t, path)
	if err != nil {
		return false, err
	}
	written, err := e.Log(k, path, entries)
	for _, x := range written {
		a.say("logged as entry %d of %s, for %s", x.ID, k.Code, niceDay(x.On))
	}
	if err == nil {
		last := 0
		if len(entries) > 0 {
			last = written[len(entries)-1].ID
		}
		err = a.decided(e, k, path, last, t.Decide)
	}
	return len(written) > 0, err
}

// tell makes the entries of what the flags say, of what is piped in and of what
// is asked for. A wrong answer, or a wrong flag at a terminal, is asked again;
// what came by a pipe or was answered is told as a call where it is not logged.
func (a *app) tell(c *cobra.Command, e *engine.Engine, k *casefile.Case, t *engine.Told, path string) ([]casefile.Entry, error) {
	typed := false
	for _, into := range []*string{&t.Slip, &t.Speeds} {
		if *into == "-" {
			text, err := a.pasted()
			if err != nil {
				return nil, err
			}
			*into, typed = text, true
		}
	}
	if t.CSV != "" {
		o := radar.Options{Unit: unit.Unit(t.Unit), Throw: t.Rung}
		if err := dayFlag("day", t.Day, "2026-11-11", &o.Day); err != nil {
			return nil, err
		}
		var err error
		if t.Readings, err = e.Readings(t.CSV, o, "nothing was logged"); err != nil {
			return nil, err
		}
	}
	q := &asker{a: a, c: c}
	if t.Guide || t.Kinds() == 0 && !t.Decide && t.Note == "" && a.typed() {
		typed = true
		if err := q.session(e, k, t); err != nil {
			return nil, q.lost(err, path, "nothing was logged")
		}
	}
	if word := e.Doubt(*t); word != "" && a.typed() {
		if err := q.doubt(e, word, t); err != nil {
			return nil, err
		}
	}
	entries, says, err := e.Entries(k, *t)
	for a.typed() && err != nil && q.mend(err) {
		entries, says, err = e.Entries(k, *t)
	}
	for _, s := range says {
		a.say("%s", s)
	}
	if err != nil && typed {
		err = q.lost(err, path, "nothing was logged")
	}
	return entries, err
}

// decided takes in what was logged: pages that may no longer stand are taken back
// before anything is printed. The weekly decision is printed where it is due, and
// kept; where throwing is to stop, nothing else is.
func (a *app) decided(e *engine.Engine, k *casefile.Case, path string, entry int, ask bool) error {
	if err := a.withdrawn(e, k, path); err != nil {
		return err
	}
	w, err := e.Week(k)
	if err != nil {
		return err
	}
	stop := w.Decision == "stop" || w.Decision == "not_asked"
	out := report.Logged{Rungwise: report.WeekVersion, Case: k.Code, Entry: entry}
	s := shown{record: &out}
	if stop || ask || w.Due.Now {
		out.Week, s.words = w, render.Week(w, a.options(e))
	}
	if out.Week != nil && !stop {
		if err := e.KeepDecision(k, w.Decision, w.Rung, w.To, w.On); err != nil {
			return err
		}
	}
	if err := a.show(s); err != nil || !stop {
		return err
	}
	return seen()
}

// kept logs what a call says of the arm by itself, where the call could not be
// logged as it is. It returns why the call failed.
func (a *app) kept(path string, t engine.Told, why error) error {
	if _, err := os.Stat(path); err != nil || path == "-" || why == nil || errors.Is(why, engine.ErrOtherFile) {
		return why
	}
	today, err := a.today()
	if err != nil {
		return why
	}
	x, err := engine.KeepArm(path, today, t)
	switch {
	case err != nil:
		a.say("what is wrong with the arm could not be logged: %s", err)
		return why
	case x == nil:
		return why
	}
	a.say("what is wrong with the arm is logged by itself, as entry %d", x.ID)
	quiet := *a
	quiet.out, quiet.err = io.Discard, io.Discard
	if e, k, err := quiet.readCase(path); err == nil {
		if err := a.withdrawn(e, k, path); err != nil {
			return err
		}
	}
	return why
}

// mistyped keeps what the flags of a call say of the arm where the call could not
// be read. It returns why.
func (a *app) mistyped(c *cobra.Command, why error) error {
	var t engine.Told
	probe := &cobra.Command{FParseErrWhitelist: cobra.FParseErrWhitelist{UnknownFlags: true}}
	bindArm(probe, &t)
	_ = probe.ParseFlags(a.args) // what it understands is enough
	for _, path := range probe.Flags().Args() {
		if path != c.Name() {
			return a.kept(path, t, why)
		}
	}
	return why
}
