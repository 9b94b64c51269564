package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/week"
)

// Read reads a case file with the log beside it. With errors in the list the case
// is nil.
func (e *Engine) Read(path string) (*casefile.Case, diag.List, error) {
	f, err := casefile.Read(path)
	if err != nil {
		return nil, nil, err
	}
	c, ds := e.Case(f)
	if c == nil {
		return nil, ds, nil
	}
	more, err := e.ReadLog(c, path)
	if err != nil {
		return nil, ds, err
	}
	return c, append(ds, more...), nil
}

// ReadLog reads the log beside a case file, as it stood on the engine's day, and
// gives it to the case. Lines that cannot be read are in the list; what they may
// have said of the body counts as not understood.
func (e *Engine) ReadLog(c *casefile.Case, path string) (diag.List, error) {
	log, ds, err := casefile.ReadLog(path, e.vocabulary())
	if err != nil {
		return nil, err
	}
	c.Log = log
	return ds, nil
}

// ParseLog gives a case a log that lies elsewhere.
func (e *Engine) ParseLog(c *casefile.Case, f *source.File) diag.List {
	log, ds := casefile.ParseLog(f, e.vocabulary())
	c.Log = log
	return ds
}

// Week takes the weekly decision about a case and its log.
func (e *Engine) Week(c *casefile.Case) (*report.Week, error) {
	f, err := e.brief(c)
	if err != nil {
		return nil, err
	}
	return week.Make(f)
}

// ErrNotAPlan tells that a file is no record of a plan.
var ErrNotAPlan = errors.New("this is no record of a plan; `rungwise plan FILE --json` writes one")

// Since tells in the plan of a record what has changed since an earlier record
// of the same athlete, given as JSON, and why.
func (e *Engine) Since(r *report.Report, c *casefile.Case, earlier *source.File) error {
	var before report.Report
	d := json.NewDecoder(bytes.NewReader(earlier.Bytes))
	if err := d.Decode(&before); err != nil || before.Rungwise != report.Version {
		return fmt.Errorf("%s: %w", earlier.Path, ErrNotAPlan)
	}
	if r.Plan == nil {
		return nil
	}
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return err
	}
	to := week.Moved(c)
	if t, ok := e.base.Throw(to); ok {
		to = t.Title
	}
	r.Plan.Changes = week.Changes(compose.Words(e.Base()), &before, r, facts.Load.Record.Days, to)
	return nil
}

// Problem names what a case is worked on for: its first factor and the throw at
// which it breaks, each "" where there is none.
func (e *Engine) Problem(c *casefile.Case) (factor, rung string, err error) {
	f, err := e.brief(c)
	if err != nil {
		return "", "", err
	}
	r := compose.Report(f)
	if len(r.Factors) > 0 {
		factor = r.Factors[0].ID
	}
	return factor, r.Ladder.Rung, nil
}
