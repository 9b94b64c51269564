package progress

import (
	"math"
	"slices"
	"testing"

	"rungwise/engine/workload"
)

func pow(x, y float64) float64 { return math.Pow(x, y) }
func sqrt(x float64) float64   { return math.Sqrt(x) }
func log(x float64) float64    { return math.Log(x) }

// course is a run of decisions at one rung, without the reference drill's own floor: how often, and when first.
func (a *athlete) course(s Settings, rung Rung, rate func(session int) float64, sessions int) (promoted, back int) {
	r := Request{Ladder: []Rung{{"running_throw", 1}, {"below", .975}, rung}, Settings: s}
	for i := range sessions {
		r.Sessions = append(r.Sessions, a.session(monday+workload.Date(3*i), rung, rate(i)))
		switch d := decideRung(r); {
		case d == Promote && promoted == 0:
			promoted = i + 1
		case (d == StepBack || d == Retriage) && back == 0:
			back = i + 1
		}
		if promoted > 0 || back > 0 {
			return promoted, back
		}
	}
	return promoted, back
}

// decideRung is the decision on the rung alone.
func decideRung(r Request) Decision {
	rep := Decide(r)
	if rep.Decision == Stop || rep.Decision == Restore {
		i := r.index(rep.Rung)
		rep.Decision, rep.Reasons = Hold, nil
		r.rung(i, byDay(r.Sessions), &rep)
	}
	return rep.Decision
}

func always(rate float64) func(int) float64 { return func(int) float64 { return rate } }

// The operating characteristics of the rule on invented athletes: 8 marks a session, correlation .10, day 1.2 %, throw
// 1.6 %. The bounds are the project's goals; the studied values stand beside them.
func TestPromotionStudy(t *testing.T) {
	s, n := house(t), cases(1500, 10000)
	rung := Rung{"flat_lift", .935}
	rate := func(seed uint64, off, held float64, sessions int) (share float64, first []int, back int) {
		promoted := 0
		for i := range n {
			a := newAthlete(seed<<32 + uint64(i))
			a.speedOff = off
			p, b := a.course(s, rung, always(held), sessions)
			if p > 0 {
				promoted++
				first = append(first, p)
			}
			if b > 0 {
				back++
			}
		}
		slices.Sort(first)
		return float64(promoted) / float64(n), first, back
	}
	wrong, _, _ := rate(1, -3, .55, 12)
	edge, _, _ := rate(2, 0, .70, 12)
	ready, first, back := rate(3, 0, .88, 12)
	fast, _, _ := rate(4, 0, .55, 12)
	lost, _, lostBack := rate(5, 0, .30, 12)
	t.Logf("promoted in 12 sessions: 55 %% and 3 %% slow %.3f, 55 %% at full speed %.3f, 70 %% %.3f, 88 %% %.3f (median %d, stepped back %d of %d); 30 %% %.3f, stepped back %.3f",
		wrong, fast, edge, ready, first[len(first)/2], back, n, lost, float64(lostBack)/float64(n))
	if wrong > .04 { // goal; studied .029
		t.Errorf("false promotion %.3f", wrong)
	}
	if ready < .98 || first[len(first)/2] > 2 { // goal; studied 1.00, median 2
		t.Errorf("ready: %.3f, median %d", ready, first[len(first)/2])
	}
	if float64(back)/float64(n) > .015 { // studied 0
		t.Errorf("ready athletes stepped back: %d", back)
	}
	if edge < .5 || lost > .01 || lostBack < n*9/10 {
		t.Errorf("70 %% %.3f, 30 %% %.3f, stepped back %d", edge, lost, lostBack)
	}
}

