package ladder

import (
	"math"

	"rungwise/engine/stats"
)

// Learned is what a house's own healthy ladders make of one throw's share.
type Learned struct {
	Throw    string
	N        int   // ladders it rests on
	Was, Now Share // of a running throw
}

// How many ladders the share and the spread given beforehand count for. Source: house default.
const (
	shareWeight  = 5
	spreadWeight = 8
)

// Learn proposes shares from ladders in which no break was found; others say nothing about healthy carry-overs. Each
// throw's own ratios are shrunk toward the share it has now, which the first ladder that holds it tells, and the noise of
// a few throws a rung is taken out of the spread, which never goes under the narrowest a share may have. Throws come in
// the order in which they are first met. Ladders that cannot be read are left out and counted.
func Learn(ladders []Ladder, o Options) (learned []Learned, unread int) {
	type sample struct {
		was           Share
		ratios, noise []float64 // as shares of a running throw, and their variance from throw to throw
	}
	var order []string
	by := map[string]*sample{}
	for _, l := range ladders {
		v, err := Judge(l, o)
		if err != nil {
			unread++
			continue
		}
		for i, r := range v.Rungs {
			if v.Kind != NoneFound || i == 0 || r.Ratio == 0 {
				continue
			}
			s := by[r.Throw]
			if s == nil {
				s = &sample{was: l.Rungs[i].Share}
				by[r.Throw] = s
				order = append(order, r.Throw)
			}
			ref := l.Rungs[0].Share.Mid()
			s.ratios = append(s.ratios, r.Ratio*ref)
			noise := v.ThrowSD / v.Rungs[0].Mean * ref
			s.noise = append(s.noise, noise*noise/float64(r.N))
		}
	}
	for _, id := range order {
		s := by[id]
		learned = append(learned, Learned{id, len(s.ratios), s.was, shrink(s.was, s.ratios, s.noise)})
	}
	return learned, unread
}

// shrink moves a share toward the ratios seen.
func shrink(was Share, ratios, noise []float64) Share {
	n := float64(len(ratios))
	mid := (shareWeight*was.Mid() + stats.Mean(ratios)*n) / (shareWeight + n)
	sd := was.Spread()
	variance := (spreadWeight*sd*sd+stats.SumSquares(ratios))/(spreadWeight+n-1) - stats.Mean(noise)
	half := bandZ / 2 * math.Max(minSpread, sqrt(variance))
	return Share{mid - half, mid + half}
}
