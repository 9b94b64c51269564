package observe

import (
	"fmt"
	"slices"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/ladder"
	"rungwise/engine/rule"
)

// Ladder is the newest ladder with its verdict. Rungs are the throws that were
// thrown and those that belong between them and on to the game.
type Ladder struct {
	Thrown  bool
	On      time.Time // its last day; zero = not told
	Verdict ladder.Verdict
	Rungs   []Rung
	Numbers ladder.Ladder // what the verdict was read from
	Steps   []ladder.Step // between the rungs
	Lost    []string      // demands added between the last good rung and the stuck one
	Break   []float64     // chance by demand that the pattern goes there; nil = not known
	Flags   []string
	Earlier *Earlier // the ladder before it, nil = there is none
}

// Earlier is a ladder of weeks ago.
type Earlier struct {
	On      time.Time
	Numbers ladder.Ladder
}

// Rung is one rung of the ladder beside its throw.
type Rung struct {
	casefile.Rung
	Throw rule.Throw
	Adds  []string // demands it adds to the rung before, by id
	Open  bool     // it may be asked for at the athlete's age
}

// trainedFrom is the age from which throws scatter as those of trained
// pitchers do (house default); an unknown age scatters as the young do.
const trainedFrom = 15

// surely is the chance from which on it counts as known what a break takes.
const surely = 0.8

func (o *observer) ladder() error {
	days, rest := o.ladderOf(o.c.Ladders)
	if len(days) == 0 {
		o.word("ladder.verdict", ladder.NotThrown)
		o.f.Ladder.Verdict = ladder.Verdict{Kind: ladder.NotThrown, Rung: -1, Next: -1, After: -1}
		return nil
	}
	f := &o.f.Ladder
	f.Thrown, f.On = true, days[len(days)-1].On
	thrown, moved := o.thrown(days)
	if moved {
		f.Flags = append(f.Flags, "rungs stand before the reference drill; they were read after it")
	}
	if err := o.rungs(thrown, len(days) > 1); err != nil {
		return err
	}
	f.Numbers = o.numbers(days, f.Rungs)
	v, err := ladder.Judge(f.Numbers, ladder.Defaults())
	if err != nil {
		return err
	}
	f.Verdict = v
	before, _ := o.ladderOf(rest)
	if len(before) > 0 {
		rungs, _ := o.thrown(before)
		f.Earlier = &Earlier{On: before[len(before)-1].On, Numbers: o.numbers(before, rungs)}
	}
	o.flags(days, before)
	o.lost()
	o.ladderFacts()
	return nil
}

// OneLadder is how many days a ladder may be spread over (house default): days of
// it hold different rungs, and each holds the reference drill. While they last a
// ladder may be gone on with.
const OneLadder = 7

// ladderOf takes the newest ladder off a list by date, with the days before it
// over which it was split, and returns what is left.
func (o *observer) ladderOf(all []casefile.Ladder) (days, rest []casefile.Ladder) {
	for len(all) > 0 && len(all[len(all)-1].Rungs) == 0 {
		all = all[:len(all)-1]
	}
	if len(all) == 0 {
		return nil, nil
	}
	n := len(all) - 1
	newest := all[n]
	for n > 0 && o.goesOn(all[n-1], all[n:], newest.On) {
		n--
	}
	return all[n:], all[:n]
}

// goesOn reports whether a day's rungs belong to the ladder of later days.
func (o *observer) goesOn(day casefile.Ladder, later []casefile.Ladder, until time.Time) bool {
	reference := o.c.Reference.Throw
	if day.On.IsZero() || until.Sub(day.On) > OneLadder*24*time.Hour || until.Equal(day.On) || day.Rung(reference) == nil {
		return false
	}
	return !slices.ContainsFunc(later, func(l casefile.Ladder) bool {
		return l.Rung(reference) == nil || slices.ContainsFunc(l.Rungs, func(r casefile.Rung) bool {
			return r.Throw != reference && day.Rung(r.Throw) != nil
		})
	})
}

