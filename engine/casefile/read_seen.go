package casefile

import (
	"fmt"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// seen reads the observations, in the order of the throw and then of the file.
func (r *reader) seen(o *source.Object) {
	s := o.Object("seen", "what was seen")
	if s == nil {
		return
	}
	for _, p := range r.v.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue // told rung by rung
		}
		for _, f := range s.Fields(p.ID) {
			throw := r.throw(f.Key)
			looks := r.looks(f.Value, p)
			if throw != "" && len(looks) > 0 {
				r.c.Seen = append(r.c.Seen, Observation{Checkpoint: p.ID, Throw: throw, Looks: looks, Place: f.Value.Place()})
			}
		}
	}
	s.Close()
}

func (r *reader) looks(n *source.Node, p checklist.Checkpoint) []Look {
	if n.Kind() != source.List {
		if look, ok := r.look(n, p); ok {
			return []Look{look}
		}
		return nil
	}
	var out []Look
	for _, item := range n.Items() {
		if look, ok := r.look(item, p); ok {
			out = append(out, look)
		}
	}
	return out
}

// look reads one clip's answer, short or with its details.
func (r *reader) look(n *source.Node, p checklist.Checkpoint) (Look, bool) {
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
	for _, a := range p.Answers {
		if a.ID == text {
			look.Answer = text
			return look, true
		}
	}
	if p.Measure != nil && numeric(text) {
		return r.measured(n, p, look)
	}
	ids := make([]string, 0, len(p.Answers)+1)
	for _, a := range p.Answers {
		ids = append(ids, a.ID)
	}
	help := r.takes(p)
	if near, ok := diag.Nearest(text, append(ids, CouldNotSee)); ok {
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
	o := n.Object(r.ds, "a look")
	var look Look
	if a := o.Get("answer"); a != nil {
		look, _ = r.look(a, p)
	}
	look.Points, look.Line = r.points(o.Get("points"), p), r.points(o.Get("line"), p)
	if o.Has("line") {
		look.Against = r.points(o.Get("against"), p)
	}
	if !o.Has("answer") && !o.Has("points") && !o.Has("line") {
		n.Fault(r.ds, "C333", "this look holds no answer", "", "add `answer: ...`, or `points: [[x, y], [x, y], [x, y]]`")
	}
	if o.Has("answer") && (o.Has("points") || o.Has("line")) || o.Has("points") && o.Has("line") {
		n.Fault(r.ds, "C339", "this look holds more than one answer", "", "write one of `answer`, `points` and `line`, and the other as a clip of its own")
	}
	r.clicked(o, &look)
	r.camera(o, &look)
	if sure, known := o.YesNo("sure"); known {
		look.Unsure = !sure
	}
	look.Clip, look.At, look.By, look.Note = o.Text("clip"), o.Text("at"), o.Text("by"), o.Text("note")
	look.Place = n.Place()
	o.Close()
	if len(look.Points) > 0 || len(look.Line) > 0 {
		if _, err := look.Reading(p.Measure, r.height); err != nil && r.ds.Errors() == before {
			r.quantity(n, p.ID, err)
		}
	}
	return look, r.ds.Errors() == before
}

// clicked reads what belongs to points: the side that plus points to, the scale
// and the coach's own click error.
func (r *reader) clicked(o *source.Object, look *Look) {
	if side := o.Get("toward"); side != nil && r.choice(side, "toward", side.Text(), Sides()) {
		look.Toward = SideOf(side.Text())
	}
	if scale := o.Get("scale"); scale != nil {
		var err error
		if look.Scale, err = ScaleOf(scale.Text()); err != nil {
			r.quantity(scale, "scale", err)
		}
	}
	if px, ok := o.Number("click"); ok {
		if look.Click = px; !(px > 0 && px <= 100) {
			o.Get("click").Fault(r.ds, "C338", "the error of a click is a few pixels", "", "click the same points twice and take what they differ by")
		}
	}
}

// camera reads how and when the clip was filmed.
func (r *reader) camera(o *source.Object, look *Look) {
	if fps := o.Get("fps"); fps != nil {
		var err error
		if look.FPS, err = unit.ParseRate(fps.Text()); err != nil {
			r.quantity(fps, "fps", err)
		}
	}
	if off := o.Get("off_square"); off != nil {
		q, err := unit.Read(off.Text(), unit.Deg, unit.Range{Low: -90, High: 90})
		if err != nil {
			r.quantity(off, "off_square", err)
		}
		look.OffSquare = &q.Value
	}
	look.On = r.pastDate(o, "on")
}

// points reads clicked places.
func (r *reader) points(n *source.Node, p checklist.Checkpoint) []Point {
	if n == nil {
		return nil
	}
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
