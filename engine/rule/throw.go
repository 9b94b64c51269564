package rule

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/source"
)

func (r *reader) demands() list[Demand] {
	return list[Demand]{name: Demands, of: func(b *Base) *[]Demand { return &b.Demands },
		rest: true, keys: []source.Key[Demand]{
			source.Text("adds", must, fixed, "", func(d *Demand) *string { return &d.Adds }),
			source.Texts("values", may, fixed, "", func(d *Demand) *[]string { return &d.Values }),
		}, check: func(e *entry, _ *source.Object, d *Demand, _ bool) bool {
			if len(d.Values) < 2 {
				r.fault(e.name, "B520", fmt.Sprintf("the demand `%s` needs at least two values", d.ID), "", "list them from free to demanding")
			}
			return true
		}}
}

func (r *reader) throws() list[Throw] {
	return list[Throw]{name: Throws, of: func(b *Base) *[]Throw { return &b.Throws },
		need: []string{"title", "source"}, keys: []source.Key[Throw]{
			source.Text("in_words", must, free, "how to do it", func(t *Throw) *string { return &t.InWords }).In(""),
			source.Reads("demands", must, free, "what the throw asks", source.Shape{Form: source.Pairs, Of: Demands},
				func(o *source.Object, t *Throw) { t.Demands = r.readDemandValues(o.Object("demands", "`demands`")) }).In("asks", r.asks),
			source.Reads("share", must, free, partOf, group(r.shares(false)), func(o *source.Object, t *Throw) {
				if n := o.Get("share"); n != nil {
					t.Share = r.readShare(n, false)
				}
			}).In("share", func(t *Throw) string { return t.Share.words() }),
			source.Reads("for", may, free, partOf, source.Each(source.Some, group(r.shares(true))),
				func(o *source.Object, t *Throw) { t.ByAge = r.readAgeShares(o.Get("for")) }).InLines((*Throw).sharesByAge),
			source.YesNo("high_effort", must, source.KeepYes, "counts as a pitch", func(t *Throw) *bool { return &t.HighEffort }).
				Because("a throw of high effort counts as a pitch").In("counts as a pitch"),
			source.YesNo("can_be_reference", must, free, "", func(t *Throw) *bool { return &t.CanBeReference }),
			source.YesNo("on_mound", must, source.KeepYes, "", func(t *Throw) *bool { return &t.OnMound }).Because("throws off the mound are counted").In("off a mound"),
			source.Number("effort", may, free, "effort asked of a throw that is not hard, in percent", func(t *Throw) *float64 { return &t.Effort }).
				As(source.Shape{Form: source.Amount, Low: 1, High: 100}),
			agesKey(func(t *Throw) *int { return &t.MinAge }),
		}, check: func(e *entry, _ *source.Object, t *Throw, _ bool) bool {
			r.honestThrow(e, t)
			return true
		}}
}

// agesKey reads for whom an entry is: from the youngest age on, 0 where it has none.
func agesKey[T any](at func(*T) *int) source.Key[T] {
	keys := []source.Key[T]{source.Count("min", may, source.Raise, "youngest age", at).Because("younger athletes are kept from it")}
	return source.Reads("ages", may, source.Inside, "for whom", group(keys), func(o *source.Object, x *T) {
		if in := o.Object("ages", "`ages`"); in != nil {
			source.Fill(in, keys, x, false)
			in.Close()
		}
	})
}

// group is the shape of a map with keys of its own.
func group[T any](keys []source.Key[T]) source.Shape {
	return source.Shape{Form: source.Group, Keys: source.Describe(keys)}
}

// asks tells what a throw asks beyond what is free.
func (r *reader) asks(t *Throw) string {
	var out []string
	for i, d := range r.b.Demands {
		if t.Demands[i] > 0 {
			out = append(out, strings.ReplaceAll(d.ID+": "+d.Values[t.Demands[i]], "_", " "))
		}
	}
	return strings.Join(out, ", ")
}

func (t *Throw) sharesByAge() []source.Line {
	var out []source.Line
	for _, s := range t.ByAge {
		out = append(out, source.Line{Label: fmt.Sprintf("share under %d years", s.AgeBelow), Text: s.words()})
	}
	return out
}

