package main

import (
	"slices"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/plan"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// ladderFlags are the wishes for a ladder as they were typed.
type ladderFlags struct {
	order, build, learn, by, out string
	through                      []string
	list                         engine.Listed
}

func (a *app) ladderCommand() *cobra.Command {
	var f ladderFlags
	c := onCase(&cobra.Command{Use: "ladder [FILE]", Args: cobra.MaximumNArgs(1)})
	f.bind(a, c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := f.check(args); err != nil {
			return err
		}
		switch {
		case f.learn != "":
			return a.learnShares(f)
		case f.build != "":
			return a.buildLadder(args, f)
		}
		e, k, err := a.readCase(args[0])
		if err != nil {
			return err
		}
		if f.list.CSV != "" {
			return a.importReadings(e, k, args[0], f.list)
		}
		r, err := e.Ladder(k, f.order)
		return a.showLadder(e, r, err)
	}
	return a.prints(c, shown{record: (*report.Report)(nil), words: "-"})
}

func (f *ladderFlags) bind(a *app, c *cobra.Command) {
	fl := c.Flags()
	declare(fl.StringVar, map[string]*string{
		"order": &f.order, "build": &f.build, "learn": &f.learn, "by": &f.by, "out": &f.out,
		"csv": &f.list.CSV, "unit": &f.list.Unit, "throw": &f.list.Throw, "day": &f.list.Day,
		"date-order": &f.list.DateOrder,
	})
	declare(fl.StringSliceVar, map[string]*[]string{"through": &f.through})
	declare(fl.StringArrayVar, map[string]*[]string{"column": &f.list.Columns})
	declare(fl.BoolVar, map[string]*bool{"accept-good": &f.list.AcceptGood, "again": &f.list.Again})
	for _, flag := range []string{"build", "through", "throw"} {
		_ = c.RegisterFlagCompletionFunc(flag, a.names(throwNames)) // fails only for a flag that is not there
	}
	completes(c, "order", plan.Halving, plan.Whole)
}

// throwNames are the ids of throws, with their titles.
func throwNames(e *engine.Engine) []string {
	var out []string
	for _, t := range e.Base().Throws {
		out = append(out, cobra.CompletionWithDesc(t.ID, t.Title))
	}
	return out
}

// check refuses flags that do not go together.
func (f *ladderFlags) check(args []string) error {
	asked := 0
	for _, s := range []string{f.build, f.learn, f.list.CSV} {
		if s != "" {
			asked++
		}
	}
	switch {
	case asked > 1:
		return mistake("--build, --learn and --csv are three different things: give one of them")
	case f.learn != "" && len(args) > 0:
		return mistake("--learn reads the folder it names and takes no case file")
	case f.learn == "" && f.build == "" && len(args) == 0:
		return mistake("name a case file, or a throw with --build")
	case f.list.CSV != "" && args[0] == "-":
		return mistake("--csv writes into a case file: name it")
	case !slices.Contains([]string{"", plan.Halving, plan.Whole}, f.order):
		return mistake("--order takes halving or whole, not %q", f.order)
	case f.build == "" && len(f.through) > 0:
		return mistake("--through goes with --build")
	case f.learn == "" && (f.by != "" || f.out != ""):
		return mistake("--by and --out go with --learn")
	}
	return nil
}

func (a *app) showLadder(e *engine.Engine, r *report.Report, err error) error {
	if err != nil {
		return err
	}
	if err := a.show(shown{record: r, words: render.Ladder(r, a.options(e))}); err != nil {
		return err
	}
	if r.Gate.Verdict == rule.NotEnough && !r.Gate.Screen {
		return nil // a ladder that is not done says what to throw: that is what was asked
	}
	return verdict(r)
}

// importReadings takes a list into the case, and tells what becomes of every line;
// where nothing may be said about throwing, it takes none.
func (a *app) importReadings(e *engine.Engine, k *casefile.Case, path string, l engine.Listed) error {
	if _, silent, err := e.Silent(k); err != nil || silent {
		if err != nil {
			return err
		}
		a.say("nothing was imported")
		r, err := e.Ladder(k, "")
		return a.showLadder(e, r, err)
	}
	r, err := e.TakeReadings(k, l)
	if r == nil {
		return err
	}
	if told := a.show(shown{record: r}); err == nil {
		err = told
	}
	switch {
	case err != nil:
	case r.Written:
		a.say("wrote %s; the text before is in %s~", path, path)
	default:
		a.say("nothing is new, and nothing was written")
	}
	return err
}

// buildLadder prints a ladder from a throw. With a case it goes through what the
// athlete has thrown, and says nothing where nothing may be said.
func (a *app) buildLadder(args []string, f ladderFlags) error {
	e, k, err := a.maybeCase(args)
	if err != nil {
		return err
	}
	if k != nil {
		if r, silent, err := e.Silent(k); err != nil || silent {
			return a.showLadder(e, r, err)
		}
	}
	b, err := e.BuildLadder(f.build, f.through, k)
	if err != nil {
		return err
	}
	return a.show(shown{record: b, words: render.BuiltLadder(b, a.options(e))})
}

// learnShares prints or writes the proposal; it is never in force by itself.
func (a *app) learnShares(f ladderFlags) error {
	e, err := a.open("")
	if err != nil {
		return err
	}
	if f.by == "" {
		f.by = "nobody yet"
	}
	l, left, err := e.LearnShares(f.learn, f.by)
	for _, s := range left {
		a.say("left out: %s", s)
	}
	if err != nil {
		return err
	}
	a.say("%d ladders read, %d set aside; %d shares proposed, none in force", l.Ladders, l.Aside, l.Proposed)
	if f.out == "" || l.Proposed == 0 {
		return a.show(shown{record: l})
	}
	return a.write(f.out, file{"proposed-shares.yaml", []byte(l.House)})
}
