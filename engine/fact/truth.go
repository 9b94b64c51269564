package fact

// Truth is the outcome of a condition in Kleene's three-valued logic.
type Truth int8

// Unknown is the zero Truth: nobody looked, so a condition neither holds nor
// fails.
const (
	Unknown Truth = iota
	No
	Yes
)

// Of turns a decided yes or no into a Truth.
func Of(yes bool) Truth {
	if yes {
		return Yes
	}
	return No
}

// Not swaps yes and no; unknown stays unknown.
func (t Truth) Not() Truth {
	switch t {
	case Yes:
		return No
	case No:
		return Yes
	}
	return Unknown
}

// And is no if either is no, yes if both are yes, else unknown.
func (t Truth) And(u Truth) Truth {
	switch {
	case t == No || u == No:
		return No
	case t == Yes && u == Yes:
		return Yes
	}
	return Unknown
}

// Or is yes if either is yes, no if both are no, else unknown.
func (t Truth) Or(u Truth) Truth {
	switch {
	case t == Yes || u == Yes:
		return Yes
	case t == No && u == No:
		return No
	}
	return Unknown
}

// String returns "yes", "no" or "not known".
func (t Truth) String() string {
	switch t {
	case Yes:
		return "yes"
	case No:
		return "no"
	}
	return "not known"
}
