package report

// LadderPage is what a ladder by itself is asked for: the steps and their
// reasons, what to throw next, what has changed since the ladder before, and how
// the drills compare that could be the reference. Triage leaves it out.
type LadderPage struct {
	Steps      []Step      `json:"steps"`
	Next       *NextThrows `json:"next"`       // nil where no throw is asked for
	Since      string      `json:"since"`      // day of the ladder before, "" = there is none
	Changes    []Change    `json:"changes"`    // against the ladder before
	Candidates []Candidate `json:"candidates"` // drills that could be the reference, the best first
	Found      bool        `json:"found"`      // one of them may serve now
}

// Step leads from one throw of a ladder to the next.
type Step struct {
	From    string   `json:"from"`
	To      string   `json:"to"`
	Title   string   `json:"title"`   // of the throw it leads to
	Adds    string   `json:"adds"`    // "adds the slope"
	Places  int      `json:"places"`  // more than one: it changes more than one thing
	Between string   `json:"between"` // of a large step: what a throw would ask that halves it
	Instead []string `json:"instead"` // titles of throws that would do as well
	Away    bool     `json:"away"`    // it moves away from the game in something
}

// NextThrows is what to throw next.
type NextThrows struct {
	Order string      `json:"order"` // halving, whole
	Why   string      `json:"why"`
	Fresh bool        `json:"fresh"` // it begins a new ladder
	Days  []ThrowsDay `json:"days"`  // of the halving order the next step only
	About int         `json:"about"` // throws in all that the order takes on average, 0 = as named
	Video bool        `json:"video"` // throws cannot settle it: look at the pattern on video
	NoDay bool        `json:"no_day"`
	Room  int         `json:"room"`  // high-effort throws that today's limits leave
	Bound string      `json:"bound"` // what stops there, in words
	Waits int         `json:"waits"` // throws of the step that the day has no room for: they wait for another day
	Note  string      `json:"note"`  // what a rung means at this age, "" = as it stands
}

// ThrowsDay is the throws of one day in the order in which to throw them.
type ThrowsDay struct {
	On     string       `json:"on"`
	Parts  []ThrowsPart `json:"parts"`
	Throws int          `json:"throws"`
}

// ThrowsPart is some throws of one kind.
type ThrowsPart struct {
	Throw  string `json:"throw"`
	Title  string `json:"title"`
	Throws int    `json:"throws"`
}

// Change is how one rung moved between two ladders, in percent of the reference;
// the first is the reference drill itself, in percent of what it was. Low and
// High hold the change in 95 of 100 cases.
type Change struct {
	Throw   string  `json:"throw"`
	Title   string  `json:"title"`
	Before  int     `json:"before"` // readings then
	After   int     `json:"after"`  // and now
	Percent float64 `json:"percent"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Says    string  `json:"says"` // faster, slower, cannot_be_seen
}

// Candidate is a drill that could be the reference. Behind is by how much it is
// slower than the best for what its kind lets one expect, in percent, with Low
// and High around it in 95 of 100 cases.
type Candidate struct {
	Throw   string   `json:"throw"`
	Title   string   `json:"title"`
	N       int      `json:"n"`
	Fit     bool     `json:"fit"` // may serve now
	Behind  float64  `json:"behind"`
	Low     float64  `json:"low"`
	High    float64  `json:"high"`
	Reasons []string `json:"reasons"` // few_throws, positions_worse, positions_unseen, never_worked, learning, best, slower, too_close
	Words   []string `json:"words"`   // the same in words
}

// BuiltLadder is a ladder from a drill to the game before anything was thrown.
// Steps are one fewer than rungs.
type BuiltLadder struct {
	Rungs []BuiltRung `json:"rungs"`
	Steps []Step      `json:"steps"`
	Note  string      `json:"note"` // what a rung means at this age, "" = as it stands
}

// BuiltRung is one throw of a built ladder. Expected is its share of the first
// one's speed, low and high.
type BuiltRung struct {
	Throw    string     `json:"throw"`
	Title    string     `json:"title"`
	InWords  string     `json:"in_words"` // how it is thrown
	Expected [2]float64 `json:"expected"`
	Measured bool       `json:"measured"` // the athlete has readings on it
}

// Import is what became of a list of radar readings.
type Import struct {
	Rungwise      string      `json:"rungwise"` // Version
	File          string      `json:"file"`
	Hash          string      `json:"hash"` // SHA-256 of the list
	On            string      `json:"on"`   // day of the ladder
	Written       bool        `json:"written"`
	Taken         int         `json:"taken"`
	LeftOut       int         `json:"left_out"`
	NotUnderstood int         `json:"not_understood"`
	Rows          []ImportRow `json:"rows"`
	Notes         []string    `json:"notes"`
}

// ImportRow is one line of a list. Speed is nil where it was not taken.
type ImportRow struct {
	Line   int      `json:"line"`
	Column int      `json:"column"`
	Status string   `json:"status"` // taken, left out, not understood
	Why    string   `json:"why"`
	Help   string   `json:"help"`
	Throw  string   `json:"throw"`
	Speed  *float64 `json:"speed"`
	Unit   string   `json:"unit"`
	Held   string   `json:"held"` // yes, partly, no, could_not_see; "" without a mark
}
