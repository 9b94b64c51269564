package casefile

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strings"
	"time"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Vocabulary is what a case file may speak of.
type Vocabulary struct {
	Checklist *checklist.Checklist
	Throws    []string  // throw ids
	Factors   []string  // factor ids
	Today     time.Time // no date may lie after it, games ahead apart
}

// Parse reads a case strictly. Every fault of the file is in the list; with an
// error among them the case is nil.
func Parse(f *source.File, v Vocabulary) (*Case, diag.List) {
	root, ds := f.YAML()
	if root == nil {
		if ds.Errors() == 0 {
			ds.Add(diag.Diagnostic{Place: f.Place(0, 0), Code: "C300", Headline: "the file is empty", Help: "make one with `rungwise new`"})
		}
		return nil, ds
	}
	r := &reader{v: v, ds: &ds, c: &Case{File: f}}
	r.root(root.Object(&ds, "a case file"))
	if ds.Errors() > 0 {
		return nil, ds
	}
	return r.c, ds
}

// reader fills one case.
type reader struct {
	v      Vocabulary
	ds     *diag.List
	c      *Case
	height float64 // of the athlete in cm, 0 = not told
}

func (r *reader) root(o *source.Object) {
	if n := o.Need("rungwise"); n != nil && n.Text() != Format {
		n.Fault(r.ds, "C301", fmt.Sprintf("this program reads `%s`, this is %s", Format, n.Describe()), "", "write `rungwise: "+Format+"`")
	}
	r.athlete(o)
	for _, group := range r.groups() {
		if group != "athlete" && group != "load" {
			if q := o.Object(group, "the "+group); q != nil {
				r.questions(q, group)
				if group == "screen" {
					r.c.Screened = r.pastDate(q, "on")
				}
				q.Close()
			}
		}
	}
	r.load(o.Object("load", "the load"))
	r.reference(o.Object("reference", "the reference"))
	if m := o.Object("mound", "the mound"); m != nil {
		r.c.Mound = r.bests(m)
		m.Close()
	}
	r.ladders(o.Get("ladder"))
	r.seen(o)
	r.training(o.Object("training", "training"))
	r.disagrees(o)
	r.candidates(o)
	o.Close()
}

// groups lists the question groups in the order of the checklist.
func (r *reader) groups() []string {
	var out []string
	for _, q := range r.v.Checklist.Questions {
		if !slices.Contains(out, q.Group) {
			out = append(out, q.Group)
		}
	}
	return out
}

