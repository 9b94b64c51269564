package engine

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/cause"
	"rungwise/engine/compose"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// Unnamed tells that nothing in the rule base has a name; Near is the closest
// one, or "".
type Unnamed struct{ Name, Near string }

func (u *Unnamed) Error() string {
	if u.Near == "" {
		return fmt.Sprintf("nothing is called %q", u.Name)
	}
	return fmt.Sprintf("nothing is called %q; the closest name is %s", u.Name, u.Near)
}

// Why explains a factor, sign, gate, caution, limit, drill, throw or fact for a
// case. Where the case is one to refer, only what was asked for safety is
// explained. The error is an *Unnamed for a name that nothing has.
func (e *Engine) Why(c *casefile.Case, name string) (*report.Why, error) {
	f, err := e.findings(c, nil)
	if err != nil {
		return nil, err
	}
	w := &explainer{e: e, f: f, out: &report.Why{Rungwise: report.Version, Case: c.Code, Name: name,
		Lines: []string{}, Turn: []report.Turn{}, Reasons: []report.Reason{}, House: []string{}}}
	if !w.find(name) {
		near, _ := diag.Nearest(name, e.Names())
		return nil, &Unnamed{name, near}
	}
	if compose.Silent(f.Triage) && w.out.Kind != "gate" && w.out.Kind != "fact" {
		w.hush()
	}
	return w.out, nil
}

// Names lists everything that Why can explain, by kind and in the order of the
// base.
func (e *Engine) Names() []string {
	var out []string
	for _, f := range e.base.Factors {
		out = append(out, f.ID)
	}
	for _, s := range e.base.Signs {
		out = append(out, s.ID)
	}
	for _, g := range e.base.Gates {
		out = append(out, g.ID)
	}
	for _, c := range e.base.Cautions {
		out = append(out, c.ID)
	}
	for _, d := range e.base.Drills {
		out = append(out, d.ID)
	}
	for _, t := range e.base.Throws {
		out = append(out, t.ID)
	}
	for _, l := range e.base.Limits {
		out = append(out, l.ID)
	}
	for _, l := range e.base.ByAge {
		out = append(out, l.ID)
	}
	return append(out, e.base.Catalogue.Names()...)
}

// explainer writes one explanation.
type explainer struct {
	e   *Engine
	f   compose.Findings
	out *report.Why
}

// hush takes back whatever speaks of throwing, for a case that is referred.
func (w *explainer) hush() {
	w.out = &report.Why{Rungwise: report.Version, Case: w.out.Case, Name: w.out.Name, Kind: w.out.Kind, Lines: []string{}, Turn: []report.Turn{},
		Reasons: []report.Reason{}, House: []string{},
		Says: "this case is not one for throwing advice: " + strings.Join(strings.Fields(w.f.Triage.Gate.Says), " "), Source: w.f.Triage.Gate.Source}
}

func (w *explainer) find(name string) bool {
	b := w.e.base
	if f, ok := b.Factor(name); ok {
		w.factor(f)
		return true
	}
	if s, ok := b.Sign(name); ok {
		w.entry("sign", s.Entry)
		w.condition(s.When)
		w.out.Lines = append(w.out.Lines, "points to "+w.links(s.Seen))
		return true
	}
	if g, ok := b.Gate(name); ok {
		w.gate(g)
		return true
	}
	if c, ok := b.Caution(name); ok {
		w.entry("caution", c.Entry)
		w.out.Lines = append(w.out.Lines, strings.Join(strings.Fields(c.Text), " "))
		w.condition(c.When)
		return true
	}
	if d, ok := b.Drill(name); ok {
		w.drill(d)
		return true
	}
	return w.findNumber(name)
}

func (w *explainer) findNumber(name string) bool {
	b := w.e.base
	if t, ok := b.Throw(name); ok {
		w.throw(t)
		return true
	}
	if l, ok := b.Limit(strings.TrimPrefix(name, "limit.")); ok {
		w.entry("limit", l.Entry)
		w.out.Says = fmt.Sprintf("%s is %g %s", l.ID, l.Value, l.Unit)
		w.hard(l.Hard, l.Tighten)
		return true
	}
	if l, ok := b.LimitByAge(name); ok {
		w.entry("limit", l.Entry)
		w.out.Says = fmt.Sprintf("%s is %g to 14 years, %g from 15 to 18, %g from 19 (%s)", l.ID, l.To14, l.To18, l.Adult, l.Unit)
		w.hard(true, l.Tighten)
		return true
	}
	if f, ok := b.Catalogue.Lookup(name); ok {
		w.fact(f)
		return true
	}
	return false
}

func (w *explainer) hard(hard bool, tighten string) {
	if hard {
		way := map[string]string{"down": "lower", "up": "raise"}[tighten]
		w.out.Lines = append(w.out.Lines, "a hard limit: house rules may only "+way+" it")
	}
}

