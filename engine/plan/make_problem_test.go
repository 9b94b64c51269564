package plan

import (
	"io/fs"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/progress"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
	"rungwise/engine/workload"
)

// A club is a house with the numbers that the checker has to know of it.
type club struct {
	name  string
	base  *rule.Base
	tight map[string][3]float64 // to 14, to 18, adult
}

// clubs are the base itself, houses that tighten a little or very much, one that tries to loosen, and one that changes
// drills and leaves sentences out.
func clubs(t testing.TB) []club {
	t.Helper()
	by := func(set string) string { return set + ", because: ours, by: head coach}\n" }
	list := []struct {
		name, text string
		tight      map[string][3]float64
	}{
		{"the base", "", nil},
		{"fewer hard throws", "by_age:\n" + by("  - {id: daily_high_effort, set: {to_14: 20, to_18: 22, adult: 26}") + by("  - {id: weekly_growth, set: {to_14: 1.02, to_18: 1.05, adult: 1.08}"),
			map[string][3]float64{"daily_high_effort": {20, 22, 26}, "weekly_growth": {1.02, 1.05, 1.08}}},
		{"almost nothing", "by_age:\n" + by("  - {id: daily_high_effort, set: {to_14: 4, to_18: 5, adult: 7}") + by("  - {id: daily_throws, set: {to_14: 22, to_18: 30, adult: 33}") + by("  - {id: growth_floor, set: {to_14: 40, to_18: 50, adult: 60}"),
			map[string][3]float64{"daily_high_effort": {4, 5, 7}, "daily_throws": {22, 30, 33}, "growth_floor": {40, 50, 60}}},
		{"more rest", "by_age:\n" + by("  - {id: days_off_in_7, set: {to_14: 4, to_18: 3, adult: 3}") + by("  - {id: high_effort_days_in_7, set: {to_14: 1, to_18: 1, adult: 2}") +
			"limits:\n" + by("  - {id: days_before_game, set: {value: 4}") + by("  - {id: day_after_share, set: {value: 0.35}"),
			map[string][3]float64{"days_off_in_7": {4, 3, 3}, "high_effort_days_in_7": {1, 1, 2}, "days_before_game": {4, 4, 4}, "day_after_share": {.35, .35, .35}}},
		{"all that is allowed and more", "by_age:\n" + by("  - {id: daily_high_effort, set: {to_14: 200, to_18: 200, adult: 200}") + by("  - {id: weekly_growth, set: {to_14: 2, to_18: 2, adult: 2}") +
			"limits:\n" + by("  - {id: weighted_min_age, set: {value: 9}") + by("  - {id: pitching_days_in_a_row, set: {value: 6}"), nil},
		{"drills of its own", "drills:\n" + by("  - {id: heavy_ball_swing, add: {title: heavy ball swing, factors: [weight_shift, hinge], step: 2, how: Swing it., cue: Throw the weight at the wall., effort: 60, dose: {sets: 2, throws: 4}, slope: flat, put_back: flat_lift, put_back_throws: 3, exit: it goes straight, ages: {min: 19}, weighted: yes, why: ours, source: house default, since: 2026-11}") +
			by("  - {id: hard_shift, add: {title: hard shift, factors: [weight_shift], step: 1, how: Hard., cue: Throw through it., effort: 95, dose: {sets: 2, throws: 4}, slope: flat, put_back: flat_lift, put_back_throws: 3, exit: it goes straight, ages: {min: 0}, why: ours, source: house default, since: 2026-11}") +
			by("  - {id: stop_closed, disable: true"), nil},
	}
	var out []club
	for _, c := range list {
		var house fs.FS
		if c.text != "" {
			house = fstest.MapFS{"club.yaml": {Data: []byte("extends: base\n" + c.text)}}
		}
		b, ds := loadWith(house)
		if wants := c.name == "all that is allowed and more"; wants != (ds.Errors() > 0) {
			t.Fatalf("%s: %v", c.name, ds)
		}
		out = append(out, club{c.name, b, c.tight})
	}
	return out
}

// A triaged case with what a checker may know of it.
type wanted struct {
	club club
	Input
	age     int // -1: not known
	history []workload.Day
	refuse  bool // its gate refuses
}

// randomCase makes facts, a result and a case out of nothing but the base's own names.
func randomCase(rng *rand.Rand, clubs []club) wanted {
	w := wanted{club: clubs[rng.IntN(len(clubs))], age: 7 + rng.IntN(34)}
	if rng.IntN(2) == 0 {
		w.age = 7 + rng.IntN(16)
	}
	if rng.IntN(15) == 0 {
		w.age = -1
	}
	b := w.club.base
	w.Base, w.On = b, time.Date(2026, 11, 1+rng.IntN(28), 0, 0, 0, 0, time.UTC)
	w.Facts = &observe.Facts{Vector: b.Catalogue.Vector(), Floor: progress.Floor{Speed: float64(rng.IntN(2)) * (60 + 30*rng.Float64())}}
	w.Case = &casefile.Case{Code: "SM-99"}
	w.Triage = &triage.Result{Explains: rng.IntN(10) > 0}
	w.randomFacts(rng)
	w.randomLadder(rng)
	w.randomGate(rng)
	w.randomFactors(rng)
	w.randomDays(rng)
	w.randomLoad(rng)
	return w
}

func (w *wanted) set(name string, v fact.Value) {
	if slot, ok := w.Base.Catalogue.Slot(name); ok {
		w.Facts.Vector[slot] = v
	}
}

