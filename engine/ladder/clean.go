package ladder

import (
	"math"
	"slices"

	"rungwise/engine/stats"
)

// block is a run of throws on one rung, with the readings that were kept.
type block struct {
	rung, day int
	kept      []float64
	mid       float64 // number of its middle throw, counted from the first of its day
	share     float64 // expected share of the reference
}

// clean splits readings into those to be used and those too far from the median of their rung to be throws. Where so
// many are set aside that none is left, the readings contradict one another and the coach has to say which are right.
func clean(speeds []float64, limit float64) (kept, misreads []float64) {
	middle := stats.Median(speeds)
	limit *= 1 + 1e-9 // a reading just at the limit stays, in every unit
	for _, v := range speeds {
		if math.Abs(v-middle) > limit {
			misreads = append(misreads, v)
		} else {
			kept = append(kept, v)
		}
	}
	return kept, misreads
}

// blocks returns the runs of throws in the order in which they were thrown, leaving out those without a reading that
// can be used, and the misreads of each rung.
func (l Ladder) blocks(o Options) (bs []block, misreads [][]float64) {
	limit := math.Max(o.Noise.MisreadFloor, o.Noise.MisreadSDs*o.withinSD(l))
	misreads = make([][]float64, len(l.Rungs))
	thrown := map[int]int{}
	for _, s := range l.sets() {
		first := thrown[s.day]
		thrown[s.day] += s.throws
		kept, bad := clean(s.speeds, limit)
		misreads[s.rung] = append(misreads[s.rung], bad...)
		if len(kept) == 0 {
			continue
		}
		share, _ := l.expected(s.rung)
		bs = append(bs, block{s.rung, s.day, kept, float64(first) + float64(s.throws+1)/2, share})
	}
	return bs, misreads
}

// set is a run of throws before cleaning.
type set struct {
	rung, day, order, throws int
	last                     bool
	speeds                   []float64
}

func (l Ladder) sets() []set {
	var all []set
	for i, r := range l.Rungs {
		all = append(all, set{i, r.Day, r.Order, max(len(r.Speeds), len(r.Marks)), false, r.Speeds})
	}
	for _, a := range l.Again {
		all = append(all, set{a.Rung, a.Day, a.Order, len(a.Speeds), a.Order == 0, a.Speeds})
	}
	slices.SortStableFunc(all, func(a, b set) int {
		if a.day != b.day {
			return a.day - b.day
		}
		if a.last != b.last {
			if a.last {
				return 1
			}
			return -1
		}
		return a.order - b.order
	})
	return all
}
