package diag

import (
	"cmp"
	"net/url"
	"path/filepath"
	"slices"
)

// sarifSchema is where the published schema of the format lives.
const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool       sarifTool     `json:"tool"`
	ColumnKind string        `json:"columnKind"`
	Results    []sarifResult `json:"results"`
}

type sarifTool struct {
	Driver sarifDriver `json:"driver"`
}

type sarifDriver struct {
	Name    string      `json:"name"`
	Version string      `json:"version,omitempty"`
	Rules   []sarifRule `json:"rules"`
}

type sarifRule struct {
	ID    string    `json:"id"`
	Short sarifText `json:"shortDescription"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifResult struct {
	RuleID    string          `json:"ruleId"`
	RuleIndex int             `json:"ruleIndex"`
	Level     string          `json:"level"`
	Message   sarifText       `json:"message"`
	Locations []sarifLocation `json:"locations"`
	Fixes     []sarifFix      `json:"fixes,omitempty"`
}

type sarifLocation struct {
	Physical sarifPhysical `json:"physicalLocation"`
}

type sarifPhysical struct {
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   *sarifRegion  `json:"region,omitempty"`
}

type sarifArtifact struct {
	URI string `json:"uri"`
}

type sarifRegion struct {
	StartLine   int        `json:"startLine,omitempty"`
	StartColumn int        `json:"startColumn,omitempty"`
	EndColumn   int        `json:"endColumn,omitempty"`
	Offset      *int       `json:"byteOffset,omitempty"`
	Length      *int       `json:"byteLength,omitempty"`
	Snippet     *sarifText `json:"snippet,omitempty"`
}

type sarifFix struct {
	Description sarifText     `json:"description"`
	Changes     []sarifChange `json:"artifactChanges"`
}

type sarifChange struct {
	Artifact     sarifArtifact      `json:"artifactLocation"`
	Replacements []sarifReplacement `json:"replacements"`
}

type sarifReplacement struct {
	Deleted  sarifRegion `json:"deletedRegion"`
	Inserted sarifText   `json:"insertedContent"`
}

func (r Report) sarif() sarifLog {
	list := r.List.Sorted()
	driver := sarifDriver{Name: r.Tool, Version: r.Version, Rules: []sarifRule{}}
	for _, d := range list {
		if !slices.ContainsFunc(driver.Rules, func(x sarifRule) bool { return x.ID == code(d) }) {
			driver.Rules = append(driver.Rules, sarifRule{code(d), sarifText{d.Headline}})
		}
	}
	slices.SortFunc(driver.Rules, func(a, b sarifRule) int { return cmp.Compare(a.ID, b.ID) })
	run := sarifRun{Tool: sarifTool{driver}, ColumnKind: "unicodeCodePoints", Results: []sarifResult{}}
	for _, d := range list {
		run.Results = append(run.Results, result(d, slices.IndexFunc(driver.Rules, func(x sarifRule) bool { return x.ID == code(d) })))
	}
	return sarifLog{Schema: sarifSchema, Version: "2.1.0", Runs: []sarifRun{run}}
}

// code names the kind of a diagnostic; every result needs one.
func code(d Diagnostic) string { return cmp.Or(d.Code, "B000") }

func result(d Diagnostic, index int) sarifResult {
	text := d.Headline
	if more := told(d); more != "" {
		text += "\n" + more
	}
	out := sarifResult{RuleID: code(d), RuleIndex: index, Level: d.Level.String(), Message: sarifText{text},
		Locations: []sarifLocation{{sarifPhysical{Artifact: artifact(d.Path)}}}}
	if d.Line > 0 {
		excerpt, _ := d.Excerpt()
		region := &sarifRegion{StartLine: d.Line, Snippet: &sarifText{excerpt}}
		if d.Col > 0 {
			region.StartColumn, region.EndColumn = d.Col, d.Col+max(1, d.Width)
		}
		out.Locations[0].Physical.Region = region
	}
	if d.Fix != nil {
		length := d.Fix.End - d.Fix.Start
		out.Fixes = []sarifFix{{sarifText{cmp.Or(d.Help, "the mend")}, []sarifChange{{artifact(d.Fix.Path),
			[]sarifReplacement{{sarifRegion{Offset: &d.Fix.Start, Length: &length}, sarifText{d.Fix.Text}}}}}}}
	}
	return out
}

// artifact writes a path as the reference that the format asks for.
func artifact(path string) sarifArtifact {
	u := url.URL{Path: filepath.ToSlash(path)}
	return sarifArtifact{u.String()}
}
