// Package ladder finds the rung at which a pattern that holds in a reference drill is lost on the way to the game, and
// builds, orders and splits the ladders on which that is looked for.
//
// Invariant: everything here is a pure function of plain numbers. No trade is in it but what the caller passes as shares,
// demands and options; the same input gives the same output to the last digit; probabilities sum to one; no speed is ever
// predicted, a rung is only compared with its expected share of the reference drill thrown by the same athlete that day.
//
// Speeds are miles an hour under Defaults; Options.InUnit turns the options for another unit, and then nothing else
// changes. Rungs are counted from 0, the reference drill, toward the game.
package ladder

import (
	"errors"
	"fmt"
	"math"
)

// Share is the range of a full-effort running throw's speed inside which 8 of 10 healthy carry-overs of one throw fall
// (1 = the running throw itself, whose range is 1..1).
type Share struct{ Low, High float64 }

// bandZ is how many standard deviations lie between the ends of the range that holds 8 of 10 (2 x 1.28).
const bandZ = 2.56

// Mid returns the middle of the range.
func (s Share) Mid() float64 { return (s.Low + s.High) / 2 }

// Spread returns the standard deviation that the range stands for.
func (s Share) Spread() float64 { return (s.High - s.Low) / bandZ }

// Check reports a share that cannot be: ends that are no numbers or in the wrong order, a share over 1.10 of a running
// throw, a spread under .006, which no set of athletes has. The running throw's own 1..1 passes.
func (s Share) Check() error {
	switch {
	case s == Share{1, 1}:
		return nil
	case !(s.Low > 0) || math.IsNaN(s.High):
		return errors.New("the expected share must be above zero")
	case s.Low >= s.High:
		return errors.New("the low end of the expected share must be under its high end")
	case s.High > 1.10:
		return errors.New("the expected share goes beyond 110 % of a running throw")
	case s.Spread() < minSpread:
		return fmt.Errorf("the expected share is narrower than %.1f points, which is more than athletes agree", minSpread*bandZ*100)
	}
	return nil
}

const minSpread = .006

// Rung is one throw of the ladder and what was seen on it. A rung with neither speeds nor marks counts as not tested.
type Rung struct {
	Throw   string    // id, handed through unread
	Share   Share     // as stored with the throw: of a running throw, whatever the reference is
	Speeds  []float64 // accepted readings, any order
	Marks   []float64 // pattern held 1, partly .5, not held 0; a throw on which it could not be seen has no mark
	OneMark bool      // Marks has one entry that stands for the whole rung
	Order   int       // when it was thrown, smallest first; equal numbers keep the order of the rungs
	Day     int       // which day, where a ladder was split over days
}

// Tested says whether anything was seen on the rung.
func (r Rung) Tested() bool { return len(r.Speeds)+len(r.Marks) > 0 }

// Again is a second set of readings on a rung that was thrown before: mostly the reference drill at the end, which
// tells tiredness from a lost pattern. Without an Order it came after everything else of its day.
type Again struct {
	Rung       int
	Speeds     []float64
	Order, Day int
}

// Ladder is one athlete's ladder. Trained chooses the usual spread of throws of trained pitchers rather than youth.
type Ladder struct {
	Rungs   []Rung
	Again   []Again
	Trained bool
}

// Weighted is one point of a grid and its prior weight.
type Weighted struct{ Value, Weight float64 }

// Prior says how often each kind of ladder is met before anything is thrown. Source: house default throughout.
type Prior struct {
	None, Stay, Dip, Slide       float64 // no break; a break that stays; a break at one rung only; a slow slide
	Both, SpeedOnly, PatternOnly float64 // what a break takes, given a break
	Half, Lag                    float64 // of breaks that stay: half the drop one rung before the rest; speed a rung after the pattern
	Drops                        []Weighted
}

// Noise says how healthy throws scatter. Speeds are in the unit of the readings, the rest are fractions of the
// reference. Source: house default throughout.
type Noise struct {
	SDTrained, SDYouth float64    // throw to throw within a rung: the median of a lognormal prior
	SDLog              float64    // and its log-SD
	Level              float64    // how little is known of the athlete's level
	Walk               float64    // random walk of the level from rung to rung
	Drift              float64    // warm-up or tiredness for each throw
	Day                float64    // shift of the level between days
	Spread             []Weighted // what the healthy spread of the shares is multiplied by: learned, not trusted
	MisreadFloor       float64    // a reading is a misread when farther than this, and than
	MisreadSDs         float64    // this many within-rung SDs, from its rung's median
}

