package engine

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/radar"
	"rungwise/engine/unit"
)

// Told is what somebody tells of a day for the log, as it was typed: one kind of
// entry, and what goes with any. Empty fields were not told.
type Told struct {
	Day, Note, Asked string // Asked: what the athlete answered about the note
	Correct          int    // number of the entry in whose place this one stands
	Again            bool   // also where the same stands in the log

	// Of a session.
	Sore, Rung, Speeds, Unit, Marks, Keep string
	Pain, Numbness, Pop, SuddenLoss       bool
	ElseNone                              bool             // asked, and nothing but Sore is wrong
	Answered                              *casefile.Health // what was asked one by one; nil = not
	Effort                                float64
	Throws, High                          int
	Drills                                []string // rock_and_go:10
	Changed                               bool
	CSV                                   string        // path of a list of readings
	Readings                              *radar.Import // the list, once it was read

	// Of the other kinds.
	Other, Slip               string
	Cleared, Writing          bool
	By                        string
	Phase, Trial, TrialEnds   string
	Close, Factor             string
	Void                      int
	Decide, List, Form, Guide bool // nothing to log by themselves
}

// Typed is one thing that was typed and cannot be meant.
type Typed struct {
	Flag string // where it stands, "" where it lies in no single one
	Err  error
}

func (t *Typed) Error() string { return t.Err.Error() }

// Unwrap returns why.
func (t *Typed) Unwrap() error { return t.Err }

// Is makes every one an ErrTyped.
func (t *Typed) Is(err error) bool { return err == ErrTyped }

// The ways in which what was told is not logged.
var (
	ErrTyped     = errors.New("this cannot be meant")
	ErrOtherFile = errors.New("another athlete's file")
	ErrUnread    = errors.New("not understood")
)

// Session reports whether anything of a session was told.
func (t Told) Session() bool {
	return t.alarm() || t.Answered != nil || cmp.Or(t.Sore, t.Rung, t.Speeds, t.Marks, t.Keep, t.CSV) != "" ||
		t.Throws > 0 || t.High > 0 || len(t.Drills) > 0
}

func (t Told) alarm() bool { return t.Pain || t.Numbness || t.Pop || t.SuddenLoss }

// Kinds counts the kinds of entries that were told.
func (t Told) Kinds() int {
	n := 0
	told := []bool{t.Session(), t.Cleared, t.Void > 0}
	for _, text := range []string{t.Other, t.Slip, t.Phase, t.Trial, t.TrialEnds, t.Close} {
		told = append(told, text != "")
	}
	for _, yes := range told {
		if yes {
			n++
		}
	}
	return n
}

// teller makes entries of what was told, and gathers every fault.
type teller struct {
	e      *Engine
	c      *casefile.Case
	t      Told
	says   []string
	faults []error
}

// Entries makes what is to be logged of what was told; says is what has to be
// said about it. The error joins every fault, each a *Typed.
func (e *Engine) Entries(c *casefile.Case, t Told) (entries []casefile.Entry, says []string, err error) {
	w := &teller{e: e, c: c, t: t}
	switch n := t.Kinds(); {
	case n > 1:
		w.fault("", "one entry at a time: log the session, what was thrown elsewhere, a slip and the rest each by itself")
	case n > 0 || t.Note != "":
		entries = w.kind()
	case !t.Decide:
		w.fault("", "nothing to log: give --sore none and --rung, --other, --slip or --decide, or --ask to be asked")
	}
	for i := range entries {
		w.complete(&entries[i])
	}
	return entries, w.says, errors.Join(w.faults...)
}

func (w *teller) fault(flag, format string, args ...any) { w.bad(flag, fmt.Errorf(format, args...)) }

func (w *teller) bad(flag string, err error) {
	if err != nil {
		w.faults = append(w.faults, &Typed{flag, err})
	}
}

// kind makes the entries of the one kind that was told.
func (w *teller) kind() []casefile.Entry {
	one := func(x casefile.Entry) []casefile.Entry { return []casefile.Entry{x} }
	switch t := w.t; {
	case t.Other != "":
		x, err := casefile.ReadOther(t.Other)
		w.bad("other", err)
		return one(x)
	case t.Slip != "":
		return one(w.slip())
	case t.Cleared:
		by := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(t.By)), " ", "_")
		if !slices.Contains(w.e.Clinicians(), by) || !t.Writing {
			w.fault("", "a clearance says who gave it and that it is in writing: add --by with one of %s, --in-writing, and --day with the day on it",
				strings.Join(w.e.Clinicians(), ", "))
		}
		return one(casefile.Entry{What: casefile.LogClearance, By: by, Writing: true})
	case t.Phase != "":
		return one(casefile.Entry{What: casefile.LogPhase, Phase: t.Phase})
	case t.Trial != "":
		return one(w.trial())
	case t.TrialEnds != "":
		return one(w.trialEnd())
	case t.Close != "":
		return one(w.closing())
	case t.Void > 0:
		return one(casefile.Entry{What: casefile.LogVoid, Corrects: t.Void})
	case t.Readings != nil:
		return w.readings()
	}
	return one(*w.session())
}

