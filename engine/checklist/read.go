package checklist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

// snake is how an id is written; dotted is how a derived fact is.
var (
	snake  = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	dotted = regexp.MustCompile(`^[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$`)
)

// ReadCheckpoint reads one entry of a `checkpoints` list. Its id stands in the
// entry, or outside it, where named is the node that holds it. Faults go to the
// list; an entry without a usable id comes back with an empty one.
func ReadCheckpoint(n, named *source.Node, ds *diag.List) Checkpoint {
	o := n.Object(ds, "a checkpoint")
	if named == nil {
		named = o.Need("id")
	}
	p := Checkpoint{
		Place: n.Place(), ID: id(named, ds, snake),
		Title: o.NeedText("title"), Moment: o.NeedText("moment"), View: o.NeedText("view"),
		Phase: o.NeedOneOf("phase", []string{BeforeLanding, AfterLanding, Both, Task}),
		Ask:   o.NeedText("ask"), Help: o.NeedText("help"),
		Answers: answers(o, ds), Ordered: true,
		Reading: o.NeedOneOf("reading", readings()),
	}
	if ordered, told := o.YesNo("ordered"); told {
		p.Ordered = ordered
	}
	p.Ordered = p.Ordered && len(p.Answers) > 0
	p.Source, p.SourceAt, p.ReadBy = sourceOf(o)
	if m := o.Object("measure", "a measure"); m != nil {
		p.Measure = readMeasure(m, ds, p.Answers)
	}
	o.Close()
	if len(p.Answers) == 0 && p.Measure == nil && n.Kind() == source.Map {
		n.Fault(ds, "C502", "this checkpoint has neither answers nor a measure", "", "add `answers:` with at least two, or `measure:`")
	}
	return p
}

func readQuestion(n *source.Node, ds *diag.List) Question {
	o := n.Object(ds, "a question")
	q := Question{
		Place: n.Place(), ID: id(o.Need("id"), ds, snake), Group: o.NeedText("group"), Title: o.Text("title"),
		Ask: o.NeedText("ask"), Help: o.Text("help"),
		By: o.OneOf("by", []string{ByCoach, ByQualified}), Reading: o.OneOf("reading", readings()),
	}
	if q.Title == "" {
		q.Title = strings.ReplaceAll(q.ID, "_", " ")
	}
	if q.By == "" {
		q.By = ByCoach
	}
	if q.Reading == "" {
		q.Reading = Asked
	}
	q.Answers, q.YesNo, q.Number = kind(o, ds)
	q.readFine(o, ds)
	if days, told := o.Count("good_for"); told {
		if q.GoodFor = days; days == 0 {
			o.Get("good_for").Fault(ds, "C512", "an answer that is good for no day is never one", "", "write the days, or leave `good_for:` out where it does not age")
		}
	}
	q.Source, q.SourceAt, q.ReadBy = sourceOf(o)
	q.readSafety(o)
	o.Close()
	return q
}

// readFine reads the answers that say that nothing is wrong.
func (q *Question) readFine(o *source.Object, ds *diag.List) {
	for _, n := range o.Texts("fine") {
		id := n.Text()
		if word, told := map[string]string{"true": "yes", "false": "no"}[id]; told && q.YesNo {
			id = word
		}
		if ids := q.AnswerIDs(); !slices.Contains(ids, id) {
			n.Fault(ds, "C511", fmt.Sprintf("%s is no answer to this question", n.Describe()), "", "`fine:` names some of: "+strings.Join(ids, ", "))
			continue
		}
		q.Fine = append(q.Fine, id)
	}
}

func (q *Question) readSafety(o *source.Object) {
	q.EachSession, _ = o.YesNo("each_session")
	q.DetailOf = o.Text("detail_of")
	for _, n := range o.Texts("lifted_by") {
		q.LiftedBy = append(q.LiftedBy, n.Text())
	}
}

