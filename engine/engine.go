// Package engine is the façade: one method for each thing a user wants.
//
// Its invariant: nothing here thinks or prints. It opens the rule base once,
// reads a case with that base's names, and hands the parts to each other; what
// comes out is the record or a list of diagnostics.
package engine

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/engine/week"
	"rungwise/rules"
)

// Trade is what the trade knows, as files: the rule base and the checklists.
type Trade struct{ Rules, Checklists fs.FS }

// Shipped returns the trade that is built into the program.
func Shipped() Trade { return Trade{rules.FS, checklists.FS} }

// Options says what to open.
type Options struct {
	Trade     Trade  // which base
	House     fs.FS  // house rules laid over the base; nil = none
	HousePath string // what messages call the house rules
	Today     time.Time
	Cases     bool // read the rule base's own cases too, which only TestRules needs
}

// Engine is an opened rule base. It does not change and may be shared.
type Engine struct {
	base  *rule.Base
	model *triage.Model
	today time.Time
}

// Open loads a base with the house rules over it. With errors in the
// list the engine is nil; warnings do not stop it.
func Open(o Options) (*Engine, diag.List) {
	base, ds := rule.Load(rule.Options{Rules: o.Trade.Rules, Checklists: o.Trade.Checklists, House: o.House, HousePath: o.HousePath, On: o.Today, NoCases: !o.Cases})
	return made(base, ds, o.Today)
}

// made makes an engine of a base that was loaded without errors.
func made(base *rule.Base, ds diag.List, today time.Time) (*Engine, diag.List) {
	if ds.Errors() > 0 {
		return nil, ds
	}
	model, err := triage.New(base)
	if err != nil {
		ds.Add(diag.Diagnostic{Place: diag.Place{Path: "rules"}, Code: "B599", Headline: err.Error()})
		return nil, ds
	}
	return &Engine{base: base, model: model, today: today}, ds
}

// Base returns the merged rule base.
func (e *Engine) Base() *rule.Base { return e.base }

// Today returns the day that stands for now.
func (e *Engine) Today() time.Time { return e.today }

// Case reads a case file with the base's names. With errors in the list the
// case is nil.
func (e *Engine) Case(f *source.File) (*casefile.Case, diag.List) {
	return casefile.Parse(f, e.vocabulary())
}

func (e *Engine) vocabulary() casefile.Vocabulary {
	return observe.Vocabulary(e.base, e.today)
}

// Setting is one fact given another value for a what-if.
type Setting struct{ Fact, Value string }

// ErrSetting tells that a what-if names no fact or no value of it.
var ErrSetting = errors.New("cannot be set")

// findings observes and triages a case. What-if settings stand in for what the
// case says.
func (e *Engine) findings(c *casefile.Case, what []Setting) (compose.Findings, error) {
	return e.found(c, what, e.model.Run)
}

// brief is findings without reasons, at a fraction of the time.
func (e *Engine) brief(c *casefile.Case, what ...Setting) (compose.Findings, error) {
	return e.found(c, what, e.model.Brief)
}

func (e *Engine) found(c *casefile.Case, what []Setting, triaged func(triage.Case) *triage.Result) (compose.Findings, error) {
	facts, err := observe.Observe(c, e.base, e.today)
	if err != nil {
		return compose.Findings{}, err
	}
	if err := e.suppose(c, facts, what); err != nil {
		return compose.Findings{}, err
	}
	return compose.Findings{Case: c, Base: e.base, Facts: facts, Triage: triaged(caseOf(facts)), On: e.today, Phase: plan.Phase(week.Phase(c.Log))}, nil
}

// suppose puts what-if values over the facts, except for an athlete who is
// referred or whose safety questions are open: no supposition lifts that. A case
// of which nothing is known has no athlete behind it.
func (e *Engine) suppose(c *casefile.Case, facts *observe.Facts, what []Setting) error {
	if len(what) == 0 || !imagined(c) && compose.Silent(e.model.Brief(caseOf(facts))) {
		return nil
	}
	return e.set(facts, what)
}

