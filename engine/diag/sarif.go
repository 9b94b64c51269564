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
	Schema  string      `json:"$schema"`
	Version string      `json:"version"`
	Runs    [1]sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool struct {
		Driver struct {
			Name    string      `json:"name"`
			Version string      `json:"version,omitempty"`
			Rules   []sarifRule `json:"rules"`
		} `json:"driver"`
	} `json:"tool"`
	ColumnKind string        `json:"columnKind"`
	Results    []sarifResult `json:"results"`
}

type sarifRule struct {
	ID    string    `json:"id"`
	Short sarifText `json:"shortDescription"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifResult struct {
	RuleID    string    `json:"ruleId"`
	RuleIndex int       `json:"ruleIndex"`
	Level     string    `json:"level"`
	Message   sarifText `json:"message"`
	Locations [1]struct {
		Physical struct {
			Artifact sarifArtifact `json:"artifactLocation"`
			Region   *sarifRegion  `json:"region,omitempty"`
		} `json:"physicalLocation"`
	} `json:"locations"`
	Fixes []sarifFix `json:"fixes,omitempty"`
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
	Description sarifText `json:"description"`
	Changes     [1]struct {
		Artifact     sarifArtifact `json:"artifactLocation"`
		Replacements [1]struct {
			Deleted  sarifRegion `json:"deletedRegion"`
			Inserted sarifText   `json:"insertedContent"`
		} `json:"replacements"`
	} `json:"artifactChanges"`
}

func (r Report) sarif() sarifLog {
	log := sarifLog{Schema: sarifSchema, Version: "2.1.0"}
	run := &log.Runs[0]
	run.ColumnKind, run.Results = "unicodeCodePoints", []sarifResult{}
	driver := &run.Tool.Driver
	driver.Name, driver.Version, driver.Rules = r.Tool, r.Version, []sarifRule{}
	index := func(d Diagnostic) int {
		return slices.IndexFunc(driver.Rules, func(x sarifRule) bool { return x.ID == code(d) })
	}
	list := r.List.Sorted()
	for _, d := range list {
		if index(d) < 0 {
			driver.Rules = append(driver.Rules, sarifRule{code(d), sarifText{d.Headline}})
		}
	}
	slices.SortFunc(driver.Rules, func(a, b sarifRule) int { return cmp.Compare(a.ID, b.ID) })
	for _, d := range list {
		run.Results = append(run.Results, result(d, index(d)))
	}
	return log
}

// code names the kind of a diagnostic; every result needs one.
func code(d Diagnostic) string { return cmp.Or(d.Code, "B000") }

func result(d Diagnostic, index int) sarifResult {
	out := sarifResult{RuleID: code(d), RuleIndex: index, Level: d.Level.String(), Message: sarifText{told(d)}}
	at := &out.Locations[0].Physical
	at.Artifact = artifact(d.Path)
	if d.Line > 0 {
		excerpt, _ := d.Excerpt()
		at.Region = &sarifRegion{StartLine: d.Line, Snippet: &sarifText{excerpt}}
		if d.Col > 0 {
			at.Region.StartColumn, at.Region.EndColumn = d.Col, d.Col+max(1, d.Width)
		}
	}
	if d.Fix != nil {
		length := d.Fix.End - d.Fix.Start
		mend := sarifFix{Description: sarifText{cmp.Or(d.Help, "the mend")}}
		change := &mend.Changes[0]
		change.Artifact = artifact(d.Fix.Path)
		change.Replacements[0].Deleted = sarifRegion{Offset: &d.Fix.Start, Length: &length}
		change.Replacements[0].Inserted = sarifText{d.Fix.Text}
		out.Fixes = []sarifFix{mend}
	}
	return out
}

// artifact writes a path as the reference that the format asks for.
func artifact(path string) sarifArtifact {
	u := url.URL{Path: filepath.ToSlash(path)}
	return sarifArtifact{u.String()}
}
