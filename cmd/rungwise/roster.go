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
	c := onFolder(&cobra.Command{
		Use:   "roster DIR",
		Short: "a line an athlete, who needs you today first",
		Example: "  rungwise roster athletes\n" +
			"  rungwise roster athletes --due\n" +
			"  rungwise roster athletes --stuck flat_lift --csv > roster.csv\n" +
			"  rungwise roster athletes --html roster.html",
		Args: cobra.ExactArgs(1),
	})
	fl := c.Flags()
	fl.BoolVar(&filter.Due, "due", false, "only where something is due today, or comes before that")
	fl.StringVar(&filter.Stuck, "stuck", "", "only who is stuck at this throw")
	fl.StringVar(&filter.Factor, "factor", "", "only whose first factor this is")
	a.spelled(c, "csv", "as comma-separated values")
	fl.StringVar(&html, "html", "", "write a page with the ladders as small pictures to this file")
	fl.BoolVar(&fresh, "fresh", false, "read everything anew; what was kept of the last run is left alone")
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
