package observe

import (
	"fmt"
	"slices"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/ladder"
	"rungwise/engine/rule"
)

// trainedFrom is the age from which throws scatter as those of trained
// pitchers do (house default); an unknown age scatters as the young do.
const trainedFrom = 15

// surely is the chance from which on it counts as known what a break takes.
const surely = 0.8

func (o *observer) ladder() error {
	l := o.c.Ladder()
	if l == nil || len(l.Rungs) == 0 {
		o.word("ladder.verdict", ladder.NotThrown)
		o.f.Ladder.Verdict = ladder.Verdict{Kind: ladder.NotThrown, Rung: -1, Next: -1, After: -1}
		return nil
	}
	o.f.Ladder.Thrown = true
	o.rungs(l)
	v, err := ladder.Judge(o.numbers(l), ladder.Defaults())
	if err != nil {
		return err
	}
	o.f.Ladder.Verdict = v
	o.flags(l)
	o.lost()
	o.ladderFacts()
	return nil
}

// rungs puts the rungs in order: the reference drill first, the others as they
// stand in the file.
func (o *observer) rungs(l *casefile.Ladder) {
	rungs := slices.Clone(l.Rungs)
	first := slices.IndexFunc(rungs, func(r casefile.Rung) bool { return r.Throw == o.c.Reference.Throw })
	if first > 0 {
		reference := rungs[first]
		rungs = slices.Insert(slices.Delete(rungs, first, first+1), 0, reference)
		o.f.Ladder.Flags = append(o.f.Ladder.Flags, "rungs stand before the reference drill; they were read after it")
	}
	for _, r := range rungs {
		t, ok := o.b.Throw(r.Throw)
		if !ok {
			continue // the file was read with the base's names
		}
		out := Rung{Rung: r, Throw: *t}
		if n := len(o.f.Ladder.Rungs); n > 0 {
			out.Adds = o.added(o.f.Ladder.Rungs[n-1].Throw, *t)
		}
		o.f.Ladder.Rungs = append(o.f.Ladder.Rungs, out)
	}
}

// added lists the demands in which two throws differ.
func (o *observer) added(from, to rule.Throw) []string {
	var out []string
	for i, d := range o.b.Demands {
		if from.Demands[i] != to.Demands[i] {
			out = append(out, d.ID)
		}
	}
	return out
}

// numbers is the ladder without its words.
func (o *observer) numbers(l *casefile.Ladder) ladder.Ladder {
	age, known := o.age()
	out := ladder.Ladder{Trained: known && age >= trainedFrom}
	for _, r := range o.f.Ladder.Rungs {
		share := r.Throw.ShareFor(age, known)
		out.Rungs = append(out.Rungs, ladder.Rung{Throw: r.Throw.ID, Share: ladder.Share{Low: share.Low, High: share.High},
			Speeds: r.Speeds, Marks: r.Marks, OneMark: r.OneMark})
	}
	if len(l.Again) > 0 {
		out.Again = []ladder.Again{{Rung: 0, Speeds: l.Again}}
	}
	return out
}

