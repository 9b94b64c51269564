package engine

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
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

// Why explains a factor, sign, gate, caution, limit, drill, throw, sentence of
// the plan or fact for a case; a plan line is asked for by the rule that stands
// beside it. Where the case is one to refer, only what was asked for safety is
// explained. What-if settings stand in for what the case says. The error is an
// *Unnamed for a name that nothing has.
func (e *Engine) Why(c *casefile.Case, name string, what ...Setting) (*report.Why, error) {
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return nil, err
	}
	if err := e.suppose(c, facts, what); err != nil {
		return nil, err
	}
	return e.sit(c, facts).explain(name)
}

// sitting is one case whose names are explained. What takes time is worked out
// when it is first asked for.
type sitting struct {
	e    *Engine
	f    compose.Findings // triaged without reasons
	at   triage.Case      // the same facts with their errors
	plan func() *report.Plan
}

func (e *Engine) sit(c *casefile.Case, facts *observe.Facts) *sitting {
	s := &sitting{e: e, at: caseOf(facts)}
	s.at.Error = e.errorsOf(facts)
	s.f = compose.Findings{Case: c, Base: e.base, Facts: facts, Triage: e.model.Brief(s.at), On: e.today}
	s.plan = sync.OnceValue(func() *report.Plan {
		p, _ := plan.Make(plan.Input{Base: e.base, Facts: facts, Triage: e.model.Run(s.at), Case: c, On: e.today})
		return p
	})
	return s
}

func (s *sitting) explain(name string) (*report.Why, error) {
	name = s.e.idOf(name)
	w := &explainer{sitting: s, out: unsaid(s.f.Case.Code, name)}
	if !w.find(name) {
		near, _ := diag.Nearest(name, s.e.Names())
		return nil, &Unnamed{name, near}
	}
	if compose.Silent(s.f.Triage) && w.out.Kind != "fact" && !s.refers(name) {
		w.hush()
	}
	return w.out, nil
}

// refers reports a gate that may speak where nothing may be said about throwing:
// the one that decided, and those that refer.
func (s *sitting) refers(name string) bool {
	g, ok := s.e.base.Gate(name)
	return ok && (g.ID == s.f.Triage.Gate.ID || g.Verdict == rule.Refer)
}

func unsaid(code, name string) *report.Why {
	return &report.Why{Rungwise: report.Version, Case: code, Name: name, Lines: []string{}, Turn: []report.Turn{},
		Reasons: []report.Reason{}, Planned: []string{}, House: []string{}}
}

// explainer writes one explanation.
type explainer struct {
	*sitting
	out *report.Why
}

// hush takes back whatever speaks of throwing, for a case that is referred.
func (w *explainer) hush() {
	kind := w.out.Kind
	w.out = unsaid(w.out.Case, w.out.Name)
	w.out.Kind, w.out.Source = kind, w.f.Triage.Gate.Source
	w.out.Says = "this case is not one for throwing advice: " + strings.TrimSuffix(oneLine(w.f.Triage.Gate.Says), ".")
}

// find explains a name, if anything has it: rules first, then what a plan is
// made of, then numbers and facts.
func (w *explainer) find(name string) bool {
	return w.findRule(name) || w.findPart(name) || w.findNumber(name)
}

func (w *explainer) findRule(name string) bool {
	b := w.e.base
	if f, ok := b.Factor(name); ok {
		w.factor(f)
		return true
	}
	if s, ok := b.Sign(name); ok {
		w.sign(s)
		return true
	}
	if g, ok := b.Gate(name); ok {
		w.gate(g)
		return true
	}
	if c, ok := b.Caution(name); ok {
		w.entry("caution", c.Entry)
		w.line("%s", c.Text)
		w.condition(c.When)
		return true
	}
	return false
}

func (w *explainer) findPart(name string) bool {
	b := w.e.base
	if d, ok := b.Drill(name); ok {
		w.drill(d)
		return true
	}
	if t, ok := b.Throw(name); ok {
		w.throw(t)
		return true
	}
	i := slices.IndexFunc(b.Wording, func(s rule.Sentence) bool { return s.ID == name })
	if i < 0 {
		return false
	}
	w.entry("sentence", b.Wording[i].Entry)
	w.out.Title, w.out.Says = "", fmt.Sprintf("a sentence of the plan: %q", oneLine(b.Wording[i].Text))
	w.planned(name)
	return true
}

func (w *explainer) findNumber(name string) bool {
	b := w.e.base
	if l, ok := b.Limit(strings.TrimPrefix(name, "limit.")); ok {
		w.limit(l)
		return true
	}
	if l, ok := b.LimitByAge(name); ok {
		w.limitByAge(l)
		return true
	}
	if w.table(name) {
		return true
	}
	if f, ok := b.Catalogue.Lookup(name); ok {
		w.fact(f)
		return true
	}
	return false
}

// entry fills what every entry has.
func (w *explainer) entry(kind string, n rule.Entry) {
	o := w.out
	o.Kind, o.Title, o.Reason = kind, n.Title, oneLine(n.Why)
	o.Source = w.e.base.Cite(n.Source)
	if n.Origin.Path != "" {
		o.Where = fmt.Sprintf("%s:%d", n.Origin.Path, n.Origin.Line)
	}
	w.house(n.Changes)
}

func (w *explainer) house(changes []rule.Change) {
	for _, c := range changes {
		line := fmt.Sprintf("%s by %s because %s (%s:%d)", c.Kind, c.By, c.Because, c.Place.Path, c.Place.Line)
		if !c.Until.IsZero() {
			line += ", until " + c.Until.Format(time.DateOnly)
		}
		w.out.House = append(w.out.House, line)
	}
}

// line adds a line, if there is anything in it.
func (w *explainer) line(format string, args ...any) {
	if text := oneLine(fmt.Sprintf(format, args...)); text != "" {
		w.out.Lines = append(w.out.Lines, text)
	}
}

// oneLine joins text that was folded over lines.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
