package rule

import (
	"time"

	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// Entry is what every thing of the rule base carries.
type Entry struct {
	ID     string
	Title  string // a few words for lists; the id in words where none is given
	Why    string
	Source string // a key of the sources, or one of the plain ones
	Since  string // year and month
	Origin diag.Place
	// Changes are what the house did to the entry, oldest first; empty for an
	// entry of the base as it is.
	Changes []Change
}

// Change is one decision of a house about one entry.
type Change struct {
	Concern, ID, Kind string // Kind is add, replace, set or disable
	Because, By       string
	Until             time.Time // zero: no end
	Place             diag.Place
}

// Link is a word that says how often one thing goes with another.
type Link struct {
	ID     string  // of the factor or the demand
	Word   string  // nearly_always, usually, often, sometimes; strong, moderate, weak for supports
	Weight float64 // the chance behind the word
	Place  diag.Place
}

// Factor is one fault that can hold a pattern back.
type Factor struct {
	Entry
	Phase     string // before_landing, after_landing or task
	HowCommon string // rare, occasional or common
	Prior     float64
	CanCause  []Link // factors downstream
	BreaksAt  []Link // demands at which it tends to show
	InWords   string // for the athlete
	LooksLike string // what it is taken for and is not
	NoDrills  bool   // drills cannot reach it
}

// Sign is something that points to factors when its condition holds.
type Sign struct {
	Entry
	Holds
	Seen      []Link // from seen_with or supports
	Supports  bool   // the links were given by strength
	Otherwise string // how often it is seen with none of them
	Leak      float64
	Group     string   // near-copies share a group
	Beside    []string // wider signs that it stands beside on purpose, because it reads one look more
	Reading   string   // eye, measured or asked
	Error     float64
	// Bare is the checkpoint when the condition is its changed fact and nothing
	// else; a measured one then hands on its chance and not its verdict.
	Bare string
}

// Holds is when an entry holds, and the two cases that show it.
type Holds struct {
	When         *cond.Condition   // nil: always
	Also         []*cond.Condition // what a house added: any of them is enough
	Fires, Still Example
}

// Examples is how many of the two there are.
func (h Holds) Examples() int { return min(1, len(h.Fires)) + min(1, len(h.Still)) }

// Example is what an example or a case says is known, in the order written.
type Example []Pair

// Pair is one fact and its value as written.
type Pair struct {
	Name, Text string
	Slot       int
	Value      fact.Value
	Place      diag.Place
}

// Demand is one thing a throw can ask; Values run from free to demanding.
type Demand struct {
	Entry
	Values []string
	Adds   string // "adds the slope"
}

// Share is the part of a full-effort running throw inside which 8 of 10 healthy
// carry-overs stay.
type Share struct {
	Low, High float64
	Source    string
	AgeBelow  int // years; 0 = any age
}

// Throw is one throw variation.
type Throw struct {
	Entry
	InWords        string
	Demands        []int // by the order of Base.Demands: the place of the value among its demand's
	Share          Share
	ByAge          []Share // the first whose age bound holds comes before Share
	HighEffort     bool    // counts as a pitch
	CanBeReference bool
	OnMound        bool
	Effort         float64 // % asked of a house's own throw that is not hard; 0 = as the plan asks
	MinAge         int     // youngest age at which it is asked for; 0: every age
}

// For reports whether the throw may be asked of an athlete of an age; an unknown age is the youngest.
func (t Throw) For(age int, known bool) bool { return t.MinAge == 0 || known && age >= t.MinAge }

// Drill is one isolation drill.
type Drill struct {
	Entry
	Factors       []string
	Loads         []string // hip, trunk: parts with a screen of their own that it asks most of
	Step          int      // within a factor, 1 is the easiest to feel
	How, Cue      string
	CueSource     string
	Effort        float64 // % asked
	Sets, Throws  int     // Throws 0: a move without a ball
	Reps          int     // moves a set, where no ball is thrown
	Equipment     []string
	Slope         string // flat, slope or either
	PutBack       string // throw id: whole throws straight after
	PutBackThrows int
	Exit          string
	MinAge        int
	Weighted      bool
	NotWith       string
}

// The verdicts of a gate.
const (
	Refer           = "refer"
	NotEnough       = "not_enough"
	NotThisQuestion = "not_this_question"
	Restore         = "restore"
	NoneFound       = "none_found"
	GoOn            = "go_on"
)

// Gate decides what kind of question a case is. The first gate that holds
// decides.
type Gate struct {
	Entry
	Holds
	Verdict       string
	Needs         []string        // facts; the gate holds only while one of them is unknown
	Unless        *cond.Condition // lets a case pass only while it is known to be yes; nil: nothing does
	slots         []int           // of Needs
	more          []int           // of what a house added to Needs: open ones are enough where When holds
	house         bool            // the house's own
	Says, Do      string
	LowConfidence bool
	Caution       string // caution id that goes with it
}

// The levels of a caution.
const (
	Stop  = "stop"
	Limit = "limit"
	Note  = "note"
)

// Caution is said beside the answer.
type Caution struct {
	Entry
	Holds
	Level string
	Text  string
}

// Number is a named number of the rule base.
type Number struct {
	Entry
	Value    float64
	Unit     string
	Hard     bool
	Free     bool   // it permits nothing, so that a house may put its own there
	Tighten  string // down or up: the way that is stricter
	Grade    string
	Reviewed string
}

// AgeNumber is a hard number that depends on age.
type AgeNumber struct {
	Entry
	To14, To18, Adult float64
	Unit, Tighten     string
	Grade, Reviewed   string
}

// Citation is one source.
type Citation struct {
	Entry
	Cite, Provenance, Says string
}

// Sentence is one sentence of the plan, with {placeholders}.
type Sentence struct {
	Entry
	Text   string
	Safety bool // a house may add to it and not replace it
}

// Case is a test of the rule base as a whole.
type Case struct {
	Entry
	Note      string
	Given     Example
	Expect    Expectation
	NotExpect Expectation
	File      string
}

// Expectation is what a case says must, or must not, come out; zero fields say
// nothing.
type Expectation struct {
	First       string
	FirstTwo    []string
	Consequence [][2]string // factor and the factor it follows from
	Fires       []string    // signs, gates and cautions whose condition holds
	Silent      []string    // likewise, does not hold
	Gate        string      // verdict
	Cautions    []string
	Possible    []string
	Place       diag.Place
}
