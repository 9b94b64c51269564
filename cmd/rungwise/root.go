package main

import (
	"errors"
	"fmt"
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

// The exit statuses.
const (
	done      = 0
	attention = 1 // referred, faults found, left unfinished
	usage     = 2
	failed    = 3 // could not read or write
)

// world is everything that comes from outside the program.
type world struct {
	args []string
	in   io.Reader
	out  io.Writer
	err  io.Writer
	env  func(string) string
	now  func() time.Time

	trade engine.Trade // what the trade knows
}

// status is an error that ends the program with a status of its own. A nil
// inner error has been told already.
type status struct {
	code int
	err  error
}

func (s status) Error() string {
	if s.err == nil {
		return ""
	}
	return s.err.Error()
}

func (s status) Unwrap() error { return s.err }

// app is one run: the world, the flags that every command has, and how far the
// run has come.
type app struct {
	world
	bare    world // in is the same; out and err as they are, for what is drawn
	house   string
	json    bool
	width   int
	noColor bool
	on      string
	logFile string // beside a case on the standard input
	running bool   // the flags were understood: from here an error is no usage error
}

// run is the whole program, given a world; it returns the exit status.
func run(w world) int {
	a := &app{world: w, bare: w}
	out, errs := diag.NewWriter(w.out), diag.NewWriter(w.err)
	a.out, a.err = out, errs
	root := a.root()
	root.PersistentPreRun = func(*cobra.Command, []string) {
		if a.running = true; a.json {
			out.JSON()
		}
	}
	root.SetArgs(w.args)
	root.SetIn(w.in)
	root.SetOut(out)
	root.SetErr(errs)
	err := root.Execute()
	if last := out.Flush(); err == nil {
		err = last
	}
	return a.end(err)
}

// end tells what went wrong, and how the program ends.
func (a *app) end(err error) int {
	var s status
	switch {
	case err == nil:
		return done
	case errors.As(err, &s):
		if s.err != nil {
			fmt.Fprintf(a.err, "rungwise: %s\n", s.err)
		}
		return s.code
	case !a.running:
		fmt.Fprintf(a.err, "rungwise: %s\nhelp: `rungwise help` lists the commands, `rungwise COMMAND --help` its flags\n", err)
		return usage
	}
	fmt.Fprintf(a.err, "rungwise: %s\n", err)
	return failed
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "rungwise",
		Short:         "find where a good throw is lost on the way to the mound, and what to do about it",
		Long:          long,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	f := root.PersistentFlags()
	f.StringVar(&a.house, "house", "", "folder of house rules (else RUNGWISE_HOUSE, else house/ beside the case)")
	f.BoolVar(&a.json, "json", false, "print the record as JSON")
	f.IntVar(&a.width, "width", 0, "width of the text in columns (else that of the terminal)")
	f.BoolVar(&a.noColor, "no-color", false, "no colour (NO_COLOR does the same)")
	f.StringVar(&a.logFile, "log", "", "the log of a case that is read from the standard input")
	f.StringVar(&a.on, "on", "", "the day that stands for today, such as 2026-11-09")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return status{usage, plainFlag(err)} })
	root.AddCommand(a.demoCommand(), a.newCommand(), a.askCommand(), a.ladderCommand(), a.triageCommand(), a.planCommand(), a.whyCommand(), a.measureCommand(), a.agreeCommand(), a.rulesCommand(), a.logCommand(), a.rosterCommand(), a.reviewCommand(), a.exportCommand(), a.forgetCommand(), a.licencesCommand())
	return root
}

const long = `rungwise reads one athlete's case file: what was seen on video, thrown and
counted. It says whether this is a carry-over question at all, at which rung of
the ladder the throw is lost, which limiting factors most likely hold it back,
and writes a plan within safe limits.

It does not diagnose pain. League rules and licensed clinicians come first.`

