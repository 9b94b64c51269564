package cause

import (
	"fmt"
	"math"
)

// The words of a rule base and the numbers they stand for (house defaults; a
// staff's own first cases should replace them).

// Frequency is the chance behind a link word: nearly_always, usually, often, sometimes.
func Frequency(word string) (float64, bool) {
	switch word {
	case "nearly_always":
		return 0.90, true
	case "usually":
		return 0.75, true
	case "often":
		return 0.50, true
	case "sometimes":
		return 0.25, true
	}
	return 0, false
}

// Prior is the chance behind how common a factor is: rare, occasional, common.
func Prior(word string) (float64, bool) {
	switch word {
	case "rare":
		return 0.04, true
	case "occasional":
		return 0.07, true
	case "common":
		return 0.15, true
	}
	return 0, false
}

// Otherwise is the chance of a sign without any of its factors: rarely, seldom,
// sometimes, often.
func Otherwise(word string) (float64, bool) {
	switch word {
	case "rarely":
		return 0.05, true
	case "seldom":
		return 0.10, true
	case "sometimes":
		return 0.20, true
	case "often":
		return 0.35, true
	}
	return 0, false
}

// Reading is the error of one look: eye, measured, asked.
func Reading(word string) (float64, bool) {
	switch word {
	case "eye":
		return 0.20, true
	case "measured":
		return 0.08, true
	case "asked":
		return 0.10, true
	}
	return 0, false
}

// Supports is the short form of a sign with one strength: the chance that it is
// seen with the factor, and otherwise.
func Supports(word string) (seen, otherwise float64, ok bool) {
	pair := func(link, leak string) (float64, float64, bool) {
		seen, _ = Frequency(link)
		otherwise, _ = Otherwise(leak)
		return seen, otherwise, true
	}
	switch word {
	case "strong":
		return pair("usually", "seldom")
	case "moderate":
		return pair("often", "sometimes")
	case "weak":
		return pair("sometimes", "often")
	}
	return 0, 0, false
}

// spread is the share of a break table that goes evenly to all demands (house default).
const spread = 0.2

// BreakTable turns one weight per demand (0 = not named) into a table that sums
// to 1: four fifths by weight, a fifth evenly. Without any weight it is even.
func BreakTable(weights []float64) []float64 {
	sum := 0.0
	for _, w := range weights {
		sum += max(0, w)
	}
	table := make([]float64, len(weights))
	for i, w := range weights {
		table[i] = 1 / float64(len(weights))
		if sum > 0 {
			table[i] = spread/float64(len(weights)) + (1-spread)*max(0, w)/sum
		}
	}
	return table
}

// InWords is the word of a chance: unlikely, possible, as likely as not, likely or very likely.
func InWords(chance float64) string {
	switch {
	case chance >= .75:
		return "very likely"
	case chance >= .50:
		return "likely"
	case chance >= .40:
		return "as likely as not"
	case chance >= .15:
		return "possible"
	}
	return "unlikely"
}

// InTenths is the rough range that goes with the word: "roughly 6 in 10".
func InTenths(chance float64) string {
	switch tenths := math.Round(chance * 10); {
	case !(tenths >= 1):
		return "less than 1 in 10"
	case tenths >= 10:
		return "more than 9 in 10"
	default:
		return fmt.Sprintf("roughly %.0f in 10", tenths)
	}
}

// Lead is how far the first factor stands out.
type Lead string

// The levels of a report.
const (
	ClearFirst  Lead = "clear_first"  // at least .65, and .20 before the second
	LikelyFirst Lead = "likely_first" // at least .45
	WeakLead    Lead = "weak_lead"    // at least .30
	NoLeader    Lead = "no_leader"
)

// Standing is the level for the root chances of the first and second cause. The
// unlisted cause takes part: where it comes close, nothing stands out clearly.
func Standing(first, second float64) Lead {
	switch {
	case first >= 0.65 && first-second >= 0.20-1e-9:
		return ClearFirst
	case first >= 0.45:
		return LikelyFirst
	case first >= 0.30:
		return WeakLead
	}
	return NoLeader
}