// thrown lists the rungs of the file: the reference drill first, the others as
// they stand there, those of several days as the catalogue has them. moved says
// that others stood before the reference.
func (o *observer) thrown(days []casefile.Ladder) (rungs []Rung, moved bool) {
	for d, l := range days {
		for _, r := range l.Rungs {
			t, ok := o.b.Throw(r.Throw) // the file was read with the base's names
			if ok && (d == 0 || r.Throw != o.c.Reference.Throw) {
				rungs = append(rungs, Rung{Rung: r, Throw: *t})
			}
		}
	}
	if len(days) > 1 {
		place := func(r Rung) int {
			return slices.IndexFunc(o.b.Throws, func(t rule.Throw) bool { return t.ID == r.Throw.ID })
		}
		slices.SortStableFunc(rungs, func(a, b Rung) int { return place(a) - place(b) })
	}
	if first := slices.IndexFunc(rungs, func(r Rung) bool { return r.Throw.ID == o.c.Reference.Throw }); first > 0 {
		reference := rungs[first]
		return slices.Insert(slices.Delete(rungs, first, first+1), 0, reference), len(days) == 1
	}
	return rungs, false
}

// rungs builds the ladder through the thrown rungs: what was not thrown between
// them and on to the game is on it too, so that a break is only said to lie where
// it was looked for.
func (o *observer) rungs(thrown []Rung, split bool) error {
	f := &o.f.Ladder
	if len(thrown) == 0 {
		return nil
	}
	ids := make([]string, len(thrown))
	for i, r := range thrown {
		ids[i] = r.Throw.ID
	}
	age, known := o.age()
	built, err := BuildLadder(o.b, func(t rule.Throw) bool { return t.For(age, known) }, ids[0], ids[1:], ids)
	if err != nil {
		return err
	}
	f.Steps = built.Steps
	for _, id := range built.Throws {
		t, _ := o.b.Throw(id)
		out := Rung{Rung: casefile.Rung{Throw: id}, Throw: *t}
		if i := slices.Index(ids, id); i >= 0 {
			out = thrown[i]
		}
		out.Open = t.For(age, known)
		if n := len(f.Rungs); n > 0 {
			out.Adds = o.added(f.Rungs[n-1].Throw, *t)
		}
		f.Rungs = append(f.Rungs, out)
	}
	if ids[0] != o.c.Reference.Throw && o.c.Reference.Throw != "" {
		f.Flags = append(f.Flags, "the reference drill is not on this ladder: it was read from its first rung")
	}
	if split {
		f.Flags = append(f.Flags, "read as one ladder over several days, each against its own throws of the reference drill")
	}
	return nil
}

// BuildLadder builds the ladder from a throw to the game through throws that are
// to be on it, in their order. Of throws with equal demands one that was measured
// stands for the others. What may not be asked for is left out, unless it is to be
// on it.
func BuildLadder(b *rule.Base, may func(rule.Throw) bool, from string, through, measured []string) (ladder.Built, error) {
	open := slices.DeleteFunc(slices.Clone(b.Throws), func(t rule.Throw) bool {
		return !may(t) && t.ID != from && !slices.Contains(through, t.ID)
	})
	p := ladder.Plan{From: from, To: game(b, open)}
	if n := len(through); from == p.To && n > 0 {
		p.To = through[n-1] // the game itself comes first: then the ladder ends where the throws do
	}
	for _, t := range open {
		p.Throws = append(p.Throws, ladder.Throw{ID: t.ID, Demands: t.Demands, Measured: slices.Contains(measured, t.ID)})
	}
	for _, id := range through {
		if id != p.From && id != p.To {
			p.Pin = append(p.Pin, id)
		}
	}
	return ladder.Build(p)
}

// Measured lists the throws that have readings on any ladder of a case.
func Measured(c *casefile.Case) []string {
	var out []string
	for _, l := range c.Ladders {
		for _, r := range l.Rungs {
			if len(r.Speeds) > 0 && !slices.Contains(out, r.Throw) {
				out = append(out, r.Throw)
			}
		}
	}
	return out
}

// Age is the athlete's age in years, and whether it was told.
func Age(f *Facts, b *rule.Base) (int, bool) { return (&observer{f: f, b: b}).age() }

