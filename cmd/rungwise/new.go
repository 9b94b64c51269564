package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
)

func (a *app) newCommand() *cobra.Command {
	var s casefile.Start
	c := &cobra.Command{
		Use:     "new FILE",
		Short:   "start a case file, from a few questions or flags",
		Example: "  rungwise new sm-40.yaml --code SM-40 --age 17 --throws right --reference running_throw",
		Args:    cobra.ExactArgs(1),
	}
	f := c.Flags()
	f.StringVar(&s.Code, "code", "", "athlete code, no name")
	f.StringVar(&s.Age, "age", "", "age in years")
	f.StringVar(&s.Throws, "throws", "", "right or left")
	f.StringVar(&s.Level, "level", "", "youth, high_school, college, professional or adult")
	f.StringVar(&s.Reference, "reference", "", "the drill in which the athlete is at his best, such as running_throw")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if _, err := os.Stat(args[0]); !errors.Is(err, fs.ErrNotExist) {
			return status{failed, fmt.Errorf("%s: %w", args[0], casefile.ErrExists)}
		}
		if s.Code == "" {
			if err := a.askStart(&s); err != nil {
				return err
			}
		}
		return a.start(args[0], s)
	}
	return c
}

// start checks the new file as any other before it is written.
func (a *app) start(path string, s casefile.Start) error {
	e, err := a.open(path)
	if err != nil {
		return err
	}
	text := casefile.New(s)
	if k, ds := e.Case(source.New(path, text)); k == nil {
		ds.Write(a.err)
		return status{attention, errors.New("nothing was written")}
	}
	if err := casefile.Create(path, text); err != nil {
		return status{failed, err}
	}
	fmt.Fprintf(a.err, "wrote %s; next: `rungwise ask %s`\n", path, path)
	return nil
}

// askStart asks for what the flags did not say. An empty answer leaves a
// question open, only the code must be given.
func (a *app) askStart(s *casefile.Start) error {
	lines := bufio.NewScanner(a.in)
	for _, q := range []struct {
		into *string
		ask  string
	}{
		{&s.Code, "Athlete code (letters, digits, dashes; no name)"},
		{&s.Age, "Age in years (empty: not known)"},
		{&s.Throws, "Throws: right or left (empty: not known)"},
		{&s.Level, "Level: youth, high_school, college, professional, adult (empty: not known)"},
		{&s.Reference, "Drill at which the athlete is best, such as running_throw (empty: not yet)"},
	} {
		if *q.into != "" {
			continue
		}
		fmt.Fprintf(a.err, "%s: ", q.ask)
		if !lines.Scan() {
			break
		}
		*q.into = lines.Text()
	}
	fmt.Fprintln(a.err)
	if s.Code == "" {
		return status{usage, errors.New("a case file needs an athlete code: give it with --code")}
	}
	return nil
}
