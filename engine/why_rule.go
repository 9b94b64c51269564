package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/compose"
	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/measure"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// errorsOf gathers the errors of what was measured: of the mean of a throw's
// clips, throw to throw and reading together.
func (e *Engine) errorsOf(f *observe.Facts) map[int]float64 {
	out := map[int]float64{}
	for _, row := range f.Rows {
		p := row.Checkpoint
		if len(p.Answers) > 0 || p.Measure == nil {
			continue
		}
		for column, side := range map[string]observe.Side{fact.Best: row.Best, fact.Stuck: row.Stuck} {
			if slot, ok := e.base.Catalogue.Slot(column + "." + p.ID); ok && len(side.Readings) > 0 {
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
func (w *explainer) condition(c *cond.Condition) {
	if c == nil {
		w.out.Says = "always holds"
		return
	}
	v := w.f.Facts.Vector
	clause := w.clause(c.Explain(v))
	w.out.Clause = &clause
	truth := c.Eval(v)
	w.out.Says = map[fact.Truth]string{fact.Yes: "holds for this case", fact.No: "does not hold for this case",
		fact.Unknown: "cannot be told for this case: something it reads was not seen"}[truth]
	want := fact.Yes
	w.out.TurnInto = "would hold"
	if truth == fact.Yes {
		want, w.out.TurnInto = fact.No, "would not hold"
	}
	for _, change := range c.Turn(v, want, w.derive(c)) {
		w.out.Turn = append(w.out.Turn, w.turn(change))
	}
	if truth != fact.Unknown && slices.ContainsFunc(c.Reads(), w.uncertain) {
		share := w.e.model.Steady(w.at, c)[0]
		w.out.Steady = &share
	}
}

// derive recomputes what follows from the columns of the checkpoints that a
// condition reads.
func (w *explainer) derive(c *cond.Condition) func(fact.Vector) {
	var ids []string
	for _, slot := range c.Reads() {
		if id := w.e.base.Catalogue.At(slot).Checkpoint; id != "" {
			ids = append(ids, id)
		}
	}
	return func(v fact.Vector) { w.e.base.DeriveOf(v, ids...) }
}

// uncertain reports whether a fact is a number with an error, or a difference
// that was measured.
func (w *explainer) uncertain(slot int) bool {
	_, measured := w.at.Lambda[slot]
	return measured || w.e.model.ErrorOf(w.at, slot) > 0
}

// turn writes a change, and whether what was measured could be that far off.
func (w *explainer) turn(change cond.Change) report.Turn {
	f := w.e.base.Catalogue.At(change.Slot)
	out := report.Turn{Fact: change.Name, From: f.Format(change.From), To: f.Format(change.To), Unit: f.Unit}
	err := w.e.model.ErrorOf(w.at, change.Slot)
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
func (w *explainer) clause(x cond.Explained) report.Clause {
	out := report.Clause{Text: x.Text, Truth: x.Truth.String(), Join: x.Join, Decided: x.Decided, Parts: []report.Clause{}, Values: []report.Value{}}
	for _, part := range x.Parts {
		out.Parts = append(out.Parts, w.clause(part))
	}
	for _, r := range x.Facts {
		out.Values = append(out.Values, report.Value{Name: r.Name, Value: r.Value, Note: w.note(r)})
	}
	return out
}

func (w *explainer) note(r cond.Reading) string {
	f := w.e.base.Catalogue.At(r.Slot)
	if r.Constant {
		l, _ := w.e.base.Limit(strings.TrimPrefix(r.Name, "limit."))
		return strings.TrimSpace(l.Unit + ", " + w.e.base.Cite(l.Source))
	}
	if e := w.e.model.ErrorOf(w.at, r.Slot); e > 0 {
		return fmt.Sprintf("%s, give or take %.2g", f.Unit, e)
	}
	if f.Kind == fact.Number && r.Known {
		return f.Unit
	}
	if _, measured := w.at.Lambda[r.Slot]; measured {
		return "measured"
	}
	return ""
}

func (w *explainer) links(list []rule.Link) string {
	var parts []string
	for _, l := range list {
		parts = append(parts, fmt.Sprintf("%s (%s)", w.title(l.ID), strings.ReplaceAll(l.Word, "_", " ")))
	}
	return strings.Join(parts, ", ")
}

func (w *explainer) title(factor string) string {
	if f, ok := w.e.base.Factor(factor); ok {
		return f.Title
	}
	return factor
}

func (w *explainer) sign(s *rule.Sign) {
	w.entry("sign", s.Entry)
	w.condition(s.When)
	w.line("points to %s; seen without any of them: %s", w.links(s.Seen), s.Otherwise)
	if s.Group != "" {
		w.line("of the signs of the group %s only the strongest one counts", strings.ReplaceAll(s.Group, "_", " "))
	}
}

func (w *explainer) gate(g *rule.Gate) {
	w.entry("gate", g.Entry)
	w.condition(g.When)
	w.line("verdict: %s", strings.ReplaceAll(g.Verdict, "_", " "))
	w.line("%s", g.Says)
	decided := w.f.Triage.Gate
	holds := g.Truth(w.f.Facts.Vector) == fact.Yes
	switch {
	case decided != nil && decided.ID == g.ID:
		w.line("this is the gate that decided")
	case decided != nil && holds:
		w.line("an earlier gate decided: %s", decided.ID)
	}
	for _, also := range g.Also {
		w.line("the house added: %s (%s)", also.Text(), also.Eval(w.f.Facts.Vector))
	}
	if g.Unless != nil {
		w.line("lets pass only where it is known that %s (%s)", g.Unless.Text(), g.Unless.Eval(w.f.Facts.Vector))
	}
	if len(g.Needs) > 0 {
		w.line("holds while any of these is not known: %s", strings.Join(g.Needs, ", "))
		w.out.Says, w.out.Turn = map[bool]string{true: "holds for this case", false: "does not hold for this case"}[holds], []report.Turn{}
	}
}

// factor tells where a factor stands and what put it before or after another.
func (w *explainer) factor(f *rule.Factor) {
	w.entry("factor", f.Entry)
	found := w.f
	found.Triage = w.reasoned()
	t, all := found.Triage, compose.Report(found)
	at := slices.IndexFunc(all.Factors, func(x report.Factor) bool { return x.ID == f.ID })
	if len(f.CanCause) > 0 {
		w.line("can bring about %s", w.links(f.CanCause))
	}
	w.disagreement(f)
	if at < 0 {
		w.unlisted(f, t, all)
		return
	}
	x := all.Factors[at]
	w.out.Says = fmt.Sprintf("%s is number %d of %d: %s, %s", f.Title, x.Rank, len(all.Factors), x.Words, x.Range)
	if x.Of != nil {
		w.out.Says += ", most likely a consequence of " + x.OfTitle
	}
	w.out.Reasons = x.Reasons
	if len(t.Factors) > 1 {
		w.versus(t.Factors[max(0, at-1)], t.Factors[max(1, at)])
	}
	if len(x.Unseen) > 0 {
		w.line("not seen yet: %s", strings.Join(x.Unseen, "; "))
	}
}

// reasoned is the triage with reasons, where anything is ranked.
func (w *explainer) reasoned() *triage.Result {
	t := *w.f.Triage
	if t.Standing != "" {
		t.Factors, t.Tied = nil, nil
		w.e.model.Rank(w.at, &t)
	}
	return &t
}

// disagreement tells that the coach puts this factor first; it moves nothing.
func (w *explainer) disagreement(f *rule.Factor) {
	for _, d := range w.f.Case.Disagrees {
		if d.Factor == f.ID {
			w.line("%s puts it first, because: %s; the order here stays that of the rules", orElse(d.By, "the coach"), d.Reason)
		}
	}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// unlisted tells why a factor is not in the list, and what comes before it.
func (w *explainer) unlisted(f *rule.Factor, t *triage.Result, all *report.Report) {
	w.out.Says = fmt.Sprintf("%s is not listed: nothing that was seen makes it likely", f.Title)
	if t.Standing == "" {
		w.out.Says = fmt.Sprintf("nothing is ranked: %s", oneLine(all.Gate.Says))
	}
	if !compose.Silent(t) {
		w.out.Reasons = w.allReasons(f)
	}
	if n := len(t.Factors); n > 0 {
		w.versus(t.Factors[n-1], triage.Ranked{Factor: f})
		w.out.Versus.SecondRange = "not listed"
	}
}

// allReasons lists the answered signs of a factor that is not listed.
func (w *explainer) allReasons(f *rule.Factor) []report.Reason {
	out := []report.Reason{}
	for _, r := range w.e.model.Reasons(w.at, f) {
		says := map[bool]string{true: "for", false: "against"}[r.For]
		out = append(out, report.Reason{Rule: r.Sign.ID, Title: r.Sign.Title, Says: says, Strength: r.Strength(), Weight: r.Weight,
			Why: oneLine(r.Sign.Why), Source: r.Sign.Source})
	}
	return out
}

// mostParts is how many things are told that put one factor before another.
const mostParts = 6

// asGoodAsTied is under what difference of chance an order means nothing.
const asGoodAsTied = 0.01

// versus tells what puts factor a before factor b.
func (w *explainer) versus(a, b triage.Ranked) {
	v := &report.Versus{First: a.Factor.ID, FirstTitle: a.Factor.Title, FirstRange: cause.InTenths(a.Root),
		Second: b.Factor.ID, SecondTitle: b.Factor.Title, SecondRange: cause.InTenths(b.Root),
		Tied: math.Abs(a.Root-b.Root) < asGoodAsTied, Parts: []report.VersusPart{}}
	for _, p := range w.e.model.Versus(w.at, a.Factor, b.Factor) {
		if len(v.Parts) == mostParts {
			break
		}
		part := report.VersusPart{Helps: v.First, Strength: p.Strength(), Weight: p.Weight}
		if p.Weight < 0 {
			part.Helps = v.Second
		}
		switch p.By {
		case triage.BySign:
			part.Rule, part.Title = p.Sign.ID, w.answered(p.Sign)
		case triage.ByBreak:
			part.Title = "where the pattern is lost"
		case triage.ByCommon:
			part.Title = "it is the more common of the two"
		}
		v.Parts = append(v.Parts, part)
	}
	w.out.Versus = v
}

// answered names a sign with its answer.
func (w *explainer) answered(s *rule.Sign) string {
	if s.When.Eval(w.f.Facts.Vector) == fact.No {
		return "not so: " + s.Title
	}
	return s.Title
}