// today is the day that stands for now, at midnight UTC.
func (a *app) today() (time.Time, error) {
	if a.on == "" {
		y, m, d := a.now().Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC), nil
	}
	t, err := time.Parse(time.DateOnly, a.on)
	if err != nil {
		return t, status{usage, fmt.Errorf("--on takes a day such as 2026-11-09, not %q", a.on)}
	}
	return t, nil
}

// open opens the rules, with the house's over them: the folder of --house, of
// RUNGWISE_HOUSE, or the one beside the case.
func (a *app) open(casePath string) (*engine.Engine, error) { return a.openWith(casePath, false) }

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
	if len(ds) > 0 {
		ds.Write(a.err)
	}
	if e == nil {
		return nil, status{attention, fmt.Errorf("the house rules have faults; `rungwise rules check` lists them")}
	}
	return e, nil
}

func (a *app) houseFS(casePath string) (fs.FS, string, error) {
	path := a.house
	if path == "" {
		path = a.env("RUNGWISE_HOUSE")
	}
	if path == "" && casePath != "" && casePath != "-" {
		beside := filepath.Join(filepath.Dir(casePath), "house")
		if info, err := os.Stat(beside); err == nil && info.IsDir() {
			path = beside
		}
	}
	if path == "" {
		return nil, "", nil
	}
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		return nil, "", status{failed, fmt.Errorf("%s: there is no such folder of house rules", path)}
	}
	return os.DirFS(path), path, nil
}

// readCase opens the rules and reads a case file with the log beside it; "-" is
// the standard input, which has none.
func (a *app) readCase(path string) (*engine.Engine, *casefile.Case, error) {
	if path != "-" && a.logFile != "" {
		return nil, nil, status{usage, errors.New("--log goes with a case on the standard input; the log of a case file lies beside it")}
	}
	e, err := a.open(path)
	if err != nil {
		return nil, nil, err
	}
	var f *source.File
	if path == "-" {
		f, err = source.Read("standard input", a.in)
	} else {
		f, err = casefile.Read(path)
	}
	if err != nil {
		return nil, nil, status{failed, err}
	}
	c, ds := e.Case(f)
	if len(ds) > 0 {
		ds.Write(a.err)
	}
	if c == nil {
		return nil, nil, status{attention, nil}
	}
	if path == "-" {
		return e, c, a.readLogOfInput(e, c)
	}
	if err := casefile.Stray(path, c.Code); err != nil {
		return nil, nil, status{failed, err}
	}
	ds, err = e.ReadLog(c, path)
	if err != nil {
		return nil, nil, status{failed, err}
	}
	if len(ds) > 0 {
		ds.Write(a.err)
	}
	a.remember(e, c, path)
	return e, c, nil
}

// readLogOfInput reads the log that --log names beside a case on the standard
// input. Without one nobody knows what was logged.
func (a *app) readLogOfInput(e *engine.Engine, c *casefile.Case) error {
	if a.logFile == "" {
		c.Log = casefile.NoLog("standard input has no log beside it; name the log with --log FILE")
		return nil
	}
	f, err := casefile.Read(a.logFile)
	if err != nil {
		return status{failed, err}
	}
	ds := e.ParseLog(c, f)
	ds.Write(a.err)
	return nil
}

// remember logs what the case file says of the body, so that it cannot be typed
// over. Where it cannot be written it is said, and holds on this run all the
// same.
func (a *app) remember(e *engine.Engine, c *casefile.Case, path string) {
	written, err := e.Remember(c, path)
	for _, x := range written {
		fmt.Fprintf(a.err, "logged as entry %d of %s: what the case file says of the body\n", x.ID, c.Code)
	}
	if err == nil && len(written) > 0 {
		err = a.withdrawn(e, c, path)
	}
	if err != nil {
		fmt.Fprintf(a.err, "what the case file says of the body is not on the record, or its pages stand: %s\n", diag.Clean(err.Error()))
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
