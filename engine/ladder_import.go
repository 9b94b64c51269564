package engine

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/radar"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

// Listed says what a list of readings leaves open, as it was typed.
type Listed struct {
	CSV, Unit, Throw, Day, DateOrder string   // CSV: path of the list
	Columns                          []string // speed=Peak
	AcceptGood                       bool     // leave what is not understood
	Again                            bool     // also where the same readings stand in the case
}

// options reads what was typed; every fault is a *Typed.
func (e *Engine) options(l Listed) (o radar.Options, err error) {
	wrong := func(flag, format string, args ...any) error { return &Typed{flag, fmt.Errorf(format, args...)} }
	o = radar.Options{Unit: unit.Unit(l.Unit), DateOrder: l.DateOrder}
	if !slices.Contains([]unit.Unit{unit.None, unit.MPH, unit.KMH, unit.MPS}, o.Unit) {
		return o, wrong("unit", "--unit takes mph, km/h or m/s, not %q", l.Unit)
	}
	if !slices.Contains([]string{"", radar.DayFirst, radar.MonthFirst}, l.DateOrder) {
		return o, wrong("date-order", "--date-order takes dmy or mdy, not %q", l.DateOrder)
	}
	if l.Day != "" {
		if o.Day, err = time.Parse(time.DateOnly, l.Day); err != nil {
			return o, wrong("day", "--day takes a day such as 2026-11-09, not %q", l.Day)
		}
	}
	for _, c := range l.Columns {
		role, heading, ok := strings.Cut(c, "=")
		if !ok || !slices.Contains([]string{radar.Speed, radar.Throw, radar.Held, radar.Date, radar.Unit, radar.Stamp}, role) {
			return o, wrong("column", "--column takes speed, throw, held, date, unit or stamp and its heading, such as speed=Peak, not %q", c)
		}
		o.Columns = append(o.Columns, radar.Column{Role: role, Heading: heading})
	}
	if l.Throw != "" {
		if o.Throw, err = e.Named("throws", l.Throw); err != nil {
			return o, &Typed{"throw", err}
		}
	}
	return o, nil
}

// Readings reads a list of radar readings. why says what does not come of one
// that cannot be read.
func (e *Engine) Readings(path string, o radar.Options, why string) (*radar.Import, error) {
	in, err := casefile.Open(path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	m, ds := e.Radar(path, in, o)
	if m == nil {
		return nil, &Faults{ds, why}
	}
	return m, nil
}

// TakeReadings puts the readings of a list into a case file, where all of it was
// understood or the rest may be left. The record tells what becomes of every
// line, also beside an error; it is nil where the list cannot be read.
func (e *Engine) TakeReadings(c *casefile.Case, l Listed) (*report.Import, error) {
	o, err := e.options(l)
	if err != nil {
		return nil, err
	}
	m, err := e.Readings(l.CSV, o, "nothing was written")
	if err != nil {
		return nil, err
	}
	change, err := e.Import(c, m, l.Again)
	if errors.Is(err, ErrImported) {
		return nil, fmt.Errorf("%s: %w; give --again to take it all the same", l.CSV, err)
	}
	if err != nil {
		return nil, &Faults{Why: err.Error()}
	}
	m.Rows = change.Rows
	out := imported(m, change)
	if n := out.NotUnderstood; n > 0 && !l.AcceptGood {
		lines := "1 line was"
		if n > 1 {
			lines = fmt.Sprintf("%d lines were", n)
		}
		return out, fmt.Errorf("nothing was written: %s %w; mend the list, or give --accept-good to leave them", lines, ErrUnread)
	}
	if change.Data == nil {
		return out, nil
	}
	if err = casefile.Replace(c.File, change.Data); errors.Is(err, casefile.ErrChanged) {
		err = fmt.Errorf("%w; nothing was written: look at it and import again", err)
	}
	out.Written = err == nil
	return out, err
}

// imported is the record of an import.
func imported(m *radar.Import, change radar.Change) *report.Import {
	out := &report.Import{Rungwise: report.Version, File: m.Path, Hash: m.Hash, On: change.On.Format(time.DateOnly),
		Taken: m.Count(radar.Taken), LeftOut: m.Count(radar.Skipped), NotUnderstood: m.Count(radar.NotUnderstood),
		Rows: []report.ImportRow{}, Notes: append(append([]string{}, m.Notes...), change.Notes...)}
	for _, r := range m.Rows {
		row := report.ImportRow{Line: r.Line, Column: r.Col, Status: r.Status.String(), Why: r.Why, Help: r.Help, Throw: r.Throw, Held: r.Mark}
		if r.Status == radar.Taken {
			row.Speed, row.Unit = &r.Speed.Value, string(r.Speed.Unit)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
