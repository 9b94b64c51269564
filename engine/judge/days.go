package judge

import (
	"strconv"
	"strings"
	"time"

	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// days counts the plan again, day by day, as the base counts, and holds it
// against every limit that the base has. What breaks without any throw of ours,
// such as games on end, is not the house's doing.
func (j *Judge) days(house *rule.Base, a *athlete, h outcome, own *observe.Facts, tell teller) {
	start, err := time.Parse(time.DateOnly, h.plan.Start)
	if err != nil {
		tell("", "start", "the plan begins on no day: %q", h.plan.Start)
		return
	}
	in := plan.Input{Base: j.base.base, Facts: own, Case: a.Case, On: j.on, Start: start, Weeks: h.plan.Weeks}
	var ours []workload.Day
	for _, s := range h.plan.Sessions {
		if s.Kind == string(plan.Game) || s.Kind == string(plan.Done) {
			continue
		}
		d, err := j.thrown(house, s)
		if err != nil {
			tell(s.Date, "date", "a session stands on no day")
			return
		}
		ours = append(ours, d)
	}
	broken, err := plan.Breaches(in, ours)
	if err != nil {
		tell("", "youngest_age", "the base makes no plan here: %s", err)
		return
	}
	anyway, _ := plan.Breaches(in, nil)
	had := map[string]bool{}
	for _, x := range anyway {
		had[x.ID+x.On.String()] = true
	}
	for _, x := range broken {
		if !had[x.ID+x.On.String()] {
			tell(x.On.String(), x.ID, "%s, counted as the base counts", strings.TrimPrefix(x.String(), x.On.String()+": "))
		}
	}
}

// thrown is a session by what it asks, as the base reads it.
func (j *Judge) thrown(house *rule.Base, s report.Session) (workload.Day, error) {
	on, err := time.Parse(time.DateOnly, s.Date)
	d := workload.Day{On: workload.DateOf(on)}
	for _, b := range s.Blocks {
		n := b.Throws
		if b.Drill != "" && n == 0 && j.ballThrown(house, b.Drill) {
			n = moves(b.Sets)
		}
		switch j.base.base.Workload.Weights.Class(j.effort(house, b)) {
		case workload.Low:
			d.Low += n
		case workload.Moderate:
			d.Moderate += n
		default:
			d.High += n
		}
	}
	return d, err
}

// effort is what a block asks: what is written, and no less than its drill asks
// in the base. A throw that is hard in the base and not in the house is hard, and
// so is a new one that does not say otherwise.
func (j *Judge) effort(house *rule.Base, b report.Block) float64 {
	asked := float64(b.Effort)
	if d, ok := j.base.base.Drill(b.Drill); ok {
		asked = max(asked, d.Effort)
	}
	t, ok := house.Throw(b.Throw)
	if !ok {
		return asked
	}
	own, known := j.base.base.Throw(b.Throw)
	if known && own.HighEffort && !t.HighEffort || !known && !t.HighEffort && t.Effort <= 0 {
		return 100
	}
	return asked
}

// ballThrown reports whether a ball is thrown in a drill, as the base has it and
// else the house.
func (j *Judge) ballThrown(house *rule.Base, id string) bool {
	d, ok := j.base.base.Drill(id)
	if !ok {
		d, ok = house.Drill(id)
	}
	return ok && d.Throws > 0
}

// moves reads sets such as 2x5.
func moves(sets string) int {
	a, b, _ := strings.Cut(sets, "x")
	x, errX := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	if errX != nil || errY != nil {
		return 0
	}
	return x * y
}

// drills: none below its age in the base, none heavier than a baseball below the
// base's age for that, no dose over the base's bounds, and no more throws
// measured than the base measures.
func (j *Judge) drills(house *rule.Base, h outcome, tell teller) {
	own := j.base.base
	years, known := age(own, j.ownFacts(house, h.facts))
	row, err := own.Workload.For(years, known)
	if err != nil {
		return // told as a plan that the base would not make
	}
	for _, card := range h.plan.Drills {
		d, ok := own.Drill(card.ID)
		if !ok {
			d, ok = house.Drill(card.ID)
		}
		if !ok {
			continue
		}
		if d.Weighted && !row.Weighted() {
			tell("", workload.WeightedFrom, "the drill `%s` has a heavier or lighter ball and is not for this age", d.ID)
		}
		if d.MinAge > 0 && (!known || years < d.MinAge) {
			tell("", d.ID, "the drill `%s` is for %d years and older", d.ID, d.MinAge)
		}
	}
	for _, card := range h.plan.Throws {
		if t, ok := own.Throw(card.ID); ok && !t.For(years, known) {
			tell("", t.ID, "the throw `%s` is for %d years and older", t.ID, t.MinAge)
		}
	}
	most, capped := row.MostMeasured()
	for _, s := range h.plan.Sessions {
		measured := 0
		for _, x := range s.Blocks {
			if x.Floor != nil {
				measured += x.Throws
			}
			if x.Drill != "" && float64(moves(x.Sets)) > own.Value("dose_sets_most", 5)*max(own.Value("dose_throws_most", 10), own.Value("dose_reps_most", 10)) {
				tell(s.Date, x.Drill, "the dose %s of `%s` is more than a drill has", x.Sets, x.Drill)
			}
		}
		if capped && measured > most {
			tell(s.Date, workload.RadarThrows, "%d hard throws are measured, the base measures at most %d", measured, most)
		}
	}
}
