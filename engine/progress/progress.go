// Package progress decides, from logged sessions, whether an athlete moves on, stays, steps back, restores the
// reference drill, is looked at afresh, or stops.
//
// Invariant: no decision rests on one session or on part of one, except those that stop throwing. Promotion needs
// sessions on at least two days, the count starts again after every change, and no number here is an expected speed:
// speeds are only compared with the same athlete's reference drill.
package progress

import (
	"rungwise/engine/workload"
)

// A Session is one day's work at the rung that is being worked on. Speeds are in one unit throughout a Request.
type Session struct {
	On   workload.Date
	Rung string // throw id; empty for a day with keep-up throws only
	// Marks are the throws at the rung: 1 held, 0.5 partly, 0 lost; throws that could not be seen are left out.
	Marks []float64
	// Speeds are the throws at the rung that were measured.
	Speeds []float64
	// Keep are the measured throws of the reference drill on that day, keep-up throws or a whole session of them.
	Keep []float64
	// Changed says that something was changed before this session (a drill, a cue, the gun): the count starts here.
	Changed bool
	Sore    string // where it is sore, away from what ends throwing; the safety screen decides about that
}

// A Rung is one throw of the ladder with its expected share of the reference drill's speed (1 for the reference).
type Rung struct {
	ID    string
	Share float64
}

// A Request is what a decision is made from.
type Request struct {
	Sessions []Session // in any order
	Ladder   []Rung    // from the reference drill to the game
	// FirstThrown is when the reference drill was first thrown; unknown: the first session with keep-up throws.
	FirstThrown      workload.Date
	FirstThrownKnown bool
	LastThrown       workload.Date // that is told of without speeds; 0 = none
	Age              int
	AgeKnown         bool
	Settings         Settings
}

// A Decision is what to do next.
type Decision string

// The decisions. What comes first here is decided first.
const (
	Stop     Decision = "stop"      // stop throwing and refer
	Restore  Decision = "restore"   // return to the reference drill until it is over its floor
	Retriage Decision = "re_triage" // look at the athlete afresh: the diagnosis is in doubt
	StepBack Decision = "step_back"
	Promote  Decision = "promote"
	Hold     Decision = "hold"
)

// A Report is a decision and the numbers behind it.
type Report struct {
	Decision Decision `json:"decision"`
	Rung     string   `json:"rung"`         // the rung worked on
	To       string   `json:"to,omitempty"` // the rung to work on next; empty with promote: the ladder is done
	Reasons  []Reason `json:"reasons"`
	Marks    Pooled   `json:"marks"`
	Speed    Speed    `json:"speed"`
	Floor    Floor    `json:"floor"`
	Gain     Gain     `json:"gain"`
	Notes    []string `json:"notes,omitempty"`
}

// A Reason names one rule that took part, in words with its numbers.
type Reason struct {
	ID    string `json:"id"`
	Words string `json:"words"`
}

// Speed is the mean speed at the rung over the pooled sessions, in percent of what the rung's share of that day's
// reference throws (or, without any, of the basis) leaves.
type Speed struct {
	Percent  float64 `json:"percent"`
	Sessions int     `json:"sessions"` // that could be compared; none: not known
}

// Known reports whether any session could be compared.
func (s Speed) Known() bool { return s.Sessions > 0 }
