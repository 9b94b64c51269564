package rule

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// What a house may do to an entry.
const (
	add     = "add"
	replace = "replace"
	set     = "set"
	disable = "disable"
)

// house lays the files of a house over the entries of the base, in order.
func (r *reader) house(files []file) {
	r.b.House, r.b.housePath, r.b.HouseHash = r.o.HousePath, r.o.HousePath, hash(files)
	read(files)
	for _, f := range files {
		r.ds = append(r.ds, f.faults...)
		if f.root != nil {
			r.houseFile(f.root)
		}
	}
}

func (r *reader) houseFile(root *source.Node) {
	o := root.Object(&r.ds, "a house file")
	if v := o.NeedText("extends"); v != "" && v != "base" {
		r.fault(o.Get("extends"), "O400", fmt.Sprintf("house rules extend `base`, this says %q", v), "", "write extends: base")
	}
	if name := o.Text("house"); name != "" {
		r.b.House = name
	}
	for _, c := range concerns() {
		for _, n := range o.Items(c) {
			r.houseEntry(c, n)
		}
	}
	o.Close()
}

// wish is one change as the house wrote it.
type wish struct {
	Change
	id, body *source.Node
	root     *source.Node
	drift    *source.Node // `base:`, the fingerprint it was written against
}

func (r *reader) houseEntry(concern string, n *source.Node) {
	w, ok := r.wish(concern, n)
	if !ok || r.expired(w) || r.keep != nil && !r.keep(w.Change) {
		return
	}
	s, e := r.target(w)
	again := s.gone[w.ID]
	if e == nil && w.Kind == add && again != nil { // to take an entry out and add it again is to replace it
		w.Kind, e = replace, again
	}
	if e != nil && !r.allowed(w, e) {
		return
	}
	if e != nil && e == again {
		s.entries = append(s.entries, e)
		delete(s.disabled, w.ID)
		delete(s.gone, w.ID)
	}
	var done bool
	switch w.Kind {
	case add:
		done = r.addEntry(w, s, e)
	case disable:
		if done = e != nil; done {
			s.entries = slices.DeleteFunc(s.entries, func(x *entry) bool { return x == e })
			s.disabled[w.ID], s.gone[w.ID] = w.Change, e
		}
	default:
		if done = e != nil; done {
			r.alter(w, e)
		}
	}
	if done {
		r.b.Changes = append(r.b.Changes, w.Change)
	}
}

// wish reads one entry of a house file.
func (r *reader) wish(concern string, n *source.Node) (wish, bool) {
	before := r.ds.Errors()
	o := n.Object(&r.ds, "a house change")
	w := wish{root: n, id: o.Need("id"), drift: o.Get("base")}
	w.Change = Change{Concern: concern, ID: w.id.Text(), Because: o.NeedText("because"), By: o.NeedText("by"), Place: n.Place()}
	w.Until, _ = o.Date("until")
	var kinds []string
	for _, k := range []string{add, replace, set} {
		if v := o.Get(k); v != nil {
			kinds, w.body = append(kinds, k), v
			v.Object(&r.ds, fmt.Sprintf("what `%s` holds", k))
		}
	}
	if yes, _ := o.YesNo(disable); yes {
		kinds = append(kinds, disable)
	}
	o.Close()
	if n.Kind() == source.Map && len(kinds) != 1 {
		help := "write add:, replace:, set: or disable: yes"
		r.fault(n, "O401", "a house change does exactly one thing, this does "+count(kinds), "", help)
	} else if len(kinds) == 1 {
		w.Kind = kinds[0]
	}
	return w, r.ds.Errors() == before && n.Kind() == source.Map
}

func count(kinds []string) string {
	if len(kinds) == 0 {
		return "nothing"
	}
	return strings.Join(kinds, " and ")
}

// expired reports a change whose last day is over; it is told and left out.
func (r *reader) expired(w wish) bool {
	if w.Until.IsZero() || !r.o.On.After(w.Until.Add(24*time.Hour-time.Nanosecond)) {
		return false
	}
	until := w.root.Get("until")
	r.ds.Add(diag.Diagnostic{Place: until.Place(), Level: diag.Warning, Code: "O407",
		Headline: fmt.Sprintf("the change to `%s` ended on %s and is no longer applied", w.ID, w.Until.Format(time.DateOnly)),
		Help:     "take it out, or give it a new date"})
	return true
}

