package casefile

import (
	"path/filepath"
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
	LogScreen    = "screen"    // answers to the safety questions, as the case file or the checklist took them
	LogClearance = "clearance" // a licensed clinician has cleared the athlete, in writing
	LogPhase     = "phase"     // the part of the year changes
	LogTrial     = "trial"     // a drill goes on trial until a date
	LogVerdict   = "verdict"   // a trial ends: keep or drop
	LogDecision  = "decision"  // what the weekly decision was
	LogClose     = "close"     // a problem is closed
	LogVoid      = "void"      // takes an entry back; nothing stands in its place
)

// logKinds lists the kinds in the order in which help names them.
func logKinds() []string {
	return []string{LogSession, LogOther, LogSlip, LogScreen, LogClearance, LogPhase, LogTrial, LogVerdict, LogDecision, LogClose, LogVoid}
}

// Entry is one line of the log. Only what was told is set; Throws counts all
// throws of the entry and High the hard ones among them.
type Entry struct {
	Format   string  `json:"rungwise"` // LogFormat
	ID       int     `json:"id"`
	Code     string  `json:"code,omitempty"` // of the athlete, so that a log without its case is known
	Entered  string  `json:"entered"`        // the day it was written down, 2026-11-12
	On       string  `json:"on"`             // the day it tells of
	What     string  `json:"what"`
	Corrects int     `json:"corrects,omitempty"` // the entry in whose place this one stands
	Health   *Health `json:"health,omitempty"`

	Answers map[string]string `json:"answers,omitempty"`    // of LogScreen: by question
	Asked   string            `json:"asked,omitempty"`      // what a note with alarming words meant, once asked: none, pain, or a place
	Unread  string            `json:"unread,omitempty"`     // what was said of the arm and not understood
	Refers  []string          `json:"refers,omitempty"`     // questions whose answers were referred when this was written
	By      string            `json:"by,omitempty"`         // of LogClearance: who cleared, as the screen names them
	Writing bool              `json:"in_writing,omitempty"` // of LogClearance

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

	start int // byte of the file at which it starts
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

// asked is one yes or no question of the health of a day.
type asked struct {
	id     string   // of the screen's question
	yes    string   // what a yes tells, in words
	open   string   // the question in words, "" where a session does not ask it
	spoken []string // the words that stand for it on a slip
	answer *string
}

// questions is every yes or no question; where it is sore is asked apart.
func (h *Health) questions() []asked {
	return []asked{
		{"pain", "pain", "pain", []string{"pain"}, &h.Pain},
		{"numbness", "numbness or tingling", "numbness", []string{"numbness", "numb", "tingling"}, &h.Numbness},
		{"pop", "a pop, swelling or locking", "pop or swelling", []string{"pop", "pop or swelling", "swelling"}, &h.Pop},
		{"sudden_loss", "a sudden loss of velocity or control", "", []string{"sudden loss"}, &h.SuddenLoss},
	}
}

// isSore reports whether a place was named.
func (h *Health) isSore() bool { return h.Sore != "" && h.Sore != "none" }

// Complaint says in words what is wrong, "" for nothing.
func (h *Health) Complaint() string {
	if h == nil {
		return ""
	}
	var out []string
	for _, q := range h.questions() {
		if *q.answer == "yes" {
			out = append(out, q.yes)
		}
	}
	if h.isSore() {
		out = append(out, "soreness at the "+strings.ReplaceAll(h.Sore, "_", " "))
	}
	return strings.Join(out, ", ")
}

// Open lists, in words, the questions of a session that were not answered.
func (h *Health) Open() []string {
	if h == nil {
		h = &Health{}
	}
	var out []string
	for _, q := range h.questions() {
		if *q.answer == "" && q.open != "" {
			out = append(out, q.open)
		}
	}
	if h.Sore == "" {
		out = append(out, "sore")
	}
	return out
}

// Answers puts the answers into those of the screen's questions.
func (h *Health) Answers() map[string]string {
	out := map[string]string{}
	if h == nil {
		return out
	}
	for _, q := range h.questions() {
		if *q.answer != "" {
			out[q.id] = *q.answer
		}
	}
	if h.Sore != "" {
		out["where"] = h.Sore
	}
	switch delete(out, "pain"); { // the screen tells pain from soreness
	case h.Pain == "yes":
		out["pain"] = "pain"
	case h.isSore():
		out["pain"] = "soreness"
	case h.Pain == "no":
		out["pain"] = "none"
	}
	return out
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
		if v, seen := markValue(m); seen {
			out = append(out, v)
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
	Later     int     `json:"later"`     // entries written down after that day, not among Entries
	Withdrawn []Entry `json:"withdrawn"` // entries that a later one corrected or took back, in the order in which they were written

	lines  []line // every line, in the order in which it was written
	closed string // why there is no log to read, in words; "" = there is one, or none was written yet
}

// line is one line of the log: an entry, or what it is instead.
type line struct {
	Entry
	withdrawn bool
	unread    string    // why it is no entry, in words
	after     time.Time // the newest day on which a line before it was written down
}

// NoLog is the log of a case that has none beside it to be read, and why, in
// words. Whatever stands in it counts as not understood.
func NoLog(why string) *Log { return &Log{closed: why} }

// All lists every entry in the order in which it was written, what was taken back
// and what was written down later among them.
func (l *Log) All() []Entry {
	var out []Entry
	for _, x := range l.lines {
		if x.unread == "" {
			out = append(out, x.Entry)
		}
	}
	return out
}

// Next is a number that no entry of the log has.
func (l *Log) Next() int {
	next := 1
	for _, x := range l.lines {
		next = max(next, x.ID+1)
	}
	return next
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

// LogPath is where the log of a case file lies: beside it, by its name.
func LogPath(casePath string) string {
	if ext := filepath.Ext(casePath); strings.EqualFold(ext, ".yaml") || strings.EqualFold(ext, ".yml") {
		casePath = strings.TrimSuffix(casePath, ext)
	}
	return casePath + ".log.jsonl"
}
