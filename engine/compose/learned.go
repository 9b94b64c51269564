package compose

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rungwise/engine/ladder"
	"rungwise/engine/rule"
	"rungwise/engine/source"
)

// leastLadders is how many healthy ladders a throw needs before a share of one's
// own is proposed. Source: house default.
const leastLadders = 3

// LearnedHouse writes proposed shares as a house-rules file to review, with how
// many ladders each rests on. proposed counts the throws in it.
func LearnedHouse(b *rule.Base, learned []ladder.Learned, by string, on time.Time) (text string, proposed int) {
	var out strings.Builder
	out.WriteString("# Shares proposed from the house's own healthy ladders, shrunk toward the shares in use.\n" +
		"# Nothing is in force: read them, strike what you doubt, and put the file into your house folder.\n" +
		"extends: base\nthrows:\n")
	for _, l := range inBaseOrder(b, learned) {
		low, high := math.Floor(l.Now.Low*1000)/1000, math.Ceil(l.Now.High*1000)/1000
		was := fmt.Sprintf("was %.3f to %.3f", l.Was.Low, l.Was.High)
		if l.N < leastLadders {
			fmt.Fprintf(&out, "  # %s: %s, too few to propose anything (%s)\n", l.Throw, ladders(l.N), was)
			continue
		}
		proposed++
		because := fmt.Sprintf("%s of our own without a break, read on %s, %s", ladders(l.N), on.Format(time.DateOnly), was)
		fmt.Fprintf(&out, "  - {id: %s, set: {share: {low: %.3f, high: %.3f, source: house default}}, because: %s, by: %s}   # n = %d\n",
			l.Throw, low, min(high, 1.10), source.Quote(because), source.Quote(by), l.N)
	}
	return out.String(), proposed
}

func ladders(n int) string {
	if n == 1 {
		return "1 ladder"
	}
	return fmt.Sprintf("%d ladders", n)
}

// inBaseOrder sorts what was learned as the catalogue has the throws.
func inBaseOrder(b *rule.Base, learned []ladder.Learned) []ladder.Learned {
	out := slices.Clone(learned)
	place := func(id string) int { return slices.IndexFunc(b.Throws, func(t rule.Throw) bool { return t.ID == id }) }
	slices.SortStableFunc(out, func(x, y ladder.Learned) int { return place(x.Throw) - place(y.Throw) })
	return out
}
