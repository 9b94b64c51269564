package judge

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/rule"
)

// drawer draws athletes after the stored ones: other ages, loads, games, days
// and ladders, with what the base's own cases say was seen, so that every factor
// and its drills come up. All of it is invented.
type drawer struct {
	*Judge
	rng        *rand.Rand
	n          int
	screen     []checklist.Question
	references []string // the base's throws that can be a reference
	after      []*casefile.Case
}

func newDrawer(rng *rand.Rand, j *Judge) *drawer {
	d := &drawer{Judge: j, rng: rng, screen: screen(j.base.base)}
	for _, t := range j.base.base.Throws {
		if t.CanBeReference {
			d.references = append(d.references, t.ID)
		}
	}
	for _, c := range j.cases {
		if j.plans(c) {
			d.after = append(d.after, c)
		}
	}
	return d
}

// next makes an athlete up, who throws one of the house's own throws where some
// are given.
func (d *drawer) next(own []string) *athlete {
	d.n++
	code := fmt.Sprintf("drawn %d", d.n)
	if len(own) > 0 {
		code = fmt.Sprintf("drawn %d with the house's throws", d.n)
	}
	if len(d.after) == 0 {
		return &athlete{Case: &casefile.Case{Code: code}}
	}
	c := *d.after[d.rng.IntN(len(d.after))]
	c.Code, c.File, c.Log = code, nil, nil
	d.ages(&c)
	d.load(&c)
	d.training(&c)
	d.throws(&c, own)
	d.answer(&c)
	if len(d.screen) > 0 && d.rng.IntN(8) == 0 {
		for range 1 + d.rng.IntN(3) {
			q := pick(d.rng, d.screen...)
			c.Answers = answered(c.Answers, q.Name(), pick(d.rng, answers(q)...))
		}
	}
	a := &athlete{Case: &c}
	if len(d.givens) > 0 && d.rng.IntN(8) > 0 {
		a.given = slices.DeleteFunc(slices.Clone(d.givens[d.n%len(d.givens)]), func(p rule.Pair) bool {
			group, _, _ := strings.Cut(p.Name, ".")
			return slices.Contains([]string{"screen", "athlete", "load", "reference"}, group) || p.Name == "ladder.verdict"
		})
	}
	return a
}

// answer gives what the base's gates still ask of an athlete of this age, such as
// a parent's consent, so that they do not refuse.
func (d *drawer) answer(c *casefile.Case) {
	facts, err := d.observe(d.base, &athlete{Case: c})
	if err != nil {
		return
	}
	var known rule.Example
	for slot, v := range facts.Vector {
		if f := d.base.base.Catalogue.At(slot); v.Known && !f.Constant {
			known = append(known, rule.Pair{Name: f.Name, Slot: slot, Value: v})
		}
	}
	for _, p := range d.base.base.GoingOn(known)[len(known):] {
		if _, asked := d.base.base.Checklist.Question(p.Name); asked {
			c.Answers = answered(c.Answers, p.Name, p.Text)
		}
	}
}

// asked are athletes with every answer that the safety screen can have, one
// question at a time, and none: the first of the stored ones who gets a plan.
func (j *Judge) asked() []*athlete {
	i := slices.IndexFunc(j.cases, j.plans)
	if i < 0 {
		return nil
	}
	c := j.cases[i]
	var out []*athlete
	for _, q := range screen(j.base.base) {
		for _, v := range answers(q) {
			other := *c
			other.Code, other.Answers = fmt.Sprintf("%s with %s %s", c.Code, q.Title, v), answered(c.Answers, q.Name(), v)
			out = append(out, &athlete{Case: &other})
		}
	}
	return out
}

// plans reports whether the base makes a plan for an athlete.
func (j *Judge) plans(c *casefile.Case) bool {
	o, err := j.run(j.base, &athlete{Case: c})
	return err == nil && o.plan != nil
}

// screen lists the questions of the safety screen.
func screen(b *rule.Base) []checklist.Question {
	return slices.DeleteFunc(slices.Clone(b.Checklist.Questions), func(q checklist.Question) bool { return q.Group != "screen" })
}

// answers lists whatever a question can be answered with; "" is no answer.
func answers(q checklist.Question) []string {
	out := []string{"", "yes", "no"}
	for _, a := range q.Answers {
		out = append(out, a.ID)
	}
	return out
}

// answered is answers with another one to a question; "" takes it out.
func answered(all []casefile.Answer, name, value string) []casefile.Answer {
	all = slices.DeleteFunc(slices.Clone(all), func(a casefile.Answer) bool { return a.Name == name })
	if value == "" {
		return all
	}
	return append(all, casefile.Answer{Name: name, Value: value})
}

func pick[T any](rng *rand.Rand, list ...T) T { return list[rng.IntN(len(list))] }

