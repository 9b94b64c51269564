package casefile

import "fmt"

// A bound is more of something than anybody throws or plays: beyond it a number is a slip of the keys, and is refused
// wherever it is typed. Every such bound stands here. Source: house default, from what a body can do.
type bound struct {
	most float64
	says string // with the number that was typed
}

// The bounds of what is typed. A day holds everything thrown on it, warm-up and catch included.
func dayBound() bound     { return bound{400, "nobody throws %g times in a day"} }
func weekBound() bound    { return bound{1500, "nobody throws %g times in a week"} }
func gameBound() bound    { return bound{150, "nobody throws %g pitches in a game"} }
func inningsBound() bound { return bound{15, "nobody pitches %g innings in a day"} }
func yearBound() bound    { return bound{300, "nobody pitches %g innings in a year"} }
func monthsBound() bound  { return bound{12, "a year has no %g months"} }

// check says in words what is wrong with a number, and whether it can be believed.
func (b bound) check(n float64) (says string, ok bool) {
	switch {
	case n < 0:
		return fmt.Sprintf("a count is never %g", n), false
	case !(n <= b.most):
		return fmt.Sprintf(b.says+"; the most that can be meant is %g", n, b.most), false
	}
	return "", true
}
