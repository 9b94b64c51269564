package report

// Plan is what the athlete is asked to do, inside every hard limit.
type Plan struct {
	Start    string    `json:"start"` // first day, 2026-11-09
	Weeks    int       `json:"weeks"`
	Focus    []Focus   `json:"focus"` // one or two factors, in order
	Stage    string    `json:"stage"` // learning stage in words
	Sessions []Session `json:"sessions"`
	Week     []WeekSum `json:"week_totals"`
	Limits   []Limit   `json:"limits"`
	ExitTest []string  `json:"exit_test"`
	Retest   string    `json:"retest"` // day
	Film     []string  `json:"film"`
	Stop     []string  `json:"stop"` // when to stop at once
	Floor    *Floor    `json:"floor"`
	Drills   []Drill   `json:"drills"`   // each drill of the plan once
	Throws   []Throw   `json:"throws"`   // each throw of the plan once
	BuiltOn  string    `json:"built_on"` // the first throw at the stuck rung that had it, in words; "" = none yet
	Changes  []string  `json:"changes"`  // against the plan before, in words
	Notes    []string  `json:"notes"`    // what was assumed, what was cut and why
	Load     []LoadDay `json:"load"`
}

// Focus is a factor that the plan works on.
type Focus struct {
	Factor  string `json:"factor"`
	Title   string `json:"title"`
	InWords string `json:"in_words"`
	Why     string `json:"why"`
	OnSlope bool   `json:"on_slope"`
}

// Session is one day. A rest day has Kind "rest" and no blocks.
type Session struct {
	Date       string  `json:"date"`
	Weekday    string  `json:"weekday"`
	Week       int     `json:"week"` // from 1
	Kind       string  `json:"kind"` // mound, drill, light, rest, game
	Blocks     []Block `json:"blocks"`
	Throws     int     `json:"throws"`
	High       int     `json:"high_effort"`
	Load       float64 `json:"load"`        // in full-effort throws
	BoundBy    string  `json:"bound_by"`    // id of the limit that binds, "" = none
	BoundWords string  `json:"bound_words"` // the same in words
}

// Block is one part of a session, in order.
type Block struct {
	What   string   `json:"what"` // warm_up, isolation, put_back, keep_up, ladder, interleaved
	Title  string   `json:"title"`
	Throw  string   `json:"throw"` // throw id, "" = a drill's own
	Drill  string   `json:"drill"` // drill id, "" = none
	Throws int      `json:"throws"`
	Sets   string   `json:"sets"`   // "2x5", "" = one go
	Effort int      `json:"effort"` // % asked
	Cue    string   `json:"cue"`
	Floor  *float64 `json:"floor"` // speed under which the block has failed, in Unit
	Unit   string   `json:"unit"`
	Exit   string   `json:"exit"`
	Rule   string   `json:"rule"` // id of the rule-base entry it comes from
}

// WeekSum is one week's totals beside the base.
type WeekSum struct {
	Week   int     `json:"week"`
	From   string  `json:"from"`
	Throws int     `json:"throws"`
	High   int     `json:"high_effort"`
	Load   float64 `json:"load"`
	Cap    float64 `json:"cap"`  // the most the week may hold, in full-effort throws
	Base   float64 `json:"base"` // mean of the four weeks before
}

// Limit is one hard limit with what the plan comes to.
type Limit struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Cap     float64 `json:"cap"`
	Planned float64 `json:"planned"` // the most on any day or in any week
	Unit    string  `json:"unit"`
	Binds   bool    `json:"binds"`
	Source  string  `json:"source"`
}

// Floor is the velocity under which the reference drill counts as fading.
type Floor struct {
	Throw string  `json:"throw"`
	Title string  `json:"title"`
	Speed float64 `json:"speed"`
	Unit  string  `json:"unit"`
	Under int     `json:"under"` // so many sessions under it
	Of    int     `json:"of"`    // of the last so many bring the drill back first
}

// Drill is the card of one isolation drill.
type Drill struct {
	ID        string   `json:"id"`
	Title     string   `json:"title"`
	Factor    string   `json:"factor"`
	How       string   `json:"how"`
	Cue       string   `json:"cue"`
	Effort    int      `json:"effort"`
	Dose      string   `json:"dose"`
	Equipment []string `json:"equipment"`
	Where     string   `json:"where"` // flat, slope, either
	PutBack   string   `json:"put_back"`
	Exit      string   `json:"exit"`
	NotWith   string   `json:"not_with"`
	Source    string   `json:"source"`
}

// Throw says how one throw of the plan is made.
type Throw struct {
	ID      string `json:"id"`
	Title   string `json:"title"`
	InWords string `json:"in_words"`
}

// LoadDay is the planned load of one day for the load column.
type LoadDay struct {
	Date string  `json:"date"`
	Load float64 `json:"load"`
}