// target finds what the change is about. A limit by age may be named among the
// limits. An unknown id is a fault with the nearest one, unless it is added.
func (r *reader) target(w wish) (*section, *entry) {
	s := r.section(w.Concern)
	if e := s.find(w.ID); e != nil {
		return s, e
	}
	if w.Concern == LimitsKey {
		if e := r.section(ByAge).find(w.ID); e != nil {
			return r.section(ByAge), e
		}
	}
	if w.Kind == add {
		return s, nil
	}
	if c, off := s.disabled[w.ID]; off {
		r.fault(w.id, "O405", fmt.Sprintf("`%s` was already switched off", w.ID), "", "take one of the two changes out", "it is off since "+at(c.Place))
		return s, nil
	}
	help := "it has: " + strings.Join(s.ids(), ", ")
	if near, ok := diag.Nearest(w.ID, s.ids()); ok {
		help = fmt.Sprintf("the closest name is `%s` (%s)", near, at(s.find(near).origin))
	} else if len(s.entries) > 12 {
		help = "`rungwise rules list` shows them all"
	}
	r.fault(w.id, "O404", fmt.Sprintf("`%s` changes a %s that does not exist", w.ID, noun(w.Concern)), "", help)
	return s, nil
}

// addEntry adds a new entry, or to a guarded one a further way to hold.
func (r *reader) addEntry(w wish, s *section, e *entry) bool {
	if e != nil {
		if w.Concern == Gates || w.Concern == Cautions {
			e.adds = append(e.adds, w.body)
			e.changes = append(e.changes, w.Change)
			return true
		}
		r.fault(w.id, "O402", fmt.Sprintf("the %s `%s` is there already", noun(w.Concern), w.ID), "", "use set: or replace:, or choose another id",
			"it stands at "+at(e.origin))
		return false
	}
	if !r.concern(w.Concern).Adds {
		r.fault(w.id, "O403", fmt.Sprintf("a house cannot add a %s", noun(w.Concern)), "", "change one that is there")
		return false
	}
	if !r.goodID(w.Concern, w.root, w.id) {
		return false
	}
	s.entries = append(s.entries, &entry{id: w.ID, name: w.id, node: w.body, house: true, origin: w.id.Place(), changes: []Change{w.Change}})
	return true
}

// alter replaces an entry or sets some of its keys, and tells of drift and of
// changes that change nothing.
func (r *reader) alter(w wish, e *entry) {
	if w.drift != nil && e.base != nil && w.drift.Text() != fingerprint(e.base) {
		r.ds.Add(diag.Diagnostic{Place: w.drift.Place(), Level: diag.Warning, Code: "O408",
			Headline: fmt.Sprintf("the %s under your change to `%s` has itself changed since", noun(w.Concern), w.ID),
			Help:     fmt.Sprintf("read it again and write base: %s", fingerprint(e.base)), Notes: []string{"it stands at " + at(e.origin)}})
	}
	clashed := false // which is told by itself
	if e.base != nil && (w.Concern == LimitsKey || w.Concern == ByAge || w.Concern == PitchRows || w.Concern == InningsRows) {
		was := w.body
		w.body = r.tightest(w, e)
		clashed = w.body != was
	}
	next := e.node.With(w.body)
	if w.Kind == replace {
		next = w.body
	}
	if !clashed && sameButID(e.node, next) {
		r.ds.Add(diag.Diagnostic{Place: w.body.Place(), Level: diag.Warning, Code: "O406",
			Headline: fmt.Sprintf("this change to `%s` changes nothing", w.ID), Under: "the base says the same",
			Help: "take it out", Notes: []string{"the base is at " + at(e.origin)}})
	}
	if w.Kind == replace {
		e.house, e.origin, e.name = true, w.id.Place(), w.id
	}
	e.node = next
	e.changes = append(e.changes, w.Change)
}

// sameButID compares two entries by their values, the id apart.
func sameButID(a, b *source.Node) bool {
	keys := func(n *source.Node) []string {
		var out []string
		for _, f := range n.Fields() {
			if f.Key.Text() != "id" {
				out = append(out, f.Key.Text()+": "+flow(f.Value))
			}
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(keys(a), keys(b))
}
