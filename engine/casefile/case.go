// Package casefile reads and keeps one athlete's file.
//
// Its invariant: a case that was read holds only what somebody wrote, strictly
// checked and with its place; what was not answered is absent, never a default.
// A file is replaced in one step or not at all, and its log only grows.
package casefile

import (
	"slices"
	"time"

	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Format is the first line's value in every case file.
const Format = "case/1"

// CouldNotSee is the answer of somebody who looked and could not tell.
const CouldNotSee = "could_not_see"

// Case is what was seen, thrown and counted of one athlete.
type Case struct {
	File      *source.File
	Code      string // athlete code, such as SM-04
	Answers   []Answer
	Screened  time.Time // day on which the safety screen was asked; zero = not told
	Load      Load
	Reference Reference
	Mound     []Best
	Ladders   []Ladder // oldest first
	Seen      []Observation
	Training  Training
	Disagrees []Dissent
	Compare   []Candidate // other drills that could be the reference
	Log       *Log        // what was thrown since; nil = not read
}

// Answer is one answered question about the athlete, by the name conditions
// use, such as "screen.pain". Numbers are in the question's unit.
type Answer struct {
	Name  string
	Value string
	Place diag.Place
}

// Load is what was thrown before today.
type Load struct {
	Weeks          []Week    // oldest first
	WeeksUntil     time.Time // last day of the newest of them; zero = not told
	Days           []Day     // oldest first
	Games          []Day     // games ahead, oldest first
	LastHighEffort time.Time
	Innings12m     *float64
	MonthsOff      *float64 // months of the last twelve without overhead throwing
	MonthsNoPitch  *float64 // months of the last twelve without competitive pitching
	Positions      []string
	Season         string // off, pre, in; "" = not told
}

// Week is one week's throws, high-effort ones included.
type Week struct{ Throws, High int }

// Day is one day's throws; High are among Throws. Game is pitches in a game.
type Day struct {
	On                 time.Time
	Throws, High, Game int
	Innings            float64
}

// Reference is the drill in which the athlete is at his best.
type Reference struct {
	Throw       string // throw id, "" = none named
	Best        []Best
	FirstThrown time.Time
	LastThrown  time.Time
	Sessions    []Session // dated sessions, oldest first, today's included
	Place       diag.Place
}

// Best is a dated best: the mean of N throws, in miles an hour.
type Best struct {
	On    time.Time
	Speed float64
	N     int
}

// Session is the speeds of one day, in miles an hour.
type Session struct {
	On     time.Time
	Speeds []float64
	Throws int // with those that the gun missed
}

// Candidate is a drill that could serve as the reference.
type Candidate struct {
	Throw       string
	Best        []Best
	FirstThrown time.Time
	Speeds      []float64
}

// Ladder is one ladder as thrown on one day.
type Ladder struct {
	On    time.Time
	Step  float64 // of the radar gun, miles an hour; 0 = not told
	Gun   string
	Rungs []Rung
	Again []float64 // the reference thrown again at the end, miles an hour
	More  int       // throws of Again that the gun missed
	Place diag.Place
}

// The marks of a throw: whether the pattern held.
const (
	Held    = 1.0
	Partly  = 0.5
	NotHeld = 0.0
)

// marks lists the words for whether the pattern held.
func marks() []string { return []string{"yes", "partly", "no", CouldNotSee} }

// markValue is what a mark counts for; seen is false for a throw that nobody could see.
func markValue(mark string) (value float64, seen bool) {
	switch mark {
	case "yes":
		return Held, true
	case "partly":
		return Partly, true
	}
	return NotHeld, mark == "no"
}

// Rung is one throw variation of a ladder. Speeds are in miles an hour; Unit is
// the one they were written in.
type Rung struct {
	Throw   string
	Speeds  []float64
	Throws  int // all of the rung, with those that the gun missed or nobody could see
	Unit    unit.Unit
	Marks   []float64 // Held, Partly or NotHeld; throws nobody could see are left out
	OneMark bool      // one mark stands for the whole rung
	Effort  *float64  // % of maximum, as told
	Miss    string
	NetMiss string
	Focus   string
	Hits    *Hits
	Gun     string
	Place   diag.Place
}

// Hits is how often an aim was hit.
type Hits struct{ Hit, Of int }

// Observation is one checkpoint on one throw, seen on one or more clips.
type Observation struct {
	Checkpoint, Throw string
	Looks             []Look
	Place             diag.Place
}

// Training is when the athlete can throw.
type Training struct {
	Days  []time.Weekday
	Mound []time.Weekday
	Off   []time.Time
}

// Dissent is where the coach sees it otherwise.
type Dissent struct {
	Factor, By, Reason string
	On                 time.Time
	Place              diag.Place
}

// Answer returns the answer to a question by its name, and whether there is
// one.
func (c *Case) Answer(name string) (string, bool) {
	for _, a := range c.Answers {
		if a.Name == name {
			return a.Value, true
		}
	}
	return "", false
}

// Ladder returns the newest ladder, or nil.
func (c *Case) Ladder() *Ladder {
	if len(c.Ladders) == 0 {
		return nil
	}
	return &c.Ladders[len(c.Ladders)-1]
}

// Observed returns what was seen of a checkpoint on a throw, or nil.
func (c *Case) Observed(checkpoint, throw string) *Observation {
	for i := range c.Seen {
		if c.Seen[i].Checkpoint == checkpoint && c.Seen[i].Throw == throw {
			return &c.Seen[i]
		}
	}
	return nil
}

// Rung returns the rung of a throw, or nil.
func (l *Ladder) Rung(throw string) *Rung {
	i := slices.IndexFunc(l.Rungs, func(r Rung) bool { return r.Throw == throw })
	if i < 0 {
		return nil
	}
	return &l.Rungs[i]
}