// complete fills in the days and the note, and refuses what cannot be.
func (w *teller) complete(x *casefile.Entry) {
	today := w.e.today.Format(time.DateOnly)
	x.Entered = today
	x.On = cmp.Or(w.t.Day, x.On, today)
	if day, err := time.Parse(time.DateOnly, x.On); err != nil || day.After(w.e.today) {
		if x.Health.Complaint() == "" && x.Unread == "" {
			w.fault("day", "%q is no day up to today, such as %s", x.On, today)
		} else {
			w.say("%q is no day up to today: what is wrong with the arm is logged for today", diag.Clean(x.On))
		}
		x.On = today
	}
	if w.t.Note != "" {
		x.Note = w.t.Note
	}
	w.meant(x)
	if w.t.Correct > 0 {
		x.Corrects = w.t.Correct
	}
	if x.Corrects > 0 && !slices.ContainsFunc(w.c.Log.Entries, func(o casefile.Entry) bool { return o.ID == x.Corrects }) {
		w.fault("", "there is no entry %d to correct; `rungwise log FILE --list` shows the numbers", x.Corrects)
	}
	if len(w.faults) == 0 || x.What == casefile.LogSession {
		w.bad("", x.Check())
	}
	if same, yes := double(w.c.Log, *x); yes && !w.t.Again {
		w.fault("", "the same throws stand in entry %d already; with --again they are logged once more", same.ID)
	}
}

func (w *teller) say(format string, args ...any) {
	w.says = append(w.says, fmt.Sprintf(format, args...))
}

// double finds an entry that tells the same throws of the same day.
func double(log *casefile.Log, e casefile.Entry) (casefile.Entry, bool) {
	i := slices.IndexFunc(log.Entries, func(o casefile.Entry) bool {
		return o.On == e.On && o.Rung == e.Rung && o.ID != e.Corrects && slices.Equal(o.MPH(o.Speeds), e.MPH(e.Speeds))
	})
	if e.What != casefile.LogSession || len(e.Speeds) < 3 || i < 0 {
		return casefile.Entry{}, false
	}
	return log.Entries[i], true
}

// session makes the entry of a session; the safety answer comes first.
func (w *teller) session() *casefile.Entry {
	t := w.t
	x := &casefile.Entry{What: casefile.LogSession, Health: w.health(), Unit: unit.Unit(t.Unit),
		Effort: t.Effort, Throws: t.Throws, High: t.High, Changed: t.Changed}
	if t.Rung != "" {
		x.Rung = w.named("rung", "throws", t.Rung)
	}
	at, err := casefile.ReadThrows(t.Speeds)
	w.bad("speeds", err)
	keep, err := casefile.ReadThrows(t.Keep)
	w.bad("keep", err)
	if len(w.faults) == 0 {
		x.Speeds, x.Marks, x.Keep = at.Speeds, at.Marks, keep.Speeds
	}
	switch marks, err := casefile.ReadMarks(t.Marks); {
	case t.Marks == "":
	case len(x.Marks) > 0:
		w.fault("marks", "the marks stand after the speeds already: leave --marks out")
	default:
		x.Marks = marks
		w.bad("marks", err)
	}
	for flag, u := range map[string]unit.Unit{"speeds": at.Unit, "keep": keep.Unit} {
		if u != "" && x.Unit != "" && u != x.Unit {
			w.fault(flag, "the speeds are in two units, %s and %s", x.Unit, u)
		} else if u != "" {
			x.Unit = u
		}
	}
	for _, text := range t.Drills {
		x.Drills = append(x.Drills, w.drill(text))
	}
	if t.Rung == "" && x.AtRung() > 0 {
		w.fault("rung", "say with --rung at which throw that was, such as --rung flat_lift")
	}
	return x
}

// named is the id of what goes by a name or a title.
func (w *teller) named(flag, kind, text string) string {
	id, err := w.e.Named(kind, strings.TrimSpace(text))
	w.bad(flag, err)
	return id
}

