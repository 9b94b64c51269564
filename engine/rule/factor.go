package rule

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

func (r *reader) readFactors() {
	for _, e := range r.section(Factors).entries {
		o := r.open(e, Factors)
		f := Factor{
			Entry:     r.common(e, o, "title", "why", "source", "since"),
			Phase:     o.NeedOneOf("phase", []string{checklist.BeforeLanding, checklist.AfterLanding, checklist.Task}),
			HowCommon: o.NeedOneOf("how_common", []string{"rare", "occasional", "common"}),
			CanCause:  r.links(o, "can_cause", Factors),
			BreaksAt:  r.links(o, "breaks_at", Demands),
			InWords:   o.NeedText("in_words"),
			LooksLike: o.Text("looks_like_but_is_not"),
		}
		f.Prior, _ = cause.Prior(f.HowCommon)
		f.NoDrills = o.OneOf("drills", []string{"none"}) != ""
		o.Close()
		e.said([]string{"in_words"}, func(n *source.Node, text string) bool { return r.counts(n, e, text) })
		for _, l := range f.CanCause {
			if l.ID == f.ID {
				r.ds.Add(diag.Diagnostic{Place: l.Place, Code: "B512", Headline: fmt.Sprintf("`%s` cannot cause itself", f.ID), Help: "take it out"})
			}
		}
		r.b.Factors = append(r.b.Factors, f)
	}
}

// checkCycles prints every circle of causes once, from the place of the link
// that closes it.
func (r *reader) checkCycles() {
	const fresh, open, done = 0, 1, 2
	mark := map[string]int{}
	var path []string
	var walk func(f *Factor)
	walk = func(f *Factor) {
		mark[f.ID] = open
		path = append(path, f.ID)
		for _, l := range f.CanCause {
			next, ok := r.b.Factor(l.ID)
			switch {
			case !ok || l.ID == f.ID || mark[l.ID] == done:
			case mark[l.ID] == open:
				r.cycle(append(slices.Clone(path[slices.Index(path, l.ID):]), l.ID), l)
			default:
				walk(next)
			}
		}
		mark[f.ID] = done
		path = path[:len(path)-1]
	}
	for i := range r.b.Factors {
		if f := &r.b.Factors[i]; mark[f.ID] == fresh {
			walk(f)
		}
	}
}

func (r *reader) cycle(path []string, last Link) {
	d := diag.Diagnostic{Place: last.Place, Code: "B513", Headline: "these factors cause each other in a circle: " + strings.Join(path, " -> "),
		Under: "this one closes it", Why: "a factor downstream is explained by the one upstream, so there has to be a first",
		Help: "take out the weakest of these links"}
	for _, id := range path[:len(path)-1] {
		if f, ok := r.b.Factor(id); ok {
			d.Notes = append(d.Notes, fmt.Sprintf("`%s` is at %s", id, at(f.Origin)))
		}
	}
	r.ds.Add(d)
}

func (r *reader) readSigns() {
	for _, e := range slices.Clone(r.section(Signs).entries) {
		o := r.open(e, Signs)
		s := Sign{Entry: r.common(e, o, "title", "why", "source", "since"), Group: o.Text("group")}
		s.When = r.condition(o.Need("when"))
		s.Beside = r.refs(o, "beside", Signs)
		r.bare(&s)
		dropped := r.readLinks(o, &s)
		s.Reading = o.OneOf("reading", []string{checklist.Eye, checklist.Measured, checklist.Asked})
		if !o.Has("reading") {
			s.Reading = checklist.Eye
		}
		s.Error = r.readingError(s.Reading)
		s.Fires, s.Still = r.examples(e, o, true)
		o.Close()
		if dropped {
			r.drop(Signs, e)
			continue
		}
		r.b.Signs = append(r.b.Signs, s)
	}
}

// bare notes a sign that is one changed fact and nothing else.
func (r *reader) bare(s *Sign) {
	if s.When == nil {
		return
	}
	if slot, ok := s.When.Bare(); ok {
		if f := r.b.Catalogue.At(slot); f.Column == fact.Changed {
			s.Bare = f.Checkpoint
		}
	}
}

// readLinks reads what a sign points to, in either form. A sign whose factors a
// house has all switched off points to nothing and is dropped.
func (r *reader) readLinks(o *source.Object, s *Sign) (dropped bool) {
	words := []string{"rarely", "seldom", "sometimes", "often"}
	seen, supports := o.Has("seen_with"), o.Has("supports")
	before := r.ds.Errors()
	s.Seen = r.links(o, "seen_with", Factors)
	strengths := r.pairs(o, "supports", Factors, []string{"strong", "moderate", "weak"}, func(w string) (float64, bool) {
		x, _, ok := cause.Supports(w)
		return x, ok
	})
	s.Otherwise = o.OneOf("otherwise", words)
	switch n := o.Node(); {
	case seen && supports:
		r.fault(r.name(o), "B514", fmt.Sprintf("the sign `%s` has both `seen_with` and `supports`", s.ID), "", "keep one of the two; `supports` is the short form")
	case !seen && !supports && n.Kind() == source.Map:
		r.fault(r.name(o), "B514", fmt.Sprintf("the sign `%s` points to no factor", s.ID), "", "add seen_with: or supports: with the factors it points to")
	case supports:
		s.Seen, s.Supports = strengths, true
		if v := o.Get("otherwise"); v != nil {
			r.fault(v, "B515", "`otherwise` goes with `seen_with`; `supports` has its own", "", "take it out")
		}
		s.Otherwise, s.Leak = strongest(strengths)
	case !o.Has("otherwise"):
		r.fault(r.name(o), "B516", fmt.Sprintf("the sign `%s` does not say how often it is seen otherwise", s.ID), "", "add otherwise: with one of "+strings.Join(words, ", "))
	}
	if !s.Supports {
		s.Leak, _ = cause.Otherwise(s.Otherwise)
	}
	return len(s.Seen) == 0 && r.ds.Errors() == before
}

// drop takes out an entry that a house's change has left without a purpose, so
// that nothing refers to it any more.
func (r *reader) drop(concern string, e *entry) {
	s := r.section(concern)
	s.entries = slices.DeleteFunc(s.entries, func(x *entry) bool { return x == e })
	s.disabled[e.id] = Change{Concern: concern, ID: e.id, Kind: disable, Because: "all it points to was switched off", Place: e.origin}
}

// name is the node that holds the id of an entry, or the entry itself.
func (r *reader) name(o *source.Object) *source.Node {
	if id := o.Get("id"); id != nil {
		return id
	}
	return o.Node()
}

// strongest returns the chance otherwise that goes with the strongest of the
// words: a sign that is strong for one factor is seldom seen by chance.
func strongest(links []Link) (word string, leak float64) {
	for _, l := range links {
		if _, x, ok := cause.Supports(l.Word); ok && (leak == 0 || x < leak) {
			leak = x
		}
	}
	for _, w := range []string{"rarely", "seldom", "sometimes", "often"} {
		if x, _ := cause.Otherwise(w); x == leak {
			return w, leak
		}
	}
	return "", leak
}

// condition compiles a condition; its faults go to the list.
func (r *reader) condition(n *source.Node) *cond.Condition {
	if n == nil {
		return nil
	}
	c := cond.CompileNode(n, r.b.Catalogue, &r.ds)
	if c != nil {
		r.b.written[c] = n
	}
	return c
}
