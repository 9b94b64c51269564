package rule

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// limitAllowed checks that a number only moves the strict way. Numbers that the
// base calls free say what a look or a measurement can decide, and permit
// nothing.
func (r *reader) limitAllowed(w wish, e *entry) bool {
	if yes(e.base, "free") {
		return w.body.Get("value") == nil || r.meant(w, e, w.body.Get("value"), text(e.base, "value"))
	}
	concern, what := r.limitKind(e)
	switch w.Kind {
	case disable:
		r.fault(w.id, "O411", fmt.Sprintf("the %s `%s` cannot be switched off", what, w.ID), "", "a house may only tighten it", "it stands at "+at(e.origin))
		return false
	case replace:
		r.fault(w.id, "O412", fmt.Sprintf("the %s `%s` cannot be replaced", what, w.ID), "", "write set: with the stricter number", "it stands at "+at(e.origin))
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

// limitKind tells the concern in which a limit stands and what to call it.
func (r *reader) limitKind(e *entry) (concern, what string) {
	for _, c := range []string{ByAge, PitchRows, InningsRows} {
		if r.section(c).find(e.id) == e {
			return c, "hard limit"
		}
	}
	if yes(e.base, "hard") {
		return LimitsKey, "hard limit"
	}
	return LimitsKey, "limit"
}

// stricter checks one key that a house sets on a guarded limit.
func (r *reader) stricter(w wish, e *entry, concern string, f source.Field) bool {
	key := f.Key.Text()
	switch change := r.concern(concern).key(key).Change; {
	case concern == ByAge && key == "value":
		return !slices.ContainsFunc(bands(), func(band string) bool { return !r.stricterNumber(w, e, band, f.Value) })
	case e.base.Get(key).Kind() == source.List && change == source.Tighten:
		return r.stricterRest(e, f.Value)
	case change == source.Tighten || slices.Contains(bands(), key):
		return r.stricterNumber(w, e, key, f.Value)
	case change == source.Free:
		return true
	}
	r.fault(f.Key, "O412", fmt.Sprintf("`%s` of the %s `%s` stays as it is", key, r.callIt(e), w.ID), "", "a house may only tighten the number")
	return false
}

func bands() []string { return []string{"to_14", "to_18", "adult"} }

func (r *reader) stricterNumber(w wish, e *entry, key string, v *source.Node) bool {
	was, err := strconv.ParseFloat(text(e.base, key), 64)
	is, ok := v.Number(&r.ds, key)
	if err != nil {
		r.fault(v, "O412", fmt.Sprintf("the %s `%s` has no `%s`", r.callIt(e), w.ID, key), "", "a house may only tighten the numbers that are there", "it stands at "+at(e.origin))
	}
	if err != nil || !ok {
		return false
	}
	way := "lowered"
	up := text(e.base, "tighten") == "up"
	if up {
		way = "raised"
	}
	if up && is >= was || !up && is <= was && is >= 0 {
		return r.meant(w, e, v, text(e.base, key))
	}
	name := ""
	if key != "value" {
		name = " (" + key + ")"
	}
	r.fault(v, "O410", fmt.Sprintf("the %s `%s`%s is %g and may only be %s", r.callIt(e), w.ID, name, was, way), "",
		"keep the number or choose a stricter one", "it stands at "+at(e.origin))
	return false
}

// mostTimes is how many times the base's number a house's own can be.
const mostTimes = 10

// meant refuses a number so large that nobody can mean it, which would be counted
// up to in vain.
func (r *reader) meant(w wish, e *entry, v *source.Node, before string) bool {
	was, err := strconv.ParseFloat(before, 64)
	is, ok := v.Number(&r.ds, "value")
	if err != nil || !ok {
		return false
	}
	if most := mostTimes * (math.Abs(was) + 10); math.Abs(is) > most {
		r.fault(v, "O410", fmt.Sprintf("`%s` is %g in the base, and %g cannot be meant", w.ID, was, is), "", fmt.Sprintf("write a number up to %g", most), "it stands at "+at(e.origin))
		return false
	}
	return true
}

// stricterRest checks rest days: no count may rise, and none may be left out.
func (r *reader) stricterRest(e *entry, v *source.Node) bool {
	was, is := e.base.Get("rest").Items(), v.Items()
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

func (r *reader) callIt(e *entry) string { _, what := r.limitKind(e); return what }

// tightest gives a change of a limit that the house has changed before the
// stricter of the two for every number in both, and tells the clash at both
// places.
func (r *reader) tightest(w wish, e *entry) *source.Node {
	body := w.body
	for _, f := range body.Fields() {
		key := f.Key.Text()
		for _, before := range r.clashing(e, key) {
			if flow(before) == flow(f.Value) {
				continue
			}
			if before == e.node.Get(key) {
				body = body.Put(key, stricterOf(e, before, f.Value))
			}
			r.clash(w.ID, before, f.Value)
			r.clash(w.ID, f.Value, before)
		}
	}
	return body
}

// clashing lists what the house has set of a number before; a value for all ages
// and one for some are both in force.
func (r *reader) clashing(e *entry, key string) []*source.Node {
	keys := []string{key}
	concern, _ := r.limitKind(e)
	switch {
	case key == "value":
		keys = append(keys, bands()...)
	case slices.Contains(bands(), key):
		keys = append(keys, "value")
	case r.concern(concern).key(key).Change != source.Tighten:
		return nil
	}
	var out []*source.Node
	for _, k := range keys {
		if n := e.node.Get(k); n != nil && n != e.base.Get(k) {
			out = append(out, n)
		}
	}
	return out
}

func (r *reader) clash(id string, here, there *source.Node) {
	r.ds.Add(diag.Diagnostic{Place: here.Place(), Level: diag.Warning, Code: "O420", Headline: fmt.Sprintf("`%s` is set twice, and the stricter of the two holds", id),
		Help: "take one of the two out", Notes: []string{"the other is at " + at(there.Place())}})
}

// stricterOf is the stricter of two values of a limit, item by item for a list.
func stricterOf(e *entry, a, b *source.Node) *source.Node {
	if a.Kind() == source.List && b.Kind() == source.List {
		items := slices.Clone(a.Items())
		for i, n := range b.Items() {
			if i >= len(items) {
				items = append(items, n)
			} else {
				items[i] = stricterOf(e, items[i], n)
			}
		}
		return a.WithItems(items)
	}
	x, errX := strconv.ParseFloat(a.Text(), 64)
	y, errY := strconv.ParseFloat(b.Text(), 64)
	if errY != nil || errX == nil && tighter(text(e.base, "tighten"), x, y) == x {
		return a
	}
	return b
}

// tighter is the stricter of two numbers.
func tighter(tighten string, x, y float64) float64 {
	if tighten == "up" {
		return math.Max(x, y)
	}
	return math.Min(x, y)
}