// entry fills what every entry has.
func (w *explainer) entry(kind string, n rule.Entry) {
	o := w.out
	o.Kind, o.Title, o.Reason = kind, n.Title, strings.Join(strings.Fields(n.Why), " ")
	o.Source = w.e.base.Cite(n.Source)
	o.Where = fmt.Sprintf("%s:%d", n.Origin.Path, n.Origin.Line)
	for _, c := range n.Changes {
		line := fmt.Sprintf("%s by %s because %s (%s:%d)", c.Kind, c.By, c.Because, c.Place.Path, c.Place.Line)
		if !c.Until.IsZero() {
			line += ", until " + c.Until.Format(time.DateOnly)
		}
		o.House = append(o.House, line)
	}
}

// condition draws a condition with its values, and what would turn it.
func (w *explainer) condition(c *cond.Condition) {
	if c == nil {
		w.out.Says = "always holds"
		return
	}
	v := w.f.Facts.Vector
	clause := toClause(c.Explain(v))
	w.out.Clause = &clause
	truth := c.Eval(v)
	w.out.Says = map[fact.Truth]string{fact.Yes: "holds for this case", fact.No: "does not hold for this case",
		fact.Unknown: "cannot be told for this case: something it reads was not seen"}[truth]
	want := fact.Yes
	w.out.TurnInto = "would hold"
	if truth == fact.Yes {
		want, w.out.TurnInto = fact.No, "would not hold"
	}
	for _, change := range c.Turn(v, want, w.e.base.Derive) {
		f := w.e.base.Catalogue.At(change.Slot)
		w.out.Turn = append(w.out.Turn, report.Turn{Fact: change.Name, From: f.Format(change.From), To: f.Format(change.To)})
	}
}

func toClause(x cond.Explained) report.Clause {
	out := report.Clause{Text: x.Text, Truth: x.Truth.String(), Join: x.Join, Decided: x.Decided, Parts: []report.Clause{}, Values: []report.Value{}}
	for _, part := range x.Parts {
		out.Parts = append(out.Parts, toClause(part))
	}
	for _, r := range x.Facts {
		out.Values = append(out.Values, report.Value{Name: r.Name, Value: r.Value})
	}
	return out
}

func (w *explainer) links(list []rule.Link) string {
	var parts []string
	for _, l := range list {
		title := l.ID
		if f, ok := w.e.base.Factor(l.ID); ok {
			title = f.Title
		}
		parts = append(parts, fmt.Sprintf("%s (%s)", title, strings.ReplaceAll(l.Word, "_", " ")))
	}
	return strings.Join(parts, ", ")
}

// factor tells where a factor stands and what put it before or after another.
func (w *explainer) factor(f *rule.Factor) {
	w.entry("factor", f.Entry)
	t := w.f.Triage
	all := compose.Report(w.f)
	at := slices.IndexFunc(all.Factors, func(x report.Factor) bool { return x.ID == f.ID })
	if len(f.CanCause) > 0 {
		w.out.Lines = append(w.out.Lines, "can bring about "+w.links(f.CanCause))
	}
	if at < 0 {
		w.out.Says = fmt.Sprintf("%s is not listed: nothing that was seen makes it likely", f.Title)
		if len(t.Factors) == 0 {
			w.out.Says = fmt.Sprintf("nothing is ranked: %s", strings.Join(strings.Fields(all.Gate.Says), " "))
		}
		w.out.Reasons = w.allReasons(f)
		return
	}
	x := all.Factors[at]
	w.out.Says = fmt.Sprintf("%s is number %d of %d: %s, %s", f.Title, x.Rank, len(all.Factors), x.Words, x.Range)
	if x.Of != nil {
		w.out.Says += ", most likely a consequence of " + x.OfTitle
	}
	w.out.Reasons = x.Reasons
	if at > 0 {
		w.out.Lines = append(w.out.Lines, w.before(t.Factors[at-1], t.Factors[at]))
	} else if len(t.Factors) > 1 {
		w.out.Lines = append(w.out.Lines, w.before(t.Factors[0], t.Factors[1]))
	}
	if len(x.Unseen) > 0 {
		w.out.Lines = append(w.out.Lines, "not seen yet: "+strings.Join(x.Unseen, "; "))
	}
}