// flags tells what about the readings themselves needs a look.
func (o *observer) flags(l *casefile.Ladder) {
	f := &o.f.Ladder
	guns := map[string]bool{}
	for _, r := range f.Rungs {
		if gun := orElse(r.Gun, l.Gun); gun != "" {
			guns[gun] = true
		}
	}
	if len(guns) > 1 {
		f.Flags = append(f.Flags, "more than one radar gun on one ladder: two guns differ by about 0.9 mph, so compare rungs of one gun only")
	}
	for i, r := range f.Verdict.Rungs {
		for _, v := range r.Misreads {
			f.Flags = append(f.Flags, fmt.Sprintf("%.1f mph at %s looks like a misread and was left out: please confirm", v, f.Rungs[i].Throw.Title))
		}
	}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// lost works out which demands the break goes with.
func (o *observer) lost() {
	f := &o.f.Ladder
	v := f.Verdict
	if v.Kind != ladder.Stuck && v.Kind != ladder.Range {
		return
	}
	good := max(v.After, 0)
	if v.Rung > 0 {
		f.Lost = o.added(f.Rungs[good].Throw, f.Rungs[v.Rung].Throw)
	}
	f.Break = make([]float64, len(o.b.Demands))
	last := 0
	for i := 1; i < len(f.Rungs); i++ {
		if !v.Rungs[i].Tested {
			continue
		}
		o.spread(o.added(f.Rungs[last].Throw, f.Rungs[i].Throw), v.PBreak[i])
		last = i
	}
	total := 0.0
	for _, p := range f.Break {
		total += p
	}
	if total == 0 {
		f.Break = nil
		return
	}
	for i := range f.Break {
		f.Break[i] /= total
	}
}

// spread shares a chance evenly among demands.
func (o *observer) spread(demands []string, chance float64) {
	for i, d := range o.b.Demands {
		if slices.Contains(demands, d.ID) {
			o.f.Ladder.Break[i] += chance / float64(len(demands))
		}
	}
}

func (o *observer) ladderFacts() {
	f := &o.f.Ladder
	v := f.Verdict
	o.word("ladder.verdict", v.Kind)
	found := v.Kind == ladder.Stuck || v.Kind == ladder.Range
	if v.Kind != ladder.NotEnough {
		o.set("ladder.found", fact.Bool(found))
		o.set("ladder.probability", fact.Num(v.Probability))
	}
	if !found || v.Rung < 0 {
		return
	}
	if len(f.Lost) == 1 {
		o.word("ladder.lost", f.Lost[0])
	}
	r := v.Rungs[v.Rung]
	if r.N > 0 && r.Ratio > 0 {
		o.set("ladder.gap_percent", fact.Num(r.Drop))
	}
	if r.Marks > 0 {
		o.set("ladder.pattern_held", fact.Num(100*r.Held))
	}
	if almost, known := v.Almost(); known {
		o.set("ladder.almost", fact.Bool(almost))
	}
	o.likely("ladder.speed_lost", v.SpeedLost)
	o.likely("ladder.pattern_lost", v.PatternLost)
	o.rungFacts(v.Rung)
}

// likely sets a yes/no fact from a chance, where it is sure enough.
func (o *observer) likely(name string, chance float64) {
	switch {
	case chance >= surely:
		o.set(name, fact.Bool(true))
	case chance <= 1-surely:
		o.set(name, fact.Bool(false))
	}
}

// rungFacts tells what was reported at the stuck rung.
func (o *observer) rungFacts(at int) {
	rungs := o.f.Ladder.Rungs
	r := rungs[at]
	if r.Effort != nil {
		o.set("rung.effort", fact.Num(*r.Effort))
		if first := rungs[0].Effort; first != nil && at > 0 {
			o.set("rung.effort_drop", fact.Num(*first-*r.Effort))
		}
	}
	o.word("rung.miss", r.Miss)
	o.word("rung.focus", r.Focus)
	if r.Hits != nil {
		o.set("rung.hits", fact.Num(100*float64(r.Hits.Hit)/float64(r.Hits.Of)))
	}
	o.word("rung.net_miss", o.netMiss(at))
}

// netMiss is where the ball went at the last rung that had only a net to hit,
// before the stuck one.
func (o *observer) netMiss(at int) string {
	rungs := o.f.Ladder.Rungs
	if rungs[at].NetMiss != "" {
		return rungs[at].NetMiss
	}
	aim := slices.IndexFunc(o.b.Demands, func(d rule.Demand) bool { return d.ID == "aim" })
	if aim < 0 || rungs[at].Throw.Demands[aim] == 0 {
		return ""
	}
	for i := at - 1; i >= 0; i-- {
		if rungs[i].Throw.Demands[aim] == 0 {
			return rungs[i].Miss
		}
	}
	return ""
}
