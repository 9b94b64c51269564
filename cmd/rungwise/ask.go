package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/ask"
	"rungwise/engine/casefile"
)

func (a *app) askCommand() *cobra.Command {
	var order string
	var plain, sheet bool
	c := &cobra.Command{
		Use:   "ask FILE",
		Short: "the guided checklist: one question at a time, every answer saved at once",
		Example: "  rungwise ask sm-04.yaml\n" +
			"  rungwise ask sm-04.yaml --order video\n" +
			"  rungwise ask sm-04.yaml --plain < answers.txt\n" +
			"  rungwise ask sm-04.yaml --sheet > paper.md",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: caseFiles,
	}
	c.Flags().StringVar(&order, "order", ask.Telling, "telling: what tells most first; video: in the order of the throw")
	c.Flags().BoolVar(&plain, "plain", false, "plain lines, for screen readers, simple terminals and pipes")
	c.Flags().BoolVar(&sheet, "sheet", false, "print the shot list and the questions for paper, and ask nothing")
	c.RegisterFlagCompletionFunc("order", cobra.FixedCompletions([]string{ask.Telling, ask.Video}, cobra.ShellCompDirectiveNoFileComp))
	c.RunE = func(_ *cobra.Command, args []string) error {
		if order != ask.Telling && order != ask.Video {
			return status{usage, fmt.Errorf("--order is telling or video, not %q", order)}
		}
		f, err := a.visit(args[0], order)
		if err != nil {
			return err
		}
		if sheet {
			return a.print(f.Sheet())
		}
		return a.checklist(f, plain || !a.fullScreen())
	}
	return c
}

// visit opens a case for asking.
func (a *app) visit(path, order string) (*ask.Flow, error) {
	if path == "-" {
		return nil, status{usage, errors.New("the checklist writes each answer into its file, so it needs one by name")}
	}
	e, err := a.open(path)
	if err != nil {
		return nil, err
	}
	aged := a.aged(e, path)
	f, ds, err := ask.Open(path, ask.Options{Base: e.Base(), Today: e.Today(), Order: order, Aged: aged})
	if len(ds) > 0 {
		ds.Write(a.err)
	}
	switch {
	case err != nil && errors.Is(err, os.ErrNotExist):
		return nil, status{failed, fmt.Errorf("%w; `rungwise new %s` makes one", err, path)}
	case err != nil:
		return nil, status{failed, err}
	case f == nil:
		return nil, status{attention, errors.New("mend the file first; nothing was asked")}
	}
	return f, nil
}

// aged lists the answers that the log has made old. A file that cannot be read
// has none: opening it says what is wrong.
func (a *app) aged(e *engine.Engine, path string) []ask.Aged {
	file, err := casefile.Read(path)
	if err != nil {
		return nil
	}
	k, _ := e.Case(file)
	if k == nil {
		return nil
	}
	if _, err := e.ReadLog(k, path); err != nil {
		return nil
	}
	if a.remember(e, k, path); len(k.Log.Entries) == 0 {
		return nil
	}
	w, err := e.Week(k)
	if err != nil {
		return nil
	}
	var out []ask.Aged
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

// typed reports whether somebody types at a terminal.
func (a *app) typed() bool {
	in, ok := a.in.(*os.File)
	return ok && term.IsTerminal(in.Fd())
}

// checklist asks until the end or until it is left; an interrupt leaves it with
// everything saved.
func (a *app) checklist(f *ask.Flow, plain bool) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	var out ask.Outcome
	var err error
	if plain {
		out, err = ask.Plain(ctx, f, ask.Console{In: a.in, Out: a.out, Err: a.err, Interactive: a.typed()})
	} else {
		out, err = ask.Screen(ctx, f, ask.Window{In: a.in, Out: a.bare.out, Err: a.err, Color: !a.noColor})
	}
	switch {
	case err != nil:
		return status{failed, err}
	case !out.Finished():
		return status{attention, nil}
	}
	return nil
}
