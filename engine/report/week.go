package report

// WeekVersion is the format of the weekly record.
const WeekVersion = "week/1"

// Week is the weekly decision about one athlete and what it rests on. Where
// throwing is to stop, it holds the reason and whom to see, and nothing else.
type Week struct {
	Rungwise string `json:"rungwise"` // WeekVersion
	Case     string `json:"case"`
	On       string `json:"on"`
	Rules    Rules  `json:"rules"`
	// Decision is promote, hold, step_back, restore, re_triage, stop, or
	// not_asked where the safety questions are open.
	Decision string       `json:"decision"`
	Says     string       `json:"says"` // the decision in a sentence
	Do       string       `json:"do"`   // what to do now
	Rung     string       `json:"rung"` // throw id of the rung worked on
	RungName string       `json:"rung_title"`
	To       string       `json:"to"` // throw id of the rung to work on next
	ToName   string       `json:"to_title"`
	Reasons  []WeekReason `json:"reasons"`
	Numbers  []WeekNumber `json:"numbers"`
	Notes    []string     `json:"notes"`
	Due      WeekDue      `json:"due"`
	Phase    WeekPhase    `json:"phase"`
	Trials   []WeekTrial  `json:"trials"`
	Carry    WeekCarry    `json:"carry_over"`
	Relook   []Relook     `json:"relook"`
	Ladders  []WeekChange `json:"ladders"` // the last two ladders side by side; empty with fewer
	Load     WeekLoad     `json:"load"`
}

// WeekReason is one rule that took part.
type WeekReason struct {
	ID    string `json:"id"`
	Words string `json:"words"`
}

// WeekNumber is one number behind the decision, told in words.
type WeekNumber struct {
	What  string  `json:"what"`
	Value float64 `json:"value"`
	Words string  `json:"words"`
}

// WeekDue says when decisions are taken.
type WeekDue struct {
	Now  bool   `json:"now"`
	Last string `json:"last"` // day of the last decision that was logged, "" = none
	Next string `json:"next"` // day from which on one is due, "" = nothing is logged yet
}

// WeekPhase is the part of the year, what it allows and what it keeps.
type WeekPhase struct {
	ID     string `json:"id"` // velocity, mound, season, time_off
	Since  string `json:"since"`
	Allows string `json:"allows"`
	Keeps  string `json:"keeps"`
}

// WeekTrial is a drill on trial.
type WeekTrial struct {
	Drill string `json:"drill"`
	Title string `json:"title"`
	From  string `json:"from"`
	Until string `json:"until"`
	// Verdict is running, due, keep or drop; Words says what speaks for it.
	Verdict string `json:"verdict"`
	Words   string `json:"words"`
}

// WeekCarry is the gain in the drill beside the gain on the mound, from the
// first dated best to the newest logged sessions. Gains are in Unit.
type WeekCarry struct {
	Drill *float64 `json:"drill_gain"`
	Mound *float64 `json:"mound_gain"`
	Unit  string   `json:"unit"`
	Says  string   `json:"says"`
}

// Relook is an answer that has aged through work upstream of it.
type Relook struct {
	Checkpoint string `json:"checkpoint"`
	Title      string `json:"title"`
	Throw      string `json:"throw"`
	Factor     string `json:"factor"` // downstream factor that it bears on
	On         string `json:"on"`     // day it was seen
	Weeks      int    `json:"weeks"`  // weeks with logged work since
	Words      string `json:"words"`
}

// WeekChange is one rung on the last two ladders. Percent is the change of the
// reference itself, or of the rung against the reference, in percent of the
// reference.
type WeekChange struct {
	Throw   string     `json:"throw"`
	Title   string     `json:"title"`
	Before  string     `json:"before"` // days of the two ladders
	After   string     `json:"after"`
	Percent float64    `json:"percent"`
	Within  [2]float64 `json:"within"` // holds the change in 95 of 100 cases
	Says    string     `json:"says"`   // faster, slower, cannot_be_seen
}

// WeekLoad is the last seven days beside the four weeks before them. Load is in
// full-effort throws.
type WeekLoad struct {
	Throws     int     `json:"throws"`
	High       int     `json:"high_effort"`
	Load       float64 `json:"load"`
	Base       float64 `json:"base"`
	BaseThrows float64 `json:"base_throws"`
	Cap        float64 `json:"cap"` // the most that the seven days may hold
	Over       bool    `json:"over"`
	Says       string  `json:"says"`
}

// Logged is what `log --json` prints.
type Logged struct {
	Rungwise string `json:"rungwise"` // WeekVersion
	Case     string `json:"case"`
	Entry    int    `json:"entry"` // number of the entry, 0 = nothing was written
	Week     *Week  `json:"week"`  // nil where no decision is due
}
