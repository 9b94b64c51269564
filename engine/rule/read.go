package rule

import (
	"fmt"
	"slices"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

func (r *reader) sources() list[Citation] {
	return list[Citation]{name: Sources, of: func(b *Base) *[]Citation { return &b.Sources },
		keys: []source.Key[Citation]{
			source.Text("cite", must, free, "", func(c *Citation) *string { return &c.Cite }).InLines(nil), // the title of the entry
			source.Text("says", must, free, "", func(c *Citation) *string { return &c.Says }).In(""),
			source.OneOf("provenance", must, free, "", []string{"seen", "quoted", "memory", "computed"}, func(c *Citation) *string { return &c.Provenance }).In("read"),
			source.Note[Citation]("grade", ""), source.Note[Citation]("url", ""), reviewed[Citation](),
		}}
}

// reviewed is the month in which somebody last looked at an entry's source.
func reviewed[T any]() source.Key[T] {
	return source.Note[T]("reviewed", monthly).As(source.Shape{Form: source.Month})
}

func (r *reader) wording() list[Sentence] {
	return list[Sentence]{name: Wordings, of: func(b *Base) *[]Sentence { return &b.Wording },
		keys: []source.Key[Sentence]{
			source.Text("text", must, source.AtEnd, "a sentence with {placeholders}", func(s *Sentence) *string { return &s.Text }),
			source.YesNo("safety", may, fixed, "a house may add to it and not replace it", func(s *Sentence) *bool { return &s.Safety }),
			source.Note[Sentence]("about", ""), source.Note[Sentence]("note", ""),
		}, check: func(e *entry, _ *source.Object, _ *Sentence, _ bool) bool {
			r.checkPlaceholders(e)
			r.checkCounts(e, "text")
			return true
		}}
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
