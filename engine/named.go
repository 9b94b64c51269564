package engine

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// Lists is everything in the rule base that has a name and a title, by kind; the
// facts are none of it.
func (e *Engine) Lists() []report.Names {
	b := e.base
	limits := named("limits", b.Limits, func(x rule.Number) rule.Entry { return x.Entry })
	limits.List = append(limits.List, named("", b.ByAge, func(x rule.AgeNumber) rule.Entry { return x.Entry }).List...)
	return []report.Names{
		named("factors", b.Factors, func(x rule.Factor) rule.Entry { return x.Entry }),
		named("signs", b.Signs, func(x rule.Sign) rule.Entry { return x.Entry }),
		named("throws", b.Throws, func(x rule.Throw) rule.Entry { return x.Entry }),
		named("drills", b.Drills, func(x rule.Drill) rule.Entry { return x.Entry }),
		named("gates", b.Gates, func(x rule.Gate) rule.Entry { return x.Entry }),
		named("cautions", b.Cautions, func(x rule.Caution) rule.Entry { return x.Entry }),
		limits,
		named("sources", b.Sources, func(x rule.Citation) rule.Entry { return x.Entry }),
	}
}

func named[T any](kind string, list []T, of func(T) rule.Entry) report.Names {
	out := report.Names{Kind: kind, List: make([]report.Name, len(list))}
	for i, x := range list {
		out.List[i] = report.Name{ID: of(x).ID, Title: of(x).Title}
	}
	return out
}

// Names lists what Why explains.
func (e *Engine) Names() []string {
	var out []string
	for _, l := range e.Lists() {
		for _, x := range l.List {
			if l.Kind != "sources" {
				out = append(out, x.ID)
			}
		}
	}
	out = append(out, workload.DailyPitches, workload.RestDays, workload.Innings, compose.EffortWeights)
	return append(out, e.base.Catalogue.Names()...)
}

// Named is the id of a throw, drill or factor, given that or the title that the
// screens print; kind is a List's. The error says how it may be called.
func (e *Engine) Named(kind, text string) (string, error) {
	var ids []string
	for _, l := range e.Lists() {
		if l.Kind != kind {
			continue
		}
		for _, x := range l.List {
			if x.ID == text || sameTitle(x.Title, text) {
				return x.ID, nil
			}
			ids = append(ids, x.ID)
		}
	}
	help := fmt.Sprintf("`rungwise rules list %s` shows the names", kind)
	if near, ok := diag.Nearest(text, ids); ok {
		help = "did you mean " + near + "?"
	}
	return "", fmt.Errorf("no %s is called %q; %s", strings.TrimSuffix(kind, "s"), text, help)
}

// idOf is the name that Why explains a title by; anything else stays as it is.
func (e *Engine) idOf(text string) string {
	if slices.Contains(e.Names(), text) {
		return text
	}
	for _, l := range e.Lists() {
		for _, x := range l.List {
			if l.Kind != "sources" && sameTitle(x.Title, text) {
				return x.ID
			}
		}
	}
	if id := e.checkpointID(text); id != text {
		return "changed." + id
	}
	return text
}

// checkpointID is the id of a checkpoint that goes by a title; anything else
// stays as it is.
func (e *Engine) checkpointID(text string) string {
	for _, p := range e.base.Checklist.Checkpoints {
		if p.ID == text {
			return text
		}
	}
	for _, p := range e.base.Checklist.Checkpoints {
		if sameTitle(p.Title, text) {
			return p.ID
		}
	}
	return text
}

func sameTitle(title, text string) bool {
	return title != "" && strings.EqualFold(title, strings.Join(strings.Fields(text), " "))
}
