package rule

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/source"
)

// allowed refuses what would make an entry of the base less careful: a number
// moved the loose way, a gate, a stop sign or a safety sentence switched off,
// narrowed or replaced, throws or drills that no longer count for what they are.
// What a house made itself it may change; that is judged when it is read.
func (r *reader) allowed(w wish, e *entry) bool {
	if e.base == nil {
		return true
	}
	switch w.Concern {
	case LimitsKey, ByAge, PitchRows, InningsRows:
		return r.limitAllowed(w, e)
	case Gates:
		return r.gateAllowed(w, e)
	case Cautions:
		level := text(e.base, "level")
		return level == Note || r.guarded(w, e, level+" caution", "when", "level") && r.addedTo(w, e, level+" caution", "text")
	case Throws:
		if n := w.body.Get("effort"); n != nil && e.base.Get("effort") == nil {
			return r.stays(w, e, n, fmt.Sprintf("the throw `%s` of the base has no effort of its own", w.ID), "the plan asks it and counts it")
		}
		return r.keeps(w, e, "high_effort", "a throw of high effort counts as a pitch") &&
			r.keeps(w, e, "on_mound", "throws off the mound are counted") && r.raised(w, e, "ages", "min", "younger athletes are kept from it")
	case Drills:
		return r.drillAllowed(w, e)
	case Factors:
		return text(e.base, "drills") != "none" || r.guarded(w, e, "factor", "drills")
	case Wordings:
		return !yes(e.base, "safety") || r.guarded(w, e, "safety sentence", "safety") && r.addedTo(w, e, "safety sentence", "text")
	case AlarmsKey:
		return r.alarmsAllowed(w)
	case Demands:
		r.fault(w.id, "O413", "a house cannot change the demands", "", "add throws of your own instead")
		return false
	}
	return true
}

func text(n *source.Node, key string) string { return n.Get(key).Text() }

func yes(n *source.Node, key string) bool { t := text(n, key); return t == "yes" || t == "true" }

// gateAllowed keeps the gates: a house may add to the words of one that refuses,
// and may let it refuse more.
func (r *reader) gateAllowed(w wish, e *entry) bool {
	open := opens(text(e.base, "verdict"), text(e.base, "caution"))
	if open && w.Kind == add {
		r.fault(w.id, "O413", fmt.Sprintf("the gate `%s` opens a plan and cannot be widened", w.ID), "", "add to a gate that refuses instead", "it stands at "+at(e.origin))
		return false
	}
	return r.guarded(w, e, "gate", "when", "verdict", "needs", "unless", "unanswered", "caution", "low_confidence") &&
		(open || w.Kind == add || r.addedTo(w, e, "gate", "says", "do"))
}

// guarded lets a house change an entry in all but some keys, and not switch it
// off.
func (r *reader) guarded(w wish, e *entry, what string, keys ...string) bool {
	if w.Kind == add {
		return true
	}
	if w.Kind == disable {
		r.fault(w.id, "O411", fmt.Sprintf("the %s `%s` cannot be switched off", what, w.ID), "", "a house may add to it",
			"it stands at "+at(e.origin))
		return false
	}
	for _, key := range keys {
		was, is := e.base.Get(key), w.body.Get(key)
		if is == nil && w.Kind == set || flow(was) == flow(is) {
			continue
		}
		if is == nil {
			is = w.id
		}
		help := "a house may add to it"
		if key == "when" || key == "needs" {
			help = fmt.Sprintf("to widen it, write add: {%s: ...}; it then holds in either case", key)
		}
		r.fault(is, "O412", fmt.Sprintf("`%s` of the %s `%s` stays as it is", key, what, w.ID), "", help, "it stands at "+at(e.origin))
		return false
	}
	return true
}

