package compose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/measure"
	"rungwise/engine/observe"
	"rungwise/engine/report"
)

// errorsOf gathers the errors of what was measured: of the mean of a throw's
// clips, throw to throw and reading together.
func errorsOf(f Findings) map[int]float64 {
	out := map[int]float64{}
	for _, row := range f.Facts.Rows {
		p := row.Checkpoint
		if len(p.Answers) > 0 || p.Measure == nil {
			continue
		}
		for column, side := range map[string]observe.Side{fact.Best: row.Best, fact.Stuck: row.Stuck} {
			if slot, ok := f.Base.Catalogue.Slot(column + "." + p.ID); ok && len(side.Readings) > 0 {
				out[slot] = errorOfMean(side.Readings, p.Measure.ThrowSD)
			}
		}
	}
	return out
}

func errorOfMean(rs []measure.Reading, throwSD float64) float64 {
	sum := 0.0
	for _, r := range rs {
		sum += r.SD*r.SD + throwSD*throwSD
	}
	return math.Sqrt(sum) / float64(len(rs))
}

// condition draws a condition with its values, what would turn it, and how it
// stands up to reading its numbers again.
func (a *Asked) condition(w *report.Why, c *cond.Condition) {
	if c == nil {
		w.Says = "always holds"
		return
	}
	v := a.Facts.Vector
	clause := a.clause(c.Explain(v))
	w.Clause = &clause
	truth := c.Eval(v)
	w.Says = map[fact.Truth]string{fact.Yes: "holds for this case", fact.No: "does not hold for this case",
		fact.Unknown: "cannot be told for this case: something it reads was not seen"}[truth]
	want := fact.Yes
	w.TurnInto = "would hold"
	if truth == fact.Yes {
		want, w.TurnInto = fact.No, "would not hold"
	}
	for _, change := range c.Turn(v, want, a.derive(c)) {
		w.Turn = append(w.Turn, a.turn(change))
	}
	if truth != fact.Unknown && slices.ContainsFunc(c.Reads(), a.uncertain) {
		share := a.model.Steady(a.at, c)[0]
		w.Steady = &share
	}
}

// derive recomputes what follows from the columns of the checkpoints that a
// condition reads.
func (a *Asked) derive(c *cond.Condition) func(fact.Vector) {
	var ids []string
	for _, slot := range c.Reads() {
		if id := a.Base.Catalogue.At(slot).Checkpoint; id != "" {
			ids = append(ids, id)
		}
	}
	return func(v fact.Vector) { a.Base.DeriveOf(v, ids...) }
}

// uncertain reports whether a fact is a number with an error, or a difference
// that was measured.
func (a *Asked) uncertain(slot int) bool {
	_, measured := a.at.Lambda[slot]
	return measured || a.model.ErrorOf(a.at, slot) > 0
}

// turn writes a change, and whether what was measured could be that far off.
func (a *Asked) turn(change cond.Change) report.Turn {
	f := a.Base.Catalogue.At(change.Slot)
	out := report.Turn{Fact: change.Name, From: f.Format(change.From), To: f.Format(change.To), Unit: f.Unit}
	err := a.model.ErrorOf(a.at, change.Slot)
	if err == 0 {
		return out
	}
	off := math.Abs(change.To.N - change.From.N)
	if out.Edge = off < err; out.Edge {
		out.Note = fmt.Sprintf("%s is within its error of about %s: a knife edge", amount(off, f.Unit), amount(err, f.Unit))
	} else {
		out.Note = fmt.Sprintf("its error is about %s, so this is no knife edge", amount(err, f.Unit))
	}
	return out
}

// amount writes a number in its unit, to two digits.
func amount(n float64, unit string) string { return strings.TrimSpace(fmt.Sprintf("%.2g %s", n, unit)) }

// clause writes a condition apart, with the errors and sources of what it reads.
func (a *Asked) clause(x cond.Explained) report.Clause {
	out := report.Clause{Text: x.Text, Truth: x.Truth.String(), Join: x.Join, Decided: x.Decided, Parts: []report.Clause{}, Values: []report.Value{}}
	for _, part := range x.Parts {
		out.Parts = append(out.Parts, a.clause(part))
	}
	for _, r := range x.Facts {
		out.Values = append(out.Values, report.Value{Name: r.Name, Value: r.Value, Note: a.note(r)})
	}
	return out
}

func (a *Asked) note(r cond.Reading) string {
	f := a.Base.Catalogue.At(r.Slot)
	if r.Constant {
		l, _ := a.Base.Limit(strings.TrimPrefix(r.Name, "limit."))
		return strings.TrimSpace(l.Unit + ", " + a.Base.Cite(l.Source))
	}
	if e := a.model.ErrorOf(a.at, r.Slot); e > 0 {
		return fmt.Sprintf("%s, give or take %.2g", f.Unit, e)
	}
	if f.Kind == fact.Number && r.Known {
		return f.Unit
	}
	if _, measured := a.at.Lambda[r.Slot]; measured {
		return "measured"
	}
	return ""
}