func (s Share) words() string { return fmt.Sprintf("%.1f to %.1f %%", 100*s.Low, 100*s.High) }

// readDemandValues reads what a throw asks, one value for every demand.
func (r *reader) readDemandValues(o *source.Object) []int {
	if o == nil {
		return nil
	}
	out := make([]int, len(r.b.Demands))
	for i, demand := range r.b.Demands {
		word := o.NeedOneOf(demand.ID, demand.Values)
		out[i] = max(0, slices.Index(demand.Values, word))
	}
	o.Close()
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

const partOf = "part of a full-effort running throw"

// The bounds of a share: above mostShare it is no share of a full-effort throw,
// and a band narrower than leastHalf each way would call every day a break.
const (
	mostShare = 1.10
	leastHalf = 0.006
	rounding  = 1e-9
)

func (r *reader) shares(byAge bool) []source.Key[Share] {
	part := source.Shape{Form: source.Amount, Low: 0, High: mostShare}
	keys := []source.Key[Share]{
		source.Number("low", must, free, "", func(s *Share) *float64 { return &s.Low }).As(part),
		source.Number("high", must, free, "", func(s *Share) *float64 { return &s.High }).As(part),
		sourceKey(r, may, func(s *Share) *string { return &s.Source }),
	}
	if byAge {
		keys = append(keys, source.Count("age_below", must, free, "years", func(s *Share) *int { return &s.AgeBelow }))
	}
	return keys
}

func (r *reader) readShare(n *source.Node, byAge bool) (s Share) {
	o, before := n.Object(&r.ds, "a share"), r.ds.Errors()
	source.Fill(o, r.shares(byAge), &s, false)
	o.Close()
	switch low, high := s.Low, s.High; {
	case r.ds.Errors() > before || low == 1 && high == 1:
	case low <= 0 || high > mostShare+rounding:
		r.fault(n, "B522", fmt.Sprintf("a share lies above 0 and not above %g, this is %g to %g", mostShare, low, high), "", "write it as a part of the running throw, such as 0.95")
	case low >= high:
		r.fault(n, "B523", fmt.Sprintf("`low` %g is not below `high` %g", low, high), "", "write the smaller share first")
	case (high-low)/2 < leastHalf-rounding:
		r.fault(n, "B524", fmt.Sprintf("the band %g to %g is too narrow to tell a break from a day", low, high), "", fmt.Sprintf("widen it to at least %g each way", leastHalf))
	}
	return s
}

func (r *reader) drills() list[Drill] {
	slopes := []string{"flat", "slope", "either"}
	return list[Drill]{name: Drills, of: func(b *Base) *[]Drill { return &b.Drills },
		need: []string{"title", "why", "source", "since"}, check: r.checkDrill, keys: []source.Key[Drill]{
			source.Text("how", must, free, "", func(d *Drill) *string { return &d.How }).In(""),
			source.Text("cue", must, free, "something to do to the ball, the ground or the target", func(d *Drill) *string { return &d.Cue }).In("cue"),
			source.Reads("cue_source", may, free, "", source.Shape{}, func(o *source.Object, d *Drill) { d.CueSource = r.cueSource(o) }),
			refsKey(r, must, "factors", "", func(d *Drill) *[]string { return &d.Factors }, Factors).In("for"),
			source.Reads("loads", may, source.More, "parts with a screen that it asks most of",
				source.Each(source.Some, source.Shape{Form: source.Choice, Words: Screened()}), func(o *source.Object, d *Drill) {
					for _, n := range o.Texts("loads") {
						if part := n.OneOf(&r.ds, "loads", Screened()); part != "" {
							d.Loads = append(d.Loads, part)
						}
					}
				}).Because("a failed screen takes the drills out that load that part").
				In("loads", func(d *Drill) string { return strings.Join(d.Loads, ", ") }),
			source.Count("step", must, free, "within a factor, 1 is the easiest to feel", func(d *Drill) *int { return &d.Step }).In("step"),
			source.Number("effort", must, source.Raise, "effort asked, in percent", func(d *Drill) *float64 { return &d.Effort }).
				As(source.Shape{Form: source.Amount, Low: 0, High: 100}).Because("it is counted by the effort it asks"),
			source.Reads("dose", must, free, "", group(doses()), func(o *source.Object, d *Drill) { r.readDose(o, d) }).In("dose", (*Drill).dose),
			source.Texts("equipment", may, free, "", func(d *Drill) *[]string { return &d.Equipment }).In("equipment"),
			source.OneOf("slope", must, free, "", slopes, func(d *Drill) *string { return &d.Slope }),
			source.Reads("put_back", must, free, "", ids(Throws), func(o *source.Object, d *Drill) {
				if n := o.Get("put_back"); n != nil {
					d.PutBack = r.throwRef(n)
				}
			}).In("put back", func(d *Drill) string {
				return fmt.Sprintf("%d whole throws of %s straight after", d.PutBackThrows, d.PutBack)
			}),
			source.Count("put_back_throws", must, free, "", func(d *Drill) *int { return &d.PutBackThrows }),
			source.Text("exit", must, free, "the test that says it is learned", func(d *Drill) *string { return &d.Exit }).In("learned when"),
			agesKey(func(d *Drill) *int { return &d.MinAge }).In("from", (*Drill).from),
			source.YesNo("weighted", may, source.KeepYes, "", func(d *Drill) *bool { return &d.Weighted }).Because("weighted implements have an age limit"),
			source.Text("not_with", may, source.AtEnd, "", func(d *Drill) *string { return &d.NotWith }).In("not with"),
		}}
}

// doses are the keys of a dose.
func doses() []source.Key[Drill] {
	return []source.Key[Drill]{
		source.Count("sets", must, free, "", func(d *Drill) *int { return &d.Sets }),
		source.Count("throws", must, free, "a set; 0 for a move without a ball", func(d *Drill) *int { return &d.Throws }),
		source.Count("reps", may, free, "moves a set", func(d *Drill) *int { return &d.Reps }),
	}
}

func (d *Drill) dose() string {
	if d.Throws == 0 {
		return fmt.Sprintf("%d sets of %d, no throw", d.Sets, d.Reps)
	}
	return fmt.Sprintf("%d sets of %d throws at %g %% effort, %s", d.Sets, d.Throws, d.Effort,
		map[string]string{"flat": "on flat ground", "slope": "on the slope", "either": "flat or on the slope"}[d.Slope])
}

func (d *Drill) from() string {
	if d.MinAge == 0 {
		return ""
	}
	return fmt.Sprintf("%d years", d.MinAge)
}

func (r *reader) readDose(o *source.Object, d *Drill) {
	dose := o.Object("dose", "`dose`")
	if dose == nil {
		return
	}
	source.Fill(dose, doses(), d, false)
	r.boundedDose(dose, "sets", mostSets, d.Sets)
	r.boundedDose(dose, "throws", mostThrows, d.Throws)
	r.boundedDose(dose, "reps", mostReps, d.Reps)
	dose.Close()
}

// checkDrill drops a drill whose factors a house has all switched off.
func (r *reader) checkDrill(e *entry, o *source.Object, d *Drill, sound bool) bool {
	r.boundedDose(o, "put_back_throws", mostThrows, d.PutBackThrows)
	if n := o.Get("effort"); d.Effort < 0 || d.Effort > 100 {
		r.fault(n, "B525", fmt.Sprintf("an effort lies between 0 and 100 %%, this is %g", d.Effort), "", "write the effort asked, in percent")
	}
	if len(d.Factors) == 0 && len(o.Texts("factors")) > 0 && sound {
		return false
	}
	r.honestDrill(e, d)
	return true
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

// throwRef reads the id of a throw that must be there: without it a plan would
// have a hole.
func (r *reader) throwRef(n *source.Node) string {
	id, ok := r.ref(n, Throws)
	if c, off := r.section(Throws).disabled[strings.TrimSpace(n.Text())]; !ok && off {
		r.fault(n, "O416", fmt.Sprintf("the throw `%s` is needed here and was switched off", id), "", "set another put_back: for this drill, or keep the throw", "it is off since "+at(c.Place))
	}
	return id
}
