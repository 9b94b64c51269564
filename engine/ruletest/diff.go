package ruletest

import (
	"slices"
	"strings"

	"rungwise/engine/kept"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// Side is one of the two rule bases. Facts reads a case file with its names; a
// case that cannot be read comes back with its faults, in words.
type Side struct {
	Base  *rule.Base
	Model *triage.Model
	Facts func(path string) (c triage.Case, faults []string)
	// Key tells this side from every other: hashes of rules and house, the day.
	Key string
}

// keyOf is what the outcome of a case is kept under.
func (s *Side) keyOf(c Case) string { return kept.Key(s.Key, c.Hash) }

// Outcome is what one base makes of one case.
type Outcome struct {
	Faults   []string `json:"faults,omitempty"` // the case cannot be read
	Gate     string   `json:"gate,omitempty"`   // id
	Verdict  string   `json:"verdict,omitempty"`
	Factors  []Factor `json:"factors,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
}

// Factor is one ranked factor.
type Factor struct {
	ID     string `json:"id"`
	Role   string `json:"role"`         // lead, possible or consequence
	Of     string `json:"of,omitempty"` // of a consequence: the factor it follows from
	Chance int    `json:"chance"`       // in a hundred, that it is a cause of its own
}

// Equal reports whether a coach reads the same; chances may differ.
func (o Outcome) Equal(p Outcome) bool {
	return slices.Equal(o.Faults, p.Faults) && o.Gate == p.Gate && o.Verdict == p.Verdict && slices.Equal(o.Cautions, p.Cautions) && sameOrder(o.Factors, p.Factors)
}

func sameOrder(a, b []Factor) bool {
	return slices.EqualFunc(a, b, func(x, y Factor) bool { return x.ID == y.ID && x.Role == y.Role && x.Of == y.Of })
}

// Order writes the factors on a line, such as "weight_shift, hinge (follows
// weight_shift)".
func (o Outcome) Order() string {
	if len(o.Factors) == 0 {
		return "no factor"
	}
	var out []string
	for _, f := range o.Factors {
		if f.Of != "" {
			out = append(out, f.ID+" (follows "+f.Of+")")
			continue
		}
		out = append(out, f.ID)
	}
	return strings.Join(out, ", ")
}

// decide computes the outcome of a case that could be read.
func (s *Side) decide(c triage.Case) Outcome {
	r := s.Model.Brief(c)
	o := Outcome{Verdict: r.Gate.Decides(), Factors: ranked(r)}
	if r.Gate != nil {
		o.Gate = r.Gate.ID
	}
	for _, k := range r.Cautions {
		o.Cautions = append(o.Cautions, k.ID)
	}
	return o
}

func ranked(r *triage.Result) []Factor {
	var out []Factor
	for _, f := range r.Factors {
		x := Factor{ID: f.Factor.ID, Role: f.Role, Chance: int(100*f.Root + 0.5)}
		if f.Of != nil {
			x.Of = f.Of.ID
		}
		out = append(out, x)
	}
	return out
}

// Delta is one case that comes out differently.
type Delta struct {
	Case     string  `json:"case"` // path
	Old      Outcome `json:"old"`
	New      Outcome `json:"new"`
	By       []Step  `json:"by"`       // the changes that each bring it about alone
	Together bool    `json:"together"` // none does; By lists those that move the case at all
}

// Result is a whole comparison.
type Result struct {
	Rungwise string  `json:"rungwise"`
	Cases    int     `json:"cases"`   // looked at
	Known    int     `json:"kept"`    // of these, both outcomes were kept from before
	Unread   int     `json:"unread"`  // cases that neither base can read
	Changes  []Step  `json:"changes"` // how the two bases differ, whether a case shows it or not
	Deltas   []Delta `json:"differences"`
}

// Lost reports whether a case does not load any more.
func (r Result) Lost() bool {
	return slices.ContainsFunc(r.Deltas, func(d Delta) bool { return len(d.New.Faults) > 0 })
}

// Case is one stored case: where it lies and the hash of all that it is read
// from.
type Case struct{ Path, Hash string }

// Compare runs both bases over the cases and reports what differs in the order of
// the cases. all runs the cases, several at once if it likes; the store may be
// nil.
func Compare(older, newer *Side, cases []Case, store *kept.Store, all func(n int, do func(i int))) Result {
	d := &differ{older: older, newer: newer, store: store, steps: steps(older.Base, newer.Base)}
	d.hybrids, d.idle = make([]*hybrid, len(d.steps)), make([]bool, len(d.steps))
	out := make([]judged, len(cases))
	all(len(cases), func(i int) { out[i] = d.judge(cases[i]) })
	r := Result{Rungwise: "rules-diff/1", Cases: len(cases), Changes: append([]Step{}, d.steps...), Deltas: []Delta{}}
	for _, j := range out {
		if j.known {
			r.Known++
		}
		if len(j.Old.Faults) > 0 && len(j.New.Faults) > 0 {
			r.Unread++
		}
		if !j.Old.Equal(j.New) {
			r.Deltas = append(r.Deltas, j.Delta)
		}
	}
	return r
}
