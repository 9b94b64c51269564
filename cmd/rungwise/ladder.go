package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/plan"
	"rungwise/engine/radar"
	"rungwise/engine/render"
	"rungwise/engine/rule"
	"rungwise/engine/unit"
)

// ladderFlags are the wishes for a ladder as they were typed.
type ladderFlags struct {
	order, build, learn, by, out string
	through                      []string
	radarFlags
}

func (a *app) ladderCommand() *cobra.Command {
	var f ladderFlags
	c := &cobra.Command{
		Use:   "ladder [FILE]",
		Short: "the ladder with its verdict and chart, what to throw next; imports radar readings",
		Example: "  rungwise ladder sm-04.yaml\n" +
			"  rungwise ladder sm-04.yaml --csv nov-09.csv --unit mph\n" +
			"  rungwise ladder sm-04.yaml --order halving\n" +
			"  rungwise ladder --build long_toss\n" +
			"  rungwise ladder --learn cases --by \"head coach\" --out house",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: caseFiles,
	}
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
		case f.csv != "":
			return a.importReadings(args[0], f.radarFlags)
		}
		return a.showLadder(args[0], f.order)
	}
	return c
}

func (f *ladderFlags) bind(a *app, c *cobra.Command) {
	fl := c.Flags()
	fl.StringVar(&f.order, "order", "", "halving or whole: how to throw the ladder (else by age and season)")
	fl.StringVar(&f.build, "build", "", "print the ladder from this throw to the game")
	fl.StringSliceVar(&f.through, "through", nil, "with --build: throws that have to be on it, in order")
	fl.StringVar(&f.learn, "learn", "", "propose the house's own shares from the case files of a folder")
	fl.StringVar(&f.by, "by", "", "with --learn: who proposes it")
	fl.StringVar(&f.out, "out", "", "with --learn: folder to write the proposal to (else it is printed)")
	f.radarFlags.bind(c)
	for _, flag := range []string{"build", "through", "throw"} {
		_ = c.RegisterFlagCompletionFunc(flag, a.throwIDs) // fails only for a flag that is not there
	}
	_ = c.RegisterFlagCompletionFunc("order", cobra.FixedCompletions([]string{plan.Halving, plan.Whole}, cobra.ShellCompDirectiveNoFileComp))
}