// allReasons lists the signs of a factor that is not listed, by their answers.
func (w *explainer) allReasons(f *rule.Factor) []report.Reason {
	out := []report.Reason{}
	for i := range w.e.base.Signs {
		s := &w.e.base.Signs[i]
		if !slices.ContainsFunc(s.Seen, func(l rule.Link) bool { return l.ID == f.ID }) {
			continue
		}
		switch s.When.Eval(w.f.Facts.Vector) {
		case fact.Yes:
			out = append(out, report.Reason{Rule: s.ID, Title: s.Title, Says: "for", Strength: "weak", Why: s.Why, Source: s.Source})
		case fact.No:
			out = append(out, report.Reason{Rule: s.ID, Title: s.Title, Says: "against", Strength: "weak", Why: s.Why, Source: s.Source})
		}
	}
	return out
}

// before tells the sign that does most to put one factor before another.
func (w *explainer) before(a, b triage.Ranked) string {
	weight := map[*rule.Sign]float64{}
	for _, r := range a.Reasons {
		weight[r.Sign] += r.Weight
	}
	for _, r := range b.Reasons {
		weight[r.Sign] -= r.Weight
	}
	var best *rule.Sign
	for i := range w.e.base.Signs {
		if s := &w.e.base.Signs[i]; weight[s] > 0 && (best == nil || cmp.Compare(weight[s], weight[best]) > 0) {
			best = s
		}
	}
	if best == nil || math.Abs(a.Root-b.Root) < 0.01 {
		return fmt.Sprintf("%s and %s are as good as tied", a.Factor.Title, b.Factor.Title)
	}
	return fmt.Sprintf("%s stands before %s (%s against %s), most of all because of %q", a.Factor.Title, b.Factor.Title,
		cause.InTenths(a.Root), cause.InTenths(b.Root), best.Title)
}

func (w *explainer) gate(g *rule.Gate) {
	w.entry("gate", g.Entry)
	w.condition(g.When)
	w.out.Lines = append(w.out.Lines, "verdict: "+strings.ReplaceAll(g.Verdict, "_", " "), strings.Join(strings.Fields(g.Says), " "))
	if w.f.Triage.Gate != nil && w.f.Triage.Gate.ID == g.ID {
		w.out.Lines = append(w.out.Lines, "this is the gate that decided")
	}
	if len(g.Needs) > 0 {
		w.out.Lines = append(w.out.Lines, "holds while any of these is not known: "+strings.Join(g.Needs, ", "))
		w.out.Says, w.out.Turn = map[bool]string{true: "holds for this case", false: "does not hold for this case"}[g.Truth(w.f.Facts.Vector) == fact.Yes], []report.Turn{}
	}
}

func (w *explainer) drill(d *rule.Drill) {
	w.entry("drill", d.Entry)
	var titles []string
	for _, id := range d.Factors {
		if f, ok := w.e.base.Factor(id); ok {
			titles = append(titles, f.Title)
		}
	}
	w.out.Says = fmt.Sprintf("%s works on %s, step %d, at %.0f %% effort", d.Title, strings.Join(titles, " and "), d.Step, d.Effort)
	w.out.Lines = append(w.out.Lines, strings.Join(strings.Fields(d.How), " "), "cue: "+d.Cue, "it is learned when: "+strings.Join(strings.Fields(d.Exit), " "))
	if t, ok := w.e.base.Throw(d.PutBack); ok {
		w.out.Lines = append(w.out.Lines, "put back into: "+t.Title)
	}
	if d.MinAge > 0 {
		w.out.Lines = append(w.out.Lines, fmt.Sprintf("from %d years", d.MinAge))
	}
}

func (w *explainer) throw(t *rule.Throw) {
	w.entry("throw", t.Entry)
	w.out.Says = fmt.Sprintf("8 of 10 healthy carry-overs throw it at %.1f to %.1f %% of a full-effort running throw", 100*t.Share.Low, 100*t.Share.High)
	var parts []string
	for i, d := range w.e.base.Demands {
		parts = append(parts, strings.ReplaceAll(d.ID, "_", " ")+" "+strings.ReplaceAll(d.Values[t.Demands[i]], "_", " "))
	}
	w.out.Lines = append(w.out.Lines, "asks for: "+strings.Join(parts, ", "))
}

// fact tells the value of a fact and who reads it.
func (w *explainer) fact(f fact.Fact) {
	slot, _ := w.e.base.Catalogue.Slot(f.Name)
	w.out.Kind, w.out.Title = "fact", f.About
	w.out.Says = fmt.Sprintf("%s is %s for this case", f.Name, f.Format(w.f.Facts.Vector[slot]))
	if f.Kind != fact.Number {
		w.out.Lines = append(w.out.Lines, "can be: "+strings.Join(f.AnswerIDs(), ", "))
	}
	var readers []string
	for _, s := range w.e.base.Signs {
		if slices.Contains(s.When.Reads(), slot) {
			readers = append(readers, s.ID)
		}
	}
	if len(readers) > 0 && !compose.Silent(w.f.Triage) {
		w.out.Lines = append(w.out.Lines, "read by: "+strings.Join(readers, ", "))
	}
}
