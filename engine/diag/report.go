package diag

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// Report is what was checked and what was found.
type Report struct {
	Tool    string // name of the program
	Version string // of the rule base
	Name    string // of the check, such as "rules check"
	List    List
	Checks  []Check // what was looked at one by one, for JUnit; those without a diagnostic passed
}

// Check is one thing that was looked at: a file, an example, a case. Its
// diagnostics are those that Covers says yes to.
type Check struct {
	Name, Group string
	Covers      func(Diagnostic) bool
}

// Formats lists the names that Write takes, text first.
func Formats() []string { return []string{"text", "json", "sarif", "junit"} }

// Write writes the report in one of the formats. An unknown name is an error, as
// is a writer that fails.
func (r Report) Write(w io.Writer, format string) error {
	switch format {
	case "text":
		return r.List.Write(w)
	case "json":
		return indented(w, r.record())
	case "sarif":
		return indented(w, r.sarif())
	case "junit":
		return r.junit(w)
	}
	return fmt.Errorf("there is no format %q; it takes %s", format, strings.Join(Formats(), ", "))
}

func indented(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// record is the JSON of our own.
type record struct {
	Rungwise string  `json:"rungwise"` // kind and version of the record
	Rules    string  `json:"rules"`    // version of the rule base
	Faults   int     `json:"faults"`
	Warnings int     `json:"warnings"`
	Notes    int     `json:"notes"`
	List     []entry `json:"diagnostics"`
}

type entry struct {
	Path     string   `json:"path"`
	Line     int      `json:"line"`
	Column   int      `json:"column"` // in characters, from 1
	Width    int      `json:"width"`  // in characters
	Level    string   `json:"level"`
	Code     string   `json:"code"`
	Headline string   `json:"headline"`
	Under    string   `json:"under,omitempty"`
	Why      string   `json:"why,omitempty"`
	Help     string   `json:"help,omitempty"`
	Notes    []string `json:"notes"`
	Fix      *fix     `json:"fix"`
}

type fix struct {
	Start int    `json:"start"` // bytes of the file
	End   int    `json:"end"`
	Text  string `json:"text"`
}

func (r Report) record() record {
	list := r.List.Sorted()
	out := record{Rungwise: "check/1", Rules: r.Version, List: []entry{},
		Faults: list.Errors(), Warnings: list.count(Warning), Notes: list.count(Note)}
	for _, d := range list {
		e := entry{Path: d.Path, Line: d.Line, Column: d.Col, Width: d.Width, Level: d.Level.String(), Code: d.Code,
			Headline: d.Headline, Under: d.Under, Why: d.Why, Help: d.Help, Notes: append([]string{}, d.Notes...)}
		if d.Fix != nil {
			e.Fix = &fix{d.Fix.Start, d.Fix.End, d.Fix.Text}
		}
		out.List = append(out.List, e)
	}
	return out
}

// told is the whole of a diagnostic but its place, in lines.
func told(d Diagnostic) string {
	lines := []string{d.Headline}
	for _, x := range [][2]string{{"", d.Under}, {"why: ", d.Why}, {"help: ", d.Help}} {
		if x[1] != "" {
			lines = append(lines, x[0]+x[1])
		}
	}
	for _, n := range d.Notes {
		lines = append(lines, "note: "+n)
	}
	return strings.Join(lines, "\n")
}
