package casefile

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"

	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// ladders reads one ladder, or a list of them by date.
func (r *reader) ladders(n *source.Node) {
	switch n.Kind() {
	case source.Nothing:
	case source.List:
		for _, item := range n.Items() {
			r.c.Ladders = append(r.c.Ladders, r.ladder(item))
		}
		sort.SliceStable(r.c.Ladders, func(i, j int) bool { return r.c.Ladders[i].On.Before(r.c.Ladders[j].On) })
	default:
		r.c.Ladders = append(r.c.Ladders, r.ladder(n))
	}
}

func (r *reader) ladder(n *source.Node) Ladder {
	o := n.Object(r.ds, "a ladder")
	l := Ladder{On: r.pastDate(o, "on"), Place: n.Place()}
	if g := o.Object("gun", "the radar gun"); g != nil {
		l.Gun = g.Text("name")
		l.Step = r.step(g)
		g.Close()
	}
	in := r.unitOf(o, unit.MPH)
	first := map[string]*source.Node{}
	for _, item := range o.Items("rungs") {
		rung, at := r.rung(item, in)
		if before := first[rung.Throw]; before != nil && rung.Throw != "" {
			at.Fault(r.ds, "C320", fmt.Sprintf("`%s` stands twice on this ladder", rung.Throw),
				fmt.Sprintf("also on line %d", before.Place().Line), "put its throws together on one rung")
		}
		first[rung.Throw] = at
		l.Rungs = append(l.Rungs, rung)
	}
	l.Again = r.speeds(o, "again", in)
	l.More = len(o.Texts("again")) - len(l.Again)
	if len(l.Rungs) == 0 {
		o.Need("rungs")
	}
	o.Close()
	return l
}

func (r *reader) step(g *source.Object) float64 {
	n := g.Get("step")
	if n == nil {
		return 0
	}
	q, err := unit.Read(n.Text(), unit.MPH, unit.Range{Low: 0.01, High: 5})
	if err != nil {
		r.quantity(n, "step", err)
		return 0
	}
	return q.Value
}

// rung reads one rung; the node is that of its throw, for faults found later.
func (r *reader) rung(n *source.Node, in unit.Unit) (Rung, *source.Node) {
	o := n.Object(r.ds, "a rung")
	out := Rung{Place: n.Place()}
	at := n
	if t := o.Need("throw"); t != nil {
		out.Throw, at = r.throw(t), t
	}
	out.Unit = r.unitOf(o, in)
	out.Speeds = r.speeds(o, "speeds", out.Unit)
	out.Marks, out.OneMark = r.marks(o)
	out.Effort = r.effort(o)
	out.Miss = r.option(o, "miss", "release_miss")
	out.NetMiss = r.option(o, "net_miss", "release_miss")
	out.Focus = r.option(o, "focus", "focus_reported")
	out.Hits = r.hits(o)
	out.Gun = o.Text("gun")
	out.Throws = max(len(o.Texts("speeds")), len(o.Texts("held")))
	if out.Hits != nil {
		out.Throws = max(out.Throws, out.Hits.Of)
	}
	o.Close()
	return out, at
}

func (r *reader) effort(o *source.Object) *float64 {
	n := o.Get("effort")
	if n == nil {
		return nil
	}
	q, err := unit.Read(n.Text(), unit.Percent, unit.Range{Low: 1, High: 100})
	if err != nil {
		r.quantity(n, "effort", err)
		return nil
	}
	return &q.Value
}

// option reads one of the answers of a checkpoint that is told rung by rung.
func (r *reader) option(o *source.Object, key, checkpoint string) string {
	n := o.Get(key)
	if n == nil || n.Text() == CouldNotSee {
		return ""
	}
	p, ok := r.v.Checklist.Checkpoint(checkpoint)
	if !ok {
		return ""
	}
	ids := make([]string, len(p.Answers))
	for i, a := range p.Answers {
		ids[i] = a.ID
	}
	if !r.choice(n, key, n.Text(), ids) {
		return ""
	}
	return n.Text()
}

// marks reads whether the pattern held: one word for the rung, or one a throw.
func (r *reader) marks(o *source.Object) (marks []float64, one bool) {
	n := o.Get("held")
	for _, item := range o.Texts("held") {
		word, ok := ReadMark(item.Text())
		if !ok {
			r.choice(item, "held", item.Text(), []string{"yes", "partly", "no", CouldNotSee})
			continue
		}
		switch word {
		case "yes":
			marks = append(marks, Held)
		case "partly":
			marks = append(marks, Partly)
		case "no":
			marks = append(marks, NotHeld)
		}
	}
	return marks, n.Kind() == source.Scalar && len(marks) == 1
}

var hitsPattern = regexp.MustCompile(`^(\d{1,4}) of (\d{1,4})$`)

func (r *reader) hits(o *source.Object) *Hits {
	n := o.Get("hits")
	if n == nil {
		return nil
	}
	m := hitsPattern.FindStringSubmatch(n.Text())
	if m == nil {
		n.Fault(r.ds, "C321", fmt.Sprintf("`hits` counts hits of attempts, this is %s", n.Describe()), "", "write it like `6 of 10`")
		return nil
	}
	hit, _ := strconv.Atoi(m[1]) // four digits always read
	of, _ := strconv.Atoi(m[2])
	if of == 0 || hit > of {
		n.Fault(r.ds, "C322", "more hits than attempts", "", "write hits first, attempts after `of`")
		return nil
	}
	if !r.believed(n, float64(of), dayBound()) {
		return nil
	}
	return &Hits{hit, of}
}

// Rung returns the rung of a throw, or nil.
func (l *Ladder) Rung(throw string) *Rung {
	i := slices.IndexFunc(l.Rungs, func(r Rung) bool { return r.Throw == throw })
	if i < 0 {
		return nil
	}
	return &l.Rungs[i]
}
