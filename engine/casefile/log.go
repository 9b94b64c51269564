package casefile

import (
	"slices"
	"strings"
	"time"

	"rungwise/engine/unit"
)

// LogFormat stands in every line of a log.
const LogFormat = "log/1"

// The kinds of log entries.
const (
	LogSession   = "session"   // throws at a rung, with the coach
	LogOther     = "other"     // thrown elsewhere: a game, team practice, catching
	LogSlip      = "slip"      // what the athlete or a parent sent back
	LogClearance = "clearance" // a licensed clinician has cleared the athlete
	LogPhase     = "phase"     // the part of the year changes
	LogTrial     = "trial"     // a drill goes on trial until a date
	LogVerdict   = "verdict"   // a trial ends: keep or drop
	LogDecision  = "decision"  // what the weekly decision was
	LogClose     = "close"     // a problem is closed
	LogVoid      = "void"      // takes an entry back; nothing stands in its place
)

// logKinds lists the kinds in the order in which help names them.
func logKinds() []string {
	return []string{LogSession, LogOther, LogSlip, LogClearance, LogPhase, LogTrial, LogVerdict, LogDecision, LogClose, LogVoid}
}

// Entry is one line of the log. Only what was told is set; Throws counts all
// throws of the entry and High the hard ones among them.
type Entry struct {
	Format   string  `json:"rungwise"` // LogFormat
	ID       int     `json:"id"`
	Entered  string  `json:"entered"` // the day it was written down, 2026-11-12
	On       string  `json:"on"`      // the day it tells of
	What     string  `json:"what"`
	Corrects int     `json:"corrects,omitempty"` // the entry in whose place this one stands
	Health   *Health `json:"health,omitempty"`

	Rung    string     `json:"rung,omitempty"` // throw id
	Speeds  []*float64 `json:"speeds,omitempty"`
	Unit    unit.Unit  `json:"unit,omitempty"`  // of Speeds and Keep; mph where empty
	Marks   []string   `json:"marks,omitempty"` // yes, partly, no, could_not_see
	Keep    []*float64 `json:"keep,omitempty"`  // keep-up throws of the reference drill
	Effort  float64    `json:"effort,omitempty"`
	Throws  int        `json:"throws,omitempty"`
	High    int        `json:"high_effort,omitempty"`
	Drills  []Drilled  `json:"drills,omitempty"`
	Changed bool       `json:"changed,omitempty"` // something else changed before this session: a cue, a drill, the gun

	Kind    string  `json:"kind,omitempty"` // of LogOther: game, practice, catching
	Pitches int     `json:"pitches,omitempty"`
	Innings float64 `json:"innings,omitempty"`

	Phase    string `json:"phase,omitempty"`
	Drill    string `json:"drill,omitempty"`
	Until    string `json:"until,omitempty"`
	Outcome  string `json:"outcome,omitempty"` // keep, drop; passed, not_passed
	Factor   string `json:"factor,omitempty"`
	Decision string `json:"decision,omitempty"`
	To       string `json:"to,omitempty"`
	Note     string `json:"note,omitempty"`

	line int // of the file, from 1
}

// Drilled is the throws of one isolation drill.
type Drilled struct {
	Drill  string `json:"drill"`
	Throws int    `json:"throws"`
}

// Health is what the athlete answered that day: yes, no, or "" where nobody
// asked. Sore is where it is sore, "none", or "".
type Health struct {
	Pain       string `json:"pain,omitempty"`
	Numbness   string `json:"numbness,omitempty"`
	Pop        string `json:"pop,omitempty"`
	SuddenLoss string `json:"sudden_loss,omitempty"`
	Sore       string `json:"sore,omitempty"`
}

// seriousPlaces are where soreness counts like pain, as the gates have it.
func seriousPlaces() []string { return []string{"elbow", "shoulder", "forearm"} }

// Stops reports whether an answer ends throwing until a clinician has cleared
// the athlete, and says what it was.
func (h *Health) Stops() (words string, yes bool) {
	switch {
	case h == nil:
		return "", false
	case h.Pain == "yes":
		return "pain", true
	case h.Numbness == "yes":
		return "numbness or tingling", true
	case h.Pop == "yes":
		return "a pop, swelling or locking", true
	case h.SuddenLoss == "yes":
		return "a sudden loss of velocity or control", true
	case slices.Contains(seriousPlaces(), h.Sore):
		return "soreness at the " + h.Sore, true
	}
	return "", false
}

// Answered reports whether the questions that stop throwing were all answered.
func (h *Health) Answered() bool {
	return h != nil && h.Pain != "" && h.Numbness != "" && h.Pop != "" && h.Sore != ""
}

// Day returns the day that the entry tells of.
func (e Entry) Day() time.Time { return dayOf(e.On) }

func dayOf(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return time.Time{} // entries are checked when they are read
	}
	return t
}

// MPH returns the measured speeds of a list of the entry in miles an hour.
func (e Entry) MPH(list []*float64) []float64 {
	var out []float64
	for _, v := range list {
		if v == nil {
			continue
		}
		if q, ok := (unit.Quantity{Value: *v, Unit: e.unit()}).In(unit.MPH); ok {
			out = append(out, q.Value)
		}
	}
	return out
}

func (e Entry) unit() unit.Unit {
	if e.Unit == "" {
		return unit.MPH
	}
	return e.Unit
}

// Values returns the marks that were seen: Held, Partly or NotHeld.
func (e Entry) Values() []float64 {
	var out []float64
	for _, m := range e.Marks {
		switch m {
		case "yes":
			out = append(out, Held)
		case "partly":
			out = append(out, Partly)
		case "no":
			out = append(out, NotHeld)
		}
	}
	return out
}

// AtRung is how many throws of the entry were thrown at its rung.
func (e Entry) AtRung() int { return max(len(e.Speeds), len(e.Marks)) }

// Log is what was written down of one athlete, as it stands on a day.
type Log struct {
	Path      string  `json:"path"`
	Entries   []Entry `json:"entries"`   // in force: corrections in the place of what they correct; by day, then by entry
	Bad       []int   `json:"bad_lines"` // numbers of the lines that could not be read
	Later     int     `json:"later"`     // entries written down after that day, left out
	Withdrawn []Entry `json:"withdrawn"` // entries with an answer that stops throwing, which a later entry corrected or took back
}

// Of returns the entries of a kind.
func (l *Log) Of(what string) []Entry {
	if l == nil {
		return nil
	}
	var out []Entry
	for _, e := range l.Entries {
		if e.What == what {
			out = append(out, e)
		}
	}
	return out
}

// Last returns the newest entry of a kind.
func (l *Log) Last(what string) (Entry, bool) {
	all := l.Of(what)
	if len(all) == 0 {
		return Entry{}, false
	}
	return all[len(all)-1], true
}

// Stopped returns the newest entry that stops throwing and that no clearance
// came after. A report on the day of a clearance counts where it was written
// down later.
func (l *Log) Stopped() (Entry, bool) {
	if l == nil {
		return Entry{}, false
	}
	for i := len(l.Entries) - 1; i >= 0; i-- {
		e := l.Entries[i]
		if _, yes := e.Health.Stops(); yes {
			return e, true
		}
		if e.What == LogClearance {
			return Entry{}, false
		}
	}
	return Entry{}, false
}

// LogPath is where the log of a case file lies: beside it, by its name.
func LogPath(casePath string) string {
	for _, end := range []string{".yaml", ".yml"} {
		if base, ok := strings.CutSuffix(casePath, end); ok {
			return base + ".log.jsonl"
		}
	}
	return casePath + ".log.jsonl"
}
