package diag

import (
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"
)

type junitSuites struct {
	XMLName  xml.Name     `xml:"testsuites"`
	Tests    int          `xml:"tests,attr"`
	Failures int          `xml:"failures,attr"`
	Errors   int          `xml:"errors,attr"`
	Suites   []junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name     string      `xml:"name,attr"`
	Tests    int         `xml:"tests,attr"`
	Failures int         `xml:"failures,attr"`
	Errors   int         `xml:"errors,attr"`
	Skipped  int         `xml:"skipped,attr"`
	Time     string      `xml:"time,attr"`
	Cases    []junitCase `xml:"testcase"`
}

type junitCase struct {
	Name    string        `xml:"name,attr"`
	Class   string        `xml:"classname,attr"`
	Time    string        `xml:"time,attr"`
	Failure *junitFailure `xml:"failure"`
	Output  string        `xml:"system-out,omitempty"`
}

type junitFailure struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",chardata"`
}

// junit writes one test case for each check. A check with an error fails with
// all its diagnostics; warnings and notes alone are told as its output.
// Diagnostics of no check stand in a test case of their own.
func (r Report) junit(w io.Writer) error {
	list := r.List.Sorted()
	suite := junitSuite{Name: r.Name, Time: "0"}
	told := make([]bool, len(list))
	for _, c := range r.Checks {
		var own List
		for i, d := range list {
			if !told[i] && c.Covers(d) {
				told[i] = true
				own = append(own, d)
			}
		}
		suite.Cases = append(suite.Cases, testCase(c.Name, c.Group, own))
	}
	var rest List
	for i, d := range list {
		if !told[i] {
			rest = append(rest, d)
		}
	}
	if len(rest) > 0 {
		suite.Cases = append(suite.Cases, testCase("everything else", r.Name, rest))
	}
	suite.Tests = len(suite.Cases)
	for _, c := range suite.Cases {
		if c.Failure != nil {
			suite.Failures++
		}
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(junitSuites{Tests: suite.Tests, Failures: suite.Failures, Suites: []junitSuite{suite}}); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

func testCase(name, group string, list List) junitCase {
	c := junitCase{Name: name, Class: group, Time: "0"}
	if len(list) == 0 {
		return c
	}
	var b strings.Builder
	for _, d := range list {
		b.WriteString(d.String())
	}
	i := slices.IndexFunc(list, func(d Diagnostic) bool { return d.Level == Error })
	if i < 0 {
		c.Output = b.String()
		return c
	}
	c.Failure = &junitFailure{Message: list[i].Headline, Type: code(list[i]), Text: b.String()}
	if n := list.Errors(); n > 1 {
		c.Failure.Message += fmt.Sprintf(" (and %d more)", n-1)
	}
	return c
}

// Files makes one check of every file named.
func Files(paths []string) []Check {
	out := make([]Check, len(paths))
	for i, p := range paths {
		out[i] = Check{Name: p, Group: "files", Covers: func(d Diagnostic) bool { return d.Path == p }}
	}
	return out
}
