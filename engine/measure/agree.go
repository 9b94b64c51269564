package measure

import (
	"math"

	"rungwise/engine/stats"
)

// Agreement is how far two gradings of the same clips agree, by one coach twice or by two coaches, blind.
type Agreement struct {
	N, Same    int            // clips graded both times; of them alike
	LeftOut    int            // clips that could not be seen one of the times
	Raw        float64        // share alike
	RawRange   stats.Interval // 95 %
	Kappa      float64        // agreement beyond chance
	KappaRange stats.Interval // 95 %
	KappaKnown bool           // false where only one answer was ever given: then nothing is beyond chance
	Error      float64        // chance that one grading is wrong
	ErrorRange stats.Interval // 95 %
	Enough     bool           // enough clips for Error to take the place of the default
}

// enoughClips is how many clips graded twice it takes for a coach's own error to count (house default).
const enoughClips = 20

// Twice is one clip graded twice.
type Twice struct {
	Group         string // what was graded; agreement by chance is counted within it
	First, Second string // answers; empty could not be seen
}

// AgreeOn compares clips graded twice, of one or of several things. Kappa is Cohen's; with several groups the agreement
// by chance is the mean of theirs by clips, so that things with different answers do not pass for agreement. ok is false
// where nothing was graded twice.
func AgreeOn(clips []Twice) (a Agreement, ok bool) {
	groups := make(map[string][]Twice)
	var names []string
	for _, c := range clips {
		if c.First == "" || c.Second == "" {
			a.LeftOut++
			continue
		}
		if _, known := groups[c.Group]; !known {
			names = append(names, c.Group)
		}
		groups[c.Group] = append(groups[c.Group], c)
		a.N++
		if c.First == c.Second {
			a.Same++
		}
	}
	if a.N == 0 {
		return Agreement{}, false
	}
	chance := 0.0
	for _, name := range names {
		chance += chanceAgreement(groups[name]) * float64(len(groups[name])) / float64(a.N)
	}
	a.fill(chance)
	return a, true
}

func (a *Agreement) fill(chance float64) {
	n := float64(a.N)
	a.Raw = float64(a.Same) / n
	a.RawRange = stats.Wilson(float64(a.Same), n, 0.95)
	a.Error = ownError(1 - a.Raw)
	a.ErrorRange = stats.Interval{Low: ownError(1 - a.RawRange.High), High: ownError(1 - a.RawRange.Low)}
	a.Enough = a.N >= enoughClips
	if chance > 1-1e-9 {
		return
	}
	// The interval is the one of the raw agreement, carried over: kappa's own standard error is nothing at full
	// agreement, and a coach who agreed with himself on three clips is not certain.
	beyond := func(raw float64) float64 { return math.Max(-1, math.Min(1, (raw-chance)/(1-chance))) }
	a.Kappa, a.KappaKnown = beyond(a.Raw), true
	a.KappaRange = stats.Interval{Low: beyond(a.RawRange.Low), High: beyond(a.RawRange.High)}
}

// chanceAgreement is how often two gradings agree that answer as often as these and know nothing of each other.
func chanceAgreement(clips []Twice) float64 {
	second := map[string]float64{}
	for _, c := range clips {
		second[c.Second]++
	}
	same, n := 0.0, float64(len(clips))
	for _, c := range clips { // each clip carries its own answer's part, so that no order of a map is felt
		same += second[c.First] / (n * n)
	}
	return same
}

// leastError is the least reading error that is worked with (house default): clips graded alike twice may be wrong
// twice alike.
const leastError = 0.05

// Usable is Error as the rules may read with it: never under 0.05 and never over 0.45, where a look says nothing.
func (a Agreement) Usable() float64 { return math.Max(leastError, math.Min(0.45, a.Error)) }

// ownError returns a coach's chance of one wrong grading from the share of clips graded differently the second time:
// (1 - sqrt(1 - 2x))/2, at most one half, which is guessing.
func ownError(disagreed float64) float64 {
	return (1 - math.Sqrt(math.Max(0, 1-2*disagreed))) / 2
}
