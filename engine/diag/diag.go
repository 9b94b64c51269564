// Package diag holds what is wrong with a file, told to a coach.
//
// Its invariant: every diagnostic names one place, says in plain words what is
// wrong there, and keeps the mend apart from the headline. All faults of a
// file are collected before any is shown; nothing here prints by itself.
package diag

import (
	"cmp"
	"slices"
)

// Level says how much a diagnostic matters.
type Level int

// The levels, worst first: an error refuses the file, a warning and a note do
// not.
const (
	Error Level = iota
	Warning
	Note
)

// String returns the level in lower-case words.
func (l Level) String() string { return [...]string{"error", "warning", "note"}[l] }

// Place is a stretch of one line of a file. Line and Col count from 1, Col and
// Width in characters (runes). Text is the whole line without its end, so that
// an excerpt can be drawn long after the file was read.
type Place struct {
	Path  string
	Line  int
	Col   int
	Width int
	Text  string
}

// Fix is a mend that is sure: replace the bytes Start to End of the file by
// Text.
type Fix struct {
	Path       string
	Start, End int
	Text       string
}

// Diagnostic is one fault at one place.
type Diagnostic struct {
	Place
	Level    Level
	Code     string   // letter and three digits, for lists and lookups
	Headline string   // what is wrong, lower case, no full stop, never the mend
	Under    string   // a few words after the caret
	Why      string   // only where it is not obvious
	Help     string   // one action
	Notes    []string // places and facts that belong to it
	Fix      *Fix
}

// List is every diagnostic found so far, in any order.
type List []Diagnostic

// Add appends one diagnostic.
func (l *List) Add(d Diagnostic) { *l = append(*l, d) }

// Errors counts the diagnostics that refuse a file.
func (l List) Errors() int { return l.count(Error) }

func (l List) count(of Level) int {
	n := 0
	for _, d := range l {
		if d.Level == of {
			n++
		}
	}
	return n
}

// Sorted returns the diagnostics by file, line and column, each once.
func (l List) Sorted() List {
	out := slices.Clone(l)
	slices.SortStableFunc(out, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Col, b.Col), cmp.Compare(a.Code, b.Code))
	})
	return slices.CompactFunc(out, func(a, b Diagnostic) bool {
		return a.Place == b.Place && a.Code == b.Code && a.Headline == b.Headline
	})
}
