package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/diag"
	"rungwise/testdata/cases"
)

// checkFlags are the flags of rules check.
type checkFlags struct {
	fix, watch, strict, deep bool
	quick                    bool // without judging the house by what it does
}

func (a *app) rulesCheck() *cobra.Command {
	var f checkFlags
	c := onFolder(&cobra.Command{Use: "check [HOUSE]", Args: cobra.MaximumNArgs(1)})
	declare(c.Flags().BoolVar, map[string]*bool{"fix": &f.fix, "watch": &f.watch, "strict": &f.strict, "deep": &f.deep})
	c.RunE = func(c *cobra.Command, args []string) error {
		house, path, err := a.houseOf(args)
		if err != nil {
			return err
		}
		if house == nil && (f.fix || f.watch) {
			return mistake("--fix and --watch need a folder of house rules: `rungwise rules check HOUSE --fix`")
		}
		checker := engine.NewChecker(a.trade, f.watch)
		if !f.watch {
			return a.check(checker, house, path, f)
		}
		ctx, stop := signal.NotifyContext(c.Context(), os.Interrupt)
		defer stop()
		return a.watch(ctx, path, func() error { return a.check(checker, house, path, f) })
	}
	return a.prints(c, shown{record: engine.Checked{}})
}

// houseOf is the folder of an argument, else that of the flags.
func (a *app) houseOf(args []string) (fs.FS, string, error) {
	if len(args) == 0 {
		return a.houseFS("")
	}
	return folder(args[0], "house rules")
}

// check checks once, after mending where that is asked.
func (a *app) check(checker *engine.Checker, house fs.FS, path string, f checkFlags) error {
	today, err := a.today()
	if err != nil {
		return err
	}
	o := engine.CheckOptions{Fix: f.fix, Athletes: f.athletes(house != nil), Stored: engine.Athletes{Files: cases.FS, On: cases.Day()}}
	k, mended, err := checker.Whole(house, path, today, o)
	if err != nil {
		return err
	}
	if f.fix {
		a.say("mended %d %s", mended, plural(mended, "place"))
	}
	if err := a.show(shown{record: k}); err != nil {
		return err
	}
	for _, d := range k.List {
		if d.Level == diag.Error || f.strict && d.Level == diag.Warning {
			return seen()
		}
	}
	return nil
}

// athletes is how many are drawn to judge with, 0 for none: a house is always
// judged but while it is watched, the base on request.
func (f checkFlags) athletes(house bool) int {
	switch {
	case f.deep:
		return engine.DeepJudging
	case house && !f.watch && !f.quick:
		return engine.ShortJudging
	}
	return 0
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

// watch runs a check now and whenever a file of the folder was saved, until the
// context ends.
func (a *app) watch(ctx context.Context, dir string, check func() error) error {
	return engine.Watch(ctx, dir, func() error {
		var s status
		if err := check(); err != nil && (!errors.As(err, &s) || s.err != nil) {
			return err
		}
		_, err := fmt.Fprintln(a.beside(), "-- waiting for the next save")
		return err
	})
}
