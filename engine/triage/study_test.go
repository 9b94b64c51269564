package triage

import (
	"flag"
	"math"
	"testing"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
)

var study = flag.Bool("study", false, "run the long versions of the studies")

func size(small, full int) int {
	if *study {
		return full
	}
	return small
}

// score counts what a cohort came to.
type score struct {
	cases, first, two           float64
	consequence, consequenceOff float64
	clear, clearRight           float64
	claimed, right              [10]float64 // first places, by band of the claimed chance
}

func (s *score) add(m *Model, p pitcher, e cause.Evidence) {
	post := m.network.Posterior(e)
	order := m.byRoot(post.Root)
	s.cases++
	if p.root[order[0]] {
		s.first++
	}
	if p.root[order[0]] || p.root[order[1]] {
		s.two++
	}
	claim := post.Root[order[0]]
	band := min(9, int(10*claim))
	s.claimed[band] += claim
	if p.root[order[0]] {
		s.right[band]++
	}
	if cause.Standing(claim, math.Max(post.Root[order[1]], post.Unlisted)) == cause.ClearFirst {
		s.clear++
		if p.root[order[0]] {
			s.clearRight++
		}
	}
	for f := range post.Root {
		if post.Role[f] == cause.Consequence {
			s.consequence++
			if !p.root[f] {
				s.consequenceOff++
			}
		}
	}
}

// ece is the calibration error of the first place.
func (s *score) ece() float64 {
	sum := 0.0
	for b := range s.claimed {
		sum += math.Abs(s.claimed[b] - s.right[b])
	}
	return sum / s.cases
}

func percent(part, whole float64) float64 { return 100 * part / math.Max(1, whole) }

// slack is the Monte-Carlo error allowed on a rate in percent: three standard
// errors of a small run, none of the full study.
func slack(n float64) float64 {
	if *study {
		return 0
	}
	return 300 * math.Sqrt(0.25/math.Max(1, n))
}

// TestRealBaseCohort holds the embedded base, all of it, to the goals for
// honesty, and to the accuracy it was found to have, on athletes drawn from
// itself (house goals; the truths are synthetic). At 15 % of looks misread it
// claims too much by some nine points, because one look is read by several
// signs: hence the wider bound there.
func TestRealBaseCohort(t *testing.T) {
	m := model(t)
	for _, row := range []struct {
		name              string
		wrong             float64
		first, two, clear float64 // least, in percent
		ece               float64 // most
	}{{"15 % error", 0.15, 38, 54, 66, 0.10}, {"5 % error", 0.05, 39, 56, 70, 0.08}} {
		c := newCohort(m, 91, row.wrong)
		var s score
		for range size(100, 4000) {
			p := c.draw()
			s.add(m, p, m.Evidence(p.seen))
		}
		first, two := percent(s.first, s.cases), percent(s.two, s.cases)
		clear, off := percent(s.clearRight, s.clear), percent(s.consequenceOff, s.consequence)
		t.Logf("%s: first %.1f %%, one of two %.1f, ECE %.3f, clear first in %.0f %% and right in %.1f, a consequence is no root in %.1f",
			row.name, first, two, s.ece(), percent(s.clear, s.cases), clear, off)
		if first < row.first-slack(s.cases) || two < row.two-slack(s.cases) {
			t.Errorf("%s: a cause is first in %.1f %%, one of two in %.1f", row.name, first, two)
		}
		if s.ece() > row.ece+slack(s.cases)/100 {
			t.Errorf("%s: calibration error %.3f, want at most %.2f", row.name, s.ece(), row.ece)
		}
		if clear < row.clear-slack(s.clear) || off < 82-slack(s.consequence) {
			t.Errorf("%s: clear first right in %.1f %%, want %.0f; a consequence is no root in %.1f, want 82", row.name, clear, row.clear, off)
		}
	}
}

// asking counts first places after so many looks.
type asking [17]float64

// TestLooksInOrder: from eight looks on, those in the order of what they tell
// name a cause at least as often as as many in the order of the throw.
func TestLooksInOrder(t *testing.T) {
	m := model(t)
	c := newCohort(m, 83, 0.15)
	cases := size(3, 300)
	var telling, video asking
	for range cases {
		p := c.draw()
		c.ask(p, &telling, true)
		c.ask(p, &video, false)
	}
	for n := range telling {
		if n%2 == 0 {
			t.Logf("%2d looks: most telling first %.0f %%, order of the throw %.0f %%", n, percent(telling[n], float64(cases)), percent(video[n], float64(cases)))
		}
		if got := percent(telling[n]-video[n], float64(cases)); n >= 8 && *study && got < -3 {
			t.Errorf("%d looks in the order of what they tell name a cause %.1f points less often", n, -got)
		}
	}
}

// ask makes the looks of a pitcher one by one.
func (c *cohort) ask(p pitcher, tell *asking, telling bool) {
	now := c.bareOf(p)
	left := append([]look(nil), c.looks...)
	for n := range tell {
		post := c.m.network.Posterior(c.m.Evidence(now))
		if p.root[c.m.byRoot(post.Root)[0]] {
			tell[n]++
		}
		at := 0
		if telling {
			at = c.best(now, left)
		}
		if at < 0 || len(left) == 0 {
			for k := n + 1; k < len(tell); k++ {
				if p.root[c.m.byRoot(post.Root)[0]] {
					tell[k]++
				}
			}
			return
		}
		c.reveal(&now, p.seen, left[at])
		left = append(left[:at], left[at+1:]...)
	}
}

// best is the look of those left that the model asks for first, -1 = none.
func (c *cohort) best(now Case, left []look) int {
	for _, next := range c.m.NextLook(now) {
		slot, _ := c.m.base.Catalogue.Slot(next.Fact)
		for i, l := range left {
			for _, s := range l.slots {
				if s == slot {
					return i
				}
			}
		}
	}
	return -1
}

func (c *cohort) bareOf(p pitcher) Case {
	at := 0
	for i, x := range p.truth.Break {
		if x > 0 {
			at = i
		}
	}
	now := c.bare(at)
	now.Lambda = map[int]float64{}
	return now
}

// reveal tells what a look showed.
func (c *cohort) reveal(now *Case, seen Case, l look) {
	v := append(fact.Vector(nil), now.Vector...)
	for _, slot := range l.slots {
		v[slot] = seen.Vector[slot]
		if x, ok := seen.Lambda[slot]; ok {
			now.Lambda[slot] = x
		}
	}
	now.Vector = v
}