// Thresholds are the probabilities from which on a verdict is given. Source: house default. In simulation a pair of rungs
// said at .72 holds the break in 88 %, and asking .80 of it only leaves more ladders undecided; no break is asked .78
// because at .75 more than 2 % of real breaks are missed.
type Thresholds struct {
	Stuck, Pair, None, Slide float64
	Reference, Tested        int // readings of the reference and tested rungs without which there is no verdict
}

// Options is everything that may be set about a reading of a ladder.
type Options struct {
	Prior      Prior
	Noise      Noise
	Thresholds Thresholds
	ThrowsLeft int // how many more throws the athlete may make today; negative: not limited
}

// Defaults returns the options for speeds in miles an hour. Source: house default, tuned and scored in simulation.
func Defaults() Options {
	return Options{
		Prior: Prior{None: .25, Stay: .55, Dip: .10, Slide: .10,
			Both: .70, SpeedOnly: .15, PatternOnly: .15, Half: .25, Lag: .10,
			Drops: []Weighted{{.025, .08}, {.035, .16}, {.045, .20}, {.055, .20}, {.07, .18}, {.09, .12}, {.12, .06}}},
		Noise: Noise{SDTrained: 1.5, SDYouth: 2.3, SDLog: .35, Level: 50, Walk: .004, Drift: .015, Day: .014,
			Spread:       []Weighted{{.8, .35}, {1.2, .35}, {1.8, .20}, {2.6, .10}},
			MisreadFloor: 5, MisreadSDs: 4},
		Thresholds: Thresholds{Stuck: .70, Pair: .72, None: .78, Slide: .60, Reference: 3, Tested: 3},
		ThrowsLeft: -1,
	}
}

// InUnit returns the options for speeds in another unit, perMph of which make one mile an hour.
func (o Options) InUnit(perMph float64) Options {
	n := &o.Noise
	for _, v := range []*float64{&n.SDTrained, &n.SDYouth, &n.Level, &n.Drift, &n.MisreadFloor} {
		*v *= perMph
	}
	return o
}

// withinSD returns the usual spread of throws for this ladder's athlete.
func (o Options) withinSD(l Ladder) float64 {
	if l.Trained {
		return o.Noise.SDTrained
	}
	return o.Noise.SDYouth
}

// Check reports everything about the ladder that cannot be read, joined, in the order of the rungs.
func (l Ladder) Check() error {
	if len(l.Rungs) < 2 {
		return errors.New("a ladder needs the reference drill and at least one rung after it")
	}
	if len(l.Rungs) > maxRungs {
		return fmt.Errorf("a ladder of %d rungs is longer than the %d that can be read", len(l.Rungs), maxRungs)
	}
	var faults []error
	for i, r := range l.Rungs {
		if err := r.check(); err != nil {
			faults = append(faults, fmt.Errorf("rung %d (%s): %w", i+1, r.Throw, err))
		}
	}
	for _, a := range l.Again {
		if a.Rung < 0 || a.Rung >= len(l.Rungs) {
			faults = append(faults, errors.New("throws made again belong to no rung of the ladder"))
		} else if !allSpeeds(a.Speeds) {
			faults = append(faults, fmt.Errorf("rung %d (%s), thrown again: a speed is not above zero", a.Rung+1, l.Rungs[a.Rung].Throw))
		}
	}
	return errors.Join(faults...)
}

// maxRungs bounds the work: three times the longest ladder anyone throws.
const maxRungs = 40

func (r Rung) check() error {
	var faults []error
	if err := r.Share.Check(); err != nil {
		faults = append(faults, err)
	}
	if !allSpeeds(r.Speeds) {
		faults = append(faults, errors.New("a speed is not above zero"))
	}
	for _, m := range r.Marks {
		if !(m >= 0 && m <= 1) {
			faults = append(faults, errors.New("a mark is not held, partly or not held"))
			break
		}
	}
	if r.OneMark && len(r.Marks) != 1 {
		faults = append(faults, errors.New("one mark for the whole rung was promised, but there is not exactly one"))
	}
	return errors.Join(faults...)
}

func allSpeeds(vs []float64) bool {
	for _, v := range vs {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// expected returns what rung r should reach as a share of the reference drill: the middle, and the half-width of the
// range that holds 8 of 10, in which the rung's own and the reference's half-width add in quadrature.
func (l Ladder) expected(r int) (mid, half float64) {
	if r == 0 {
		return 1, 0
	}
	ref, own := l.Rungs[0].Share, l.Rungs[r].Share
	mid = own.Mid() / ref.Mid()
	half = math.Hypot(own.High-own.Low, ref.High-ref.Low) / 2 / ref.Mid()
	return mid, half
}