// ages puts the athlete into any age band, or takes the age out.
func (d *drawer) ages(c *casefile.Case) {
	value := ""
	if band := pick(d.rng, [2]int{5, 8}, [2]int{9, 12}, [2]int{13, 14}, [2]int{15, 16}, [2]int{17, 18}, [2]int{19, 22}, [2]int{23, 45}, [2]int{}); band[1] > 0 {
		value = strconv.Itoa(band[0] + d.rng.IntN(band[1]-band[0]+1))
	}
	c.Answers = answered(c.Answers, "athlete.age", value)
}

// load makes up what was thrown and what is ahead.
func (d *drawer) load(c *casefile.Case) {
	in := d.rng.IntN
	l := casefile.Load{Season: pick(d.rng, "", "off", "pre", "in")}
	size := in(260)
	for range in(6) {
		n := size/2 + in(size/2+1)
		l.Weeks = append(l.Weeks, casefile.Week{Throws: n, High: n * in(50) / 100})
	}
	l.Days = days(in(7), func() casefile.Day {
		n := in(90)
		return casefile.Day{On: d.on.AddDate(0, 0, -1-in(1+in(40))), Throws: n, High: n * in(60) / 100}
	})
	l.Games = days(in(6)-2, func() casefile.Day {
		return casefile.Day{On: d.on.AddDate(0, 0, 3+in(30)), Game: 15 + in(60), Innings: float64(1 + in(6))}
	})
	if in(3) > 0 {
		l.LastHighEffort = d.on.AddDate(0, 0, -1-in(12))
	}
	some := func(step int) *float64 {
		if v := float64(step * in(8)); in(4) == 0 {
			return &v
		}
		return nil
	}
	l.Innings12m, l.MonthsOff, l.MonthsNoPitch = some(14), some(1), some(1)
	c.Load = l
	if in(6) == 0 {
		c.Log = d.caught()
	}
}

// days makes up to so many days, each date once.
func days(n int, draw func() casefile.Day) []casefile.Day {
	var out []casefile.Day
	for range max(0, n) {
		out = append(out, draw())
	}
	slices.SortFunc(out, func(a, b casefile.Day) int { return a.On.Compare(b.On) })
	return slices.CompactFunc(out, func(a, b casefile.Day) bool { return a.On.Equal(b.On) })
}

// caught is a log of days behind the plate of which nobody counted the throws.
func (d *drawer) caught() *casefile.Log {
	log := &casefile.Log{}
	for i, back := range []int{30, 16, 9, 3} {
		if d.rng.IntN(2) == 0 {
			on := d.on.AddDate(0, 0, -back-d.rng.IntN(3)).Format(time.DateOnly)
			log.Entries = append(log.Entries, casefile.Entry{ID: i + 1, Entered: on, On: on, What: casefile.LogOther, Kind: "catching"})
		}
	}
	return log
}

func (d *drawer) training(c *casefile.Case) {
	t := casefile.Training{}
	switch d.rng.IntN(5) {
	case 0, 1: // the usual days
	case 2:
		t.Days = []time.Weekday{0, 1, 2, 3, 4, 5, 6}
	default:
		for day := range time.Weekday(7) {
			if d.rng.IntN(2) == 0 {
				t.Days = append(t.Days, day)
				if d.rng.IntN(3) == 0 {
					t.Mound = append(t.Mound, day)
				}
			}
		}
	}
	for range d.rng.IntN(3) {
		t.Off = append(t.Off, d.on.AddDate(0, 0, 1+d.rng.IntN(25)))
	}
	c.Training = t
}

// throws puts the house's own throws among the rungs or in the place of the
// reference, and sometimes another throw of the base.
func (d *drawer) throws(c *casefile.Case, own []string) {
	l := c.Ladder()
	switch {
	case len(own) > 0 && l != nil && len(l.Rungs) > 0 && d.rng.IntN(3) > 0:
		rename(c, pick(d.rng, l.Rungs...).Throw, pick(d.rng, own...))
	case len(own) > 0:
		rename(c, c.Reference.Throw, pick(d.rng, own...))
	case d.rng.IntN(4) == 0 && len(d.references) > 0:
		rename(c, c.Reference.Throw, pick(d.rng, d.references...))
	}
}

// rename lets a case speak of another throw; one that it speaks of already is
// left alone.
func rename(c *casefile.Case, old, name string) {
	if slices.Contains(throwsOf(c), name) {
		return
	}
	swap := func(throw *string) {
		if *throw == old {
			*throw = name
		}
	}
	c.Ladders, c.Seen = slices.Clone(c.Ladders), slices.Clone(c.Seen)
	for i := range c.Ladders {
		c.Ladders[i].Rungs = slices.Clone(c.Ladders[i].Rungs)
		for k := range c.Ladders[i].Rungs {
			swap(&c.Ladders[i].Rungs[k].Throw)
		}
	}
	for i := range c.Seen {
		swap(&c.Seen[i].Throw)
	}
	swap(&c.Reference.Throw)
}

// throwsOf lists the throws that a case names.
func throwsOf(c *casefile.Case) []string {
	names := []string{c.Reference.Throw}
	for _, l := range c.Ladders {
		for _, r := range l.Rungs {
			names = append(names, r.Throw)
		}
	}
	return names
}
