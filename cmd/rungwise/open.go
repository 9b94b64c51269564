package main

import (
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// today is the day that stands for now, at midnight UTC.
func (a *app) today() (time.Time, error) {
	if a.on == "" {
		y, m, d := a.now().Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC), nil
	}
	t, err := time.Parse(time.DateOnly, a.on)
	if err != nil {
		return t, mistake("--on takes a day such as 2026-11-09, not %q", a.on)
	}
	return t, nil
}

// open opens the rules, with the house's over them: the folder of --house, of
// RUNGWISE_HOUSE, or the one beside the case.
func (a *app) open(casePath string) (*engine.Engine, error) { return a.openWith(casePath, false) }

// openHouse opens the rules with the house of the first argument, where it names
// one.
func (a *app) openHouse(args []string, cases bool) (*engine.Engine, error) {
	if len(args) > 0 {
		a.house = args[0]
	}
	return a.openWith("", cases)
}

// openWith is open, with the rule base's own cases if they are to be run.
func (a *app) openWith(casePath string, cases bool) (*engine.Engine, error) {
	today, err := a.today()
	if err != nil {
		return nil, err
	}
	house, path, err := a.houseFS(casePath)
	if err != nil {
		return nil, err
	}
	e, ds := engine.Open(engine.Options{Trade: a.trade, House: house, HousePath: path, Today: today, Cases: cases})
	return told(a, e, ds, "the house rules have faults; `rungwise rules check` lists them")
}

// told writes what was found about something that was read; where it could not
// be read that is the end, and why says what does not come of it.
func told[T any](a *app, read *T, ds diag.List, why string) (*T, error) {
	if err := ds.Write(a.err); err != nil {
		return nil, err
	}
	switch {
	case read != nil:
		return read, nil
	case why == "":
		return nil, seen()
	}
	return nil, halted("%s", why)
}

func (a *app) houseFS(casePath string) (fs.FS, string, error) {
	path := cmp.Or(a.house, a.env("RUNGWISE_HOUSE"))
	if path == "" && casePath != "" && casePath != "-" {
		if beside := filepath.Join(filepath.Dir(casePath), "house"); isFolder(beside) {
			path = beside
		}
	}
	if path == "" {
		return nil, "", nil
	}
	return folder(path, "house rules")
}

// folder opens a folder of rules.
func folder(path, of string) (fs.FS, string, error) {
	if !isFolder(path) {
		return nil, "", status{failed, errors.New(path + ": there is no such folder of " + of)}
	}
	return os.DirFS(path), path, nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// readCase opens the rules and reads a case file with the log beside it; "-" is
// the standard input, which has none.
func (a *app) readCase(path string) (*engine.Engine, *casefile.Case, error) {
	if path != "-" && a.logFile != "" {
		return nil, nil, mistake("--log goes with a case on the standard input; the log of a case file lies beside it")
	}
	e, err := a.open(path)
	if err != nil {
		return nil, nil, err
	}
	if path == "-" {
		return a.readInput(e)
	}
	c, ds, err := e.Read(path)
	if err == nil {
		c, err = told(a, c, ds, "")
	}
	if err == nil {
		err = casefile.Stray(path, c.Code)
	}
	if err != nil {
		return nil, nil, err
	}
	a.remember(e, c, path)
	return e, c, nil
}

// maybeCase opens the rules, and reads the case file where one is named.
func (a *app) maybeCase(args []string) (e *engine.Engine, k *casefile.Case, err error) {
	if len(args) > 0 {
		return a.readCase(args[0])
	}
	e, err = a.open("")
	return e, nil, err
}

// readInput reads a case on the standard input, and the log that --log names.
// Without one nobody knows what was logged.
func (a *app) readInput(e *engine.Engine) (*engine.Engine, *casefile.Case, error) {
	f, err := source.Read("standard input", a.in)
	if err != nil {
		return nil, nil, err
	}
	c, ds := e.Case(f)
	if c, err = told(a, c, ds, ""); err != nil {
		return nil, nil, err
	}
	if a.logFile == "" {
		c.Log = casefile.NoLog("standard input has no log beside it; name the log with --log FILE")
		return e, c, nil
	}
	if f, err = casefile.Read(a.logFile); err == nil {
		_, err = told(a, c, e.ParseLog(c, f), "")
	}
	return e, c, err
}

// remember logs what the case file says of the body, so that it cannot be typed
// over. Where it cannot be written it is said, and holds on this run all the
// same.
func (a *app) remember(e *engine.Engine, c *casefile.Case, path string) {
	written, err := e.Remember(c, path)
	for _, x := range written {
		a.say("logged as entry %d of %s: what the case file or its log says of the body", x.ID, c.Code)
	}
	if err == nil && len(written) > 0 {
		err = a.withdrawn(e, c, path)
	}
	if err != nil {
		a.say("what the case file or its log says of the body is not on the record, or its pages stand: %s", err)
	}
}

// withRules runs a command with the rules in force.
func (a *app) withRules(run func(*engine.Engine, []string) error) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error {
		e, err := a.open("")
		if err != nil {
			return err
		}
		return run(e, args)
	}
}

// withCase runs a command with the rules in force and the case of its first
// argument.
func (a *app) withCase(run func(*engine.Engine, *casefile.Case, []string) error) func(*cobra.Command, []string) error {
	return func(_ *cobra.Command, args []string) error {
		e, k, err := a.readCase(args[0])
		if err != nil {
			return err
		}
		return run(e, k, args)
	}
}

// terminal reports whether the output is a terminal that understands styles,
// and its width.
func (a *app) terminal() (yes bool, width int) {
	f, ok := a.bare.out.(*os.File)
	if !ok || !term.IsTerminal(f.Fd()) {
		return false, 80
	}
	w, _, err := term.GetSize(f.Fd())
	if err != nil || w < 20 {
		w = 80
	}
	return true, w
}

// columns is how wide text is set.
func (a *app) columns() int {
	_, w := a.terminal()
	if a.width > 0 {
		w = a.width
	}
	return min(max(w, 40), 100)
}

// typed reports whether somebody types at a terminal.
func (a *app) typed() bool {
	f, ok := a.in.(*os.File)
	return ok && term.IsTerminal(f.Fd())
}

// pasted reads the standard input to its end.
func (a *app) pasted() (string, error) {
	const most = 1 << 20
	b, err := io.ReadAll(io.LimitReader(a.in, most))
	if err != nil {
		return "", errors.New("the standard input could not be read")
	}
	return string(b), nil
}
