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

// Agree compares two lists of answers to the same clips in the same order; an empty answer could not be seen. ok is
// false where the lists differ in length or nothing was graded twice.
func Agree(first, second []string) (a Agreement, ok bool) {
	if len(first) != len(second) {
		return Agreement{}, false
	}
	places := make(map[string]int)
	for i := range first {
		for _, answer := range []string{first[i], second[i]} {
			if _, seen := places[answer]; !seen && first[i] != "" && second[i] != "" {
				places[answer] = len(places)
			}
		}
	}
	table := make([][]int, len(places))
	for i := range table {
		table[i] = make([]int, len(places))
	}
	for i := range first {
		if first[i] == "" || second[i] == "" {
			a.LeftOut++
			continue
		}
		table[places[first[i]]][places[second[i]]]++
		a.N++
		if first[i] == second[i] {
			a.Same++
		}
	}
	if a.N == 0 {
		return Agreement{}, false
	}
	a.fill(table)
	return a, true
}

func (a *Agreement) fill(table [][]int) {
	n := float64(a.N)
	a.Raw = float64(a.Same) / n
	a.RawRange = stats.Wilson(float64(a.Same), n, 0.95)
	a.Error = OwnError(1 - a.Raw)
	a.ErrorRange = stats.Interval{Low: OwnError(1 - a.RawRange.High), High: OwnError(1 - a.RawRange.Low)}
	a.Enough = a.N >= enoughClips
	k, ok := stats.Kappa(table, 0.95)
	if !ok {
		return
	}
	a.Kappa, a.KappaKnown = k.Kappa, true
	// The interval of the raw agreement, carried over: kappa's own standard error is nothing at full agreement, and
	// a coach who agreed with himself on three clips is not certain.
	chance := chanceAgreement(table, n)
	a.KappaRange = stats.Interval{
		Low:  math.Max(-1, (a.RawRange.Low-chance)/(1-chance)),
		High: math.Min(1, (a.RawRange.High-chance)/(1-chance)),
	}
}

func chanceAgreement(table [][]int, n float64) float64 {
	sum := 0.0
	for i := range table {
		row, col := 0, 0
		for j := range table {
			row += table[i][j]
			col += table[j][i]
		}
		sum += float64(row) * float64(col) / (n * n)
	}
	return sum
}

// OwnError returns a coach's chance of one wrong grading from the share of clips graded differently the second time:
// (1 - sqrt(1 - 2x))/2, at most one half, which is guessing.
func OwnError(disagreed float64) float64 {
	return (1 - math.Sqrt(math.Max(0, 1-2*disagreed))) / 2
}
