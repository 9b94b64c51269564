package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"text/template"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/prompt"
	"rungwise/engine/unit"
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

func (s status) Error() string { return fmt.Sprint(s.err) }

func (s status) Unwrap() error { return s.err }

// seen ends a run that needs attention, and about which all is said.
func seen() error { return status{attention, nil} }

// mistake is something that was typed and cannot be meant.
func mistake(format string, args ...any) error { return status{usage, fmt.Errorf(format, args...)} }

// halted ends a run that did not do what was asked, and says why.
func halted(format string, args ...any) error { return status{attention, fmt.Errorf(format, args...)} }

// statusOf is how the program ends on an error that has no status of its own:
// whatever is not among these could not be read or written.
func statusOf(err error) int {
	is := func(any ...error) bool {
		return slices.ContainsFunc(any, func(x error) bool { return errors.Is(err, x) })
	}
	unnamed, fault := new(engine.Unnamed), new(unit.Fault)
	switch {
	case errors.As(err, &unnamed) || errors.As(err, &fault),
		is(engine.ErrSetting, engine.ErrTooFarAhead, engine.ErrNoThrow, engine.ErrTyped, casefile.ErrEntry):
		return usage
	case is(engine.ErrNoLadder, engine.ErrImported, engine.ErrNotAPlan, engine.ErrUnread, prompt.ErrLeft):
		return attention
	}
	return failed
}

// app is one run: the world, the flags that every command has, and how far the
// run has come.
type app struct {
	world
	bare    world // in is the same; out and err as they are, for what is drawn
	house   string
	as      string // the form asked for, as typed
	form    format
	kinds   map[*cobra.Command][]shown        // what commands print
	unread  func(*cobra.Command, error) error // takes in a call that could not be read
	width   int
	noColor bool
	on      string
	logFile string // beside a case on the standard input
	lines   *prompt.Prompter
	after   string // what is said after the reason why a run failed
	running bool   // the flags were understood: from here an error is no usage error
}

// run is the whole program, given a world; it returns the exit status.
func run(w world) int {
	a := &app{world: w, bare: w, kinds: map[*cobra.Command][]shown{}}
	out, errs := diag.NewWriter(w.out), diag.NewWriter(w.err)
	a.out, a.err = out, errs
	root := a.root()
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error {
		if err := a.choose(c); err != nil {
			return a.unread(c, err)
		}
		if a.running = true; a.form.machine {
			out.JSON()
		}
		return nil
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
	var faults *engine.Faults
	var fault *unit.Fault
	switch {
	case err == nil:
		return done
	case errors.As(err, &s):
	case errors.As(err, &faults):
		if err := faults.List.Write(a.err); err != nil {
			return failed
		}
		s.code = attention
		if faults.Why != "" {
			s.err = err
		}
	case !a.running:
		s = status{usage, fmt.Errorf("%w\nhelp: `rungwise help` lists the commands, `rungwise COMMAND --help` its flags", err)}
	case errors.As(err, &fault) && fault.Help != "":
		s = status{usage, fmt.Errorf("%s\nhelp: %s", fault.Says, fault.Help)}
	default:
		s = status{statusOf(err), err}
	}
	if s.err != nil {
		a.say("rungwise: %s", s.err)
	}
	if a.after != "" {
		a.say("%s", a.after)
	}
	return s.code
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{Use: "rungwise", SilenceUsage: true, SilenceErrors: true}
	a.bindCommon(root)
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return status{usage, plainFlag(err)} })
	root.AddCommand(a.demoCommand(), a.newCommand(), a.askCommand(), a.ladderCommand(), a.triageCommand(), a.planCommand(),
		a.whyCommand(), a.measureCommand(), a.agreeCommand(), a.rulesCommand(), a.logCommand(), a.rosterCommand(),
		a.reviewCommand(), a.exportCommand(), a.forgetCommand(), a.licencesCommand())
	helped(root, template.Must(template.New("help").Parse(helpText)))
	return root
}
