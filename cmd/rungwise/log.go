package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

// logFlags are what was thrown, as it was typed.
type logFlags struct {
	day                                string
	rung, speeds, unit, marks, keep    string
	effort                             float64
	throws, high                       int
	sore                               string
	pain, numbness, pop, suddenLoss    bool
	drills                             []string
	changed                            bool
	other, slip, csv                   string
	cleared, writing, elseNone         bool
	by, asked                          string
	phase, trial, trialEnds            string
	closing, factor                    string
	note                               string
	correct, void                      int
	again, ask, list, decide, slipForm bool
}

const logExample = `  rungwise log sm-04.yaml --rung flat_lift --speeds "81 82 81.5" --marks "y y n" --keep "92 91.5 93" --sore none
  rungwise log sm-04.yaml --rung flat_lift --speeds - --sore none < numbers.txt
  rungwise log sm-04.yaml --other "game 45 pitches 3 innings"
  rungwise log sm-04.yaml --pain
  rungwise log sm-04.yaml --cleared --by "physical therapist" --in-writing --day 2026-11-20
  rungwise log sm-04.yaml --correct 7 --rung flat_lift --speeds "81 82" --sore none
  rungwise log sm-04.yaml --decide`

func (a *app) logCommand() *cobra.Command {
	var f logFlags
	c := &cobra.Command{
		Use:               "log FILE",
		Short:             "write down a session, or throws elsewhere; says when it is time to move on, stay or step back",
		Example:           logExample,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: caseFiles,
	}
	f.bind(c)
	c.SetFlagErrorFunc(a.mistyped)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if (f.slipForm || f.list) && (f.kinds() > 0 || f.note != "") {
			return a.kept(args[0], f, status{usage, errors.New("--list and --slip-form stand alone")})
		}
		if f.slipForm {
			_, err := fmt.Fprint(a.out, casefile.SlipForm)
			return err
		}
		logged, err := a.log(args[0], &f)
		if err != nil && !logged {
			return a.kept(args[0], f, err)
		}
		return err
	}
	return c
}

func (f *logFlags) bind(c *cobra.Command) {
	fl := c.Flags()
	f.bindArm(c)
	fl.StringVar(&f.day, "day", "", "the day of the session, such as 2026-11-11 (else today)")
	fl.BoolVar(&f.elseNone, "else-none", false, "with --sore and a place: asked, and nothing else is wrong")
	fl.StringVar(&f.rung, "rung", "", "the throw that was worked on, such as flat_lift")
	fl.StringVar(&f.speeds, "speeds", "", "its speeds, such as \"81 82 81.5\"; a dash is a throw the gun missed; - alone reads standard input")
	fl.StringVar(&f.unit, "unit", "", "of the speeds: mph (else), km/h or m/s")
	fl.StringVar(&f.marks, "marks", "", "did the pattern hold, throw by throw: y, n, p, or x where nobody could see")
	fl.StringVar(&f.keep, "keep", "", "speeds of the keep-up throws of the drill")
	fl.Float64Var(&f.effort, "effort", 0, "effort at the rung, in %")
	fl.IntVar(&f.throws, "throws", 0, "all throws of the session")
	fl.IntVar(&f.high, "high", 0, "the hard ones among them")
	fl.StringArrayVar(&f.drills, "drill", nil, "an isolation drill and its throws, such as rock_and_go:10 (repeat for more)")
	fl.BoolVar(&f.changed, "changed", false, "something else changed before this session (a cue, a drill, the gun): the count starts again")
	fl.StringVar(&f.csv, "csv", "", "radar readings from a file")
	fl.BoolVar(&f.slipForm, "slip-form", false, "print an empty return slip for the athlete or a parent")
	fl.BoolVar(&f.cleared, "cleared", false, "a licensed clinician has cleared the athlete to throw; with --by and --in-writing, and --day where it was not today")
	fl.StringVar(&f.by, "by", "", "with --cleared: who cleared, such as \"physical therapist\"")
	fl.BoolVar(&f.writing, "in-writing", false, "with --cleared: it was given in writing")
	fl.StringVar(&f.phase, "phase", "", "the part of the year from now on: velocity, mound, season, time_off")
	fl.StringVar(&f.trial, "trial", "", "put a drill on trial: \"rock_and_go until 2026-12-09\"")
	fl.StringVar(&f.trialEnds, "trial-ends", "", "end a trial: \"rock_and_go keep\" or \"rock_and_go drop\"")
	fl.StringVar(&f.closing, "close", "", "close the problem that was worked on: passed or not_passed")
	fl.StringVar(&f.factor, "factor", "", "with --close: the factor that was worked on (else the case's first)")
	fl.IntVar(&f.correct, "correct", 0, "number of the entry in whose place this one stands")
	fl.IntVar(&f.void, "void", 0, "number of an entry to take back")
	fl.BoolVar(&f.again, "again", false, "log it even where the same throws stand in the log already")
	fl.BoolVar(&f.list, "list", false, "show the log with the numbers of its entries")
	fl.BoolVar(&f.decide, "decide", false, "show the weekly decision now")
	fl.BoolVar(&f.ask, "ask", false, "ask line by line, also without a terminal")
}

