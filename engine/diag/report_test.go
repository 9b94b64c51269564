package diag

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func sample() Report {
	long := Diagnostic{Place: Place{Path: "house/my club.yaml", Line: 3, Col: 11, Width: 4, Text: "    when: hing° > \"3\" & <x>"}, Code: "R101",
		Headline: "nothing called `hing` is ever observed", Under: "not in the checklist", Why: "a & b", Help: "write <hinge>", Notes: []string{"one", "two"},
		Fix: &Fix{Path: "house/my club.yaml", Start: 10, End: 14, Text: "hinge"}}
	short := Diagnostic{Place: Place{Path: "rules"}, Level: Warning, Headline: "nothing here\x1b[31m"}
	note := Diagnostic{Place: Place{Path: "house/b.yaml", Line: 1}, Level: Note, Code: "L304", Headline: "no rule reads `x`"}
	return Report{Tool: "rungwise", Version: "2026-11", Name: "rules check", List: List{note, long, short, long},
		Checks: Files([]string{"house/b.yaml", "house/c.yaml", "house/my club.yaml"})}
}

func written(t *testing.T, r Report, format string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := r.Write(&b, format); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The log is held to the published schema (OASIS, Static Analysis Results
// Interchange Format 2.1.0 with errata 01).
func TestSARIFMatchesThePublishedSchema(t *testing.T) {
	data, err := os.ReadFile("testdata/sarif-2.1.0.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("sarif.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("sarif.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []Report{sample(), {Tool: "rungwise", Name: "rules check"}} {
		log, err := jsonschema.UnmarshalJSON(bytes.NewReader(written(t, r, "sarif")))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(log); err != nil {
			t.Errorf("%v", err)
		}
	}
	wrong, _ := jsonschema.UnmarshalJSON(strings.NewReader(`{"version": "2.1.0", "runs": [{}]}`))
	if schema.Validate(wrong) == nil {
		t.Error("the schema takes a run without a tool")
	}
}

func TestSARIFPlaces(t *testing.T) {
	var log sarifLog
	if err := json.Unmarshal(written(t, sample(), "sarif"), &log); err != nil {
		t.Fatal(err)
	}
	got := log.Runs[0].Results
	if len(got) != 3 {
		t.Fatalf("%d results", len(got))
	}
	x := got[1]
	where := x.Locations[0].Physical
	if where.Artifact.URI != "house/my%20club.yaml" || where.Region.StartColumn != 11 || where.Region.EndColumn != 15 || x.Level != "error" ||
		*x.Fixes[0].Changes[0].Replacements[0].Deleted.Length != 4 || log.Runs[0].Tool.Driver.Rules[x.RuleIndex].ID != "R101" {
		t.Errorf("got %+v", x)
	}
}

// No schema of the JUnit form is published by its makers; the shape here is what
// build servers read.
func TestJUnitShape(t *testing.T) {
	var got junitSuites
	if err := xml.Unmarshal(written(t, sample(), "junit"), &got); err != nil {
		t.Fatal(err)
	}
	s := got.Suites[0]
	if got.Tests != 4 || got.Failures != 1 || s.Tests != 4 || s.Failures != 1 || len(s.Cases) != 4 {
		t.Fatalf("got %+v", got)
	}
	if s.Cases[0].Failure != nil || !strings.Contains(s.Cases[0].Output, "no rule reads") {
		t.Errorf("a note failed: %+v", s.Cases[0])
	}
	if s.Cases[1].Failure != nil || s.Cases[1].Output != "" {
		t.Errorf("a clean file is told of: %+v", s.Cases[1])
	}
	if f := s.Cases[2].Failure; f == nil || f.Type != "R101" || !strings.Contains(f.Text, "write <hinge>") {
		t.Errorf("got %+v", s.Cases[2])
	}
}

func TestJSONHoldsEverything(t *testing.T) {
	var got record
	if err := json.Unmarshal(written(t, sample(), "json"), &got); err != nil {
		t.Fatal(err)
	}
	if got.Rungwise != "check/1" || got.Faults != 1 || got.Warnings != 1 || got.Notes != 1 || len(got.List) != 3 || got.List[1].Fix == nil || len(got.List[1].Notes) != 2 {
		t.Errorf("got %+v", got)
	}
}

func TestUnknownFormat(t *testing.T) {
	if err := sample().Write(&bytes.Buffer{}, "yaml"); err == nil || !strings.Contains(err.Error(), "text, json, sarif, junit") {
		t.Errorf("got %v", err)
	}
	if a, b := written(t, sample(), "text"), sample(); !strings.Contains(string(a), b.List[0].Headline) {
		t.Error("the text leaves one out")
	}
}
