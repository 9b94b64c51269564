package rule

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/source"
)

// guard says how far an entry of the base is kept from a house.
type guard struct {
	what  string // as messages call what cannot be switched off; "" where it can
	open  bool   // a house may do with the entry as it likes
	words bool   // what the entry says is left to the house
}

// guardOf is how an entry of the base is guarded. What nothing is said of here may
// be switched off, and its keys change as they say of themselves.
func guardOf(concern string, base *source.Node) guard {
	switch concern {
	case Gates:
		return guard{what: "gate", words: opens(text(base, "verdict"), text(base, "caution"))}
	case Cautions:
		level := text(base, "level")
		return guard{what: level + " caution", open: level == Note}
	case Factors:
		return guard{what: "factor", open: text(base, "drills") != "none"}
	case Wordings:
		return guard{what: "safety sentence", open: !yes(base, "safety")}
	}
	return guard{}
}

// allowed refuses what would make an entry of the base less careful: a number
// moved the loose way, a gate, a stop sign or a safety sentence switched off,
// narrowed or replaced, throws or drills that no longer count for what they are.
// What a house made itself it may change; that is judged when it is read.
func (r *reader) allowed(w wish, e *entry) bool {
	g := guardOf(w.Concern, e.base)
	switch {
	case e.base == nil || g.open:
		return true
	case w.Concern == LimitsKey || w.Concern == ByAge || w.Concern == PitchRows || w.Concern == InningsRows:
		return r.limitAllowed(w, e)
	case w.Concern == AlarmsKey:
		return r.alarmsAllowed(w)
	case w.Concern == Demands:
		r.fault(w.id, "O413", "a house cannot change the demands", "", "add throws of your own instead")
		return false
	case w.Concern == Gates && w.Kind == add && g.words:
		r.fault(w.id, "O413", fmt.Sprintf("the gate `%s` opens a plan and cannot be widened", w.ID), "", "add to a gate that refuses instead", "it stands at "+at(e.origin))
		return false
	case g.what != "" && w.Kind == disable:
		r.fault(w.id, "O411", fmt.Sprintf("the %s `%s` cannot be switched off", g.what, w.ID), "", "a house may add to it", "it stands at "+at(e.origin))
		return false
	case w.Kind == disable || g.what != "" && w.Kind == add:
		return true
	}
	for _, k := range r.concern(w.Concern).Keys {
		if !r.mayChange(w, e, k, g) {
			return false
		}
	}
	return r.countsOn(w, e)
}

// mayChange checks a change of one key. A key that is left out of what takes the
// place of an entry has changed, too.
func (r *reader) mayChange(w wish, e *entry, k source.Known, g guard) bool {
	what := orElse(g.what, noun(w.Concern))
	if w.Kind == set && w.body.Get(k.Name) == nil {
		return true
	}
	switch k.Change {
	case source.Free:
		return true
	case source.AtEnd:
		return g.words || r.addedTo(w, e, what, k.Name)
	case source.KeepYes:
		return !yes(e.base, k.Name) || yes(w.body, k.Name) ||
			r.stays(w, e, w.body.Get(k.Name), fmt.Sprintf("`%s` of `%s` stays yes", k.Name, w.ID), k.Since)
	case source.More:
		return r.keepsItems(w, e, k)
	case source.Raise:
		return r.raised(w, e, "", k)
	case source.Inside:
		return !slices.ContainsFunc(k.Takes.Keys, func(in source.Known) bool { return !r.raised(w, e, k.Name, in) })
	}
	return r.same(w, e, what, k.Name)
}

func text(n *source.Node, key string) string { return n.Get(key).Text() }

func yes(n *source.Node, key string) bool { t := text(n, key); return t == "yes" || t == "true" }

// same lets no change of a key pass.
func (r *reader) same(w wish, e *entry, what, key string) bool {
	is := w.body.Get(key)
	if flow(e.base.Get(key)) == flow(is) {
		return true
	}
	help := "a house may add to it"
	if key == "when" || key == "needs" {
		help = fmt.Sprintf("to widen it, write add: {%s: ...}; it then holds in either case", key)
	}
	r.fault(orNode(is, w.id), "O412", fmt.Sprintf("`%s` of the %s `%s` stays as it is", key, what, w.ID), "", help, "it stands at "+at(e.origin))
	return false
}

// addedTo lets words be added at the end of the base's, and nothing else.
func (r *reader) addedTo(w wish, e *entry, what, key string) bool {
	was, is := spaced(text(e.base, key)), w.body.Get(key)
	more, kept := strings.CutPrefix(spaced(is.Text()), was)
	if was == "" || kept && (more == "" || strings.ContainsAny(more[:1], " .,;:!?()")) {
		return true
	}
	r.fault(orNode(is, w.id), "O421", fmt.Sprintf("`%s` of the %s `%s` may be added to and not replaced", key, what, w.ID), "",
		fmt.Sprintf("begin with the base's words, %q, and write yours after them", was), "it stands at "+at(e.origin))
	return false
}

func spaced(s string) string { return strings.Join(strings.Fields(s), " ") }

// stays refuses a change of what an entry counts for.
func (r *reader) stays(w wish, e *entry, is *source.Node, headline, why string) bool {
	r.fault(orNode(is, w.id), "O414", headline, "", "leave it as it is, or add an entry of your own", why, "it stands at "+at(e.origin))
	return false
}

// keepsItems refuses to take something out of a list.
func (r *reader) keepsItems(w wish, e *entry, k source.Known) bool {
	is := w.body.Get(k.Name)
	for _, was := range e.base.Get(k.Name).Items() {
		if !slices.ContainsFunc(is.Items(), func(n *source.Node) bool { return n.Text() == was.Text() }) {
			r.fault(w.id, "O414", fmt.Sprintf("`%s` of `%s` keeps %s", k.Name, w.ID, was.Text()), "", "leave it as it is, or add to it", k.Since)
			return false
		}
	}
	return true
}

// countsOn keeps what an entry counts for where one of its keys alone cannot say it.
func (r *reader) countsOn(w wish, e *entry) bool {
	switch dose, effort := w.body.Get("dose"), w.body.Get("effort"); w.Concern {
	case Throws:
		if effort != nil && e.base.Get("effort") == nil {
			return r.stays(w, e, effort, fmt.Sprintf("the throw `%s` of the base has no effort of its own", w.ID), "the plan asks it and counts it")
		}
	case Drills:
		v, given := number(dose, "throws")
		if n, _ := number(e.base.Get("dose"), "throws"); n > 0 && dose != nil && (!given || v <= 0) {
			return r.stays(w, e, dose, fmt.Sprintf("the drill `%s` throws, so its dose counts throws", w.ID), "what is thrown is counted")
		}
	}
	return true
}

// raised lets a number of an entry, in a map of it or in none, only be raised.
func (r *reader) raised(w wish, e *entry, in string, k source.Known) bool {
	was, is, place := e.base, w.body, w.body.Get(orElse(in, k.Name))
	if in != "" {
		was, is = was.Get(in), is.Get(in)
	}
	least, low := number(was, k.Name)
	v, given := number(is, k.Name)
	if !low || least <= 0 || given && v >= least {
		return true
	}
	return r.stays(w, e, place, fmt.Sprintf("`%s` of `%s` is %g and may only be raised", k.Name, w.ID, least), k.Since)
}

// number is a number of a map, and whether there is one.
func number(n *source.Node, key string) (float64, bool) {
	v, err := strconv.ParseFloat(text(n, key), 64)
	return v, err == nil
}
