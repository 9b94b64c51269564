package checklist

import (
	"cmp"
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

// Of the keys here a house changes none: it writes checkpoints of its own.
const (
	may   = source.May
	must  = source.Must
	fixed = source.Fixed
)

// Keys describes what a checkpoint takes besides its id.
func Keys() []source.Known { return source.Describe(checkpointKeys(nil)) }

func checkpointKeys(ds *diag.List) []source.Key[Checkpoint] {
	return append([]source.Key[Checkpoint]{
		source.Text("title", must, fixed, "a few words for lists", func(p *Checkpoint) *string { return &p.Title }),
		source.Text("moment", must, fixed, "", func(p *Checkpoint) *string { return &p.Moment }),
		source.Text("view", must, fixed, "", func(p *Checkpoint) *string { return &p.View }),
		source.OneOf("phase", must, fixed, "", []string{BeforeLanding, AfterLanding, Both, Task}, func(p *Checkpoint) *string { return &p.Phase }),
		source.Text("ask", must, fixed, "", func(p *Checkpoint) *string { return &p.Ask }),
		source.Text("help", must, fixed, "", func(p *Checkpoint) *string { return &p.Help }),
		source.Reads("answers", may, fixed, "id: what the coach sees, best first", labels(), func(o *source.Object, p *Checkpoint) { p.Answers = answers(o, ds) }),
		source.OneOf("reading", must, fixed, "", Readings(), func(p *Checkpoint) *string { return &p.Reading }),
		source.Reads("ordered", may, fixed, "", source.Shape{Form: source.Truth}, func(o *source.Object, p *Checkpoint) {
			ordered, told := o.YesNo("ordered")
			p.Ordered = (ordered || !told) && len(p.Answers) > 0
		}),
		source.Reads("measure", may, fixed, "", source.Shape{Form: source.Group, Keys: source.Describe(measureKeys(nil, nil))},
			func(o *source.Object, p *Checkpoint) {
				p.Measure = readMeasure(o.Object("measure", "a measure"), ds, p.Answers)
			}),
	}, fromKeys(func(p *Checkpoint) *From { return &p.From })...)
}

// ReadCheckpoint reads one entry of a `checkpoints` list. Its id stands in the
// entry, or outside it, where named is the node that holds it. Faults go to the
// list; an entry without a usable id comes back with an empty one.
func ReadCheckpoint(n, named *source.Node, ds *diag.List) Checkpoint {
	o := n.Object(ds, "a checkpoint")
	if named == nil {
		named = o.Need("id")
	}
	p := Checkpoint{From: From{Place: n.Place()}, ID: id(named, ds, snake)}
	source.Fill(o, checkpointKeys(ds), &p, false)
	if o.Close(); len(p.Answers) == 0 && p.Measure == nil && n.Kind() == source.Map {
		n.Fault(ds, "C502", "this checkpoint has neither answers nor a measure", "", "add `answers:` with at least two, or `measure:`")
	}
	return p
}

func questionKeys(ds *diag.List) []source.Key[Question] {
	return slices.Concat([]source.Key[Question]{
		source.Text("group", must, fixed, "", func(q *Question) *string { return &q.Group }),
		source.Text("title", may, fixed, "", func(q *Question) *string { return &q.Title }),
		source.Text("ask", must, fixed, "", func(q *Question) *string { return &q.Ask }),
		source.Text("help", may, fixed, "", func(q *Question) *string { return &q.Help }),
		source.OneOf("by", may, fixed, "", []string{ByCoach, ByQualified}, func(q *Question) *string { return &q.By }),
		source.OneOf("reading", may, fixed, "", Readings(), func(q *Question) *string { return &q.Reading }),
	}, answerKeys(ds, func(q *Question) *Answered { return &q.Answered }), []source.Key[Question]{
		source.Reads("fine", may, fixed, "", source.Each(source.Some, source.Shape{}), func(o *source.Object, q *Question) { q.readFine(o, ds) }),
		source.Reads("good_for", may, fixed, "days", source.Shape{Form: source.Whole}, func(o *source.Object, q *Question) {
			days, told := o.Count("good_for")
			if q.GoodFor = days; told && days == 0 {
				o.Get("good_for").Fault(ds, "C512", "an answer that is good for no day is never one", "", "write the days, or leave `good_for:` out where it does not age")
			}
		}),
		source.YesNo("each_session", may, fixed, "", func(q *Question) *bool { return &q.EachSession }),
		source.Text("detail_of", may, fixed, "", func(q *Question) *string { return &q.DetailOf }),
		source.Texts("lifted_by", may, fixed, "", func(q *Question) *[]string { return &q.LiftedBy }),
	}, fromKeys(func(q *Question) *From { return &q.From }))
}

func readQuestion(n *source.Node, ds *diag.List) Question {
	o := n.Object(ds, "a question")
	q := Question{From: From{Place: n.Place()}, ID: id(o.Need("id"), ds, snake)}
	source.Fill(o, questionKeys(ds), &q, false)
	q.checkWays(o, ds)
	q.Title = cmp.Or(q.Title, strings.ReplaceAll(q.ID, "_", " "))
	q.By, q.Reading = cmp.Or(q.By, ByCoach), cmp.Or(q.Reading, Asked)
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

func derivedKeys(ds *diag.List) []source.Key[Derived] {
	return slices.Concat([]source.Key[Derived]{source.Text("about", must, fixed, "", func(d *Derived) *string { return &d.About })},
		answerKeys(ds, func(d *Derived) *Answered { return &d.Answered }), fromKeys(func(d *Derived) *From { return &d.From }))
}

func readDerived(n *source.Node, ds *diag.List) Derived {
	o := n.Object(ds, "a derived fact")
	d := Derived{From: From{Place: n.Place()}, ID: id(o.Need("id"), ds, dotted)}
	source.Fill(o, derivedKeys(ds), &d, false)
	d.checkWays(o, ds)
	o.Close()
	return d
}

// Readings lists the reading error classes.
func Readings() []string { return []string{Eye, Measured, Asked} }

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

// fromKeys are where an entry comes from and who reads it besides the rules;
// whether the source exists is checked where the sources are known.
func fromKeys[T any](at func(*T) *From) []source.Key[T] {
	return []source.Key[T]{
		source.Reads("source", must, fixed, "", source.Shape{Form: source.ID, Of: "sources"}, func(o *source.Object, into *T) {
			if v := o.Get("source"); v != nil {
				at(into).Source, at(into).SourceAt = strings.TrimSpace(v.Text()), v.Place()
			}
		}),
		source.Text("read_by", may, fixed, "who reads it where no rule does", func(x *T) *string { return &at(x).ReadBy }),
	}
}

// answerKeys are the ways in which a fact is answered.
func answerKeys[T any](ds *diag.List, at func(*T) *Answered) []source.Key[T] {
	return []source.Key[T]{
		source.Reads("answers", may, fixed, "", labels(), func(o *source.Object, into *T) { at(into).Answers = answers(o, ds) }),
		source.YesNo("yes_no", may, fixed, "", func(into *T) *bool { return &at(into).YesNo }),
		source.Reads("number", may, fixed, "", source.Shape{Form: source.Group, Keys: source.Describe(numberKeys(nil))}, func(o *source.Object, into *T) {
			if n := o.Object("number", "a number"); n != nil {
				at(into).Number = &Number{}
				source.Fill(n, numberKeys(ds), at(into).Number, false)
				n.Close()
			}
		}),
	}
}

// checkWays refuses a fact that is answered in no way or in several.
func (a Answered) checkWays(o *source.Object, ds *diag.List) {
	ways := 0
	for _, has := range []bool{o.Has("answers"), a.YesNo, a.Number != nil} {
		if has {
			ways++
		}
	}
	if n := o.Node(); ways != 1 && n.Kind() == source.Map {
		n.Fault(ds, "C504", fmt.Sprintf("this is answered in %d ways, and one is needed", ways), "", "give one of `answers:`, `yes_no: true` and `number:`")
	}
}

func labels() source.Shape { return source.Each(source.Pairs, source.Shape{}) }

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

func numberKeys(ds *diag.List) []source.Key[Number] {
	return []source.Key[Number]{
		source.Text("unit", must, fixed, "", func(n *Number) *string { return &n.Unit }),
		source.Reads("range", must, fixed, "", ends(), func(o *source.Object, n *Number) { n.Low, n.High = readRange(o.Get("range"), ds, "range") }),
	}
}

// ends is the shape of [smallest, largest].
func ends() source.Shape {
	return source.Shape{Form: source.Many, Each: &source.Shape{Form: source.Amount}, Len: 2}
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
	if okLow && okHigh && low >= high {
		v.Fault(ds, "C507", fmt.Sprintf("`%s` does not rise", what), "", "write [smallest, largest]")
	}
	if !okLow || !okHigh || low >= high {
		return 0, 0
	}
	return low, high
}
