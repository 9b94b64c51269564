// Package plan turns a triaged case into sessions on days.
//
// Invariant: no day of a plan, with everything thrown before it and every game ahead, breaks a hard limit of
// engine/workload. A schedule places counts of throws only; what is later put into a session must fit its counts.
// Whatever is smaller than wished, and every day of rest, says what it is because of.
package plan

import (
	"slices"
	"time"

	"rungwise/engine/workload"
)

// A Phase is the part of the year that a plan is for.
type Phase string

// The phases. In season the games come first; in time off nothing is thrown.
const (
	VelocityBlock Phase = "velocity"
	MoundPhase    Phase = "mound"
	InSeason      Phase = "season"
	TimeOff       Phase = "time_off"
)

// A Kind says what a day is for.
type Kind string

// The kinds of days, from the most to the least.
const (
	Game  Kind = "game"
	Mound Kind = "mound" // high-effort throws, off the slope where the plan wants it
	Drill Kind = "drill" // isolation and put-back throws, nothing of high effort
	Light Kind = "light" // easy throws only
	Rest  Kind = "rest"
	Done  Kind = "done" // already thrown before the plan was made
)

// A Request is what a schedule is made from.
type Request struct {
	Start workload.Date
	Weeks int            // 1 to 26
	Train []time.Weekday // days on which the athlete can throw
	Mound []time.Weekday // those among them for mound sessions; none: every other one of Train
	Away  []workload.Date
	Phase Phase
	// Limits are the athlete's, already tightened by the house.
	Limits workload.Row
	Year   workload.Year
	// History is what was thrown, one entry a day or several. A day of it at or after Start counts as done.
	History []workload.Day
	// Games are fixed days with game pitches; they are never moved.
	Games []workload.Day
	// Stop, when not empty, says why nothing may be thrown at all: pain, a referral. It refuses the schedule.
	Stop string
	// Wish is the sizes of sessions; zero: WishFor(Limits, Phase).
	Wish Wish
}

// A Reason says why a day is what it is: a limit with its numbers, or in words something that is not one.
type Reason struct {
	ID    string           `json:"id"`
	Words string           `json:"words"`
	Limit *workload.Breach `json:"limit,omitempty"` // what the next larger session would have broken, and on which day
}

// A Day is one planned day: how many throws of each effort it may hold. Counts are the most a later step may fill in.
type Day struct {
	workload.Day
	Kind Kind `json:"kind"`
	// Share is the size of a mound session in percent of the wish; 0 on other days.
	Share int `json:"share,omitempty"`
	// Because names what made the day smaller than wished or a rest day; empty for a session at full size.
	Because []Reason `json:"because,omitempty"`

	open bool // a session of ours may stand here
}

// A Result is the days of a plan. When Refused is not empty there are no days; when Empty is true there are days and
// none of them has a throw of ours, and Because of each says why.
type Result struct {
	Days    []Day    `json:"days"`
	Refused []Reason `json:"refused,omitempty"`
	Empty   bool     `json:"empty,omitempty"`
	// Limits is every limit that applied, on the day that came closest to it.
	Limits []workload.Breach `json:"limits"`
	// Binding counts, for each reason, the days that it made smaller or into rest, the most frequent first.
	Binding []Binding `json:"binding,omitempty"`
	// Assumed is what had to be taken for granted about the athlete, in plain words.
	Assumed []string `json:"assumed,omitempty"`
}

// Binding is how many days one reason made smaller or into rest.
type Binding struct {
	ID   string `json:"id"`
	Days int    `json:"days"`
}

// The most weeks that one schedule covers: beyond it a plan from today's base means little.
const mostWeeks = 26

// The most rounds over all days. Two or three are enough in practice; the bound only keeps the time bounded.
const mostRounds = 8

// Schedule places the sessions of a request: first the high-effort sessions on the mound days, then lighter throwing on
// the rest, each the largest that keeps this day and every later day with throws within all limits; then the same
// again over what is placed, since a fuller week lifts the base of the weeks after it. The same request gives the same
// result.
func Schedule(r Request) Result {
	return schedule(r, func(first, last workload.Date, entries ...[]workload.Day) book {
		return workload.NewLedger(r.Limits, r.Year, first, last, entries...)
	})
}

// A book keeps throws by day and judges them; the one in use is workload's ledger.
type book interface {
	Day(on workload.Date) workload.Day
	Put(d workload.Day)
	FirstFrom(on workload.Date) (workload.Breach, bool)
	All() []workload.Breach
	Uses() []workload.Breach
}

type opener func(first, last workload.Date, entries ...[]workload.Day) book

func schedule(r Request, open opener) Result {
	if refused := r.refuse(); len(refused) > 0 {
		return Result{Refused: refused}
	}
	p := newPlacing(r, open)
	if refused := p.gamesThatBreak(); len(refused) > len(p.pending) {
		return Result{Refused: refused}
	}
	var best candidate
	for _, share := range shares() {
		if c := p.start(share); c.better(best) {
			best = c
		}
	}
	p.take(best)
	if best.broken > 0 {
		return Result{Refused: p.gamesThatBreak()}
	}
	return p.result()
}

// refuse lists what makes a schedule impossible before any day is looked at.
func (r Request) refuse() []Reason {
	var out []Reason
	add := func(id, words string) { out = append(out, Reason{ID: id, Words: words}) }
	switch {
	case r.Stop != "":
		add("stop", r.Stop)
	case r.Weeks < 1 || r.Weeks > mostWeeks:
		add("weeks", "a plan covers 1 to 26 weeks")
	case len(r.Train) == 0:
		add("training_days", "a plan needs at least one training day a week")
	case r.Limits.Table.Daily == 0 && len(r.Limits.Table.Rest) == 0:
		add("limits", "a plan needs the athlete's limits")
	}
	for _, m := range r.Mound {
		if !slices.Contains(r.Train, m) {
			add("mound_days", "the mound day "+m.String()+" is not a training day")
		}
	}
	return out
}

// mound returns the mound days: those asked for, or every other training day from the first of the week, Monday first.
func (r Request) mound() []time.Weekday {
	if len(r.Mound) > 0 {
		return r.Mound
	}
	var days []time.Weekday
	take := true
	for i := range 7 {
		if d := time.Weekday((i + 1) % 7); slices.Contains(r.Train, d) {
			if take {
				days = append(days, d)
			}
			take = !take
		}
	}
	return days
}