// Without speeds the same number of marks decides, so that page and decision say one number. Its price: an athlete who
// holds 55 % is promoted in every fourth course of twelve sessions.
func TestPromotionWithoutSpeeds(t *testing.T) {
	s, n := house(t), cases(1000, 10000)
	promoted := func(held float64) float64 {
		k := 0
		for i := range n {
			a := newAthlete(14<<32 + uint64(i))
			a.blind = true
			if p, _ := a.course(s, Rung{"flat_lift", .935}, always(held), 12); p > 0 {
				k++
			}
		}
		return float64(k) / float64(n)
	}
	wrong, ready := promoted(.55), promoted(.88)
	t.Logf("promoted in 12 sessions without speeds: 55 %% %.3f, 88 %% %.3f", wrong, ready)
	if wrong > .28 || ready < .98 { // studied: .236 and .999; with a chance of .90 it would be .05
		t.Errorf("55 %% %.3f, 88 %% %.3f", wrong, ready)
	}
}

// A new rung is learned over four sessions: 45, 55, 65, 70 %, and promotion must wait, also where a session holds the 14
// or 18 throws that a plan may ask for. All marks of such sessions read together would promote .155 and .194.
func TestPromotionDuringLearning(t *testing.T) {
	s, n := house(t), cases(1500, 10000)
	for _, perDay := range []int{8, 14, 18} {
		early := 0
		for i := range n {
			a := newAthlete(6<<32 + uint64(i))
			a.speedOff, a.perDay = -1, perDay
			p, _ := a.course(s, Rung{"flat_lift", .935}, func(i int) float64 { return []float64{.45, .55, .65, .70}[i] }, 3)
			if p > 0 {
				early++
			}
		}
		t.Logf("%d marks a session: promoted within three learning sessions: %.3f", perDay, float64(early)/float64(n))
		if float64(early)/float64(n) > .065 { // goal .05; studied .045, .051, .052
			t.Errorf("%d marks a session: %d of %d promoted while learning", perDay, early, n)
		}
	}
}

// Athletes on the edge of two rungs go up and down seldom: the same at both, or better at the lower one. Only one who
// is ready below and lost above has to.
func TestFlipFlops(t *testing.T) {
	for _, c := range []struct{ lower, upper, most float64 }{{.65, .65, 2.5}, {.75, .60, 2.5}, {.70, .50, 2.5}} {
		got := flips(house(t), c.lower, c.upper, cases(300, 3000))
		t.Logf("%.0f %% and %.0f %%: %.2f changes of direction in 24 sessions", 100*c.lower, 100*c.upper, got)
		if got > c.most { // goal 2.5; studied 2.0
			t.Errorf("%.0f %% and %.0f %%: %.2f changes", 100*c.lower, 100*c.upper, got)
		}
	}
}

// flips is the mean number of turns between promotion and step back in 24 sessions.
func flips(s Settings, lower, upper float64, n int) float64 {
	rungs, changes := ladder(), 0
	rate := []float64{1: lower, 2: upper}
	for i := range n {
		a := newAthlete(7<<32 + uint64(i))
		r := Request{Ladder: rungs, Settings: s}
		at, moves := 1, 0
		for k := range 24 {
			r.Sessions = append(r.Sessions, a.session(monday+workload.Date(3*k), rungs[at], rate[at]))
			d := decideRung(r)
			up, down := d == Promote && at == 1, (d == StepBack || d == Retriage) && at == 2
			if !up && !down {
				continue
			}
			at = 3 - at
			if moves++; moves > 1 {
				changes++
			}
		}
	}
	return float64(changes) / float64(n)
}

// Deciding throw by throw instead of at the end of a session promotes by luck far more often: the reason why the rule
// looks only at whole sessions.
func TestPeekingIsWorse(t *testing.T) {
	s, n := house(t), cases(1500, 10000)
	whole, peeked := 0, 0
	for i := range n {
		a := newAthlete(8<<32 + uint64(i))
		var all []Session
		early, end := false, false
		for range 3 {
			d := a.session(monday, Rung{"x", 1}, .55)
			for k := range d.Marks {
				part := d
				part.Marks = d.Marks[:k+1]
				pooled, _ := s.pool(append(slices.Clone(all), part))
				early = early || s.promotes(pooled)
			}
			all = append(all, d)
		}
		pooled, _ := s.pool(all)
		end = s.promotes(pooled)
		if end {
			whole++
		}
		if early {
			peeked++
		}
	}
	t.Logf("55 %%, three sessions: %.3f looking once, %.3f looking after every throw", float64(whole)/float64(n), float64(peeked)/float64(n))
	if peeked < 2*whole {
		t.Errorf("peeking %d, whole %d", peeked, whole)
	}
}

