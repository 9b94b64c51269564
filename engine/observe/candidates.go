package observe

import (
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/ladder"
	"rungwise/engine/rule"
)

// Candidates lists the drills that could be the reference, as far as the case
// compares any: the present reference first, then those of the case. Their
// positions are held against the compared throw, by eye.
func Candidates(f *Facts, c *casefile.Case, b *rule.Base, today time.Time) []ladder.Candidate {
	if len(c.Compare) == 0 {
		return nil
	}
	o := &observer{c: c, b: b, today: today, f: f}
	var out []ladder.Candidate
	for _, k := range append([]casefile.Candidate{o.present()}, c.Compare...) {
		t, ok := b.Throw(k.Throw)
		if !ok || len(out) > 0 && k.Throw == out[0].Throw {
			continue
		}
		age, known := o.age()
		share := t.ShareFor(age, known)
		out = append(out, ladder.Candidate{Throw: k.Throw, Share: ladder.Share{Low: share.Low, High: share.High}, Speeds: o.candidateSpeeds(k),
			Better: o.betterThan(k.Throw), Worked: o.worked(k.Best), Learning: o.learning(k.FirstThrown)})
	}
	return out
}

// present is the reference drill as a candidate.
func (o *observer) present() casefile.Candidate {
	r := o.c.Reference
	return casefile.Candidate{Throw: r.Throw, Best: r.Best, FirstThrown: r.FirstThrown}
}

// candidateSpeeds are a candidate's own, else those on the newest ladder.
func (o *observer) candidateSpeeds(k casefile.Candidate) []float64 {
	if len(k.Speeds) > 0 {
		return k.Speeds
	}
	for _, r := range o.f.Ladder.Rungs {
		if r.Throw.ID == k.Throw {
			return r.Speeds
		}
	}
	return nil
}

func (o *observer) worked(best []casefile.Best) ladder.Answer {
	switch drill, _ := gain(best); {
	case drill == nil:
		return ladder.Unknown
	case *drill > o.number("gain_noise"):
		return ladder.Yes
	}
	return ladder.No
}

func (o *observer) learning(first time.Time) bool {
	return !first.IsZero() && o.today.Sub(first) <= time.Duration(o.number("learning_days"))*day
}

// betterThan tells whether a drill shows better positions than the compared
// throw: at least a few checkpoints are better and none is worse.
func (o *observer) betterThan(throw string) ladder.Answer {
	if throw == o.f.Compared {
		return ladder.Unknown
	}
	switch n := o.positions(throw); {
	case n.worse > 0:
		return ladder.No
	case n.better >= int(o.number("better_positions_least")):
		return ladder.Yes
	}
	return ladder.Unknown
}
