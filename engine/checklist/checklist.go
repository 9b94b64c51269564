// Package checklist holds what a coach can look at, ask and count: the
// checkpoints of a throw, the questions about the athlete, and the facts that
// follow from a case.
//
// Its invariant: every name that a condition may read is declared here, once,
// with all that is known about it (type, unit, range, answers, words for
// people), except the named limits of the rule base. Checkpoints stand in the
// order of the throw, and a loaded checklist is not changed again.
package checklist

import (
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"slices"
)

// The phases of a throw, in order. Both runs over landing; Task is seen rung by
// rung and not on the body.
const (
	BeforeLanding = "before_landing"
	Both          = "both"
	AfterLanding  = "after_landing"
	Task          = "task"
)

// The reading error classes: seen by eye, measured on video, or told by the
// athlete.
const (
	Eye      = "eye"
	Measured = "measured"
	Asked    = "asked"
)

// Who may answer a question: any coach, or only a person qualified for the
// screen it reports.
const (
	ByCoach     = "coach"
	ByQualified = "qualified"
)

// Checkpoint is one thing that can be seen or measured on video of one throw.
// It has answers, a measure, or both.
type Checkpoint struct {
	From
	ID, Title    string
	Phase        string // BeforeLanding, Both, AfterLanding or Task
	Moment, View string // when to pause, where the camera stands
	Ask, Help    string // words for whoever looks
	Answers      []fact.Answer
	Ordered      bool     // the answers run from best to worst
	Measure      *Measure // nil: by eye only
	Reading      string   // Eye, Measured or Asked: the usual reading error
}

// From is where an entry comes from.
type From struct {
	Source   string
	ReadBy   string     // who reads it where no rule does
	Place    diag.Place // of the entry
	SourceAt diag.Place // of its source
}

// Answered is how a fact is answered: in exactly one of these ways.
type Answered struct {
	Answers []fact.Answer
	YesNo   bool
	Number  *Number
}

// Measure says how a checkpoint is measured. All numbers are in Unit unless
// they say otherwise; zero means not given.
type Measure struct {
	Kind            string // interval, angle, line, length, share or percent
	Unit            string // ms, deg, cm, "% of height" or "%"
	Low, High       float64
	Tolerance       float64 // a difference up to this is no difference
	ToleranceSource string
	ThrowSD         float64 // from throw to throw of one athlete
	BetweenDays     float64 // SD from day to day
	MayBeFrames     bool    // an interval may be given in frames
	Flexion         bool    // three clicked points give the inside angle; the value is 180 deg less it
	Change          bool    // the change of an angle between two frames: six clicked points, three in each
	Against         string  // what a line is held against: vertical, horizontal, or "" for a line that is clicked too
	Plus            string  // which way plus points, in words ("the target"); "" where the number has no direction
	Rate            float64 // frames a second to assume; 0 = must be told
	PeakRate        float64 // deg/s at which what is measured turns at its fastest
	Bands           []Band  // which numbers stand for which answer
}

// What a line can be held against.
const (
	Vertical   = "vertical"
	Horizontal = "horizontal"
)

// Band is the stretch of numbers that stands for an answer, Low included.
type Band struct {
	Answer    string
	Low, High float64
}

// Question is one thing asked about the athlete; its fact is Group.ID.
type Question struct {
	From
	Answered
	Group, ID, Title string
	Ask, Help        string
	Fine             []string // the answers that say that nothing is wrong; nil = none is marked
	GoodFor          int      // days for which an answer holds; 0 = it does not age
	By               string   // ByCoach or ByQualified
	Reading          string
	EachSession      bool     // a safety question that is asked at every session, too
	DetailOf         string   // the question that this one is a detail of; "" = none
	LiftedBy         []string // whose clearance lifts a complaint; none = any clinician
}

// Number is the unit and the believable range of a number.
type Number struct {
	Unit      string
	Low, High float64
}

// Derived is a fact that is worked out from the case and never asked.
type Derived struct {
	From
	Answered
	ID, About string // ID is the name as conditions write it
}

// Name returns the question as conditions write it.
func (q Question) Name() string { return q.Group + "." + q.ID }

// Checklist is everything that was declared.
type Checklist struct {
	Checkpoints []Checkpoint // in the order of the throw
	Questions   []Question   // in the order of the files
	Derived     []Derived    // likewise
}

// Checkpoint returns the checkpoint of an id, and whether there is one.
func (c *Checklist) Checkpoint(id string) (Checkpoint, bool) {
	return first(c.Checkpoints, func(p Checkpoint) bool { return p.ID == id })
}

// Question returns the question of a fact's name such as "screen.pain", and
// whether there is one.
func (c *Checklist) Question(name string) (Question, bool) {
	return first(c.Questions, func(q Question) bool { return q.Name() == name })
}

func first[T any](list []T, ok func(T) bool) (x T, found bool) {
	if i := slices.IndexFunc(list, ok); i >= 0 {
		return list[i], true
	}
	return x, false
}

// CheckpointIDs lists the ids in the order of the throw.
func (c *Checklist) CheckpointIDs() []string {
	ids := make([]string, len(c.Checkpoints))
	for i, p := range c.Checkpoints {
		ids[i] = p.ID
	}
	return ids
}

// AnswerIDs lists the answers in order; nil for a number.
func (q Question) AnswerIDs() []string {
	if q.YesNo {
		return []string{"yes", "no"}
	}
	return fact.Fact{Answers: q.Answers}.AnswerIDs()
}

// Label returns what people read for an answer, or the id where there is no
// such answer.
func (p Checkpoint) Label(answer string) string { return label(p.Answers, answer) }

// Label returns what people read for an answer, or the id where there is no
// such answer.
func (q Question) Label(answer string) string { return label(q.Answers, answer) }

func label(answers []fact.Answer, id string) string {
	if a, ok := first(answers, func(a fact.Answer) bool { return a.ID == id }); ok {
		return a.Label
	}
	return id
}

// Answer returns the answer that a number stands for, and whether a band holds
// it. The upper end belongs to the next band, and to the last one at the end of
// the range.
func (m *Measure) Answer(x float64) (string, bool) {
	for _, b := range m.Bands {
		if x >= b.Low && (x < b.High || x == b.High && x == m.High) {
			return b.Answer, true
		}
	}
	return "", false
}
