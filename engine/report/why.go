package report

// Why explains one name of the rule base for one case.
type Why struct {
	Rungwise string   `json:"rungwise"`
	Case     string   `json:"case"`
	Name     string   `json:"name"`
	Kind     string   `json:"kind"` // factor, sign, gate, caution, limit, drill, throw, sentence, fact
	Title    string   `json:"title"`
	Says     string   `json:"says"` // the answer in one sentence
	Lines    []string `json:"lines"`
	Clause   *Clause  `json:"clause"` // the condition with the values under it; nil where there is none
	Turn     []Turn   `json:"turn"`   // the smallest change of what was observed that would turn it
	TurnInto string   `json:"turn_into"`
	Steady   *float64 `json:"steady"`  // share of re-readings of its numbers that keep the outcome; nil where none has an error
	Reasons  []Reason `json:"reasons"` // of a factor
	Versus   *Versus  `json:"versus"`  // of a factor: what puts it before or after its neighbour; nil where it has none
	Planned  []string `json:"planned"` // of a drill, throw, limit or sentence: where the plan holds it
	Reason   string   `json:"why"`
	Source   string   `json:"source"`
	Where    string   `json:"where"` // file and line of the entry
	House    []string `json:"house"` // what the house changed about it, and why
}

// Clause is a condition or a part of one.
type Clause struct {
	Text    string   `json:"text"`
	Truth   string   `json:"truth"` // yes, no, not known
	Join    string   `json:"join"`  // and, or, not; "" for a comparison
	Decided bool     `json:"decided"`
	Parts   []Clause `json:"parts"`
	Values  []Value  `json:"values"`
}

// Value is a fact or a limit as a clause read it.
type Value struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Note  string `json:"note"` // the error of a measured number, the source of a limit; "" = nothing to add
}

// Turn is one observed value that would have to be another.
type Turn struct {
	Fact string `json:"fact"`
	From string `json:"from"`
	To   string `json:"to"`
	Unit string `json:"unit"` // of a number, else ""
	Note string `json:"note"` // how the change compares with the error of what was measured; "" = it has none
	Edge bool   `json:"edge"` // the change is smaller than that error: a knife edge
}

// Versus is what puts one factor before another.
type Versus struct {
	First       string       `json:"first"` // factor id
	FirstTitle  string       `json:"first_title"`
	FirstRange  string       `json:"first_range"`
	Second      string       `json:"second"`
	SecondTitle string       `json:"second_title"`
	SecondRange string       `json:"second_range"`
	Tied        bool         `json:"tied"` // the order between the two means nothing
	Parts       []VersusPart `json:"parts"`
}

// VersusPart is one thing that speaks for the first of two factors, or for the
// second.
type VersusPart struct {
	Rule     string  `json:"rule"` // sign id; "" for where it breaks and how common the two are
	Title    string  `json:"title"`
	Helps    string  `json:"helps"`    // factor id
	Strength string  `json:"strength"` // strong, moderate, weak
	Weight   float64 `json:"weight"`   // change of the log odds of the first over the second
}
