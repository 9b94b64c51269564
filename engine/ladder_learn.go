package engine

import (
	"fmt"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// LearnShares proposes shares from the newest ladders of the cases of a folder, in
// the name of somebody. Nothing is changed by it. left tells of each file that is
// no case.
func (e *Engine) LearnShares(dir, by string) (out *report.Learned, left []string, err error) {
	paths, err := casefile.Folder(dir)
	if err != nil {
		return nil, nil, err
	}
	out = &report.Learned{Rungwise: report.Version}
	var all []ladder.Ladder
	for _, path := range paths {
		f, err := casefile.Read(path)
		if err != nil {
			left = append(left, err.Error())
			continue
		}
		c, ds := e.Case(f)
		if c == nil {
			left = append(left, fmt.Sprintf("%s has %d faults", f.Path, ds.Errors()))
			continue
		}
		facts, err := observe.Observe(c, e.base, e.today)
		if err != nil {
			return nil, left, err
		}
		switch l := facts.Ladder.Numbers; {
		case !facts.Ladder.Thrown:
		case !e.ordinary(l):
			out.Aside++
		default:
			all = append(all, l)
		}
	}
	learned, unread := ladder.Learn(all, ladder.Defaults())
	out.Ladders, out.Aside = len(all)-unread, out.Aside+unread
	out.House, out.Proposed = compose.LearnedHouse(e.base, learned, by, e.today)
	return out, left, nil
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
