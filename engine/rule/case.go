package rule

import (
	"fmt"
	"path"
	"slices"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

func (r *reader) cases() list[Case] {
	x := group(r.expectations())
	expect := func(key string, at func(*Case) *Expectation) source.Key[Case] {
		return source.Reads(key, may, free, "", x, func(o *source.Object, c *Case) {
			if n := o.Get(key); n != nil {
				in := n.Object(&r.ds, "what is expected")
				*at(c) = Expectation{Place: n.Place()}
				source.Fill(in, r.expectations(), at(c), false)
				in.Close()
			}
		})
	}
	return list[Case]{name: Cases, of: func(b *Base) *[]Case { return &b.Cases },
		check: r.checkCase, keys: []source.Key[Case]{
			source.Text("note", may, free, "", func(c *Case) *string { return &c.Note }),
			source.Reads("given", must, free, "", source.Shape{Form: source.Facts}, func(o *source.Object, c *Case) { c.Given = r.example(o.Fields("given")) }),
			expect("expect", func(c *Case) *Expectation { return &c.Expect }),
			expect("not_expect", func(c *Case) *Expectation { return &c.NotExpect }),
		}}
}

func (r *reader) checkCase(e *entry, o *source.Object, c *Case, _ bool) bool {
	c.File = path.Base(e.origin.Path)
	if !o.Has("expect") && !o.Has("not_expect") {
		r.fault(e.name, "V202", fmt.Sprintf("the case `%s` expects nothing", c.ID), "", "add expect: or not_expect:")
	}
	return true
}

func (r *reader) expectations() []source.Key[Expectation] {
	const all = "signs, gates and cautions"
	factor := source.Reads("first", may, free, "", ids(Factors), func(o *source.Object, x *Expectation) {
		if first := o.Get("first"); first != nil {
			x.First, _ = r.ref(first, Factors)
		}
	})
	return []source.Key[Expectation]{
		source.OneOf("gate", may, free, "verdict of the gate that decides", Verdicts(), func(x *Expectation) *string { return &x.Gate }),
		factor,
		refsKey(r, may, "first_two", "", func(x *Expectation) *[]string { return &x.FirstTwo }, Factors),
		refsKey(r, may, "possible", "", func(x *Expectation) *[]string { return &x.Possible }, Factors),
		refsKey(r, may, "fires", all, func(x *Expectation) *[]string { return &x.Fires }, Signs, Gates, Cautions),
		refsKey(r, may, "silent", all, func(x *Expectation) *[]string { return &x.Silent }, Signs, Gates, Cautions),
		refsKey(r, may, "cautions", "", func(x *Expectation) *[]string { return &x.Cautions }, Cautions),
		source.Reads("consequence", may, free, "factor: the one it follows from", source.Each(source.Pairs, ids(Factors)), func(o *source.Object, x *Expectation) {
			for _, f := range o.Fields("consequence") {
				down, okDown := r.ref(f.Key, Factors)
				up, okUp := r.ref(f.Value, Factors)
				if okDown && okUp {
					x.Consequence = append(x.Consequence, [2]string{down, up})
				}
			}
		}),
	}
}

// Vector returns what is known in an example, changes derived.
func (b *Base) Vector(e Example) fact.Vector {
	v := b.Catalogue.Vector()
	for _, p := range e {
		v[p.Slot] = p.Value
	}
	b.Derive(v)
	return v
}

// Derive sets changed.X of every graded checkpoint whose two grades are known,
// unless it is set already: the grades differ or not. Reading error enters
// elsewhere, once, through the sign. Measured changes are not touched, since a
// difference of two numbers says nothing without its error.
func (b *Base) Derive(v fact.Vector) {
	b.DeriveOf(v, b.Checklist.CheckpointIDs()...)
}

// DeriveOf is Derive for these checkpoints alone. A case in which something was
// measured holds changes that are unclear, and two numbers in one band must not
// settle them.
func (b *Base) DeriveOf(v fact.Vector, checkpoints ...string) {
	for _, p := range b.Checklist.Checkpoints {
		if len(p.Answers) == 0 || !slices.Contains(checkpoints, p.ID) {
			continue
		}
		changed, ok := b.Catalogue.Slot(fact.Changed + "." + p.ID)
		if !ok || v[changed].Known {
			continue
		}
		best, _ := b.Catalogue.Slot(fact.Best + "." + p.ID)
		stuck, _ := b.Catalogue.Slot(fact.Stuck + "." + p.ID)
		if v[best].Known && v[stuck].Known {
			v[changed] = fact.Bool(v[best].N != v[stuck].N)
		}
	}
}

// ExampleFailure is an example that does not show what it says.
type ExampleFailure struct {
	Concern, ID string
	Example     string // fires or silent
	Got         fact.Truth
	Vacuous     bool // silent only because nobody looked
	Diagnostic  diag.Diagnostic
}

// TestExamples tries the two examples of every sign, gate and caution: the one
// must hold, and the other must not, which is more than not being known.
func (b *Base) TestExamples() []ExampleFailure {
	var out []ExampleFailure
	try := func(concern string, e Entry, fires, silent Example, truth func(fact.Vector) fact.Truth) {
		for _, x := range []struct {
			name string
			Example
			want fact.Truth
		}{{"fires", fires, fact.Yes}, {"silent", silent, fact.No}} {
			if got := truth(b.Vector(x.Example)); len(x.Example) > 0 && got != x.want {
				out = append(out, failure(concern, e.ID, x.name, x.Example, got))
			}
		}
	}
	for _, s := range b.Signs {
		if s.When != nil {
			try(Signs, s.Entry, s.Fires, s.Still, s.When.Eval)
		}
	}
	for _, g := range b.Gates {
		try(Gates, g.Entry, g.Fires, g.Still, g.Truth)
	}
	for _, c := range b.Cautions {
		try(Cautions, c.Entry, c.Fires, c.Still, c.Truth)
	}
	return out
}

func failure(concern, id, which string, e Example, got fact.Truth) ExampleFailure {
	f := ExampleFailure{Concern: concern, ID: id, Example: which, Got: got, Vacuous: which == "silent" && got == fact.Unknown}
	f.Diagnostic = diag.Diagnostic{Place: e[0].Place}
	switch d := &f.Diagnostic; {
	case f.Vacuous:
		d.Code, d.Headline = "V201", fmt.Sprintf("the silent example proves nothing about `%s`", id)
		d.Why, d.Help = "it leaves out what the condition looks at, so the answer is not seen and not no", "give a value on the no side"
	case which == "silent":
		d.Code, d.Headline, d.Help = "V203", fmt.Sprintf("`%s` holds in the example in which it should be silent", id), "change the example or the condition"
	case got == fact.No:
		d.Code, d.Headline, d.Help = "V204", fmt.Sprintf("`%s` does not hold in the example in which it should", id), "change the example or the condition"
	default:
		d.Code, d.Headline = "V205", fmt.Sprintf("whether `%s` holds in its example is not known", id)
		d.Why, d.Help = "the example leaves out what the condition looks at", "give every fact that the condition reads"
	}
	return f
}
