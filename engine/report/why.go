package report

// Why explains one name of the rule base for one case.
type Why struct {
	Rungwise string   `json:"rungwise"`
	Case     string   `json:"case"`
	Name     string   `json:"name"`
	Kind     string   `json:"kind"` // factor, sign, gate, caution, limit, drill, throw, fact
	Title    string   `json:"title"`
	Says     string   `json:"says"` // the answer in one sentence
	Lines    []string `json:"lines"`
	Clause   *Clause  `json:"clause"` // the condition with the values under it; nil where there is none
	Turn     []Turn   `json:"turn"`   // the smallest change of what was observed that would turn it
	TurnInto string   `json:"turn_into"`
	Reasons  []Reason `json:"reasons"` // of a factor
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
}

// Turn is one observed value that would have to be another.
type Turn struct {
	Fact string `json:"fact"`
	From string `json:"from"`
	To   string `json:"to"`
}
