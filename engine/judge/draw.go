package judge

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/rule"
)

// drawer draws athletes after the stored ones: other ages, loads, games, days
// and ladders, with what the base's own cases say was seen, so that every factor
// and its drills come up. All of it is invented.
type drawer struct {
	*Judge
	rng        *rand.Rand
	n          int
	references []string // the base's throws that can be a reference
	after      []*casefile.Case
}

func newDrawer(rng *rand.Rand, j *Judge) *drawer {
	d := &drawer{Judge: j, rng: rng}
	for _, t := range j.base.base.Throws {
		if t.CanBeReference {
			d.references = append(d.references, t.ID)
		}
	}
	for _, c := range j.cases {
		if o, err := j.run(j.base, &athlete{Case: c}); err == nil && o.plan != nil {
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
	if d.rng.IntN(8) == 0 {
		for range 1 + d.rng.IntN(3) {
			d.screen(&c)
		}
	}
	a := &athlete{Case: &c}
	if len(d.givens) > 0 && d.rng.IntN(8) > 0 {
		a.given = slices.DeleteFunc(slices.Clone(d.givens[d.n%len(d.givens)]), func(p rule.Pair) bool {
			return strings.HasPrefix(p.Name, "screen.") || strings.HasPrefix(p.Name, "athlete.") || strings.HasPrefix(p.Name, "load.") ||
				strings.HasPrefix(p.Name, "reference.") || p.Name == "ladder.verdict"
		})
	}
	return a
}

// answer gives what the base's gates still ask of an athlete of this age, such as a
// parent's consent, the first answer with which they do not refuse.
func (d *drawer) answer(c *casefile.Case) {
	for range 4 {
		b := d.base.base
		facts, err := d.observe(d.base, &athlete{Case: c})
		if err != nil {
			return
		}
		g := b.Deciding(facts.Vector)
		if g == nil || !g.Refuses() {
			return
		}
		for _, name := range g.Needs {
			slot, _ := b.Catalogue.Slot(name)
			if facts.Vector[slot].Known {
				continue
			}
			for _, v := range append([]string{"yes", "no"}, b.Catalogue.At(slot).AnswerIDs()...) {
				x, err := b.Catalogue.At(slot).Parse(v)
				if err != nil {
					continue
				}
				facts.Vector[slot] = x
				if after := b.Deciding(facts.Vector); after == nil || !after.Refuses() || after == g && len(g.Needs) > 1 {
					c.Answers = answered(c.Answers, name, v)
					break
				}
			}
		}
	}
}

// asked are athletes with every answer that the safety screen can have, one
// question at a time, and none.
func (j *Judge) asked() []*athlete {
	var out []*athlete
	for _, c := range j.cases {
		a := &athlete{Case: c}
		if o, err := j.run(j.base, a); err != nil || o.plan == nil {
			continue
		}
		for _, q := range j.base.base.Checklist.Questions {
			if q.Group != "screen" {
				continue
			}
			answers := []string{"", "yes", "no"}
			for _, x := range q.Answers {
				answers = append(answers, x.ID)
			}
			for _, v := range answers {
				other := *c
				other.Code, other.Answers = fmt.Sprintf("%s with %s %s", c.Code, q.Title, v), answered(c.Answers, q.Name(), v)
				out = append(out, &athlete{Case: &other})
			}
		}
		break
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

// ages puts the athlete into any age band, or takes the age out.
func (d *drawer) ages(c *casefile.Case) {
	bands := [][2]int{{5, 8}, {9, 12}, {13, 14}, {15, 16}, {17, 18}, {19, 22}, {23, 45}, {0, 0}}
	band, value := bands[d.rng.IntN(len(bands))], ""
	if band[1] > 0 {
		value = strconv.Itoa(band[0] + d.rng.IntN(band[1]-band[0]+1))
	}
	c.Answers = answered(c.Answers, "athlete.age", value)
}

// screen gives one safety question another answer, or none.
func (d *drawer) screen(c *casefile.Case) {
	var asked []int
	for i, q := range d.base.base.Checklist.Questions {
		if q.Group == "screen" {
			asked = append(asked, i)
		}
	}
	if len(asked) == 0 {
		return
	}
	q := d.base.base.Checklist.Questions[asked[d.rng.IntN(len(asked))]]
	answers := []string{"", "yes", "no"}
	for _, a := range q.Answers {
		answers = append(answers, a.ID)
	}
	c.Answers = answered(c.Answers, q.Name(), answers[d.rng.IntN(len(answers))])
}

// load makes up what was thrown and what is ahead.
func (d *drawer) load(c *casefile.Case) {
	l := casefile.Load{}
	size := d.rng.IntN(260)
	for range d.rng.IntN(6) {
		n := size/2 + d.rng.IntN(size/2+1)
		l.Weeks = append(l.Weeks, casefile.Week{Throws: n, High: n * d.rng.IntN(50) / 100})
	}
	for range d.rng.IntN(7) {
		n := d.rng.IntN(90)
		l.Days = append(l.Days, casefile.Day{On: d.on.AddDate(0, 0, -1-d.rng.IntN(40)), Throws: n, High: n * d.rng.IntN(60) / 100})
	}
	slices.SortFunc(l.Days, func(a, b casefile.Day) int { return a.On.Compare(b.On) })
	l.Days = slices.CompactFunc(l.Days, func(a, b casefile.Day) bool { return a.On.Equal(b.On) })
	for range max(0, d.rng.IntN(6)-2) {
		l.Games = append(l.Games, casefile.Day{On: d.on.AddDate(0, 0, 3+d.rng.IntN(30)), Game: 15 + d.rng.IntN(60), Innings: float64(1 + d.rng.IntN(6))})
	}
	slices.SortFunc(l.Games, func(a, b casefile.Day) int { return a.On.Compare(b.On) })
	l.Games = slices.CompactFunc(l.Games, func(a, b casefile.Day) bool { return a.On.Equal(b.On) })
	if d.rng.IntN(3) > 0 {
		l.LastHighEffort = d.on.AddDate(0, 0, -1-d.rng.IntN(12))
	}
	for _, n := range []**float64{&l.Innings12m, &l.MonthsOff, &l.MonthsNoPitch} {
		if d.rng.IntN(4) == 0 {
			v := float64(d.rng.IntN(8))
			if n == &l.Innings12m {
				v *= 14
			}
			*n = &v
		}
	}
	l.Season = []string{"", "off", "pre", "in"}[d.rng.IntN(4)]
	c.Load = l
	if d.rng.IntN(6) == 0 {
		c.Log = d.caught()
	}
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
	for day := range 7 {
		if d.rng.IntN(2) == 0 {
			t.Days = append(t.Days, time.Weekday(day))
		}
	}
	for _, day := range t.Days {
		if d.rng.IntN(3) == 0 {
			t.Mound = append(t.Mound, day)
		}
	}
	switch d.rng.IntN(5) {
	case 0, 1:
		t = casefile.Training{}
	case 2:
		t = casefile.Training{Days: []time.Weekday{0, 1, 2, 3, 4, 5, 6}}
	}
	for range d.rng.IntN(3) {
		t.Off = append(t.Off, d.on.AddDate(0, 0, 1+d.rng.IntN(25)))
	}
	c.Training = t
}

// throws puts the house's own throws among the rungs or in the place of the
// reference, and sometimes another throw of the base.
func (d *drawer) throws(c *casefile.Case, own []string) {
	pick := func(list []string) string { return list[d.rng.IntN(len(list))] }
	rungs := c.Ladder()
	switch {
	case len(own) > 0 && rungs != nil && len(rungs.Rungs) > 0 && d.rng.IntN(3) > 0:
		d.rename(c, rungs.Rungs[d.rng.IntN(len(rungs.Rungs))].Throw, pick(own))
	case len(own) > 0:
		d.rename(c, c.Reference.Throw, pick(own))
	case d.rng.IntN(4) == 0 && len(d.references) > 0:
		d.rename(c, c.Reference.Throw, pick(d.references))
	}
}

// rename lets a case speak of another throw; one that it speaks of already is
// left alone.
func (d *drawer) rename(c *casefile.Case, old, name string) {
	ladders := slices.Clone(c.Ladders)
	for i := range ladders {
		ladders[i].Rungs = slices.Clone(ladders[i].Rungs)
		for k := range ladders[i].Rungs {
			switch r := &ladders[i].Rungs[k]; r.Throw {
			case name:
				return
			case old:
				r.Throw = name
			}
		}
	}
	c.Ladders = ladders
	c.Seen = slices.Clone(c.Seen)
	for i := range c.Seen {
		if c.Seen[i].Throw == old {
			c.Seen[i].Throw = name
		}
	}
	if c.Reference.Throw == old {
		c.Reference.Throw = name
	}
}
