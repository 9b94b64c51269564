package casefile

import (
	"fmt"
	"slices"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// looksByThrow reads the looks at a checkpoint.
func (r *reader) looksByThrow(fields []source.Field, p checklist.Checkpoint) {
	for _, f := range fields {
		throw := r.throw(f.Key)
		all := []*source.Node{f.Value}
		if f.Value.Kind() == source.List {
			all = f.Value.Items()
		}
		var looks []Look
		for _, n := range all {
			if look, ok := r.looked(n, p); ok {
				looks = append(looks, look)
			}
		}
		if throw != "" && len(looks) > 0 {
			r.c.Seen = append(r.c.Seen, Observation{Checkpoint: p.ID, Throw: throw, Looks: looks, Place: f.Value.Place()})
		}
	}
}

// looked reads one clip's answer, short or with its details.
func (r *reader) looked(n *source.Node, p checklist.Checkpoint) (Look, bool) {
	switch n.Kind() {
	case source.Scalar:
		return r.word(n, p)
	case source.Map:
		return r.detailed(n, p)
	}
	n.Fault(r.ds, "C330", fmt.Sprintf("`%s` takes an answer here, this is %s", p.ID, n.Describe()), "", r.takes(p))
	return Look{}, false
}

func (r *reader) word(n *source.Node, p checklist.Checkpoint) (Look, bool) {
	look, text := Look{Place: n.Place()}, n.Text()
	if text == CouldNotSee {
		look.Unseen = true
		return look, true
	}
	known := ids(p.Answers)
	if slices.Contains(known, text) {
		look.Answer = text
		return look, true
	}
	if p.Measure != nil && numeric(text) {
		return r.measured(n, p, look)
	}
	help := r.takes(p)
	if near, ok := diag.Nearest(text, append(known, CouldNotSee)); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	n.Fault(r.ds, "C331", fmt.Sprintf("`%s` is never %s", p.ID, n.Describe()), "", help)
	return look, false
}

func numeric(text string) bool {
	for _, c := range text {
		return c == '-' || c == '+' || c == '.' || c >= '0' && c <= '9'
	}
	return false
}

// measured reads a quantity, or frames at a rate.
func (r *reader) measured(n *source.Node, p checklist.Checkpoint, look Look) (Look, bool) {
	in := unit.Range{Low: p.Measure.Low, High: p.Measure.High}
	if unit.LooksLikeFrames(n.Text()) {
		if !p.Measure.MayBeFrames {
			n.Fault(r.ds, "C332", fmt.Sprintf("`%s` is not counted in frames", p.ID), "", r.takes(p))
			return look, false
		}
		frames, err := unit.ParseFrames(n.Text())
		if err == nil {
			err = unit.Check(frames.Time(), in)
		}
		if err != nil {
			r.quantity(n, p.ID, err)
			return look, false
		}
		look.Frames = &frames
		return look, true
	}
	q, err := unit.Read(n.Text(), unit.Unit(p.Measure.Unit), in)
	if err != nil {
		r.quantity(n, p.ID, err)
		return look, false
	}
	look.Value = &q
	return look, true
}

func (r *reader) detailed(n *source.Node, p checklist.Checkpoint) (Look, bool) {
	before := r.ds.Errors()
	var look Look
	b := r.look(&look, p)
	if n.Get("line").Kind() == source.Nothing {
		b.Fields = slices.DeleteFunc(b.Fields, func(f Field) bool { return f.Key == "against" })
	}
	r.block(n, b)
	answers := 0
	for _, key := range []string{"answer", "points", "line"} {
		if n.Get(key).Kind() != source.Nothing {
			answers++
		}
	}
	switch {
	case answers == 0:
		n.Fault(r.ds, "C333", "this look holds no answer", "", "add `answer: ...`, or `points: [[x, y], [x, y], [x, y]]`")
	case answers > 1:
		n.Fault(r.ds, "C339", "this look holds more than one answer", "", "write one of `answer`, `points` and `line`, and the other as a clip of its own")
	}
	if len(look.Points) > 0 || len(look.Line) > 0 {
		if _, err := look.Reading(p.Measure, r.height); err != nil && r.ds.Errors() == before {
			r.quantity(n, p.ID, err)
		}
	}
	return look, r.ds.Errors() == before
}

// clickError reads the coach's own error of one click.
func (r *reader) clickError(n *source.Node, l *Look) {
	if px, ok := n.Number(r.ds, "click"); ok {
		if l.Click = px; !(px > 0 && px <= 100) {
			n.Fault(r.ds, "C338", "the error of a click is a few pixels", "", "click the same points twice and take what they differ by")
		}
	}
}

// points reads clicked places.
func (r *reader) points(n *source.Node, p checklist.Checkpoint) []Point {
	if p.Measure == nil || Clicked(p.Measure) == "" {
		n.Fault(r.ds, "C334", fmt.Sprintf("`%s` is nothing that can be clicked", p.ID), "", r.takes(p))
		return nil
	}
	var out []Point
	for i, item := range n.Items() {
		if len(item.Items()) != 2 {
			item.Fault(r.ds, "C335", "a clicked point is two numbers", "", "write [x, y]")
			return nil
		}
		x, okX := item.Items()[0].Number(r.ds, "x")
		y, okY := item.Items()[1].Number(r.ds, "y")
		if !okX || !okY {
			return nil
		}
		out = append(out, Point{X: x, Y: y})
		if i%3 != 0 && out[i] == out[i-1] { // the fourth of six is the first of the next frame
			item.Fault(r.ds, "C337", "two clicked points are the same", "", "click each joint once")
			return nil
		}
	}
	if len(out) < 2 {
		n.Fault(r.ds, "C336", fmt.Sprintf("clicked points are a list of places, this is %s", n.Describe()), "", "click "+Clicked(p.Measure))
		return nil
	}
	return out
}

// takes says what a checkpoint accepts.
func (r *reader) takes(p checklist.Checkpoint) string {
	out := ""
	for _, a := range p.Answers {
		out += a.ID + ", "
	}
	if p.Measure != nil {
		out += "a number in " + p.Measure.Unit + ", "
		if p.Measure.MayBeFrames {
			out += "frames such as 33 frames @ 60, "
		}
	}
	return "it takes: " + out + CouldNotSee
}
