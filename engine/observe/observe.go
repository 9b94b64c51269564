// Package observe turns one athlete's case into facts.
//
// Its invariant: a fact is known only where the case holds what it follows
// from. What could not be seen, was not asked, or cannot be told within its
// error is unknown, and no default takes its place.
package observe

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/progress"
	"rungwise/engine/rule"
	"rungwise/engine/safety"
	"rungwise/engine/workload"
)

// Facts is everything that a case shows.
type Facts struct {
	Vector   fact.Vector
	Compared string          // throw id of the second column, "" = nothing was seen beside the drill
	Rows     []Row           // checkpoints in the order of the throw
	Lambda   map[int]float64 // by slot of a measured changed fact: how much likelier its readings are if it differs
	Unsure   map[int]bool    // by slot: graded, but not surely
	Ladder   Ladder
	Carry    CarryOver
	Load     Load
	Safety   safety.State
	// SpeedLost: the speeds of the drill fell further than noise explains, and no clearance has come since.
	SpeedLost bool
	Drill     []progress.Session // the days of the reference drill, with its throws alone
	Floor     progress.Floor     // of the reference drill, in mph
	Moving    progress.Settings  // when one moves on or back
}

// CarryOver is the gain in the drill beside the gain on the mound, in mph.
type CarryOver struct {
	Drill, Mound, Weeks *float64
	Words               string // full, partial, none, not_known
}

// Vocabulary is the names with which a case of a base is read; today is the clock.
func Vocabulary(b *rule.Base, today time.Time) casefile.Vocabulary {
	return casefile.Vocabulary{Checklist: b.Checklist, Today: today, Throws: b.IDs(rule.Throws), Factors: b.IDs(rule.Factors)}
}

// Load is the throws before today, as far as the case tells.
type Load struct {
	Record workload.Record
	Recent workload.Summary // the last seven days, and the four weeks before them
	Year   workload.Year
	Games  []workload.Day // ahead
}

// Observe reads the facts off a case. Today stands for the clock. The case must
// have been read with the base's names.
func Observe(c *casefile.Case, b *rule.Base, today time.Time) (*Facts, error) {
	o := &observer{c: c, b: b, today: today, f: &Facts{
		Vector: b.Catalogue.Vector(), Lambda: map[int]float64{}, Unsure: map[int]bool{}}}
	o.answers()
	o.health()
	if err := o.ladder(); err != nil {
		return nil, fmt.Errorf("%s: %w", c.Code, err)
	}
	o.f.Compared = o.compared()
	o.columns()
	o.carryOver()
	if err := o.reference(); err != nil {
		return nil, fmt.Errorf("%s: %w", c.Code, err)
	}
	o.speedLost()
	o.load()
	return o.f, nil
}

// observer fills the facts of one case.
type observer struct {
	c     *casefile.Case
	b     *rule.Base
	today time.Time
	asked safety.Rules
	f     *Facts
}

// set gives a fact its value. A name that the checklists of this base do not
// declare is left out: a house may have dropped it.
func (o *observer) set(name string, v fact.Value) {
	if slot, ok := o.b.Catalogue.Slot(name); ok && v.Known && !math.IsNaN(v.N) {
		o.f.Vector[slot] = v
	}
}

func (o *observer) word(name, word string) {
	if f, ok := o.b.Catalogue.Lookup(name); ok {
		if v, err := f.Parse(word); err == nil {
			o.set(name, v)
		}
	}
}

// number is a named number of the rule base.
func (o *observer) number(id string) float64 { return o.b.Value(id, math.NaN()) }

func (o *observer) answers() {
	for _, a := range o.c.Answers {
		if !strings.HasPrefix(a.Name, screenGroup+".") { // those are the record's to answer
			o.word(a.Name, a.Value)
		}
	}
}

// age returns the athlete's age in years, and whether it was told.
func (o *observer) age() (int, bool) {
	slot, ok := o.b.Catalogue.Slot("athlete.age")
	if !ok || !o.f.Vector[slot].Known {
		return 0, false
	}
	return int(o.f.Vector[slot].N), true
}
