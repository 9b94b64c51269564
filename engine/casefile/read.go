package casefile

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
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
	r.block(root, r.root())
	if ds.Errors() > 0 {
		return nil, ds
	}
	r.c.sort()
	return r.c, ds
}

// reader fills one case.
type reader struct {
	v      Vocabulary
	ds     *diag.List
	c      *Case
	height float64 // of the athlete in cm, 0 = not told
}

// sort puts what the file may hold in any order by date, oldest first.
func (c *Case) sort() {
	best := func(b Best) time.Time { return b.On }
	day := func(d Day) time.Time { return d.On }
	byDate(c.Reference.Best, best)
	byDate(c.Mound, best)
	for _, x := range c.Compare {
		byDate(x.Best, best)
	}
	byDate(c.Load.Days, day)
	byDate(c.Load.Games, day)
	byDate(c.Reference.Sessions, func(s Session) time.Time { return s.On })
	byDate(c.Ladders, func(l Ladder) time.Time { return l.On })
}

func byDate[T any](list []T, on func(T) time.Time) {
	slices.SortStableFunc(list, func(a, b T) int { return on(a).Compare(on(b)) })
}

var codePattern = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9-]{0,39}$`)

func (r *reader) code(n *source.Node) {
	if r.c.Code = n.Text(); !codePattern.MatchString(r.c.Code) {
		n.Fault(r.ds, "C302", fmt.Sprintf("%s cannot be an athlete code", n.Describe()), "", "use letters, digits and dashes, up to 40, and no name")
	}
}

func (r *reader) answer(n *source.Node, q checklist.Question) {
	text := n.Text()
	switch {
	case n.Kind() != source.Scalar:
		n.Fault(r.ds, "C303", fmt.Sprintf("`%s` takes one answer", q.ID), "", "write one word or number")
		return
	case q.YesNo:
		switch text {
		case "true":
			text = "yes"
		case "false":
			text = "no"
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
		r.choice(n, q.ID, text, ids(q.Answers))
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

// Believed reports whether anybody throws that fast, from a child's lob to more than anybody has thrown, and the speed in
// miles an hour.
func Believed(q unit.Quantity) (mph float64, ok bool) {
	in, _ := q.In(unit.MPH)
	return in.Value, unit.Check(in, unit.Range{Low: 20, High: 115}) == nil
}

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
	mph, ok := Believed(q)
	if !ok {
		n.Fault(r.ds, "C308", fmt.Sprintf("nobody throws %s", q), "", "check the number and its unit")
	}
	return mph, ok
}

// throwOnce is throw, for a ladder on which each stands once.
func (r *reader) throwOnce(n *source.Node, first map[string]*source.Node) string {
	id := r.throw(n)
	if before := first[id]; before != nil && id != "" {
		n.Fault(r.ds, "C320", fmt.Sprintf("`%s` stands twice on this ladder", id),
			fmt.Sprintf("also on line %d", before.Place().Line), "put its throws together on one rung")
	}
	first[id] = n
	return id
}

// believed refuses a number beyond its bound.
func (r *reader) believed(n *source.Node, v float64, most bound) bool {
	says, ok := most.check(v)
	if !ok {
		n.Fault(r.ds, "C313", says, "", "check the number")
	}
	return ok
}

// marks reads whether the pattern held: one word for the rung, or one a throw.
func (r *reader) marks(words []*source.Node, n *source.Node, x *Rung) {
	for _, w := range words {
		mark, ok := ReadMark(w.Text())
		if !ok {
			r.choice(w, "held", w.Text(), marks())
		}
		if v, seen := markValue(mark); seen {
			x.Marks = append(x.Marks, v)
		}
	}
	x.Throws = max(x.Throws, len(words))
	x.OneMark = n.Kind() == source.Scalar && len(x.Marks) == 1
}

var hitsPattern = regexp.MustCompile(`^(\d{1,4}) of (\d{1,4})$`)

func (r *reader) hits(n *source.Node, x *Rung) {
	m := hitsPattern.FindStringSubmatch(n.Text())
	if m == nil {
		n.Fault(r.ds, "C321", fmt.Sprintf("`hits` counts hits of attempts, this is %s", n.Describe()), "", "write it like `6 of 10`")
		return
	}
	hit, _ := strconv.Atoi(m[1]) // four digits always read
	of, _ := strconv.Atoi(m[2])
	if of == 0 || hit > of {
		n.Fault(r.ds, "C322", "more hits than attempts", "", "write hits first, attempts after `of`")
		return
	}
	if r.believed(n, float64(of), dayBound()) {
		x.Hits, x.Throws = &Hits{hit, of}, max(x.Throws, of)
	}
}