// The floor at three and at five reference throws a session: false alarms in 20 sessions from the first on, and sessions
// until a fall is seen after ten steady ones. At three throws a floor of 4 % misses the goal of 12 % false alarms that it
// meets at five; 4.25 % would meet it and sees a fall of 6 % as soon.
func TestFloorStudy(t *testing.T) {
	n := cases(1500, 10000)
	for _, c := range []struct {
		throws               int
		percent, alarm, seen float64 // bounds; studied at five throws: .099 and 2.0
	}{{5, 4, .12, 2.5}, {3, 4, .20, 2.5}, {3, 4.25, .12, 2.5}} {
		s := house(t)
		s.FloorPercent = c.percent
		alarm := s.alarms(c.throws, n, 20)
		six, missed := s.falls(c.throws, n, 6)
		four, missedFour := s.falls(c.throws, n, 4)
		t.Logf("%d throws, %.2f %%: false alarm in 20 sessions %.3f; a fall of 6 %% seen after %.2f sessions (missed %d), of 4 %% after %.2f (missed %d of %d)",
			c.throws, c.percent, alarm, six, missed, four, missedFour, n)
		if alarm > c.alarm || six > c.seen || missed > n/50 {
			t.Errorf("%d throws: alarm %.3f, 6 %% after %.2f, missed %d", c.throws, alarm, six, missed)
		}
	}
}

// reading draws a session's mean of the reference drill at a level in percent.
func (a *athlete) reading(i, throws int, level float64) reading {
	today, sum := a.day*a.rng.NormFloat64(), 0.0
	for range throws {
		sum += level + today + a.sd*a.rng.NormFloat64()
	}
	return reading{on: monday + workload.Date(3*i), mean: sum / float64(throws)}
}

func (s Settings) alarms(throws, n, sessions int) float64 {
	alarms := 0
	for i := range n {
		a := newAthlete(9<<32 + uint64(i))
		var all []reading
		for k := range sessions {
			all = append(all, a.reading(k, throws, 100))
			if (Request{Settings: s}).floor(all).Faded {
				alarms++
				break
			}
		}
	}
	return float64(alarms) / float64(n)
}

func (s Settings) falls(throws, n int, fall float64) (mean float64, missed int) {
	total, seen := 0, 0
	for i := range n {
		a := newAthlete(10<<32 + uint64(i))
		var all []reading
		for k := range 10 {
			all = append(all, a.reading(k, throws, 100))
		}
		found := false
		for k := range 8 {
			all = append(all, a.reading(10+k, throws, 100-fall))
			if (Request{Settings: s}).floor(all).Faded {
				total, seen, found = total+k+1, seen+1, true
				break
			}
		}
		if !found {
			missed++
		}
	}
	return float64(total) / float64(seen), missed
}

// The signs that stop throwing are rare in an athlete who is well: in 20 steady sessions of three throws.
func TestLossIsSeldomFalse(t *testing.T) {
	s, n, stops := house(t), cases(1500, 10000), 0
	for i := range n {
		a := newAthlete(12<<32 + uint64(i))
		var all []reading
		for k := range 20 {
			all = append(all, a.reading(k, 3, 100))
			if f := (Request{Settings: s}).floor(all); f.Loss || f.Stuck {
				stops++
				break
			}
		}
	}
	t.Logf("stopped for velocity though well, in 20 sessions: %.4f", float64(stops)/float64(n))
	if float64(stops)/float64(n) > .006 {
		t.Errorf("%d of %d", stops, n)
	}
}
