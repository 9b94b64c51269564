package engine

import "rungwise/engine/diag"

// Faults tells that a file cannot be used as it is, and what does not come of it.
type Faults struct {
	List diag.List
	Why  string // may be empty
}

func (f *Faults) Error() string { return f.Why }
