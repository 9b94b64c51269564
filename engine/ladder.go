package engine

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/radar"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// ErrNoThrow tells that there is no throw of a name.
var ErrNoThrow = errors.New("no throw is called that")

// ErrNoLadder tells that no ladder is thrown at an athlete's age.
var ErrNoLadder = errors.New("at this age there is no ladder and no hard throw: drills and catch only")

// Ladder writes the record of a case with all that is asked of the ladder by
// itself. order is plan.Halving, plan.Whole or "" for the athlete's default.
func (e *Engine) Ladder(c *casefile.Case, order string) (*report.Report, error) {
	f, err := e.findings(c, nil)
	if err != nil {
		return nil, err
	}
	r := compose.Report(f)
	return r, compose.LadderPage(r, f, order)
}

// Silent reports whether no word about throwing may be said to the athlete of a
// case, whose record is then r.
func (e *Engine) Silent(c *casefile.Case) (r *report.Report, silent bool, err error) {
	f, err := e.findings(c, nil)
	if err != nil {
		return nil, false, err
	}
	return compose.Report(f), compose.Silent(f.Triage), nil
}

// BuildLadder builds a ladder from a throw to the game, through some throws in
// their order, and through what the athlete has thrown on it where a case is
// given (nil: nobody's). Throws go by their ids or titles. The error is ErrNoThrow for a name that is not there.
func (e *Engine) BuildLadder(from string, through []string, c *casefile.Case) (*report.BuiltLadder, error) {
	ids := append([]string{from}, through...)
	for i, name := range ids {
		id, err := e.Named("throws", name)
		if err != nil {
			return nil, fmt.Errorf("%w: %q%s", ErrNoThrow, name, e.nearThrow(name))
		}
		ids[i] = id
	}
	from, through = ids[0], ids[1:]
	var measured []string
	age, known := 0, false
	may := func(t rule.Throw) bool { return c == nil || t.For(age, known) }
	if c != nil {
		f, err := observe.Observe(c, e.base, e.today)
		if err != nil {
			return nil, err
		}
		age, known = observe.Age(f, e.base)
		measured = observe.Measured(c)
		if row, err := e.base.Workload.For(age, known); err != nil || known && row.MostHigh() == 0 {
			return nil, ErrNoLadder
		}
	}
	built, err := observe.BuildLadder(e.base, may, from, through, measured)
	if err != nil {
		return nil, err
	}
	out, err := compose.BuiltLadder(e.base, built.Steps, observe.Unthrown(e.base, built.Throws, age, known), measured)
	if err == nil && c != nil {
		out.Note = compose.SecondPitch(e.base, age, known)
	}
	return out, err
}

func (e *Engine) nearThrow(id string) string {
	names := make([]string, len(e.base.Throws))
	for i, t := range e.base.Throws {
		names[i] = t.ID
	}
	if near, ok := diag.Nearest(id, names); ok {
		return "; did you mean " + near + "?"
	}
	return ""
}

// Radar reads a list of radar readings with the base's names for throws.
func (e *Engine) Radar(path string, in io.Reader, o radar.Options) (*radar.Import, diag.List) {
	o.Today, o.Throws = e.today, nil
	for _, t := range e.base.Throws {
		o.Throws = append(o.Throws, radar.Name{ID: t.ID, Title: t.Title})
	}
	return radar.Read(path, in, o)
}

// ErrImported tells that a list of readings was put into the case before.
var ErrImported = errors.New("this list was taken into the case before")

// Import puts the accepted lines of a list into the text of a case. all takes
// them as new throws even where the same stand there already.
func (e *Engine) Import(c *casefile.Case, m *radar.Import, all bool) (radar.Change, error) {
	if line := radar.Imported(c.File, m.Hash); line > 0 && !all {
		return radar.Change{}, fmt.Errorf("%w: line %d of %s says so", ErrImported, line, c.File.Path)
	}
	order, err := e.order(c, m)
	if err != nil {
		return radar.Change{}, err
	}
	on := time.Date(e.today.Year(), e.today.Month(), e.today.Day(), 0, 0, 0, 0, time.UTC)
	return radar.Into(c, m, e.vocabulary(), radar.Placing{On: on, Order: order, All: all})
}

// order is the ladder that the case's rungs and the list's throws lie on.
func (e *Engine) order(c *casefile.Case, m *radar.Import) ([]string, error) {
	known := observe.Measured(c)
	for _, r := range m.Accepted() {
		known = append(known, r.Throw)
	}
	from := c.Reference.Throw
	if from == "" && len(known) > 0 {
		from = known[0]
	}
	var through []string
	for _, t := range e.base.Throws {
		if t.ID != from && slices.Contains(known, t.ID) {
			through = append(through, t.ID)
		}
	}
	if from == "" {
		return nil, nil
	}
	built, err := observe.BuildLadder(e.base, func(rule.Throw) bool { return true }, from, through, known)
	return built.Throws, err
}
