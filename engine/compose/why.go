package compose

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// Asked is one case of which somebody asks why. What takes time is worked out
// when it is first asked for.
type Asked struct {
	Findings // triaged without reasons
	model    *triage.Model
	at       triage.Case                // the same facts with their errors
	full     func() Findings            // triaged whole
	plan     func() *report.Plan        // the plan that is made of it, nil = none
	lifts    func() map[string][]string // by factor: the open answers that would make it first, in words
}

// Ask makes a case ready to be asked about. plan makes what `plan` would write
// of it, so that nothing is told of another plan than the athlete's.
func Ask(f Findings, m *triage.Model, at triage.Case, plan func(Findings) *report.Plan) *Asked {
	a := &Asked{Findings: f, model: m, at: at}
	a.at.Error = errorsOf(f)
	a.full = sync.OnceValue(func() Findings {
		whole := a.Findings
		whole.Triage = m.Run(a.at)
		return whole
	})
	a.plan = sync.OnceValue(func() *report.Plan { return plan(a.full()) })
	a.lifts = sync.OnceValue(a.lifted)
	return a
}

// entry is what goes by one name: what kind of thing it is, what it comes to for
// this case, what that follows from, and where it stands.
type entry struct {
	rule.Entry
	kind   string
	says   string          // in one sentence; "" = how its condition comes out
	ruled  bool            // it has a condition
	when   *cond.Condition // nil = always holds
	more   func(*report.Why)
	lines  []string
	reader int  // the slot of a fact or limit whose readers are told, -1 = none
	plan   bool // the plan may hold it
}

// line adds a line, if there is anything in it.
func (x *entry) line(format string, args ...any) {
	if text := tidy(fmt.Sprintf(format, args...)); text != "" {
		x.lines = append(x.lines, text)
	}
}

// kinds lists who may have a name, in the order in which they are asked: rules
// first, then what a plan is made of, then numbers and facts.
func (a *Asked) kinds() []func(string) (entry, bool) {
	b := a.Base
	return []func(string) (entry, bool){
		of(b.Factor, a.factor), of(b.Sign, a.sign), of(b.Gate, a.gateEntry), of(b.Caution, a.caution),
		of(b.Drill, a.drill), of(b.Throw, a.throw), of(a.wording, a.sentence),
		of(func(id string) (*rule.Number, bool) { return b.Limit(strings.TrimPrefix(id, "limit.")) }, a.limit),
		of(b.LimitByAge, a.limitByAge), a.table, of(a.named, a.fact),
	}
}

func of[T any](find func(string) (T, bool), explain func(T) entry) func(string) (entry, bool) {
	return func(id string) (entry, bool) {
		x, ok := find(id)
		if !ok {
			return entry{}, false
		}
		return explain(x), true
	}
}

func (a *Asked) entry(name string) (entry, bool) {
	for _, kind := range a.kinds() {
		if x, ok := kind(name); ok {
			return x, true
		}
	}
	return entry{}, false
}

// Why explains what goes by a name, if anything does. Where nothing may be said
// about throwing, only facts are told and the gates that send to a clinician.
func (a *Asked) Why(name string) (*report.Why, bool) {
	x, ok := a.entry(name)
	if !ok {
		return nil, false
	}
	w := &report.Why{Rungwise: report.Version, Case: a.Case.Code, Name: name, Kind: x.kind, Lines: []string{}, Turn: []report.Turn{},
		Reasons: []report.Reason{}, Planned: []string{}, House: []string{}}
	silent := Silent(a.Triage)
	if silent && x.kind != "fact" && !a.refers(name) {
		w.Source = a.Triage.Gate.Source
		w.Says = "this case is not one for throwing advice: " + strings.TrimSuffix(tidy(a.Triage.Gate.Says), ".")
		return w, true
	}
	w.Title, w.Reason, w.Source = x.Title, tidy(x.Entry.Why), a.Base.Cite(x.Source)
	if x.Origin.Path != "" {
		w.Where = fmt.Sprintf("%s:%d", x.Origin.Path, x.Origin.Line)
	}
	for _, c := range x.Changes {
		w.House = append(w.House, changed(c))
	}
	if x.ruled {
		a.condition(w, x.when)
	}
	if x.says != "" {
		w.Says = x.says
	}
	if x.reader >= 0 && !silent {
		if ids := a.readers(x.reader); len(ids) > 0 {
			x.line("read by: %s", strings.Join(ids, ", "))
		}
	}
	w.Lines = append(w.Lines, x.lines...)
	if x.more != nil {
		x.more(w)
	}
	if x.plan {
		w.Planned = append(w.Planned, a.planned(x.ID)...)
	}
	return w, true
}

