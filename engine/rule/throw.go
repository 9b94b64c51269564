package rule

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

func (r *reader) readDemands() {
	for _, e := range r.section(Demands).entries {
		o := r.open(e, Demands)
		d := Demand{Entry: r.common(e, o), Adds: o.NeedText("adds")}
		for _, n := range o.Texts("values") {
			d.Values = append(d.Values, n.Text())
		}
		if o.Close(); len(d.Values) < 2 {
			r.fault(e.name, "B520", fmt.Sprintf("the demand `%s` needs at least two values", d.ID), "", "list them from free to demanding")
		}
		r.b.Demands = append(r.b.Demands, d)
	}
}

func (r *reader) readThrows() {
	for _, e := range r.section(Throws).entries {
		o := r.open(e, Throws)
		t := Throw{Entry: r.common(e, o, "title", "source"), InWords: o.NeedText("in_words")}
		t.Demands = r.readDemandValues(o)
		if share := o.Need("share"); share != nil {
			t.Share = r.readShare(share, false)
		}
		t.ByAge = r.readAgeShares(o.Get("for"))
		t.HighEffort, t.CanBeReference, t.OnMound = r.needYesNo(o, "high_effort"), r.needYesNo(o, "can_be_reference"), r.needYesNo(o, "on_mound")
		t.Effort, _ = o.Number("effort")
		t.MinAge = r.minAge(o)
		o.Close()
		r.honestThrow(e, &t)
		r.b.Throws = append(r.b.Throws, t)
	}
	if len(r.b.Throws) == 0 {
		r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: r.o.RulesPath}, Code: "B521", Headline: "the rule base has no throws"})
	}
}

// minAge reads the youngest age of an entry, 0 where it has none.
func (r *reader) minAge(o *source.Object) (years int) {
	if ages := o.Object("ages", "`ages`"); ages != nil {
		years, _ = ages.Count("min")
		ages.Close()
	}
	return years
}

func (r *reader) needYesNo(o *source.Object, key string) bool {
	o.Need(key)
	yes, _ := o.YesNo(key)
	return yes
}

// readDemandValues reads what a throw asks, one value for every demand.
func (r *reader) readDemandValues(o *source.Object) []int {
	node := o.Need("demands")
	if node == nil {
		return nil
	}
	d := node.Object(&r.ds, "`demands`")
	out := make([]int, len(r.b.Demands))
	for i, demand := range r.b.Demands {
		word := d.NeedOneOf(demand.ID, demand.Values)
		out[i] = max(0, slices.Index(demand.Values, word))
	}
	d.Close()
	return out
}

func (r *reader) readAgeShares(n *source.Node) []Share {
	items := n.Items()
	if n.Kind() == source.Map {
		items = []*source.Node{n}
	}
	var out []Share
	for _, item := range items {
		out = append(out, r.readShare(item, true))
	}
	return out
}

// The bounds of a share: above mostShare it is no share of a full-effort throw,
// and a band narrower than leastHalf each way would call every day a break.
const (
	mostShare = 1.10
	leastHalf = 0.006
	rounding  = 1e-9
)

func (r *reader) readShare(n *source.Node, byAge bool) Share {
	o := n.Object(&r.ds, "a share")
	o.Need("low")
	o.Need("high")
	low, okLow := o.Number("low")
	high, okHigh := o.Number("high")
	s := Share{Low: low, High: high, Source: r.source(o.Get("source"))}
	if byAge {
		o.Need("age_below")
		s.AgeBelow, _ = o.Count("age_below")
	}
	if o.Close(); !okLow || !okHigh || low == 1 && high == 1 {
		return s
	}
	switch {
	case low <= 0 || high > mostShare+rounding:
		r.fault(n, "B522", fmt.Sprintf("a share lies above 0 and not above %g, this is %g to %g", mostShare, low, high), "", "write it as a part of the running throw, such as 0.95")
	case low >= high:
		r.fault(n, "B523", fmt.Sprintf("`low` %g is not below `high` %g", low, high), "", "write the smaller share first")
	case (high-low)/2 < leastHalf-rounding:
		r.fault(n, "B524", fmt.Sprintf("the band %g to %g is too narrow to tell a break from a day", low, high), "", fmt.Sprintf("widen it to at least %g each way", leastHalf))
	}
	return s
}

