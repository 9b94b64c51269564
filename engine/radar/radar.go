// Package radar reads the lists of readings that radar guns and spreadsheets
// write as text, and puts them into the text of a case.
//
// Its invariant: a reading that is taken stands in the file, digit for digit,
// with a unit that the file or the reader's owner named; nothing is guessed. A
// line that is not fully understood is not taken and says why, and a file whose
// columns, unit or dates could mean two things is refused as a whole. Nothing
// else of the case changes, neither its comments nor its spacing: the new text is
// read again, and must hold the old ladder and the new readings and no more.
package radar

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"rungwise/engine/diag"
	"rungwise/engine/unit"
)

// MostBytes is the size of the largest file that is read, and MostLines the
// most lines: more than any gun writes in a season.
const (
	MostBytes = 16 << 20
	MostLines = 50000
)

// The orders of a date written with strokes, such as 03/04/2026.
const (
	DayFirst   = "dmy"
	MonthFirst = "mdy"
)

// The columns that are read. A file has to have a speed; of a throw, a date and
// whether the pattern held it may say something; stamps (a time of day, a number
// of the throw) tell two equal lines apart.
const (
	Speed = "speed"
	Throw = "throw"
	Held  = "held"
	Date  = "date"
	Unit  = "unit"
	Stamp = "stamp"
)

// roles lists the columns that are read.
func roles() []string { return []string{Speed, Throw, Held, Date, Unit, Stamp} }

// Options says what a file leaves open.
type Options struct {
	Unit      unit.Unit // of readings, where the file names none; unit.None: it must
	DateOrder string    // DayFirst, MonthFirst; "": such dates are refused unless they can mean one day only
	Throws    []Name    // what throws are called
	Throw     string    // id of the throw of all lines, where no column says it
	Columns   []Column  // headings that say what they are in other words than are known here
	Day       time.Time // take this day's lines only; zero: all must be of one day
	Today     time.Time // later dates are not believed; zero: not checked
}

// Name is a throw by its id and its title.
type Name struct{ ID, Title string }

// Column says that a heading stands for one of the columns that are read.
type Column struct{ Role, Heading string }

// Status says what became of a line.
type Status int

// A line was taken, was left out for a known reason, or was not understood.
const (
	Taken Status = iota
	Skipped
	NotUnderstood
)

// String names the status in lower-case words.
func (s Status) String() string {
	return [...]string{"taken", "left out", "not understood"}[s]
}

// Row is one line under the heading.
type Row struct {
	diag.Place
	Status
	Why   string // why it was not taken; "" for a taken one
	Help  string // the one thing to do about it; may be empty
	Throw string // throw id
	Speed unit.Quantity
	Mark  string    // yes, partly, no, could_not_see; "" without a mark
	On    time.Time // zero without a date column
}

// MPH is the speed in miles an hour.
func (r Row) MPH() float64 {
	q, _ := r.Speed.In(unit.MPH)
	return q.Value
}

// Import is a file that was read, line by line.
type Import struct {
	Path  string
	Hash  string // SHA-256 of the bytes, hexadecimal
	Rows  []Row
	On    time.Time // the one day of the taken lines; zero without dates
	Notes []string  // how the file was read, in plain words
}

// Count returns how many lines have a status.
func (m *Import) Count(s Status) int {
	n := 0
	for _, r := range m.Rows {
		if r.Status == s {
			n++
		}
	}
	return n
}

// Accepted returns the taken lines in the order of the file.
func (m *Import) Accepted() []Row {
	var out []Row
	for _, r := range m.Rows {
		if r.Status == Taken {
			out = append(out, r)
		}
	}
	return out
}

// Read reads a list of readings. With errors in the list the import is nil: then
// the file as a whole cannot be read or could mean two things. Single lines that
// were not understood are no errors; whoever writes them down decides.
func Read(path string, in io.Reader, o Options) (*Import, diag.List) {
	r := &reader{o: o, m: &Import{Path: path}, roles: map[string]int{}, names: map[string]named{}}
	b, err := io.ReadAll(io.LimitReader(in, MostBytes+1))
	switch {
	case err != nil:
		r.refuse("R601", "the file cannot be read", "")
	case len(b) > MostBytes:
		r.refuse("R602", "the file is larger than 16 MB, which no list of readings is", "export one session only")
	}
	sum := sha256.Sum256(b)
	r.m.Hash = hex.EncodeToString(sum[:])
	for _, step := range []func(){func() { r.decode(b) }, r.table, r.dateOrder, r.rows} {
		if r.ds.Errors() == 0 {
			step()
		}
	}
	if r.ds.Errors() > 0 {
		return nil, r.ds
	}
	r.tell()
	return r.m, r.ds
}

// reader is one file being read.
type reader struct {
	o     Options
	ds    diag.List
	m     *Import
	text  string
	lines []int // byte at which each line starts

	heading record
	body    []record
	roles   map[string]int // column by role
	unit    unit.Unit      // that the heading names
	order   string         // of dates
	names   map[string]named
}

// refuse adds a fault of the file as a whole.
func (r *reader) refuse(code, headline, help string) {
	r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: r.m.Path}, Code: code, Headline: headline, Help: help})
}

// refuseAt adds a fault at a cell.
func (r *reader) refuseAt(p diag.Place, code, headline, help string) {
	r.ds.Add(diag.Diagnostic{Place: p, Code: code, Headline: headline, Help: help})
}

// tell writes down how the file was read.
func (r *reader) tell() {
	var unread []string
	for i, c := range r.heading.cells {
		used := func(role string) bool { at, ok := r.roles[role]; return ok && at == i }
		if !slices.ContainsFunc(roles(), used) && strings.TrimSpace(c) != "" {
			unread = append(unread, fmt.Sprintf("`%s`", strings.TrimSpace(c)))
		}
	}
	if len(unread) > 0 {
		r.m.Notes = append(r.m.Notes, "columns that were not read: "+strings.Join(unread, ", "))
	}
}
