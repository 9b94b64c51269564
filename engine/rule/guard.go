package rule

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/source"
)

// allowed refuses what would make the base less careful: a hard limit moved the
// loose way, a referral or a stop sign switched off or narrowed, throws or
// drills that no longer count for what they are.
func (r *reader) allowed(w wish, e *entry) bool {
	switch w.Concern {
	case LimitsKey, ByAge, PitchRows, InningsRows:
		return r.limitAllowed(w, e)
	case Gates:
		return !protects(e.base) || r.guarded(w, e, "gate", "when", "verdict", "needs", "unless", "unanswered")
	case Cautions:
		level := text(e.base, "level")
		return level != Stop && level != Limit || r.guarded(w, e, level+" caution", "when", "level")
	case Throws:
		return r.keeps(w, e, "high_effort", "a throw of high effort counts as a pitch") &&
			r.keeps(w, e, "on_mound", "throws off the mound are counted")
	case Drills:
		return r.keeps(w, e, "weighted", "weighted implements have an age limit") && r.keepsLoads(w, e)
	case AlarmsKey:
		return r.alarmsAllowed(w)
	case Demands:
		r.fault(w.id, "O413", "a house cannot change the demands", "", "add throws of your own instead")
		return false
	}
	return true
}

// protects reports a gate that keeps an athlete from harm: it refers, asks for an
// answer, or reads the safety screen or the youngest age.
func protects(gate *source.Node) bool {
	when := text(gate, "when")
	return text(gate, "verdict") == Refer || gate.Get("needs") != nil || strings.Contains(when, "screen.") || strings.Contains(when, "limit.youngest_age")
}

func text(n *source.Node, key string) string { return n.Get(key).Text() }

// guarded lets a house reword an entry and add to it, and nothing else.
func (r *reader) guarded(w wish, e *entry, what string, keys ...string) bool {
	if w.Kind == add {
		return true
	}
	if w.Kind == disable {
		r.fault(w.id, "O411", fmt.Sprintf("the %s `%s` cannot be switched off", what, w.ID), "", "a house may reword it or add to it",
			"it stands at "+at(e.origin))
		return false
	}
	for _, key := range keys {
		was, is := e.node.Get(key), w.body.Get(key)
		if is == nil && w.Kind == set || flow(was) == flow(is) {
			continue
		}
		if is == nil {
			is = w.id
		}
		help := "a house may reword it or add to it"
		if key == "when" || key == "needs" {
			help = fmt.Sprintf("to widen it, write add: {%s: ...}; it then holds in either case", key)
		}
		r.fault(is, "O412", fmt.Sprintf("`%s` of the %s `%s` stays as it is", key, what, w.ID), "", help, "it stands at "+at(e.origin))
		return false
	}
	return true
}

// keeps refuses to turn a yes of the base into a no or to leave it out.
func (r *reader) keeps(w wish, e *entry, key, why string) bool {
	is := w.body.Get(key)
	if e.base == nil || text(e.base, key) != "true" && text(e.base, key) != "yes" || w.Kind == disable || is == nil && w.Kind == set {
		return true
	}
	if t := is.Text(); t == "true" || t == "yes" {
		return true
	}
	if is == nil {
		is = w.id
	}
	r.fault(is, "O414", fmt.Sprintf("`%s` of `%s` stays yes", key, w.ID), "", "leave it as it is", why)
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

// limitAllowed checks that a hard number only moves the strict way.
func (r *reader) limitAllowed(w wish, e *entry) bool {
	concern, hard := r.hardness(e)
	if !hard {
		return true
	}
	switch w.Kind {
	case disable:
		r.fault(w.id, "O411", fmt.Sprintf("the hard limit `%s` cannot be switched off", w.ID), "", "a house may only tighten it", "it stands at "+at(e.origin))
		return false
	case replace:
		r.fault(w.id, "O412", fmt.Sprintf("the hard limit `%s` cannot be replaced", w.ID), "", "write set: with the stricter number", "it stands at "+at(e.origin))
		return false
	case add:
		return true // told as there already
	}
	ok := true
	for _, f := range w.body.Fields() {
		ok = r.stricter(w, e, concern, f) && ok
	}
	return ok
}

// before returns what stood there before the house, or the house's own entry.
func (e *entry) before() *source.Node {
	if e.base != nil {
		return e.base
	}
	return e.node
}

// hardness tells the concern in which an entry stands and whether it is hard.
func (r *reader) hardness(e *entry) (concern string, hard bool) {
	for _, c := range []string{ByAge, PitchRows, InningsRows} {
		if r.section(c).find(e.id) == e {
			return c, true
		}
	}
	return LimitsKey, text(e.before(), "hard") == "true" || text(e.before(), "hard") == "yes"
}

// stricter checks one key that a house sets on a hard limit.
func (r *reader) stricter(w wish, e *entry, concern string, f source.Field) bool {
	key := f.Key.Text()
	switch {
	case concern == ByAge && key == "value":
		ok := true
		for _, band := range bands() {
			ok = ok && r.stricterNumber(w, e, band, f.Value)
		}
		return ok
	case key == "value", key == "to_14", key == "to_18", key == "adult", key == "daily", key == "most":
		return r.stricterNumber(w, e, key, f.Value)
	case key == "rest":
		return r.stricterRest(e, f.Value)
	case key == "why", key == "source", key == "grade", key == "reviewed":
		return true
	}
	r.fault(f.Key, "O412", fmt.Sprintf("`%s` of the hard limit `%s` stays as it is", key, w.ID), "", "a house may only tighten the number")
	return false
}

func bands() []string { return []string{"to_14", "to_18", "adult"} }

func (r *reader) stricterNumber(w wish, e *entry, key string, v *source.Node) bool {
	was, err := strconv.ParseFloat(text(e.before(), key), 64)
	is, ok := v.Number(&r.ds, key)
	if err != nil || !ok {
		return false
	}
	way := "lowered"
	up := text(e.before(), "tighten") == "up"
	if up {
		way = "raised"
	}
	if up && is >= was || !up && is <= was && is >= 0 {
		return true
	}
	name := ""
	if key != "value" {
		name = " (" + key + ")"
	}
	r.fault(v, "O410", fmt.Sprintf("the hard limit `%s`%s is %g and may only be %s", w.ID, name, was, way), "",
		"keep the number or choose a stricter one", "it stands at "+at(e.origin))
	return false
}

// stricterRest checks rest days: no count may rise, and none may be left out.
func (r *reader) stricterRest(e *entry, v *source.Node) bool {
	was, is := e.before().Get("rest").Items(), v.Items()
	if len(is) < len(was) {
		r.fault(v, "O410", fmt.Sprintf("the row %s has %d counts of rest days and may not have fewer", e.id, len(was)), "", "write them all", "it stands at "+at(e.origin))
		return false
	}
	for i, n := range is {
		x, ok := n.Number(&r.ds, "rest")
		if !ok {
			return false
		}
		limit := was[min(i, len(was)-1)]
		if y, err := strconv.ParseFloat(limit.Text(), 64); err == nil && i < len(was) && x > y {
			r.fault(n, "O410", fmt.Sprintf("this count is %g in the base and may only be lowered", y), "", "keep the number or choose a stricter one", "it stands at "+at(e.origin))
			return false
		}
	}
	return true
}
