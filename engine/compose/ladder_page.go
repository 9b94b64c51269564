package compose

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// LadderPage adds to a record what the ladder by itself is asked for; order is
// plan.Halving, plan.Whole or "" for the athlete's default. A record that may
// hold no word about throwing is left as it is.
func LadderPage(r *report.Report, f Findings, order string) error {
	if Silent(f.Triage) {
		return nil
	}
	c := composer{f}
	limits, err := c.limits()
	if err != nil {
		return err
	}
	p := &report.LadderPage{Steps: []report.Step{}, Changes: []report.Change{}, Candidates: []report.Candidate{}}
	r.Ladder.Page = p
	if why, barred := limits.Barred(); barred && !f.Facts.Ladder.Thrown {
		p.Next = &report.NextThrows{Days: []report.ThrowsDay{}, NoDay: true, Bound: why}
		return nil
	}
	if !f.Facts.Ladder.Thrown {
		if err := observe.Prospect(f.Facts, f.Case, f.Base); err != nil {
			return err
		}
		r.Ladder.Rungs = c.rungs()
	}
	p.Steps = c.steps(f.Facts.Ladder.Steps)
	if p.Next, err = c.nextThrows(limits, order); err != nil {
		return err
	}
	if f.Facts.Ladder.Thrown && p.Next != nil && len(p.Next.Days) > 0 {
		r.Ladder.Advice = c.advice(true)
	}
	c.candidates(p)
	c.changes(p, r)
	return nil
}

// BuiltLadder words a ladder that was built from a throw; numbers is the same
// ladder with the shares that hold for the athlete.
func BuiltLadder(b *rule.Base, steps []ladder.Step, numbers ladder.Ladder, measured []string) (*report.BuiltLadder, error) {
	c := composer{Findings{Base: b}}
	v, err := ladder.Judge(numbers, ladder.Defaults())
	if err != nil {
		return nil, err
	}
	out := &report.BuiltLadder{Rungs: []report.BuiltRung{}, Steps: c.steps(steps)}
	for _, r := range v.Rungs {
		t, _ := b.Throw(r.Throw)
		out.Rungs = append(out.Rungs, report.BuiltRung{Throw: t.ID, Title: t.Title, InWords: tidy(t.InWords), Expected: [2]float64{r.Low, r.High},
			Measured: slices.Contains(measured, t.ID)})
	}
	return out, nil
}

// steps words the steps of a ladder.
func (c composer) steps(steps []ladder.Step) []report.Step {
	out := []report.Step{}
	for _, s := range steps {
		w := report.Step{From: s.From, To: s.To, Title: c.throwTitle(s.To), Places: s.Places, Instead: []string{}}
		var parts []string
		for _, ch := range s.Changes {
			d := c.Base.Demands[ch.Demand]
			text := d.Adds
			if ch.Away {
				text = undone(d.Adds)
			}
			parts, w.Away = append(parts, text), w.Away || ch.Away
		}
		w.Adds = strings.Join(parts, " and ")
		w.Between = c.between(s)
		for _, id := range s.Instead {
			w.Instead = append(w.Instead, c.throwTitle(id))
		}
		out = append(out, w)
	}
	return out
}

// undone is what a step says that goes back in a demand: "gives back the run-up"
// for one that "takes away the run-up".
func undone(adds string) string {
	if what, ok := strings.CutPrefix(adds, "takes away "); ok {
		return "gives back " + what
	}
	if what, ok := strings.CutPrefix(adds, "adds "); ok {
		return "takes away " + what
	}
	return "goes back on this: " + adds
}

// between describes the throw that would halve a large step by what it asks
// where the step changes something.
func (c composer) between(s ladder.Step) string {
	if len(s.Halving) == 0 {
		return ""
	}
	var parts []string
	for _, ch := range s.Changes {
		d := c.Base.Demands[ch.Demand]
		parts = append(parts, words(d.ID)+": "+words(d.Values[s.Halving[ch.Demand]]))
	}
	return strings.Join(parts, ", ")
}

