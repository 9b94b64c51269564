package engine

import (
	"fmt"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/report"
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
// the plan or fact for a case, by its name or title; a plan line is asked for by
// the rule that stands beside it. Where the case is one to refer, only what was
// asked for safety is explained. What-if settings stand in for what the case
// says. The error is an *Unnamed for a name that nothing has.
func (e *Engine) Why(c *casefile.Case, name string, what ...Setting) (*report.Why, error) {
	f, err := e.brief(c, what...)
	if err != nil {
		return nil, err
	}
	return e.explain(e.ask(f), name)
}

func (e *Engine) ask(f compose.Findings) *compose.Asked {
	return compose.Ask(f, e.model, caseOf(f.Facts), func(f compose.Findings) *report.Plan {
		p, _ := planOf(f, PlanOptions{})
		return p
	})
}

func (e *Engine) explain(a *compose.Asked, name string) (*report.Why, error) {
	name = e.idOf(name)
	w, ok := a.Why(name)
	if !ok {
		near, _ := diag.Nearest(name, e.Names())
		return nil, &Unnamed{name, near}
	}
	return w, nil
}