// bindArm binds the flags that may tell of the body.
func (f *logFlags) bindArm(c *cobra.Command) {
	fl := c.Flags()
	fl.StringVar(&f.sore, "sore", "", "none: asked, and no pain, numbness, pop, sudden loss or soreness; else where it is sore, such as elbow, upper_arm or hip")
	for _, q := range []struct {
		into        *bool
		name, about string
	}{{&f.pain, "pain", "throwing hurts"}, {&f.numbness, "numbness", "numbness or tingling"}, {&f.pop, "pop", "a pop, swelling or locking"},
		{&f.suddenLoss, "sudden-loss", "velocity or control went away suddenly"}} {
		fl.Var(yes{q.into}, q.name, q.about)
		fl.Lookup(q.name).NoOptDefVal = "yes"
	}
	fl.StringVar(&f.other, "other", "", "thrown elsewhere: \"game 45 pitches 3 innings\", \"practice 40 throws 10 hard\", \"catching\"")
	fl.StringVar(&f.slip, "slip", "", "a return slip, pasted; - reads standard input")
	fl.StringVar(&f.asked, "asked", "", "what the athlete answered about a note that may tell of the arm: none, pain, or the place")
	fl.StringVar(&f.note, "note", "", "a note")
}

// since tells in a plan what has changed since an earlier one.
func (a *app) since(e *engine.Engine, k *casefile.Case, r *report.Report, path string) error {
	if path == "" {
		return nil
	}
	earlier, err := casefile.Read(path)
	if err != nil {
		return status{failed, err}
	}
	if err := e.Since(r, k, earlier); err != nil {
		return status{attention, err}
	}
	return nil
}

// log writes down what the flags tell; logged says whether anything was.
func (a *app) log(path string, f *logFlags) (logged bool, err error) {
	if path == "-" {
		return false, status{usage, errors.New("a log lies beside a case file, so give the file's name")}
	}
	e, k, err := a.readCase(path)
	if err != nil {
		return false, err
	}
	if f.list {
		return false, a.listLog(k)
	}
	if f.slip == "-" {
		if f.slip, err = a.pasted(); err != nil {
			return false, err
		}
	}
	entries, err := a.entries(e, k, *f)
	if err != nil {
		return false, err
	}
	last := 0
	for _, x := range entries {
		if last, err = a.append(e, k, x); err != nil {
			return logged, err
		}
		logged = true
	}
	return logged, a.decided(e, k, path, last, *f)
}

// decided takes in what was logged: pages that may no longer stand are taken
// back before anything is printed.
func (a *app) decided(e *engine.Engine, k *casefile.Case, path string, last int, f logFlags) error {
	if _, err := e.ReadLog(k, path); err != nil {
		return status{failed, err}
	}
	if x, lost := e.LostSpeed(k); lost {
		if _, err := a.append(e, k, x); err != nil {
			return err
		}
		if _, err := e.ReadLog(k, path); err != nil {
			return status{failed, err}
		}
	}
	if err := a.withdrawn(e, k, path); err != nil {
		return err
	}
	w, err := e.Week(k)
	if err != nil {
		return err
	}
	return a.afterLog(e, k, w, last, f)
}

// append writes one entry and says so.
func (a *app) append(e *engine.Engine, k *casefile.Case, x casefile.Entry) (int, error) {
	refers, err := e.Referring(k, x)
	if err != nil {
		return 0, err
	}
	x.Refers, x.Code = refers, k.Code
	written, err := casefile.AppendEntry(k.Log.Path, x)
	if errors.Is(err, casefile.ErrEntry) {
		return 0, status{usage, err}
	}
	if err != nil {
		return 0, status{failed, err}
	}
	fmt.Fprintf(a.err, "logged as entry %d of %s, for %s\n", written.ID, k.Code, niceDay(written.On))
	return written.ID, nil
}

// afterLog prints the weekly decision where it is due, and keeps it. Where
// throwing is to stop, nothing else is printed.
func (a *app) afterLog(e *engine.Engine, k *casefile.Case, w *report.Week, entry int, f logFlags) error {
	stop := w.Decision == "stop" || w.Decision == "not_asked"
	show := stop || f.decide || w.Due.Now
	var err error
	if show && !stop {
		if err := a.keepDecision(e, k, w); err != nil {
			return err
		}
	}
	if a.json {
		out := report.Logged{Rungwise: report.WeekVersion, Case: k.Code, Entry: entry}
		if show {
			out.Week = w
		}
		err = render.JSON(a.out, out)
	} else if show {
		err = a.print(render.Week(w, a.options(e)))
	}
	if err == nil && stop {
		return status{attention, nil}
	}
	return err
}