func (w *wanted) randomFacts(rng *rand.Rand) {
	if w.age >= 0 {
		w.set("athlete.age", fact.Num(float64(w.age)))
	}
	if rng.IntN(3) > 0 {
		w.set("ladder.almost", fact.Bool(rng.IntN(2) == 0))
		w.set("ladder.pattern_held", fact.Num(float64(rng.IntN(101))))
	}
	if rng.IntN(4) == 0 {
		w.set("reference.learning", fact.Bool(true))
	}
}

func (w *wanted) randomLadder(rng *rand.Rand) {
	var rungs []observe.Rung
	for _, i := range rng.Perm(len(w.Base.Throws))[:2+rng.IntN(5)] {
		rungs = append(rungs, observe.Rung{Throw: w.Base.Throws[i]})
	}
	v := ladder.Verdict{Kind: ladder.Stuck, Rung: 1 + rng.IntN(len(rungs)-1), Next: -1}
	v.After = rng.IntN(v.Rung)
	if rng.IntN(8) == 0 {
		v = ladder.Verdict{Kind: ladder.Slide, Rung: -1, Next: -1, After: -1}
	}
	w.Facts.Ladder = observe.Ladder{Thrown: true, Verdict: v, Rungs: rungs}
	if v.Rung > 0 {
		for i, d := range w.Base.Demands {
			if rungs[v.After].Throw.Demands[i] != rungs[v.Rung].Throw.Demands[i] {
				w.Facts.Ladder.Lost = append(w.Facts.Ladder.Lost, d.ID)
			}
		}
	}
	w.Case.Reference.Throw = rungs[0].Throw.ID
	w.Case.Reference.FirstThrown = w.On.AddDate(0, 0, -rng.IntN(90))
	w.Case.Reference.Best = []casefile.Best{{On: w.On.AddDate(0, 0, -3), Speed: 70 + 20*rng.Float64(), N: 3}}
}

func (w *wanted) randomGate(rng *rand.Rand) {
	id := "go_on"
	switch rng.IntN(10) {
	case 0:
		id = "faded"
	case 1:
		id = "not_a_reference_yet"
	case 2:
		all := []string{"refer_pain", "refer_numbness", "screen_unanswered", "no_break", "ladder_open", "never_gained", "too_young"}
		id, w.refuse = all[rng.IntN(len(all))], true
	}
	w.Triage.Gate, _ = w.Base.Gate(id)
}

func (w *wanted) randomFactors(rng *rand.Rand) {
	root := .3 + .6*rng.Float64()
	for _, i := range rng.Perm(len(w.Base.Factors))[:rng.IntN(6)] {
		f := triage.Ranked{Factor: &w.Base.Factors[i], Root: root, Present: min(1, root+.2), Role: triage.Possible}
		if rng.IntN(4) == 0 {
			f.Role, f.Of = triage.Consequence, &w.Base.Factors[rng.IntN(len(w.Base.Factors))]
		}
		w.Triage.Factors = append(w.Triage.Factors, f)
		root *= .4 + .6*rng.Float64()
	}
}

func somedays(rng *rand.Rand) (out []time.Weekday) {
	for d := range 7 {
		if rng.IntN(3) > 0 {
			out = append(out, time.Weekday(d))
		}
	}
	return out
}

func (w *wanted) randomDays(rng *rand.Rand) {
	if rng.IntN(2) == 0 {
		w.Case.Training.Days = somedays(rng)
	}
	if rng.IntN(3) == 0 {
		w.Case.Training.Mound = somedays(rng)
	}
	for range rng.IntN(3) {
		w.Case.Training.Off = append(w.Case.Training.Off, w.On.AddDate(0, 0, rng.IntN(20)))
	}
	if rng.IntN(3) == 0 {
		if w.Train = somedays(rng); len(w.Train) > 1 && rng.IntN(2) == 0 {
			w.Mound = slices.Clone(w.Train[:1+rng.IntN(len(w.Train)-1)])
		}
	}
	w.Weeks = []int{0, 1, 1, 2, 2, 2, 3, 3, 4, 5, 8}[rng.IntN(11)]
	w.Phase = []Phase{"", "", "", MoundPhase, VelocityBlock, InSeason, TimeOff}[rng.IntN(7)]
	w.Case.Load.Season = []string{"", "off", "in"}[rng.IntN(3)]
	if rng.IntN(3) == 0 {
		w.Start = w.On.AddDate(0, 0, rng.IntN(14)-4)
	}
}

func (w *wanted) randomLoad(rng *rand.Rand) {
	today := workload.DateOf(w.On)
	start := today + 1
	if !w.Start.IsZero() {
		start = workload.DateOf(w.Start)
	}
	r := &w.Facts.Load.Record
	r.Until = today
	r.Days = randomHistory(rng, min(today, start))
	for d := start; d < today; d++ {
		if rng.IntN(2) == 0 { // some days of the plan are thrown and logged already
			r.Days = append(r.Days, workload.Day{On: d, Low: rng.IntN(30), Moderate: rng.IntN(20), High: rng.IntN(25) * rng.IntN(2)})
		}
	}
	w.history = slices.Clone(r.Days)
	w.Facts.Load.Year = randomYear(rng)
	if rng.IntN(3) == 0 {
		for range 1 + rng.IntN(2) {
			w.Facts.Load.Games = append(w.Facts.Load.Games, workload.Day{On: max(today, start) + 2 + workload.Date(rng.IntN(30)), Game: 8 + rng.IntN(40), Innings: float64(1 + rng.IntN(4))})
		}
	}
}
