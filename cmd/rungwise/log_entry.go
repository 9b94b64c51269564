package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/radar"
	"rungwise/engine/unit"
)

// told says what of a session stands in the flags.
func (f logFlags) told() bool {
	return f.rung != "" || f.speeds != "" || f.marks != "" || f.keep != "" || f.throws > 0 || f.high > 0 || len(f.drills) > 0 || f.csv != ""
}

func (f logFlags) alarm() bool { return f.pain || f.numbness || f.pop || f.suddenLoss }

// kinds counts the kinds of entries that the flags ask for.
func (f logFlags) kinds() int {
	n := 0
	for _, yes := range []bool{f.told() || f.alarm() || f.sore != "", f.other != "", f.slip != "", f.cleared, f.phase != "", f.trial != "", f.trialEnds != "", f.closing != "", f.void > 0} {
		if yes {
			n++
		}
	}
	return n
}

// entries makes what is to be logged from the flags, or from what is typed in
// answer to questions.
func (a *app) entries(e *engine.Engine, k *casefile.Case, f logFlags) ([]casefile.Entry, error) {
	var out []casefile.Entry
	var err error
	switch n := f.kinds(); {
	case n > 1:
		return nil, status{usage, errors.New("one entry at a time: log the session, what was thrown elsewhere, a slip and the rest each by itself")}
	case f.ask || n == 0 && !f.decide && f.note == "" && a.interactive():
		out, err = a.askSession(e, k)
	case n == 0 && f.note != "":
		out, err = a.session(e, k, f)
	case n == 0 && f.decide:
		return nil, nil
	case n == 0:
		return nil, status{usage, errors.New("nothing to log: give --sore none and --rung, --other, --slip or --decide, or --ask to be asked")}
	default:
		out, err = a.fromFlags(e, k, f)
	}
	if err != nil {
		return nil, usageOf(err)
	}
	for i := range out {
		if err := a.complete(e, k, f, &out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// usageOf makes what was typed wrongly a usage error; other errors stay.
func usageOf(err error) error {
	var s status
	if errors.As(err, &s) {
		return err
	}
	return status{usage, err}
}

// fromFlags makes the entries that the flags tell.
func (a *app) fromFlags(e *engine.Engine, k *casefile.Case, f logFlags) ([]casefile.Entry, error) {
	switch {
	case f.other != "":
		x, err := casefile.ReadOther(f.other)
		if f.sore != "" {
			return nil, errors.New("--other goes without --sore: log a sore arm as a session of its own")
		}
		return []casefile.Entry{x}, err
	case f.slip != "":
		return a.slip(e, k, f.slip)
	case f.cleared:
		by := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(f.by)), " ", "_")
		if !slices.Contains(e.Clinicians(), by) || !f.writing {
			return nil, fmt.Errorf("a clearance says who gave it and that it is in writing: add --by with one of %s, --in-writing, and --day with the day on it", strings.Join(e.Clinicians(), ", "))
		}
		return []casefile.Entry{{What: casefile.LogClearance, By: by, Writing: true}}, nil
	case f.phase != "":
		return []casefile.Entry{{What: casefile.LogPhase, Phase: f.phase}}, nil
	case f.trial != "":
		return trial(e, f.trial)
	case f.trialEnds != "":
		return trialEnd(k, f.trialEnds)
	case f.closing != "":
		return closing(e, k, f)
	case f.void > 0:
		return []casefile.Entry{{What: casefile.LogVoid, Corrects: f.void}}, nil
	}
	return a.session(e, k, f)
}

// complete fills in the days and the note, and refuses what cannot be.
func (a *app) complete(e *engine.Engine, k *casefile.Case, f logFlags, x *casefile.Entry) error {
	today := e.Today().Format(time.DateOnly)
	x.Entered = today
	if x.On == "" {
		x.On = today
	}
	if f.day != "" {
		x.On = f.day
	}
	if day, err := time.Parse(time.DateOnly, x.On); err != nil || day.After(e.Today()) {
		if x.Health.Complaint() == "" && x.Unread == "" {
			return status{usage, fmt.Errorf("%q is no day up to today, such as %s", x.On, today)}
		}
		fmt.Fprintf(a.err, "%q is no day up to today: what is wrong with the arm is logged for today\n", diag.Clean(x.On))
		x.On = today
	}
	if f.note != "" {
		x.Note = f.note
	}
	if err := a.askAbout(e, f, x); err != nil {
		return err
	}
	if f.correct > 0 {
		x.Corrects = f.correct
	}
	if x.Corrects > 0 && !known(k.Log, x.Corrects) {
		return status{usage, fmt.Errorf("there is no entry %d to correct; `rungwise log FILE --list` shows the numbers", x.Corrects)}
	}
	if same, yes := double(k.Log, *x); yes && !f.again {
		return status{usage, fmt.Errorf("the same throws stand in entry %d already; with --again they are logged once more", same.ID)}
	}
	return nil
}

func known(log *casefile.Log, id int) bool {
	for _, e := range log.Entries {
		if e.ID == id {
			return true
		}
	}
	return false
}

// session makes the entries of a session. The safety answer comes first: without
// it nothing is logged.
func (a *app) session(e *engine.Engine, k *casefile.Case, f logFlags) ([]casefile.Entry, error) {
	h, err := f.health(e.Places())
	if err != nil {
		return nil, err
	}
	if f.csv != "" {
		return a.fromCSV(e, k, f, h)
	}
	x := casefile.Entry{What: casefile.LogSession, Health: h, Effort: f.effort, Throws: f.throws, High: f.high, Changed: f.changed}
	if x.Rung, err = throwID(e, f.rung); err != nil {
		return nil, err
	}
	if err := a.speeds(f, &x); err != nil {
		return nil, err
	}
	if x.Drills, err = drilled(e, f.drills); err != nil {
		return nil, err
	}
	if x.Rung == "" && x.AtRung() > 0 {
		return nil, errors.New("say with --rung at which throw that was, such as --rung flat_lift")
	}
	return []casefile.Entry{x}, nil
}

// speeds reads the speeds and marks of a session into its entry.
func (a *app) speeds(f logFlags, x *casefile.Entry) error {
	text := f.speeds
	if text == "-" {
		var err error
		if text, err = a.pasted(); err != nil {
			return err
		}
	}
	at, err := casefile.ReadThrows(text)
	if err != nil {
		return err
	}
	keep, err := casefile.ReadThrows(f.keep)
	if err != nil {
		return err
	}
	x.Speeds, x.Marks, x.Keep = at.Speeds, at.Marks, keep.Speeds
	if f.marks != "" {
		if len(x.Marks) > 0 {
			return errors.New("the marks stand after the speeds already: leave --marks out")
		}
		if x.Marks, err = casefile.ReadMarks(f.marks); err != nil {
			return err
		}
	}
	x.Unit = unit.Unit(f.unit)
	for _, u := range []unit.Unit{at.Unit, keep.Unit} {
		if u != "" && x.Unit != "" && u != x.Unit {
			return fmt.Errorf("the speeds are in two units, %s and %s", x.Unit, u)
		}
		if u != "" {
			x.Unit = u
		}
	}
	return nil
}

// pasted reads the standard input to its end.
func (a *app) pasted() (string, error) {
	const most = 1 << 20
	b, err := io.ReadAll(io.LimitReader(a.in, most))
	if err != nil {
		return "", status{failed, errors.New("the standard input could not be read")}
	}
	return string(b), nil
}

func throwID(e *engine.Engine, text string) (string, error) {
	if text == "" {
		return "", nil
	}
	return e.Named("throws", text)
}

// drilled reads drills with their throws, rock_and_go:10.
func drilled(e *engine.Engine, list []string) ([]casefile.Drilled, error) {
	var out []casefile.Drilled
	for _, text := range list {
		id, number, ok := strings.Cut(text, ":")
		n, err := strconv.Atoi(number)
		if !ok || err != nil || n < 0 {
			return nil, fmt.Errorf("--drill takes a drill and its throws, such as rock_and_go:10, not %q", text)
		}
		if id, err = e.Named("drills", id); err != nil {
			return nil, err
		}
		out = append(out, casefile.Drilled{Drill: id, Throws: n})
	}
	return out, nil
}

func trial(e *engine.Engine, text string) ([]casefile.Entry, error) {
	id, until, ok := strings.Cut(text, " until ")
	until = strings.TrimSpace(until)
	day, err := time.Parse(time.DateOnly, until)
	if !ok || err != nil || !day.After(e.Today()) {
		return nil, fmt.Errorf("--trial takes a drill and the day to decide, such as \"rock_and_go until 2026-12-09\", not %q", text)
	}
	id = strings.TrimSpace(id)
	if throw, err := e.Named("throws", id); err == nil {
		id = throw
	} else if id, err = e.Named("drills", id); err != nil {
		return nil, err
	}
	return []casefile.Entry{{What: casefile.LogTrial, Drill: id, Until: until}}, nil
}

func trialEnd(k *casefile.Case, text string) ([]casefile.Entry, error) {
	words := strings.Fields(text)
	if len(words) != 2 || words[1] != "keep" && words[1] != "drop" {
		return nil, fmt.Errorf("--trial-ends takes a drill and keep or drop, such as \"rock_and_go keep\", not %q", text)
	}
	for _, e := range k.Log.Of(casefile.LogTrial) {
		if e.Drill == words[0] {
			return []casefile.Entry{{What: casefile.LogVerdict, Drill: words[0], Outcome: words[1]}}, nil
		}
	}
	return nil, fmt.Errorf("%s is not on trial", words[0])
}

// closing closes the problem that was worked on: the factor that is named, else
// the case's first, at the rung where it breaks.
func closing(e *engine.Engine, k *casefile.Case, f logFlags) ([]casefile.Entry, error) {
	if f.closing != "passed" && f.closing != "not_passed" {
		return nil, fmt.Errorf("--close takes passed or not_passed, not %q", f.closing)
	}
	factor, rung, err := e.Problem(k)
	if err != nil {
		return nil, err
	}
	if f.factor != "" {
		if _, ok := e.Base().Factor(f.factor); !ok {
			return nil, fmt.Errorf("no factor is called %q; `rungwise rules list factors` shows the names", f.factor)
		}
		factor = f.factor
	}
	if factor == "" {
		return nil, errors.New("the case names no first factor: say with --factor what was worked on")
	}
	return []casefile.Entry{{What: casefile.LogClose, Factor: factor, Rung: rung, Outcome: f.closing}}, nil
}

// fromCSV makes an entry for each throw of a file of radar readings; those of
// the reference drill are keep-up throws.
func (a *app) fromCSV(e *engine.Engine, k *casefile.Case, f logFlags, h *casefile.Health) ([]casefile.Entry, error) {
	file, err := casefile.Open(f.csv)
	if err != nil {
		return nil, status{failed, err}
	}
	defer file.Close()
	o := radar.Options{Unit: unit.Unit(f.unit), Throw: f.rung, Today: e.Today()}
	for _, t := range e.Base().Throws {
		o.Throws = append(o.Throws, radar.Name{ID: t.ID, Title: t.Title})
	}
	if f.day != "" {
		if o.Day, err = time.Parse(time.DateOnly, f.day); err != nil {
			return nil, fmt.Errorf("--day takes a day such as 2026-11-11, not %q", f.day)
		}
	}
	m, ds := radar.Read(filepath.Base(f.csv), file, o)
	ds.Write(a.err)
	if m == nil {
		return nil, status{attention, errors.New("nothing was logged")}
	}
	for _, r := range m.Rows {
		if r.Status == radar.NotUnderstood {
			fmt.Fprintf(a.err, "%s:%d  %s\n", diag.Clean(r.Path), r.Line, diag.Clean(r.Why))
		}
	}
	if n := m.Count(radar.NotUnderstood); n > 0 && !f.again {
		return nil, status{attention, fmt.Errorf("%d lines were not understood and nothing was logged; with --again the others are", n)}
	}
	return fromRows(m, k.Reference.Throw, h, f), nil
}

func fromRows(m *radar.Import, reference string, h *casefile.Health, f logFlags) []casefile.Entry {
	base := casefile.Entry{What: casefile.LogSession, Unit: unit.MPH}
	if !m.On.IsZero() {
		base.On = m.On.Format(time.DateOnly)
	}
	var out []casefile.Entry
	at := map[string]int{}
	keep := base
	for _, r := range m.Accepted() {
		v := r.MPH()
		if r.Throw == reference {
			keep.Keep = append(keep.Keep, &v)
			continue
		}
		i, seen := at[r.Throw]
		if !seen {
			i = len(out)
			at[r.Throw] = i
			x := base
			x.Rung = r.Throw
			out = append(out, x)
		}
		mark := r.Mark
		if mark == "" {
			mark = casefile.CouldNotSee
		}
		out[i].Speeds, out[i].Marks = append(out[i].Speeds, &v), append(out[i].Marks, mark)
	}
	if len(out) == 0 {
		out = append(out, keep)
	}
	out[0].Keep, out[0].Health = keep.Keep, h
	out[0].Effort, out[0].Throws, out[0].High, out[0].Changed = f.effort, f.throws, f.high, f.changed
	return out
}
