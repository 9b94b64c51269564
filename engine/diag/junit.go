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
	suite := junitSuite{Name: r.Name, Time: "0"}
	add := func(name, group string, list List) {
		c := testCase(name, group, list)
		suite.Cases = append(suite.Cases, c)
		suite.Tests++
		if c.Failure != nil {
			suite.Failures++
		}
	}
	rest := r.List.Sorted()
	for _, c := range r.Checks {
		var own, others List
		for _, d := range rest {
			if c.Covers(d) {
				own = append(own, d)
			} else {
				others = append(others, d)
			}
		}
		rest = others
		add(c.Name, c.Group, own)
	}
	if len(rest) > 0 {
		add("everything else", r.Name, rest)
	}
	b, err := xml.MarshalIndent(junitSuites{Tests: suite.Tests, Failures: suite.Failures, Suites: []junitSuite{suite}}, "", "  ")
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, xml.Header+string(b)+"\n")
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
