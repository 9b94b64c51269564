package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/ask"
	"rungwise/engine/report"
)

func (a *app) askCommand() *cobra.Command {
	var order string
	var plain, sheet, answers bool
	c := onCase(&cobra.Command{Use: "ask FILE", Args: cobra.ExactArgs(1)})
	c.Flags().StringVar(&order, "order", ask.Telling, "")
	declare(c.Flags().BoolVar, map[string]*bool{"plain": &plain, "sheet": &sheet, "with-answers": &answers})
	completes(c, "order", ask.Telling, ask.Video)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if order != ask.Telling && order != ask.Video {
			return mistake("--order is telling or video, not %q", order)
		}
		f, err := a.visit(args[0], order)
		if err != nil {
			return err
		}
		if sheet {
			return a.show(shown{words: f.Sheet(answers)})
		}
		err = a.checklist(f, plain || a.form.machine || !a.fullScreen())
		if f.Given() > 0 {
			if e, k, broken := a.readCase(args[0]); broken == nil {
				if pages := a.withdrawn(e, k, args[0]); pages != nil {
					return pages
				}
			}
		}
		return err
	}
	return a.prints(c, shown{record: report.Visit{}, words: "-"})
}

// visit opens a case for asking.
func (a *app) visit(path, order string) (*ask.Flow, error) {
	if path == "-" {
		return nil, mistake("the checklist writes each answer into its file, so it needs one by name")
	}
	e, err := a.open(path)
	if err != nil {
		return nil, err
	}
	f, ds, err := ask.Open(path, ask.Options{Base: e.Base(), Today: e.Today(), Order: order, Aged: a.aged(e, path)})
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fmt.Errorf("%w; `rungwise new %s` makes one", err, path)
	case err != nil:
		return nil, err
	}
	return told(a, f, ds, "mend the file first; nothing was asked")
}

// aged lists the answers that the log has made old. A file that cannot be read
// has none: opening it says what is wrong.
func (a *app) aged(e *engine.Engine, path string) (out []ask.Aged) {
	k, _, err := e.Read(path)
	if err != nil || k == nil {
		return nil
	}
	if a.remember(e, k, path); len(k.Log.Entries) == 0 {
		return nil
	}
	w, err := e.Week(k)
	if err != nil {
		return nil
	}
	for _, r := range w.Relook {
		out = append(out, ask.Aged{Checkpoint: r.Checkpoint, Throw: r.Throw})
	}
	return out
}

// fullScreen reports whether both ends are a terminal that can be drawn on.
func (a *app) fullScreen() bool {
	styled, _ := a.terminal()
	return styled && a.typed() && a.env("TERM") != "dumb" && a.env("ACCESSIBLE") == ""
}

// checklist asks until the end or until it is left; an interrupt leaves it with
// everything saved. Where a program reads the output, the questions go to the
// error stream, and how the visit ended is the record.
func (a *app) checklist(f *ask.Flow, plain bool) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	var out ask.Outcome
	var err error
	if plain {
		out, err = ask.Plain(ctx, f, ask.Console{In: a.in, Out: a.beside(), Err: a.err, Interactive: a.typed()})
	} else {
		out, err = ask.Screen(ctx, f, ask.Window{In: a.in, Out: a.bare.out, Err: a.err, Color: !a.noColor})
	}
	if err != nil {
		return err
	}
	if a.form.machine {
		err = a.show(shown{record: report.Visit{Rungwise: "visit/1", Case: f.Code(), File: f.Path(),
			Saved: out.Saved, Open: out.Open, Finished: out.Finished()}})
	}
	if err == nil && !out.Finished() {
		err = seen()
	}
	return err
}
