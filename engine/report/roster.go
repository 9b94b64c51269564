package report

// RosterVersion is the format of the roster. It is part of the key under which
// results are kept, so it changes whenever a row can come out otherwise.
const RosterVersion = "roster/1"

// Roster is a line for each athlete of a folder, what needs the coach today
// first.
type Roster struct {
	Rungwise   string       `json:"rungwise"` // RosterVersion
	On         string       `json:"on"`
	Rules      Rules        `json:"rules"`
	Rows       []RosterRow  `json:"rows"`
	Unreadable []Unreadable `json:"unreadable"`
	Hidden     int          `json:"hidden"` // rows that the filters left out
}

// Unreadable is a file of the folder that could not be read as a case.
type Unreadable struct {
	File string `json:"file"`
	Says string `json:"says"` // its first fault
}

// RosterRow is one athlete.
type RosterRow struct {
	File string `json:"file"`
	Case string `json:"case"`
	Gate string `json:"gate"` // verdict
	// Urgency orders the rows: 0 stop, 1 safety questions open, 2 look again,
	// 3 a decision or a trial is due, 4 something is missing, 5 nothing today.
	Urgency   int       `json:"urgency"`
	Attention string    `json:"attention"` // what needs the coach, in words
	Rung      string    `json:"rung"`      // stuck rung, throw id
	RungName  string    `json:"rung_title"`
	Factor    string    `json:"factor"` // first factor
	FactorIs  string    `json:"factor_title"`
	Due       string    `json:"due"`      // day from which on a decision is due, "" = no log
	DueNow    bool      `json:"due_now"`  // it is
	LastLog   string    `json:"last_log"` // day of the newest log entry
	Cautions  []string  `json:"cautions"` // ids
	Week      int       `json:"week_throws"`
	Base      float64   `json:"base_throws"`
	Growth    *float64  `json:"growth"`    // load of the week over its base; nil = not known
	Spark     []float64 `json:"sparkline"` // mean of each rung in percent of the reference, 0 = not measured
	SparkAt   int       `json:"spark_at"`  // index of the stuck rung, -1 = none
	BadLines  int       `json:"bad_lines"` // of the log
}

// Review is what became of closed problems, over a folder of logs.
type Review struct {
	Rungwise string       `json:"rungwise"`
	On       string       `json:"on"`
	Athletes int          `json:"athletes"` // with a log
	Closed   int          `json:"closed"`   // problems
	Least    int          `json:"least"`    // athletes from which on a share is told
	Factors  []Outcome    `json:"factors"`
	Drills   []Outcome    `json:"drills"`
	Says     []string     `json:"says"`
	Unread   []Unreadable `json:"unreadable"`
}

// Outcome counts the closed problems of one factor or drill. Low and High hold
// the share that passed in 95 of 100 cases (Wilson interval); they are nil under
// the least number of athletes.
type Outcome struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Athletes int      `json:"athletes"`
	Closed   int      `json:"closed"`
	Passed   int      `json:"passed"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
}
