package engine

import (
	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
)

// Learned is shares proposed from a facility's own cases.
type Learned struct {
	House    string // a house-rules file to review
	Proposed int    // throws in it
	Ladders  int    // ladders that were read
	Aside    int    // ladders of an age that has shares of its own, or that cannot be read
}

// LearnShares proposes shares from the newest ladders of cases, in the name of
// somebody. Nothing is changed by it.
func (e *Engine) LearnShares(cases []*casefile.Case, by string) (Learned, error) {
	var out Learned
	var all []ladder.Ladder
	for _, c := range cases {
		f, err := observe.Observe(c, e.base, e.today)
		if err != nil {
			return out, err
		}
		switch l := f.Ladder.Numbers; {
		case !f.Ladder.Thrown:
		case !e.ordinary(l):
			out.Aside++
		default:
			all = append(all, l)
		}
	}
	learned, unread := ladder.Learn(all, ladder.Defaults())
	out.Ladders, out.Aside = len(all)-unread, out.Aside+unread
	out.House, out.Proposed = compose.LearnedHouse(e.base, learned, by, e.today)
	return out, nil
}

// ordinary reports whether a ladder was read with the shares for any age.
func (e *Engine) ordinary(l ladder.Ladder) bool {
	for _, r := range l.Rungs {
		if t, ok := e.base.Throw(r.Throw); !ok || share(t) != r.Share {
			return false
		}
	}
	return true
}

func share(t *rule.Throw) ladder.Share { return ladder.Share{Low: t.Share.Low, High: t.Share.High} }