func (r *reader) readDrills() {
	for _, e := range slices.Clone(r.section(Drills).entries) {
		o := r.open(e, Drills)
		d := Drill{Entry: r.common(e, o, "title", "why", "source", "since"), How: o.NeedText("how"), Cue: o.NeedText("cue"),
			CueSource: r.cueSource(o), Exit: o.NeedText("exit"), NotWith: o.Text("not_with"),
			Slope: o.NeedOneOf("slope", []string{"flat", "slope", "either"})}
		dropped := r.readDrillFactors(o, &d)
		for _, n := range o.Texts("loads") {
			if part := n.OneOf(&r.ds, "loads", Screened()); part != "" {
				d.Loads = append(d.Loads, part)
			}
		}
		r.readDose(o, &d)
		for _, n := range o.Texts("equipment") {
			d.Equipment = append(d.Equipment, n.Text())
		}
		if n := o.Need("put_back"); n != nil {
			d.PutBack = r.throwRef(n)
		}
		d.PutBackThrows = r.needCount(o, "put_back_throws")
		r.boundedDose(o, "put_back_throws", mostThrows, d.PutBackThrows)
		d.MinAge = r.minAge(o)
		d.Weighted, _ = o.YesNo("weighted")
		if o.Close(); dropped {
			r.drop(Drills, e)
			continue
		}
		r.honestDrill(e, &d)
		r.b.Drills = append(r.b.Drills, d)
	}
}

// Screened lists the parts of the body that have a screen of their own, such as
// screen.hip_screen.
func Screened() []string { return []string{"hip", "trunk"} }

// cueSource reads where a cue comes from: the key of a source, or a citation
// written out.
func (r *reader) cueSource(o *source.Object) string {
	if n := o.Get("cue_source"); snake.MatchString(n.Text()) {
		return r.source(n)
	}
	return o.Text("cue_source")
}

// readDrillFactors reads what a drill is for; one whose factors a house has all
// switched off is dropped.
func (r *reader) readDrillFactors(o *source.Object, d *Drill) (dropped bool) {
	o.Need("factors")
	before := r.ds.Errors()
	nodes := o.Texts("factors")
	for _, n := range nodes {
		if id, ok := r.ref(n, Factors); ok {
			d.Factors = append(d.Factors, id)
		}
	}
	return len(nodes) > 0 && len(d.Factors) == 0 && r.ds.Errors() == before
}

func (r *reader) readDose(o *source.Object, d *Drill) {
	d.Step = r.needCount(o, "step")
	if n := o.Need("effort"); n != nil {
		d.Effort, _ = n.Number(&r.ds, "effort")
		if d.Effort < 0 || d.Effort > 100 {
			r.fault(n, "B525", fmt.Sprintf("an effort lies between 0 and 100 %%, this is %g", d.Effort), "", "write the effort asked, in percent")
		}
	}
	o.Need("dose")
	dose := o.Object("dose", "`dose`")
	if dose == nil {
		return
	}
	d.Sets, d.Throws = r.needCount(dose, "sets"), r.needCount(dose, "throws")
	d.Reps, _ = dose.Count("reps")
	r.boundedDose(dose, "sets", mostSets, d.Sets)
	r.boundedDose(dose, "throws", mostThrows, d.Throws)
	r.boundedDose(dose, "reps", mostReps, d.Reps)
	dose.Close()
}

func (r *reader) needCount(o *source.Object, key string) int {
	o.Need(key)
	n, _ := o.Count(key)
	return n
}

// throwRef reads the id of a throw that must be there: without it a plan would
// have a hole.
func (r *reader) throwRef(n *source.Node) string {
	id, ok := r.ref(n, Throws)
	if c, off := r.section(Throws).disabled[strings.TrimSpace(n.Text())]; !ok && off {
		r.fault(n, "O416", fmt.Sprintf("the throw `%s` is needed here and was switched off", id), "", "set another put_back: for this drill, or keep the throw", "it is off since "+at(c.Place))
	}
	return id
}