// drill reads a drill with its throws, rock_and_go:10.
func (w *teller) drill(text string) casefile.Drilled {
	id, number, ok := strings.Cut(text, ":")
	n, err := strconv.Atoi(number)
	if !ok || err != nil || n < 0 {
		w.fault("drill", "--drill takes a drill and its throws, such as rock_and_go:10, not %q", text)
		return casefile.Drilled{}
	}
	return casefile.Drilled{Drill: w.named("drill", "drills", id), Throws: n}
}

// trial puts a drill, or a throw, on trial.
func (w *teller) trial() casefile.Entry {
	name, until, ok := strings.Cut(w.t.Trial, " until ")
	x := casefile.Entry{What: casefile.LogTrial, Until: strings.TrimSpace(until)}
	if day, err := time.Parse(time.DateOnly, x.Until); !ok || err != nil || !day.After(w.e.today) {
		w.fault("trial", "--trial takes a drill and the day to decide, such as \"rock_and_go until 2026-12-09\", not %q", w.t.Trial)
		return x
	}
	x.Drill = w.tried("trial", name)
	return x
}

func (w *teller) tried(flag, name string) string {
	if throw, err := w.e.Named("throws", strings.TrimSpace(name)); err == nil {
		return throw
	}
	return w.named(flag, "drills", name)
}

func (w *teller) trialEnd() casefile.Entry {
	at := strings.LastIndexByte(w.t.TrialEnds, ' ')
	name, outcome := w.t.TrialEnds[:max(at, 0)], w.t.TrialEnds[at+1:]
	x := casefile.Entry{What: casefile.LogVerdict, Outcome: outcome}
	if at < 0 || outcome != "keep" && outcome != "drop" {
		w.fault("trial-ends", "--trial-ends takes a drill and keep or drop, such as \"rock_and_go keep\", not %q", w.t.TrialEnds)
		return x
	}
	x.Drill = w.tried("trial-ends", name)
	onTrial := func(o casefile.Entry) bool { return o.Drill == x.Drill }
	if x.Drill != "" && !slices.ContainsFunc(w.c.Log.Of(casefile.LogTrial), onTrial) {
		w.fault("trial-ends", "%s is not on trial", x.Drill)
	}
	return x
}

// closing closes the problem that was worked on: the factor that is named, else
// the case's first, at the rung where it breaks.
func (w *teller) closing() casefile.Entry {
	x := casefile.Entry{What: casefile.LogClose, Outcome: w.t.Close}
	if w.t.Close != "passed" && w.t.Close != "not_passed" {
		w.fault("close", "--close takes passed or not_passed, not %q", w.t.Close)
	}
	var err error
	if x.Factor, x.Rung, err = w.e.Problem(w.c); err != nil {
		w.bad("", err)
	}
	switch {
	case w.t.Factor != "":
		x.Factor = w.named("factor", "factors", w.t.Factor)
	case x.Factor == "":
		w.fault("factor", "the case names no first factor: say with --factor what was worked on")
	}
	return x
}

// readings makes an entry for each throw of a list of radar readings; those of
// the reference drill are keep-up throws.
func (w *teller) readings() []casefile.Entry {
	m, path := w.t.Readings, filepath.Base(w.t.CSV)
	for _, r := range m.Rows {
		if r.Status == radar.NotUnderstood {
			w.say("%s:%d  %s", path, r.Line, r.Why)
		}
	}
	if n := m.Count(radar.NotUnderstood); n > 0 && !w.t.Again {
		w.faults = append(w.faults, fmt.Errorf("%d lines were %w and nothing was logged; with --again the others are", n, ErrUnread))
		return nil
	}
	base := casefile.Entry{What: casefile.LogSession, Unit: unit.MPH}
	if !m.On.IsZero() {
		base.On = m.On.Format(time.DateOnly)
	}
	var out []casefile.Entry
	var keep []*float64
	for _, r := range m.Accepted() {
		v := r.MPH()
		if r.Throw == w.c.Reference.Throw {
			keep = append(keep, &v)
			continue
		}
		i := slices.IndexFunc(out, func(x casefile.Entry) bool { return x.Rung == r.Throw })
		if i < 0 {
			i, out = len(out), append(out, base)
			out[i].Rung = r.Throw
		}
		mark := r.Mark
		if mark == "" {
			mark = casefile.CouldNotSee
		}
		out[i].Speeds, out[i].Marks = append(out[i].Speeds, &v), append(out[i].Marks, mark)
	}
	if len(out) == 0 {
		out = append(out, base)
	}
	first := &out[0]
	first.Keep, first.Health = keep, w.health()
	first.Effort, first.Throws, first.High, first.Changed = w.t.Effort, w.t.Throws, w.t.High, w.t.Changed
	return out
}