// refers reports a gate that may speak where nothing may be said about throwing:
// the one that decided, and those that refer.
func (a *Asked) refers(name string) bool {
	g, ok := a.Base.Gate(name)
	return ok && (g.ID == a.Triage.Gate.ID || g.Verdict == rule.Refer)
}

// changed tells what a house did to an entry.
func changed(c rule.Change) string {
	line := fmt.Sprintf("%s by %s because %s (%s:%d)", c.Kind, c.By, c.Because, c.Place.Path, c.Place.Line)
	if !c.Until.IsZero() {
		line += ", until " + c.Until.Format(time.DateOnly)
	}
	return line
}

// readers lists the rules that read a fact or a limit. Limits are numbers to a
// condition and no facts that it reads: they are looked for in its text.
func (a *Asked) readers(slot int) []string {
	var out []string
	f := a.Base.Catalogue.At(slot)
	for _, r := range a.Base.Conditions() {
		words := strings.FieldsFunc(r.When.Text(), func(c rune) bool {
			return !(c == '.' || c == '_' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9')
		})
		if slices.Contains(r.When.Reads(), slot) || f.Constant && slices.Contains(words, f.Name) {
			out = append(out, r.ID)
		}
	}
	return slices.Compact(out)
}

// planned lists the lines of the case's plan that come from an entry.
func (a *Asked) planned(id string) []string {
	var out []string
	p := a.plan()
	if p == nil {
		return nil
	}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for _, l := range p.Limits {
		if l.ID == id {
			add("%s: the plan comes to %g %s; %s %g", l.Title, l.Planned, l.Unit, bounds(id), l.Cap)
		}
	}
	for _, s := range p.Sessions {
		for _, b := range s.Blocks {
			if b.Rule == id || b.Drill == id || b.Throw == id {
				add("%s: %s", s.Date, blockWords(b))
			}
		}
		if s.BoundBy == id {
			add("%s: no more than this, since %s", s.Date, s.BoundWords)
		}
	}
	return out
}

// blockWords tells one part of a session in a line.
func blockWords(b report.Block) string {
	count := "moves without a ball"
	switch {
	case b.Sets != "" && b.Throws > 0:
		count = strings.ReplaceAll(b.Sets, "x", " x ") + " throws"
	case b.Throws > 0:
		count = fmt.Sprintf("%d throws", b.Throws)
	}
	return fmt.Sprintf("%s, %s at %d %%", b.Title, count, b.Effort)
}

// named finds a fact with its place in the catalogue.
func (a *Asked) named(name string) (int, bool) { return a.Base.Catalogue.Slot(name) }

func (a *Asked) fact(slot int) entry {
	f := a.Base.Catalogue.At(slot)
	x := entry{kind: "fact", Entry: rule.Entry{Title: f.About}, reader: slot,
		says: fmt.Sprintf("%s is %s for this case", f.Name, f.Format(a.Facts.Vector[slot]))}
	if e := a.model.ErrorOf(a.at, slot); e > 0 {
		x.line("its error is about %s", amount(e, f.Unit))
	}
	if f.Kind != fact.Number {
		x.line("can be: %s", strings.Join(f.AnswerIDs(), ", "))
	}
	if lambda, measured := a.at.Lambda[slot]; measured {
		x.line("measured: its readings are %.2g times as likely if the two differ as if they do not", lambda)
	}
	return x
}
