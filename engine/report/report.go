// Package report is the record that stands between thinking and speaking:
// plain values with JSON names, and nothing that computes or prints.
//
// Its invariant: whatever a person is told, on a terminal, a page or a
// calendar, is in this record first, and a record whose gate refers holds no
// throw, drill or count.
package report

// Version is the format of the record.
const Version = "report/1"

// Report is everything that was found out about one case.
type Report struct {
	Rungwise    string     `json:"rungwise"` // Version
	Case        string     `json:"case"`     // athlete code
	On          string     `json:"on"`       // the day it was made, 2026-11-09
	Rules       Rules      `json:"rules"`
	Athlete     Athlete    `json:"athlete"`
	CarryOver   CarryOver  `json:"carry_over"`
	Gate        Gate       `json:"gate"`
	Ladder      Ladder     `json:"ladder"`
	Comparison  Comparison `json:"comparison"`
	Confidence  Confidence `json:"confidence"`
	Factors     []Factor   `json:"factors"`
	Shaky       []Shaky    `json:"shaky"`
	NextLook    []NextLook `json:"next_look"`
	Cautions    []Caution  `json:"cautions"`
	Assumed     []string   `json:"assumed"`      // what was taken for granted because it was not given
	Disagrees   []Dissent  `json:"disagrees"`    // what the coach thinks otherwise; never changes the order
	Plan        *Plan      `json:"plan"`         // nil from triage, and whenever the gate refuses
	PlanRefused string     `json:"plan_refused"` // why there is no plan, in words; "" where there is one or none was asked for
	Sources     []Source   `json:"sources"`      // every source that the record names, once
}

// Rules says which rule base spoke.
type Rules struct {
	Version string  `json:"version"`
	Hash    string  `json:"hash"`
	House   *string `json:"house"` // name of the house rules, if any
}

// Athlete is who the report is about, as far as wording needs it.
type Athlete struct {
	Code      string `json:"code"`
	Age       int    `json:"age"` // years, 0 = not known
	Throws    string `json:"throws"`
	Level     string `json:"level"`
	Reference string `json:"reference"`       // throw id of the reference drill
	Compared  string `json:"compared"`        // throw id of the second column, "" = none
	RefTitle  string `json:"reference_title"` // in words
	CompTitle string `json:"compared_title"`
}

// CarryOver is the gain in the drill beside the gain on the mound.
type CarryOver struct {
	DrillGain *float64 `json:"drill_gain"`
	MoundGain *float64 `json:"mound_gain"`
	Unit      string   `json:"unit"`
	Weeks     *float64 `json:"weeks"`
	Words     string   `json:"words"` // full, partial, none, not_known
}

// Gate is the decision whether this is a carry-over question at all.
type Gate struct {
	ID      string   `json:"id"`
	Verdict string   `json:"verdict"` // refer, not_enough, not_this_question, restore, none_found, go_on
	Low     bool     `json:"low_confidence"`
	Says    string   `json:"says"`
	Do      string   `json:"do"`
	Why     []string `json:"why"`
	Missing []string `json:"missing"` // what is not known and needed, in words
	Source  string   `json:"source"`
	Screen  bool     `json:"screen"` // it rests on the safety questions; not_enough then allows no word about throwing
}

// Silent reports whether no word about throwing may be said: the gate refers, or
// waits for an answer of the safety screen. Nobody else decides that.
func (g Gate) Silent() bool { return g.Verdict == "refer" || g.Verdict == "not_enough" && g.Screen }

// Ladder is the way from the drill to the game and where it breaks.
type Ladder struct {
	Verdict     string   `json:"verdict"` // stuck, range, slide, none_found, not_enough, not_thrown
	Dip         bool     `json:"dip"`
	Rung        string   `json:"rung"` // throw id, "" = none
	RungTitle   string   `json:"rung_title"`
	RungTo      string   `json:"rung_to"`   // of a range: the later rung
	LastGood    string   `json:"last_good"` // the tested rung before it
	Lost        string   `json:"lost"`      // demand added at the break; several joined by " and "
	LostWords   string   `json:"lost_words"`
	Probability float64  `json:"probability"`
	NoneChance  float64  `json:"none_chance"`
	Almost      *bool    `json:"almost"`
	Held        *float64 `json:"pattern_held"` // share of throws at the stuck rung
	GapPercent  *float64 `json:"gap_percent"`  // drop beyond the expected share
	Rungs       []Rung   `json:"rungs"`
	Advice      []string `json:"advice"`
	Flags       []string `json:"flags"` // mixed guns, misreads and the like
	// Page is filled where the ladder itself was asked for, and nil else.
	Page *LadderPage `json:"page,omitempty"`
}