// throwIDs completes the ids of throws, with their titles.
func (a *app) throwIDs(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	path := ""
	if len(args) > 0 {
		path = args[0]
	}
	e, err := a.open(path)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var out []string
	for _, t := range e.Base().Throws {
		out = append(out, cobra.CompletionWithDesc(t.ID, t.Title))
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// check refuses flags that do not go together.
func (f *ladderFlags) check(args []string) error {
	files := len(args)
	asked := 0
	for _, s := range []string{f.build, f.learn, f.csv} {
		if s != "" {
			asked++
		}
	}
	switch {
	case asked > 1:
		return status{usage, errors.New("--build, --learn and --csv are three different things: give one of them")}
	case f.learn != "" && files > 0:
		return status{usage, errors.New("--learn reads the folder it names and takes no case file")}
	case f.learn == "" && f.build == "" && files == 0:
		return status{usage, errors.New("name a case file, or a throw with --build")}
	case f.csv != "" && args[0] == "-":
		return status{usage, errors.New("--csv writes into a case file: name it")}
	case !slices.Contains([]string{"", plan.Halving, plan.Whole}, f.order):
		return status{usage, fmt.Errorf("--order takes halving or whole, not %q", f.order)}
	case f.build == "" && len(f.through) > 0:
		return status{usage, errors.New("--through goes with --build")}
	case f.learn == "" && (f.by != "" || f.out != ""):
		return status{usage, errors.New("--by and --out go with --learn")}
	}
	return nil
}

func (a *app) showLadder(path, order string) error {
	e, k, err := a.readCase(path)
	if err != nil {
		return err
	}
	r, err := e.Ladder(k, order)
	if err != nil {
		return err
	}
	if err := a.show(r, render.Ladder(r, a.options(e))); err != nil {
		return err
	}
	if r.Gate.Verdict == rule.NotEnough && !r.Gate.Screen {
		return nil // a ladder that is not done says what to throw: that is what was asked
	}
	return verdict(r)
}

// buildLadder prints a ladder from a throw. With a case it goes through what the
// athlete has thrown, and says nothing where nothing may be said.
func (a *app) buildLadder(args []string, f ladderFlags) error {
	var e *engine.Engine
	var k *casefile.Case
	var err error
	if len(args) == 0 {
		e, err = a.open("")
	} else if e, k, err = a.readCase(args[0]); err == nil {
		r, silent, err := e.Silent(k)
		if err != nil {
			return err
		}
		if silent {
			if err := a.show(r, render.Ladder(r, a.options(e))); err != nil {
				return err
			}
			return verdict(r)
		}
	}
	if err != nil {
		return err
	}
	b, err := e.BuildLadder(f.build, f.through, k)
	if errors.Is(err, engine.ErrNoThrow) {
		return status{usage, err}
	}
	if errors.Is(err, engine.ErrNoLadder) {
		return status{attention, err}
	}
	if err != nil {
		return err
	}
	if a.json {
		return printJSON(a.out, b)
	}
	return a.print(render.BuiltLadder(b, a.options(e)))
}

func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// learnShares prints or writes the proposal; it is never in force by itself.
func (a *app) learnShares(f ladderFlags) error {
	e, err := a.open("")
	if err != nil {
		return err
	}
	cases, err := a.folder(e, f.learn)
	if err != nil {
		return err
	}
	by := f.by
	if by == "" {
		by = "nobody yet"
	}
	l, err := e.LearnShares(cases, by)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.err, "%d ladders read, %d set aside; %d shares proposed, none in force\n", l.Ladders, l.Aside, l.Proposed)
	if f.out == "" || l.Proposed == 0 {
		_, err := io.WriteString(a.out, l.House)
		return err
	}
	return a.write(f.out, map[string][]byte{"proposed-shares.yaml": []byte(l.House)}, []string{"proposed-shares.yaml"})
}

// folder reads every case file of a folder; what is no case is told and left out.
func (a *app) folder(e *engine.Engine, dir string) ([]*casefile.Case, error) {
	paths, err := casefile.Folder(dir)
	if err != nil {
		return nil, status{failed, err}
	}
	var out []*casefile.Case
	for _, path := range paths {
		f, err := casefile.Read(path)
		if err != nil {
			fmt.Fprintf(a.err, "left out: %v\n", err)
			continue
		}
		k, ds := e.Case(f)
		if k == nil {
			fmt.Fprintf(a.err, "left out: %s has %d faults\n", f.Path, ds.Errors())
			continue
		}
		out = append(out, k)
	}
	return out, nil
}

// radarFlags say what a list of readings leaves open.
type radarFlags struct {
	csv, unit, dateOrder, throw, day string
	columns                          []string
	acceptGood, again                bool
}

func (f *radarFlags) options() (radar.Options, error) {
	o := radar.Options{Throw: f.throw, DateOrder: f.dateOrder}
	switch unit.Unit(f.unit) {
	case unit.None, unit.MPH, unit.KMH, unit.MPS:
		o.Unit = unit.Unit(f.unit)
	default:
		return o, status{usage, fmt.Errorf("--unit takes mph, km/h or m/s, not %q", f.unit)}
	}
	if !slices.Contains([]string{"", radar.DayFirst, radar.MonthFirst}, f.dateOrder) {
		return o, status{usage, fmt.Errorf("--date-order takes dmy or mdy, not %q", f.dateOrder)}
	}
	if f.day != "" {
		var err error
		if o.Day, err = time.Parse(time.DateOnly, f.day); err != nil {
			return o, status{usage, fmt.Errorf("--day takes a day such as 2026-11-09, not %q", f.day)}
		}
	}
	for _, c := range f.columns {
		role, heading, ok := strings.Cut(c, "=")
		if !ok || !slices.Contains([]string{radar.Speed, radar.Throw, radar.Held, radar.Date, radar.Unit, radar.Stamp}, role) {
			return o, status{usage, fmt.Errorf("--column takes speed, throw, held, date, unit or stamp and its heading, such as speed=Peak, not %q", c)}
		}
		o.Columns = append(o.Columns, radar.Column{Role: role, Heading: heading})
	}
	return o, nil
}