// nextThrows words what to throw next, nil for nothing: a drill that has faded
// comes first, and one that never worked is no reference unless one asks.
func (c composer) nextThrows(limits *plan.Limits, order string) (*report.NextThrows, error) {
	rungs, asked, why := c.Facts.Ladder.Rungs, order != "", c.Say("order_asked")
	g := c.Triage.Gate
	if len(rungs) == 0 || g != nil && (g.Verdict == rule.Restore || g.Verdict == rule.NotThisQuestion && !asked) {
		return nil, nil
	}
	if bound, barred := limits.Barred(); barred {
		return &report.NextThrows{Days: []report.ThrowsDay{}, NoDay: true, Bound: bound}, nil
	}
	if !asked {
		order, why = limits.Default(c.Case.Load)
	}
	room, bound := limits.Room(workload.DateOf(c.On))
	next, err := plan.AskFor(c.Facts, limits, order)
	if err != nil || next.Settled || !asked && next.Fresh && c.Facts.Ladder.Verdict.Kind == ladder.NoneFound {
		return nil, err
	}
	n := &report.NextThrows{Order: order, Why: why, Days: []report.ThrowsDay{}, Room: room, Bound: bound,
		Fresh: next.Fresh, About: next.About, Video: next.Video, NoDay: next.NoDay, Waits: next.Waits}
	age, known := observe.Age(c.Facts, c.Base)
	n.Note = SecondPitch(c.Base, age, known)
	for _, d := range next.Days {
		day := report.ThrowsDay{On: d.On.String(), Throws: d.Throws, Parts: []report.ThrowsPart{}}
		for _, part := range d.Parts {
			if part.Throws > 0 {
				t := rungs[part.Rung].Throw
				day.Parts = append(day.Parts, report.ThrowsPart{Throw: t.ID, Title: t.Title, Throws: part.Throws})
			}
		}
		n.Days = append(n.Days, day)
	}
	return n, nil
}

// changes sets the ladder beside the one before it.
func (c composer) changes(p *report.LadderPage, r *report.Report) {
	l := c.Facts.Ladder
	if l.Earlier == nil {
		return
	}
	p.Since = day(l.Earlier.On)
	changes, err := ladder.Compare(l.Earlier.Numbers, l.Numbers, ladder.Defaults())
	if err != nil {
		r.Ladder.Flags = append(r.Ladder.Flags, c.Say("ladders_apart", "why", err.Error()))
		return
	}
	for _, ch := range changes {
		p.Changes = append(p.Changes, report.Change{Throw: ch.Throw, Title: c.throwTitle(ch.Throw), Before: ch.Before, After: ch.After,
			Percent: ch.Percent, Low: ch.Interval.Low, High: ch.Interval.High, Says: ch.Says})
	}
}

// candidates ranks the drills that could be the reference.
func (c composer) candidates(p *report.LadderPage) {
	all := observe.Candidates(c.Facts, c.Case, c.Base, c.On)
	readings := map[string]int{}
	for _, k := range all {
		readings[k.Throw] = len(k.Speeds)
	}
	ranked, found := ladder.Choose(all, ladder.Defaults(), c.Facts.Ladder.Numbers.Trained)
	p.Found = found
	for _, k := range ranked {
		out := report.Candidate{Throw: k.Throw, Title: c.throwTitle(k.Throw), N: readings[k.Throw], Fit: k.Fit, Behind: k.Behind,
			Low: k.Interval.Low, High: k.Interval.High, Reasons: k.Reasons, Words: []string{}}
		for _, reason := range k.Reasons {
			out.Words = append(out.Words, orElse(c.Say("drill_"+reason), words(reason)))
		}
		p.Candidates = append(p.Candidates, out)
	}
}

// limits is what the athlete may throw, a day of it no more than a session of a plan.
func (c composer) limits() (*plan.Limits, error) {
	phase := c.Phase
	if phase == "" && c.Case.Load.Season == "in" {
		phase = plan.InSeason
	}
	var s plan.Session
	if row, err := c.Base.Workload.For(observe.Age(c.Facts, c.Base)); err == nil {
		wish := plan.WishFor(row, phase)
		s = plan.Session{Hard: wish.High, Warm: wish.WarmShort}
	}
	if g := c.Triage.Gate; g != nil && g.Verdict == rule.NotThisQuestion {
		s.Hard = min(s.Hard, plan.TrialHigh)
	}
	if phase == plan.TimeOff {
		s.Stop = c.Say("time_off")
	}
	return plan.LimitsOf(c.Facts, c.Base, c.On, s)
}

// secondPitchFrom names the age from which a second pitch may be another than a change-up.
const secondPitchFrom = "second_pitch_min_age"

// SecondPitch says for an athlete of an age which second pitch a rung with one means; "" where it may be any.
func SecondPitch(b *rule.Base, age int, known bool) string {
	if from := b.Value(secondPitchFrom, 0); !known || float64(age) < from {
		return Words(b).Say("second_pitch", "n", strconv.Itoa(int(from)))
	}
	return ""
}

// allowed says how much of the advised throws today's limits leave, and when the
// rest fits; "" where all of it does.
func (c composer) allowed(throws int) string {
	limits, err := c.limits()
	if err != nil || throws == 0 {
		return ""
	}
	room, bound := limits.Room(workload.DateOf(c.On))
	if room >= throws {
		return ""
	}
	id := "room"
	if room == 0 {
		id = "no_room"
	}
	if bound == "" {
		id += "_by_size"
	}
	values := []string{"n", strconv.Itoa(room), "limit", bound}
	if on, ok := limits.Next(workload.DateOf(c.On), throws); ok {
		return c.Say(id+"_then", append(values, "date", on.Time().Format(time.DateOnly))...)
	}
	return c.Say(id+"_never", values...)
}
