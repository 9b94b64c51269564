package plan

import (
	"slices"

	"rungwise/engine/workload"
)

// A Wish is how large sessions are where no limit speaks against it. Counts are throws. All house default.
type Wish struct {
	High int // high-effort throws of a mound session: keep-up, rung below, stuck rung, interleaved
	// Moderate is isolation and put-back throws of a mound session, Warm its easy throws, among them the first
	// isolation throws. Each has a short form for when there is little room.
	Moderate, ModerateShort int
	Warm, WarmShort         int
	Lighter                 []Size // sessions without high effort, the largest first
}

// A Size is a session without high-effort throws.
type Size struct{ Low, Moderate int }

// leastHigh is the smallest number of high-effort throws worth a mound session: three keep-up throws, two at the rung
// below and three at the stuck rung.
const leastHigh = 8

// TrialHigh is the most high-effort throws of a session while a drill is on trial or comes back (house default).
const TrialHigh = 12

// shares are the sizes at which a mound session is tried, in percent of the wish.
func shares() []int { return []int{100, 75, 50, 35} }

// WishFor returns the house's session sizes by age and phase. In season a session is smaller, since the games are
// high effort as well.
func WishFor(row workload.Row, phase Phase) Wish {
	w := Wish{High: 30, Moderate: 15, ModerateShort: 8, Warm: 20, WarmShort: 12}
	switch {
	case !row.Known || row.Age <= 14:
		w = Wish{High: 20, Moderate: 10, ModerateShort: 6, Warm: 15, WarmShort: 10}
	case row.Age <= 18:
		w.High = 25
	}
	if phase == InSeason {
		w.High = w.High * 6 / 10
	}
	w.Lighter = []Size{{20, 30}, {15, 15}, {12, 8}, {25, 0}, {15, 0}, {8, 0}}
	return w
}

// A try is one session that could be placed, and its size in percent of the wish (0 without high effort).
type try struct {
	low, moderate, high, share int
}

// mound returns the mound sessions to try, the largest first: every size with full and then with short warm-up and
// isolation, never below leastHigh.
func (w Wish) mound() []try {
	var all []try
	for _, share := range shares() {
		high := max(w.High*share/100, min(leastHigh, w.High))
		for _, t := range []try{{w.Warm, w.Moderate, high, share}, {w.WarmShort, w.ModerateShort, high, share}} {
			if high > 0 && !slices.ContainsFunc(all, func(a try) bool { a.share = t.share; return a == t }) {
				all = append(all, t)
			}
		}
	}
	return all
}

func (w Wish) lighter() []try {
	var all []try
	for _, s := range w.Lighter {
		all = append(all, try{low: s.Low, moderate: s.Moderate})
	}
	return all
}