// keepDecision logs a decision, once a day.
func (a *app) keepDecision(e *engine.Engine, k *casefile.Case, w *report.Week) error {
	if len(k.Log.Of(casefile.LogSession)) == 0 {
		return nil
	}
	if last, ok := k.Log.Last(casefile.LogDecision); ok && last.On == w.On && last.Decision == w.Decision && last.To == w.To {
		return nil
	}
	today := e.Today().Format(time.DateOnly)
	_, err := casefile.AppendEntry(k.Log.Path, casefile.Entry{Code: k.Code, Entered: today, On: today, What: casefile.LogDecision, Decision: w.Decision, Rung: w.Rung, To: w.To})
	if err != nil {
		return status{failed, err}
	}
	return nil
}

// listLog prints the entries, a line each; what a later one corrected or took
// back stays in the list, since what it complained of stays in force.
func (a *app) listLog(k *casefile.Case) error {
	if a.json {
		return render.JSON(a.out, k.Log)
	}
	all := slices.Concat(k.Log.Entries, k.Log.Withdrawn)
	slices.SortStableFunc(all, func(x, y casefile.Entry) int {
		return cmp.Or(strings.Compare(x.On, y.On), cmp.Compare(x.ID, y.ID))
	})
	for _, e := range all {
		words := entryWords(e)
		if slices.ContainsFunc(k.Log.Withdrawn, func(w casefile.Entry) bool { return w.ID == e.ID }) {
			words = "taken back: " + words
		}
		if _, err := fmt.Fprintf(a.out, "%4d  %s  %s\n", e.ID, e.On, render.Line(words)); err != nil {
			return err
		}
	}
	for _, n := range k.Log.Bad {
		fmt.Fprintf(a.out, "      line %d cannot be read\n", n)
	}
	if k.Log.Later > 0 {
		fmt.Fprintf(a.err, "%d later entr%s left out: they were written down after %s\n", k.Log.Later, map[bool]string{true: "y", false: "ies"}[k.Log.Later == 1], a.on)
	}
	return nil
}

// entryWords tells an entry in a line.
func entryWords(e casefile.Entry) string {
	var out []string
	add := func(yes bool, format string, args ...any) {
		if yes {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	add(true, "%s", e.What)
	add(e.Kind != "", "%s", e.Kind)
	add(e.Rung != "", "%s", e.Rung)
	add(e.AtRung() > 0, "%d throws there", e.AtRung())
	add(len(e.Marks) > 0, "held %s", strings.Join(e.Marks, " "))
	add(len(e.Keep) > 0, "%d keep-up", len(e.Keep))
	add(e.Throws > 0, "%d throws in all", e.Throws)
	add(e.High > 0, "%d hard", e.High)
	add(e.Pitches > 0, "%d pitches", e.Pitches)
	add(e.Phase != "", "%s", e.Phase)
	add(e.Drill != "", "%s", e.Drill)
	add(e.Until != "", "until %s", e.Until)
	add(e.Decision != "", "%s", e.Decision)
	add(e.To != "", "to %s", e.To)
	add(e.Outcome != "", "%s", e.Outcome)
	add(e.Factor != "", "%s", e.Factor)
	add(e.Health.Complaint() != "", "%s", e.Health.Complaint())
	for _, id := range slices.Sorted(maps.Keys(e.Answers)) {
		add(true, "%s %s", id, e.Answers[id])
	}
	add(e.Unread != "", "not understood: %s", e.Unread)
	add(e.By != "", "by %s, in writing", e.By)
	add(e.Corrects > 0, "in the place of entry %d", e.Corrects)
	add(e.Note != "", "%s", e.Note)
	return strings.Join(out, ", ")
}

// interactive reports whether somebody can answer at the keyboard.
func (a *app) interactive() bool {
	f, ok := a.in.(*os.File)
	return ok && term.IsTerminal(f.Fd())
}

// double finds an entry that tells the same throws of the same day.
func double(log *casefile.Log, e casefile.Entry) (casefile.Entry, bool) {
	if e.What != casefile.LogSession || len(e.Speeds) < 3 {
		return casefile.Entry{}, false
	}
	i := slices.IndexFunc(log.Entries, func(o casefile.Entry) bool {
		return o.On == e.On && o.Rung == e.Rung && o.ID != e.Corrects && slices.Equal(o.MPH(o.Speeds), e.MPH(e.Speeds))
	})
	if i < 0 {
		return casefile.Entry{}, false
	}
	return log.Entries[i], true
}