// Unthrown is the numbers of a built ladder before anything was thrown, with the
// shares that hold for an athlete of an age; an unknown age scatters as the young
// do.
func Unthrown(b *rule.Base, throws []string, age int, known bool) ladder.Ladder {
	out := ladder.Ladder{Trained: known && age >= trainedFrom}
	for _, id := range throws {
		if t, ok := b.Throw(id); ok {
			share := t.ShareFor(age, known)
			out.Rungs = append(out.Rungs, ladder.Rung{Throw: id, Share: ladder.Share{Low: share.Low, High: share.High}})
		}
	}
	return out
}

// game is the throw at the end of a ladder: the one off the mound that asks for
// the most of most demands, the first of equals.
func game(b *rule.Base, throws []rule.Throw) string {
	id, most := "", -1
	for _, t := range throws {
		n := 0
		for i, d := range b.Demands {
			if t.Demands[i] == len(d.Values)-1 {
				n++
			}
		}
		if t.OnMound && n > most {
			id, most = t.ID, n
		}
	}
	return id
}

// Prospect puts the ladder that would be thrown from the case's reference drill
// into facts without one. It does nothing where there is a ladder, or no
// reference drill to begin at.
func Prospect(f *Facts, c *casefile.Case, b *rule.Base) error {
	t, ok := b.Throw(c.Reference.Throw)
	if f.Ladder.Thrown || !ok {
		return nil
	}
	o := &observer{c: c, b: b, f: f}
	if err := o.rungs([]Rung{{Rung: casefile.Rung{Throw: t.ID}, Throw: *t}}, false); err != nil {
		return err
	}
	f.Ladder.Numbers = o.numbers(nil, f.Ladder.Rungs)
	v, err := ladder.Judge(f.Ladder.Numbers, ladder.Defaults())
	f.Ladder.Verdict = v
	return err
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

// numbers is a ladder without its words. Days after the first count against
// their own throws of the reference drill.
func (o *observer) numbers(days []casefile.Ladder, rungs []Rung) ladder.Ladder {
	age, known := o.age()
	out := ladder.Ladder{Trained: known && age >= trainedFrom}
	for _, r := range rungs {
		share := r.Throw.ShareFor(age, known)
		day := slices.IndexFunc(days, func(l casefile.Ladder) bool { return l.Rung(r.Throw.ID) != nil })
		out.Rungs = append(out.Rungs, ladder.Rung{Throw: r.Throw.ID, Share: ladder.Share{Low: share.Low, High: share.High},
			Speeds: r.Speeds, Marks: r.Marks, OneMark: r.OneMark, Day: max(day, 0)})
	}
	for d, l := range days {
		if r := l.Rung(o.c.Reference.Throw); d > 0 && r != nil && len(r.Speeds) > 0 {
			out.Again = append(out.Again, ladder.Again{Rung: 0, Speeds: r.Speeds, Day: d, Order: -1}) // first on its day
		}
		if len(l.Again) > 0 {
			out.Again = append(out.Again, ladder.Again{Rung: 0, Speeds: l.Again, Day: d})
		}
	}
	return out
}

// guns lists the radar guns that were named on a ladder, each once.
func guns(days []casefile.Ladder) []string {
	var out []string
	for _, l := range days {
		for _, r := range l.Rungs {
			if gun := orElse(r.Gun, l.Gun); gun != "" && !slices.Contains(out, gun) {
				out = append(out, gun)
			}
		}
	}
	slices.Sort(out)
	return out
}

// flags tells what about the readings themselves needs a look.
func (o *observer) flags(days, before []casefile.Ladder) {
	f := &o.f.Ladder
	now, then := guns(days), guns(before)
	if len(now) > 1 {
		f.Flags = append(f.Flags, "more than one radar gun on one ladder: two guns differ by about 0.9 mph, so compare rungs of one gun only")
	}
	if len(now) > 0 && len(then) > 0 && !slices.Equal(now, then) {
		f.Flags = append(f.Flags, "the ladder before was measured with another radar gun: what changed may be the gun")
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
		if rungs[i].Throw.Demands[aim] == 0 && rungs[i].Miss != "" {
			return rungs[i].Miss
		}
	}
	return ""
}
