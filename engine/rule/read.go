package rule

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// plain lists the sources that need no citation.
func plain() []string { return []string{"common practice", "house default", "from memory"} }

var month = regexp.MustCompile(`^\d{4}-\d{2}$`)

// open starts reading an entry. Whoever opens it closes it.
func (r *reader) open(e *entry, concern string) *source.Object {
	o := e.node.Object(&r.ds, fmt.Sprintf("the %s `%s`", noun(concern), e.id))
	o.Get("id")
	return o
}

// common reads what every entry carries. The keys named must be there in the
// base; a house may leave out the title and the month.
func (r *reader) common(e *entry, o *source.Object, need ...string) Entry {
	get := func(key string) string {
		optional := e.house && (key == "title" || key == "since")
		if slices.Contains(need, key) && !optional {
			return o.NeedText(key)
		}
		return o.Text(key)
	}
	out := Entry{ID: e.id, Title: get("title"), Why: get("why"), Since: get("since"), Origin: e.origin, Changes: e.changes}
	if out.Title == "" {
		out.Title = strings.ReplaceAll(e.id, "_", " ")
	}
	if out.Since != "" && !month.MatchString(out.Since) {
		r.fault(o.Get("since"), "B505", fmt.Sprintf("`since` is a month, this is %q", out.Since), "", "write it as year-month, such as 2026-11")
	}
	if slices.Contains(need, "source") {
		o.Need("source")
	}
	out.Source = r.source(o.Get("source"))
	return out
}

// source reads the key of a source and checks that it is known.
func (r *reader) source(n *source.Node) string {
	if n == nil {
		return ""
	}
	key := strings.TrimSpace(n.Text())
	if slices.Contains(plain(), key) {
		return key
	}
	r.ref(n, Sources)
	return key
}

// ref reads the id of an entry of a concern. One that does not exist is a fault
// with the nearest name; one that the house switched off is left out quietly.
func (r *reader) ref(n *source.Node, concern string) (id string, ok bool) {
	id = strings.TrimSpace(n.Text())
	s := r.section(concern)
	if s.find(id) != nil {
		return id, true
	}
	if _, off := s.disabled[id]; off {
		return id, false
	}
	names := s.ids()
	if concern == Sources {
		names = append(names, plain()...)
	}
	help := "it has: " + strings.Join(names, ", ")
	if len(names) > 12 {
		help = fmt.Sprintf("add it to the %s, or name one that is there", concern)
	}
	if near, found := diag.Nearest(id, names); found {
		help = fmt.Sprintf("the closest name is `%s`", near)
		if e := s.find(near); e != nil {
			help += " (" + at(e.origin) + ")"
		}
	}
	r.fault(n, "B510", fmt.Sprintf("there is no %s called %s", noun(concern), n.Describe()), "", help)
	return id, false
}

// links reads pairs of an id and a frequency word.
func (r *reader) links(o *source.Object, key, concern string) []Link {
	return r.pairs(o, key, concern, frequencies(), cause.Frequency)
}

func frequencies() []string { return []string{"nearly_always", "usually", "often", "sometimes"} }

func (r *reader) pairs(o *source.Object, key, concern string, words []string, weight func(string) (float64, bool)) []Link {
	var out []Link
	for _, f := range o.Fields(key) {
		word := f.Value.OneOf(&r.ds, f.Key.Text(), words)
		if f.Value.Kind() == source.Nothing {
			r.fault(f.Key, "B511", fmt.Sprintf("`%s` does not say how often", f.Key.Text()), "", "write one of: "+strings.Join(words, ", "))
		}
		id, ok := r.ref(f.Key, concern)
		if w, known := weight(word); ok && known {
			out = append(out, Link{ID: id, Word: word, Weight: w, Place: f.Key.Place()})
		}
	}
	return out
}

func (r *reader) readSources() {
	for _, e := range r.section(Sources).entries {
		o := r.open(e, Sources)
		c := Citation{Entry: r.common(e, o), Cite: o.NeedText("cite"), Says: o.NeedText("says"),
			Provenance: o.NeedOneOf("provenance", []string{"seen", "quoted", "memory", "computed"})}
		r.optional(o, "grade", "url", "reviewed")
		o.Close()
		r.b.Sources = append(r.b.Sources, c)
	}
}

// optional accepts keys that are for people and that nothing reads.
func (r *reader) optional(o *source.Object, keys ...string) {
	for _, k := range keys {
		o.Text(k)
	}
}

func (r *reader) readWording() {
	for _, e := range r.section(Wordings).entries {
		o := r.open(e, Wordings)
		w := Sentence{Entry: r.common(e, o), Text: o.NeedText("text")}
		w.Safety, _ = o.YesNo("safety")
		r.optional(o, "about", "note")
		o.Close()
		r.checkPlaceholders(e)
		e.said([]string{"text"}, func(n *source.Node, text string) bool { return r.counts(n, e, text) })
		r.b.Wording = append(r.b.Wording, w)
	}
}

func (r *reader) readCheckpoints() {
	var more []checklist.Checkpoint
	for _, e := range r.section(Checkpoints).entries {
		p := checklist.ReadCheckpoint(e.node, e.name, &r.ds)
		if _, twice := r.b.Checklist.Checkpoint(p.ID); twice {
			r.fault(e.name, "O402", fmt.Sprintf("the checkpoint `%s` is there already", p.ID), "", "choose another id")
			continue
		}
		more = append(more, p)
	}
	r.b.Checklist = r.b.Checklist.With(more)
}

// checkChecklistSources checks the sources named by the checklists, which are
// read before any source is known.
func (r *reader) checkChecklistSources() {
	check := func(key string, place diag.Place) {
		if key == "" || slices.Contains(plain(), key) || r.section(Sources).find(key) != nil {
			return
		}
		d := diag.Diagnostic{Place: place, Code: "B510", Headline: fmt.Sprintf("there is no source called %q", key), Help: "add it to the sources"}
		if near, ok := diag.Nearest(key, append(r.section(Sources).ids(), plain()...)); ok {
			d.Help = fmt.Sprintf("the closest name is `%s`", near)
		}
		r.ds.Add(d)
	}
	for _, p := range r.b.Checklist.Checkpoints {
		check(p.Source, p.SourceAt)
		if p.Measure != nil {
			check(p.Measure.ToleranceSource, p.Place)
		}
	}
	for _, q := range r.b.Checklist.Questions {
		check(q.Source, q.SourceAt)
	}
	for _, d := range r.b.Checklist.Derived {
		check(d.Source, d.SourceAt)
	}
}