// addedTo lets words be added at the end of the base's, and nothing else.
func (r *reader) addedTo(w wish, e *entry, what string, keys ...string) bool {
	for _, key := range keys {
		was, is := spaced(text(e.base, key)), w.body.Get(key)
		if was == "" || is == nil && w.Kind != replace {
			continue
		}
		more, kept := strings.CutPrefix(spaced(is.Text()), was)
		if kept && (more == "" || strings.ContainsAny(more[:1], " .,;:!?()")) {
			continue
		}
		if is == nil {
			is = w.id
		}
		r.fault(is, "O421", fmt.Sprintf("`%s` of the %s `%s` may be added to and not replaced", key, what, w.ID), "",
			fmt.Sprintf("begin with the base's words, %q, and write yours after them", was), "it stands at "+at(e.origin))
		return false
	}
	return true
}

func spaced(s string) string { return strings.Join(strings.Fields(s), " ") }

// keeps refuses to turn a yes of the base into a no or to leave it out.
func (r *reader) keeps(w wish, e *entry, key, why string) bool {
	is := w.body.Get(key)
	if !yes(e.base, key) || w.Kind == disable || is == nil && w.Kind == set || yes(w.body, key) {
		return true
	}
	return r.stays(w, e, is, fmt.Sprintf("`%s` of `%s` stays yes", key, w.ID), why)
}

// stays refuses a change of what an entry counts for.
func (r *reader) stays(w wish, e *entry, is *source.Node, headline, why string) bool {
	if is == nil {
		is = w.id
	}
	r.fault(is, "O414", headline, "", "leave it as it is, or add an entry of your own", why, "it stands at "+at(e.origin))
	return false
}

// keepsLoads refuses to take a part of the body out of what a drill loads.
func (r *reader) keepsLoads(w wish, e *entry) bool {
	is := w.body.Get("loads")
	if e.base == nil || w.Kind == disable || is == nil && w.Kind == set {
		return true
	}
	for _, was := range e.base.Get("loads").Items() {
		if !slices.ContainsFunc(is.Items(), func(n *source.Node) bool { return n.Text() == was.Text() }) {
			r.fault(w.id, "O414", fmt.Sprintf("`loads` of `%s` keeps %s", w.ID, was.Text()), "", "leave it as it is, or add to it",
				"a failed screen takes the drills out that load that part")
			return false
		}
	}
	return true
}

// drillAllowed keeps what a drill of the base loads and whom it is for.
func (r *reader) drillAllowed(w wish, e *entry) bool {
	if w.Kind == disable {
		return true
	}
	if !r.keeps(w, e, "weighted", "weighted implements have an age limit") || !r.keepsLoads(w, e) || !r.addedTo(w, e, "drill", "not_with") {
		return false
	}
	if !r.raised(w, e, "ages", "min", "younger athletes are kept from it") || !r.raised(w, e, "", "effort", "it is counted by the effort it asks") {
		return false
	}
	dose := w.body.Get("dose")
	if n, _ := number(e.base.Get("dose"), "throws"); n > 0 && dose != nil {
		if v, given := number(dose, "throws"); !given || v <= 0 {
			return r.stays(w, e, dose, fmt.Sprintf("the drill `%s` throws, so its dose counts throws", w.ID), "what is thrown is counted")
		}
	}
	return true
}

// raised lets a number of an entry, in a map of it or in none, only be raised.
func (r *reader) raised(w wish, e *entry, in, key, why string) bool {
	was, is := e.base, w.body
	if in != "" {
		was, is = was.Get(in), is.Get(in)
	}
	least, low := number(was, key)
	v, given := number(is, key)
	silent := w.Kind == set && w.body.Get(orElse(in, key)) == nil
	if w.Kind == disable || silent || !low || least <= 0 || given && v >= least {
		return true
	}
	return r.stays(w, e, w.body.Get(orElse(in, key)), fmt.Sprintf("`%s` of `%s` is %g and may only be raised", key, w.ID, least), why)
}

// number is a number of a map, and whether there is one.
func number(n *source.Node, key string) (float64, bool) {
	v, err := strconv.ParseFloat(text(n, key), 64)
	return v, err == nil
}
