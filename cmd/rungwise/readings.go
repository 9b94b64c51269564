package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/radar"
	"rungwise/engine/report"
)

func (f *radarFlags) bind(c *cobra.Command) {
	fl := c.Flags()
	fl.StringVar(&f.csv, "csv", "", "take radar readings from this list into the case file")
	fl.StringVar(&f.unit, "unit", "", "with --csv: unit of the readings, where the list names none: mph, km/h or m/s")
	fl.StringVar(&f.throw, "throw", "", "with --csv: the throw of all readings, where no column says it")
	fl.StringVar(&f.day, "day", "", "with --csv: take the readings of this day only")
	fl.StringVar(&f.dateOrder, "date-order", "", "with --csv: dmy or mdy, for dates such as 03/04/2026")
	fl.StringArrayVar(&f.columns, "column", nil, "with --csv: which heading is what, such as speed=Peak (repeat for more)")
	fl.BoolVar(&f.acceptGood, "accept-good", false, "with --csv: take what was understood and leave the rest")
	fl.BoolVar(&f.again, "again", false, "with --csv: take the readings even where the same stand in the case")
}

// importReadings reads a list, tells what becomes of every line, and writes the
// case only where all of it was understood, or the rest may be left.
func (a *app) importReadings(path string, f radarFlags) error {
	o, err := f.options()
	if err != nil {
		return err
	}
	e, k, err := a.readCase(path)
	if err != nil {
		return err
	}
	if o.Throw != "" {
		if o.Throw, err = e.Named("throws", o.Throw); err != nil {
			return status{usage, err}
		}
	}
	if _, silent, err := e.Silent(k); err != nil || silent {
		if err != nil {
			return err
		}
		fmt.Fprintln(a.err, "nothing was imported")
		return a.showLadder(path, "")
	}
	m, err := a.radar(e, f.csv, o)
	if err != nil {
		return err
	}
	change, err := e.Import(k, m, f.again)
	if errors.Is(err, engine.ErrImported) {
		return status{attention, fmt.Errorf("%s: %w; give --again to take it all the same", f.csv, err)}
	}
	if err != nil {
		return status{attention, err}
	}
	m.Rows = change.Rows
	bad := m.Count(radar.NotUnderstood)
	refused := bad > 0 && !f.acceptGood
	if err := a.tell(m, change, !refused && change.Data != nil); err != nil {
		return err
	}
	switch {
	case refused:
		return status{attention, fmt.Errorf("nothing was written: %s not understood; mend the list, or give --accept-good to leave them", lines(bad))}
	case change.Data == nil:
		fmt.Fprintln(a.err, "nothing is new, and nothing was written")
		return nil
	}
	return a.writeCase(k, path, change)
}

// radar opens and reads a list.
func (a *app) radar(e *engine.Engine, path string, o radar.Options) (*radar.Import, error) {
	in, err := casefile.Open(path)
	if err != nil {
		return nil, status{failed, err}
	}
	defer in.Close()
	m, ds := e.Radar(path, in, o)
	if m == nil {
		ds.Write(a.err)
		return nil, status{attention, errors.New("nothing was written")}
	}
	return m, nil
}

// tell prints the report, line by line or as JSON.
func (a *app) tell(m *radar.Import, change radar.Change, written bool) error {
	if a.json {
		return printJSON(a.out, recordOf(m, change, written))
	}
	fmt.Fprintf(a.out, "%s: %d taken for %s, %d left out, %d not understood\n", diag.Clean(m.Path), m.Count(radar.Taken),
		change.On.Format(time.DateOnly), m.Count(radar.Skipped), m.Count(radar.NotUnderstood))
	for _, r := range m.Rows {
		text := fmt.Sprintf("line %d: %s", r.Line, r.Status)
		switch {
		case r.Status == radar.Taken && r.Mark != "":
			text += fmt.Sprintf(": %s %s, held %s", r.Throw, r.Speed, r.Mark)
		case r.Status == radar.Taken:
			text += fmt.Sprintf(": %s %s", r.Throw, r.Speed)
		case r.Help != "":
			text += ": " + r.Why + "; " + r.Help
		default:
			text += ": " + r.Why
		}
		fmt.Fprintln(a.out, diag.Clean(text))
	}
	for _, n := range append(m.Notes, change.Notes...) {
		fmt.Fprintln(a.out, "note: "+diag.Clean(n))
	}
	return nil
}

// recordOf is the report of an import as a record.
func recordOf(m *radar.Import, change radar.Change, written bool) report.Import {
	out := report.Import{Rungwise: report.Version, File: m.Path, Hash: m.Hash, On: change.On.Format(time.DateOnly), Written: written,
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

func lines(n int) string {
	if n == 1 {
		return "1 line was"
	}
	return fmt.Sprintf("%d lines were", n)
}

func (a *app) writeCase(k *casefile.Case, path string, change radar.Change) error {
	err := casefile.Replace(k.File, change.Data)
	if errors.Is(err, casefile.ErrChanged) {
		err = fmt.Errorf("%w; nothing was written: look at it and import again", err)
	}
	if err != nil {
		return status{failed, err}
	}
	fmt.Fprintf(a.err, "wrote %s; the text before is in %s~\n", path, path)
	return nil
}