// imagined reports whether nothing at all is known in a case.
func imagined(c *casefile.Case) bool {
	return len(c.Answers)+len(c.Seen)+len(c.Ladders)+len(c.Mound)+len(c.Reference.Best) == 0 && c.Reference.Throw == "" && c.Log == nil
}

// set puts what-if values over the facts.
func (e *Engine) set(facts *observe.Facts, what []Setting) error {
	var again []string // checkpoints whose changed fact follows anew
	for _, s := range what {
		slot, ok := e.base.Catalogue.Slot(s.Fact)
		if !ok {
			help := ""
			if near, ok := diag.Nearest(s.Fact, e.base.Catalogue.Names()); ok {
				help = fmt.Sprintf("; the closest name is %s", near)
			}
			return fmt.Errorf("%w: there is no fact called %s%s", ErrSetting, s.Fact, help)
		}
		f := e.base.Catalogue.At(slot)
		if f.Constant {
			return fmt.Errorf("%w: %s is part of the rules; a house changes it", ErrSetting, s.Fact)
		}
		v, err := f.Parse(s.Value)
		if err != nil {
			return fmt.Errorf("%w: %v", ErrSetting, err)
		}
		facts.Vector[slot] = v
		delete(facts.Lambda, slot)
		delete(facts.Unsure, slot)
		if f.Checkpoint != "" && f.Column != "changed" {
			e.forget(facts, "changed."+f.Checkpoint)
			again = append(again, f.Checkpoint)
		}
	}
	e.base.DeriveOf(facts.Vector, again...)
	return nil
}

// forget makes a fact unknown, so that it is worked out again.
func (e *Engine) forget(facts *observe.Facts, name string) {
	if slot, ok := e.base.Catalogue.Slot(name); ok {
		facts.Vector[slot].Known = false
		delete(facts.Lambda, slot)
	}
}

func caseOf(f *observe.Facts) triage.Case {
	return triage.Case{Vector: f.Vector, Lambda: f.Lambda, Unsure: f.Unsure, Break: f.Ladder.Break}
}

// Triage writes the record of a case, without a plan. What-if settings stand in
// for what the case says.
func (e *Engine) Triage(c *casefile.Case, what ...Setting) (*report.Report, error) {
	f, err := e.findings(c, what)
	if err != nil {
		return nil, err
	}
	return compose.Report(f), nil
}

// PlanOptions says how a plan is wished for; zero values leave it to the case
// and the defaults.
type PlanOptions struct {
	Start time.Time
	Weeks int
	Train []time.Weekday
	Mound []time.Weekday
	Phase plan.Phase // empty: what the log last named
}

// ErrTooFarAhead tells that a plan would begin on a day on which the safety
// questions are to be asked again.
var ErrTooFarAhead = errors.New("by that day the safety questions are to be asked again: plan from an earlier day, or plan then")

// Plan writes the record of a case with a plan, or with the reason why there is
// none.
func (e *Engine) Plan(c *casefile.Case, o PlanOptions) (*report.Report, error) {
	f, err := e.findings(c, nil)
	if err != nil {
		return nil, err
	}
	if !compose.Silent(f.Triage) && o.Start.After(e.today) {
		then := *e
		then.today = o.Start
		if later, err := then.brief(c); err != nil || compose.Silent(later.Triage) {
			return nil, ErrTooFarAhead
		}
	}
	r := compose.Report(f)
	r.Plan, r.PlanRefused = planOf(f, o)
	compose.PlanSources(e.base, r)
	return r, nil
}

// planOf makes the plan of a case; no other is made or spoken of anywhere.
func planOf(f compose.Findings, o PlanOptions) (*report.Plan, string) {
	return plan.Make(plan.Input{Base: f.Base, Facts: week.Onward(f.Facts, f.Case), Triage: f.Triage, Case: f.Case, On: f.On,
		Start: o.Start, Weeks: o.Weeks, Train: o.Train, Mound: o.Mound, Phase: cmp.Or(o.Phase, f.Phase)})
}