// Rung is one throw of the ladder. Mean, SD and Speeds are in Unit; Expected is
// a share of the reference, low and high.
type Rung struct {
	Throw       string     `json:"throw"`
	Title       string     `json:"title"`
	Adds        string     `json:"adds"` // what it adds to the rung before, in words
	N           int        `json:"n"`
	Unit        string     `json:"unit"`
	Mean        *float64   `json:"mean"`
	SD          *float64   `json:"sd"`
	Speeds      []float64  `json:"speeds"`
	Misread     []float64  `json:"misread"`
	Share       *float64   `json:"share"`    // mean as a share of the reference
	Expected    [2]float64 `json:"expected"` // share of the reference
	Held        *float64   `json:"held"`     // share of throws with the pattern held
	PBreak      float64    `json:"p_break"`
	ThrowsToAdd int        `json:"throws_to_add"`
	Stuck       bool       `json:"stuck"`
}

// Comparison is the checkpoints of the drill beside those of the compared
// throw, in the order of the throw.
type Comparison struct {
	Rows []Row `json:"rows"`
}

// Row is one checkpoint in two columns.
type Row struct {
	Checkpoint string  `json:"checkpoint"`
	Title      string  `json:"title"`
	Phase      string  `json:"phase"`
	Moment     string  `json:"moment"`
	View       string  `json:"view"`
	Best       string  `json:"best"`    // as seen in the reference drill, "" = not seen
	Stuck      string  `json:"stuck"`   // as seen on the compared throw, "" = not seen
	Verdict    string  `json:"verdict"` // differs, same, unclear, unseen
	Note       string  `json:"note"`    // why it is unclear, or what would settle it
	Chance     float64 `json:"chance"`  // that the two truly differ, where both were measured or both graded; else 0
	// BestFrom and StuckFrom name the clips and the times behind the two, "" =
	// not told.
	BestFrom  string `json:"best_from"`
	StuckFrom string `json:"stuck_from"`
}

// Confidence is how much the order of the factors can be trusted.
type Confidence struct {
	Level    string   `json:"level"` // clear_first, likely_first, weak_lead, no_leader, no_factor
	Says     string   `json:"says"`
	Kept     float64  `json:"kept"`          // share of re-readings that keep the first factor
	Single   bool     `json:"single_column"` // ranked from the compared throw alone
	Tied     []string `json:"tied"`          // factor ids that cannot be told apart from the first
	Unlisted float64  `json:"unlisted"`      // chance that no listed factor explains it
}

// Factor is one limiting factor, ranked.
type Factor struct {
	ID        string   `json:"id"`
	Title     string   `json:"title"`
	Rank      int      `json:"rank"`
	Phase     string   `json:"phase"`
	Chance    float64  `json:"chance"`  // that it is a cause of its own
	Present   float64  `json:"present"` // that it is there, as a cause or as a consequence
	Words     string   `json:"words"`   // very likely, likely, possible, unlikely
	Range     string   `json:"range"`   // "roughly 6 in 10"
	Role      string   `json:"role"`    // lead, possible, consequence
	Of        *string  `json:"of"`      // of a consequence: the factor upstream
	OfTitle   string   `json:"of_title"`
	InWords   string   `json:"in_words"`
	LooksLike string   `json:"looks_like_but_is_not"`
	Reasons   []Reason `json:"reasons"`
	Unseen    []string `json:"unseen"` // checkpoints not seen that would bear on it
	// Private: it rests on a health screen and is kept off the athlete's page.
	Private bool `json:"private"`
}

// Reason is one sign that speaks for or against a factor.
type Reason struct {
	Rule     string  `json:"rule"`
	Title    string  `json:"title"`
	Says     string  `json:"says"`     // for, against
	Strength string  `json:"strength"` // strong, moderate, weak
	Weight   float64 `json:"weight"`   // change of the log odds that it is a cause
	Holds    *bool   `json:"holds"`    // the sign is there; false: it was looked for and is not; null: not told
	Is       string  `json:"is"`       // of a number that is not as the sign asks: what it is, with its unit; "" = none
	Asks     string  `json:"asks"`     // and what the sign asks: at least 15 mph
	Why      string  `json:"why"`
	Source   string  `json:"source"`
}

// Shaky is one answer that alone would change the first factor.
type Shaky struct {
	Fact         string `json:"fact"`
	Title        string `json:"title"`
	Now          string `json:"now"`
	If           string `json:"if"`
	FirstBecomes string `json:"first_becomes"`
	FirstTitle   string `json:"first_title"`
}

// NextLook is an observation that would reduce the doubt.
type NextLook struct {
	Fact     string  `json:"fact"`
	Title    string  `json:"title"`
	GainBits float64 `json:"gain_bits"`
	Ask      string  `json:"ask"`
	Film     string  `json:"film"` // the clip to shoot: throw, view, moment
}

// Caution is one warning to print.
type Caution struct {
	ID     string `json:"id"`
	Level  string `json:"level"` // stop, limit, note
	Text   string `json:"text"`
	Source string `json:"source"`
	// Private: it rests on a health answer. The athlete's page tells it where it
	// stops or limits, and keeps a mere note off.
	Private bool `json:"private"`
}

// Dissent is a coach's recorded disagreement.
type Dissent struct {
	Factor string `json:"factor"`
	By     string `json:"by"`
	Reason string `json:"reason"`
	On     string `json:"on"`
}

// Source is one citation.
type Source struct {
	ID         string `json:"id"`
	Cite       string `json:"cite"`
	Provenance string `json:"provenance"`
}
