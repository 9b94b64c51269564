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

func (r *reader) factors() list[Factor] {
	phases := []string{checklist.BeforeLanding, checklist.AfterLanding, checklist.Task}
	common := []string{"rare", "occasional", "common"}
	return list[Factor]{name: Factors, of: func(b *Base) *[]Factor { return &b.Factors },
		need: []string{"title", "why", "source", "since"}, check: r.checkFactor, keys: []source.Key[Factor]{
			source.OneOf("phase", must, free, "", phases, func(f *Factor) *string { return &f.Phase }).In("phase"),
			source.OneOf("how_common", must, free, "as a cause by itself", common, func(f *Factor) *string { return &f.HowCommon }).In("how common"),
			oftenKey(r, "can_cause", Factors, "factors downstream", func(f *Factor) *[]Link { return &f.CanCause }).In("can cause"),
			oftenKey(r, "breaks_at", Demands, "where it tends to show", func(f *Factor) *[]Link { return &f.BreaksAt }).In("breaks at"),
			source.Text("in_words", must, free, "two sentences for the athlete", func(f *Factor) *string { return &f.InWords }).In(""),
			source.Text("looks_like_but_is_not", may, free, "", func(f *Factor) *string { return &f.LooksLike }).In("looks like it and is not"),
			source.Reads("drills", may, fixed, "", source.Shape{Form: source.Choice, Words: []string{"none"}},
				func(o *source.Object, f *Factor) { f.NoDrills = o.OneOf("drills", []string{"none"}) != "" }).In("drills", r.drillsOf),
		}}
}

func (r *reader) drillsOf(f *Factor) string {
	if f.NoDrills {
		return "none: drills cannot reach it"
	}
	var out []string
	for _, d := range r.b.DrillsFor(f.ID) {
		out = append(out, d.ID)
	}
	return strings.Join(out, ", ")
}

func (r *reader) checkFactor(e *entry, _ *source.Object, f *Factor, _ bool) bool {
	f.Prior, _ = cause.Prior(f.HowCommon)
	r.checkCounts(e, "in_words")
	for _, l := range f.CanCause {
		if l.ID == f.ID {
			r.ds.Add(diag.Diagnostic{Place: l.Place, Code: "B512", Headline: fmt.Sprintf("`%s` cannot cause itself", f.ID), Help: "take it out"})
		}
	}
	return true
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

// otherwise are the words for how often a sign is seen with none of its factors.
func otherwise() []string { return []string{"rarely", "seldom", "sometimes", "often"} }

func (r *reader) signs() list[Sign] {
	strengths := []string{"strong", "moderate", "weak"}
	supports := func(w string) (float64, bool) { x, _, ok := cause.Supports(w); return x, ok }
	return list[Sign]{name: Signs, of: func(b *Base) *[]Sign { return &b.Signs },
		need: []string{"title", "why", "source", "since"}, check: r.checkSign, keys: []source.Key[Sign]{
			conditionKey(r, "when", must, free, func(s *Sign) **cond.Condition { return &s.When }).In("when"),
			oftenKey(r, "seen_with", Factors, "how often it is seen when the factor is there", func(s *Sign) *[]Link { return &s.Seen }).In("points to"),
			source.OneOf("otherwise", may, free, "how often it is seen with none of them", otherwise(), func(s *Sign) *string { return &s.Otherwise }).In("seen otherwise"),
			pairsOf(r, "supports", Factors, "short form of seen_with and otherwise", strengths, supports,
				func(s *Sign, l []Link) { s.Seen, s.Supports = l, true }),
			source.Text("group", may, free, "near-copies share a group", func(s *Sign) *string { return &s.Group }).In("group"),
			source.OneOf("reading", may, free, "", checklist.Readings(), func(s *Sign) *string { return &s.Reading }).In("reading"),
			refsKey(r, may, "beside", "wider signs that it stands beside on purpose", func(s *Sign) *[]string { return &s.Beside }, Signs).
				In("stands beside"),
			examplesKey(r, source.Told, func(s *Sign) (*Example, *Example) { return &s.Fires, &s.Still }),
		}}
}

// checkSign drops a sign whose factors a house has all switched off.
func (r *reader) checkSign(e *entry, o *source.Object, s *Sign, sound bool) bool {
	before := r.ds.Errors()
	r.checkLinks(o, s)
	if s.When != nil {
		if slot, ok := s.When.Bare(); ok {
			if f := r.b.Catalogue.At(slot); f.Column == fact.Changed {
				s.Bare = f.Checkpoint
			}
		}
	}
	if !o.Has("reading") {
		s.Reading = checklist.Eye
	}
	s.Error = r.readingError(s.Reading)
	r.needExamples(e, o)
	return len(s.Seen) > 0 || !sound || r.ds.Errors() > before
}

// checkLinks settles what a sign points to, in either form, and how often it is
// seen otherwise.
func (r *reader) checkLinks(o *source.Object, s *Sign) {
	seen, supports := o.Has("seen_with"), o.Has("supports")
	switch n := o.Node(); {
	case seen && supports:
		r.fault(r.name(o), "B514", fmt.Sprintf("the sign `%s` has both `seen_with` and `supports`", s.ID), "", "keep one of the two; `supports` is the short form")
	case !seen && !supports && n.Kind() == source.Map:
		r.fault(r.name(o), "B514", fmt.Sprintf("the sign `%s` points to no factor", s.ID), "", "add seen_with: or supports: with the factors it points to")
	case supports:
		if v := o.Get("otherwise"); v != nil {
			r.fault(v, "B515", "`otherwise` goes with `seen_with`; `supports` has its own", "", "take it out")
		}
		s.Otherwise, s.Leak = strongest(s.Seen)
	case !o.Has("otherwise"):
		r.fault(r.name(o), "B516", fmt.Sprintf("the sign `%s` does not say how often it is seen otherwise", s.ID), "",
			"add otherwise: with one of "+strings.Join(otherwise(), ", "))
	}
	if !s.Supports {
		s.Leak, _ = cause.Otherwise(s.Otherwise)
	}
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
	for _, w := range otherwise() {
		if x, _ := cause.Otherwise(w); x == leak {
			return w, leak
		}
	}
	return "", leak
}