func readDerived(n *source.Node, ds *diag.List) Derived {
	o := n.Object(ds, "a derived fact")
	d := Derived{Place: n.Place(), ID: id(o.Need("id"), ds, dotted), About: o.NeedText("about")}
	d.Answers, d.YesNo, d.Number = kind(o, ds)
	d.Source, d.SourceAt, d.ReadBy = sourceOf(o)
	o.Close()
	return d
}

func readings() []string { return []string{Eye, Measured, Asked} }

func id(v *source.Node, ds *diag.List, form *regexp.Regexp) string {
	if v == nil || form.MatchString(v.Text()) {
		return v.Text()
	}
	example := "weight_shift"
	if form == dotted {
		example = "ladder.found"
	}
	v.Fault(ds, "C503", fmt.Sprintf("an id cannot be %s", v.Describe()), "", "write small letters, digits and underscores, such as "+example)
	return ""
}

// sourceOf reads where an entry comes from and who reads it besides the rules;
// whether the source exists is checked where the sources are known.
func sourceOf(o *source.Object) (key string, at diag.Place, readBy string) {
	v := o.Need("source")
	if v != nil {
		key, at = strings.TrimSpace(v.Text()), v.Place()
	}
	return key, at, o.Text("read_by")
}

// kind reads the one way in which a fact is answered.
func kind(o *source.Object, ds *diag.List) ([]fact.Answer, bool, *Number) {
	list := answers(o, ds)
	yesNo, told := o.YesNo("yes_no")
	number := readNumber(o.Object("number", "a number"), ds)
	ways := 0
	for _, has := range []bool{o.Has("answers"), told && yesNo, number != nil} {
		if has {
			ways++
		}
	}
	if n := o.Node(); ways != 1 && n.Kind() == source.Map {
		n.Fault(ds, "C504", fmt.Sprintf("this is answered in %d ways, and one is needed", ways), "", "give one of `answers:`, `yes_no: true` and `number:`")
	}
	return list, yesNo, number
}

func answers(o *source.Object, ds *diag.List) []fact.Answer {
	fields := o.Fields("answers")
	var out []fact.Answer
	for _, f := range fields {
		if !snake.MatchString(f.Key.Text()) {
			f.Key.Fault(ds, "C503", fmt.Sprintf("an id cannot be %s", f.Key.Describe()), "", "write small letters, digits and underscores, such as at_peak")
			continue
		}
		label := strings.TrimSpace(f.Value.Text())
		if label == "" {
			f.Key.Fault(ds, "C505", fmt.Sprintf("the answer `%s` has no words for people", f.Key.Text()), "", "write what the coach sees, as in `early: before the knee peaks`")
		}
		out = append(out, fact.Answer{ID: f.Key.Text(), Label: label})
	}
	if len(fields) == 1 {
		fields[0].Key.Fault(ds, "C506", "one answer alone is no choice", "", "add at least one more")
	}
	return out
}

func readNumber(o *source.Object, ds *diag.List) *Number {
	if o == nil {
		return nil
	}
	n := &Number{Unit: o.NeedText("unit")}
	n.Low, n.High = readRange(o.Need("range"), ds, "range")
	o.Close()
	return n
}

// readRange reads [low, high]; a fault reads as 0, 0.
func readRange(v *source.Node, ds *diag.List, what string) (low, high float64) {
	if v == nil {
		return 0, 0
	}
	items := v.Items()
	if len(items) != 2 {
		v.Fault(ds, "C507", fmt.Sprintf("`%s` takes two numbers", what), "", "write [smallest, largest]")
		return 0, 0
	}
	low, okLow := items[0].Number(ds, what)
	high, okHigh := items[1].Number(ds, what)
	if !okLow || !okHigh {
		return 0, 0
	}
	if low >= high {
		v.Fault(ds, "C507", fmt.Sprintf("`%s` does not rise", what), "", "write [smallest, largest]")
		return 0, 0
	}
	return low, high
}