var codePattern = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9-]{0,39}$`)

func (r *reader) athlete(o *source.Object) {
	a := o.Object("athlete", "the athlete")
	if a == nil {
		o.Need("athlete")
		return
	}
	if n := a.Need("code"); n != nil {
		r.c.Code = n.Text()
		if !codePattern.MatchString(r.c.Code) {
			n.Fault(r.ds, "C302", fmt.Sprintf("%s cannot be an athlete code", n.Describe()), "", "use letters, digits and dashes, up to 40, and no name")
		}
	}
	r.questions(a, "athlete")
	a.Close()
}

// questions reads the answers of a group from the section of its name; the
// caller closes it.
func (r *reader) questions(o *source.Object, group string) {
	for _, q := range r.v.Checklist.Questions {
		if q.Group != group {
			continue
		}
		if n := o.Get(q.ID); n != nil {
			r.answer(n, q)
		}
	}
}

func (r *reader) answer(n *source.Node, q checklist.Question) {
	text := n.Text()
	switch {
	case n.Kind() != source.Scalar:
		n.Fault(r.ds, "C303", fmt.Sprintf("`%s` takes one answer", q.ID), "", "write one word or number")
		return
	case q.YesNo:
		if text == "true" || text == "false" {
			text = map[string]string{"true": "yes", "false": "no"}[text]
		}
		r.choice(n, q.ID, text, []string{"yes", "no"})
	case q.Number != nil:
		v, err := unit.Read(text, unit.Unit(q.Number.Unit), unit.Range{Low: q.Number.Low, High: q.Number.High})
		if err != nil {
			r.quantity(n, q.ID, err)
			return
		}
		text = fmt.Sprintf("%g", v.Value)
		if q.Name() == "athlete.height" {
			r.height = v.Value
		}
	default:
		ids := make([]string, len(q.Answers))
		for i, a := range q.Answers {
			ids[i] = a.ID
		}
		r.choice(n, q.ID, text, ids)
	}
	r.c.Answers = append(r.c.Answers, Answer{Name: q.Name(), Value: text, Place: n.Place()})
}

// choice checks that an answer is one of those offered.
func (r *reader) choice(n *source.Node, what, text string, ids []string) bool {
	if slices.Contains(ids, text) {
		return true
	}
	help := "choose one of: " + strings.Join(ids, ", ")
	if near, ok := diag.Nearest(text, ids); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	n.Fault(r.ds, "C304", fmt.Sprintf("`%s` is never %s", what, n.Describe()), "not one of: "+strings.Join(ids, ", "), help)
	return false
}

// quantity reports a value that the unit package did not take.
func (r *reader) quantity(n *source.Node, what string, err error) {
	d := diag.Diagnostic{Place: n.Place(), Code: "C305", Headline: fmt.Sprintf("`%s`: %s", what, err)}
	if f, ok := err.(*unit.Fault); ok {
		d.Headline, d.Help = fmt.Sprintf("`%s`: %s", what, f.Says), f.Help
	}
	r.ds.Add(d)
}

// throw checks the id of a throw variation.
func (r *reader) throw(n *source.Node) string {
	id := n.Text()
	if slices.Contains(r.v.Throws, id) {
		return id
	}
	help := "`rungwise rules list throws` shows the names"
	if near, ok := diag.Nearest(id, r.v.Throws); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	n.Fault(r.ds, "C306", fmt.Sprintf("no throw is called %s", n.Describe()), "", help)
	return ""
}

// past refuses a date that lies ahead.
func (r *reader) past(n *source.Node, t time.Time) {
	if n != nil && !r.v.Today.IsZero() && t.After(r.v.Today) {
		n.Fault(r.ds, "C307", fmt.Sprintf("%s lies after today", n.Text()), "", "check the year and the month, or give the day with --on")
	}
}

// pastDate reads a date of a key that cannot lie ahead.
func (r *reader) pastDate(o *source.Object, key string) time.Time {
	t, ok := o.Date(key)
	if ok {
		r.past(o.Get(key), t)
	}
	return t
}

// speedRange holds every throw that can be believed, a child's lob to more than
// anybody has thrown.
func speedRange() unit.Range { return unit.Range{Low: 20, High: 115} }

// speed reads a speed into miles an hour; a bare number is in the given unit.
func (r *reader) speed(n *source.Node, in unit.Unit) (float64, bool) {
	q, err := unit.Read(n.Text(), in, unit.Range{})
	if n.Kind() != source.Scalar {
		err = &unit.Fault{Says: "a speed was expected here", Help: "write a number, such as 84.6"}
	}
	if err != nil {
		r.quantity(n, "speed", err)
		return 0, false
	}
	mph, _ := q.In(unit.MPH)
	if err := unit.Check(mph, speedRange()); err != nil {
		n.Fault(r.ds, "C308", fmt.Sprintf("nobody throws %s", q), "", "check the number and its unit")
		return 0, false
	}
	return mph.Value, true
}

// speeds reads a list of speeds; a dash is a throw that the gun missed.
func (r *reader) speeds(o *source.Object, key string, in unit.Unit) []float64 {
	var out []float64
	for _, n := range o.Texts(key) {
		if n.Text() == "-" {
			continue
		}
		if v, ok := r.speed(n, in); ok {
			out = append(out, v)
		}
	}
	return out
}

// unitOf reads the unit of speeds; missing, it is the one given.
func (r *reader) unitOf(o *source.Object, otherwise unit.Unit) unit.Unit {
	n := o.Get("unit")
	if n == nil {
		return otherwise
	}
	units := []string{string(unit.MPH), string(unit.KMH), string(unit.MPS)}
	if r.choice(n, "unit", n.Text(), units) {
		return unit.Unit(n.Text())
	}
	return otherwise
}

func (r *reader) bests(o *source.Object) []Best {
	var out []Best
	for _, n := range o.Items("best") {
		b := n.Object(r.ds, "a best")
		best := Best{N: 3}
		best.On = r.pastDate(b, "on")
		b.Need("on")
		if s := b.Need("speed"); s != nil {
			best.Speed, _ = r.speed(s, unit.MPH)
		}
		if count, ok := b.Count("n"); ok && count > 0 {
			best.N = count
		}
		b.Close()
		out = append(out, best)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].On.Before(out[j].On) })
	return out
}

func (r *reader) disagrees(o *source.Object) {
	for _, n := range o.Items("disagrees") {
		d := n.Object(r.ds, "a disagreement")
		out := Dissent{By: d.Text("by"), Reason: d.NeedText("because"), On: r.pastDate(d, "on"), Place: n.Place()}
		if f := d.Need("first"); f != nil && r.choice(f, "first", f.Text(), r.v.Factors) {
			out.Factor = f.Text()
		}
		d.Close()
		r.c.Disagrees = append(r.c.Disagrees, out)
	}
}
