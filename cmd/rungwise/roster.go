package main

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

// rosterWorkers is how many files are read at a time; more help little.
const rosterWorkers = 2

func (a *app) rosterCommand() *cobra.Command {
	var filter engine.RosterFilter
	var fresh bool
	var html string
	c := onFolder(&cobra.Command{Use: "roster DIR", Args: cobra.ExactArgs(1)})
	fl := c.Flags()
	declare(fl.BoolVar, map[string]*bool{"due": &filter.Due})
	declare(fl.StringVar, map[string]*string{"stuck": &filter.Stuck, "factor": &filter.Factor})
	a.spelled(c.Flags(), "csv")
	declare(fl.StringVar, map[string]*string{"html": &html})
	declare(fl.BoolVar, map[string]*bool{"fresh": &fresh})
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open(filepath.Join(args[0], "x"))
		if err != nil {
			return err
		}
		if err := filter.Resolve(e); err != nil {
			return err
		}
		o := engine.RosterOptions{Workers: rosterWorkers, Program: build(), Progress: a.bar()}
		if !fresh {
			o.Cache = cacheDir()
		}
		r, err := e.Roster(args[0], o)
		if err != nil {
			return err
		}
		engine.FilterRoster(r, filter)
		if html == "" {
			return a.show(shown{record: r})
		}
		var page bytes.Buffer
		if err := render.RosterPage(&page, r); err != nil {
			return err
		}
		dir, name := filepath.Split(html)
		return a.write(cmp.Or(dir, "."), file{name, page.Bytes()})
	}
	return a.prints(c, shown{record: (*report.Roster)(nil)})
}

// build tells one build of the program from another, so that what an older one
// found is not taken for what this one would.
func build() string {
	path, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%d %d", info.Size(), info.ModTime().UnixNano())
}

// bar draws how far a long run has come, on the error stream and on a terminal
// only; nil elsewhere.
func (a *app) bar() func(done, total int) {
	f, ok := a.bare.err.(*os.File)
	if !ok || !term.IsTerminal(f.Fd()) {
		return nil
	}
	const wide = 30
	last := -1
	return func(done, total int) {
		at := wide * done / max(total, 1)
		if at == last && done < total {
			return
		}
		last = at
		fmt.Fprintf(f, "\r[%s%s] %d of %d", strings.Repeat("#", at), strings.Repeat(" ", wide-at), done, total)
		if done == total {
			fmt.Fprint(f, "\r"+strings.Repeat(" ", wide+24)+"\r")
		}
	}
}
