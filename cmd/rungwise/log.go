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

func (a *app) logCommand() *cobra.Command {
	var t engine.Told
	c := onCase(&cobra.Command{Use: "log FILE", Args: cobra.ExactArgs(1)})
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
	declare(fl.StringVar, map[string]*string{
		"day": &t.Day, "rung": &t.Rung, "speeds": &t.Speeds, "unit": &t.Unit, "marks": &t.Marks,
		"keep": &t.Keep, "csv": &t.CSV, "by": &t.By, "phase": &t.Phase, "trial": &t.Trial,
		"trial-ends": &t.TrialEnds, "close": &t.Close, "factor": &t.Factor,
	})
	declare(fl.BoolVar, map[string]*bool{
		"else-none": &t.ElseNone, "changed": &t.Changed, "slip-form": &t.Form, "cleared": &t.Cleared,
		"in-writing": &t.Writing, "again": &t.Again, "list": &t.List, "decide": &t.Decide, "ask": &t.Guide,
	})
	declare(fl.Float64Var, map[string]*float64{"effort": &t.Effort})
	declare(fl.IntVar, map[string]*int{"throws": &t.Throws, "high": &t.High, "correct": &t.Correct, "void": &t.Void})
	declare(fl.StringArrayVar, map[string]*[]string{"drill": &t.Drills})
}

// bindArm binds the flags that may tell of the body.
func bindArm(c *cobra.Command, t *engine.Told) {
	fl := c.Flags()
	for name, into := range map[string]*bool{"pain": &t.Pain, "numbness": &t.Numbness, "pop": &t.Pop, "sudden-loss": &t.SuddenLoss} {
		fl.BoolFunc(name, "", yes(into))
	}
	declare(fl.StringVar, map[string]*string{
		"sore": &t.Sore, "other": &t.Other, "slip": &t.Slip, "asked": &t.Asked, "note": &t.Note,
	})
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
			left := map[bool]string{true: "entry", false: "entries"}[k.Log.Later == 1]
			defer a.say("%d later %s left out: they were written down after %s", k.Log.Later, left, a.on)
		}
		return false, a.show(shown{record: k.Log})
	}
	entries, err := a.tell(c, e, k, t, path)
	if err != nil {
		return false, err
	}
	written, err := e.Log(k, path, entries)
	for _, x := range written {
		a.say("logged as entry %d of %s, for %s", x.ID, k.Code, x.Day().Format(niceDay))
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
	for a.typed() && err != nil && !e.Complains(*t) && q.mend(err) {
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
	x, err := engine.KeepArm(a.trade, path, today, t)
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
