package casefile

import (
	"bytes"
	_ "embed" // the template of a new file
	"text/template"

	"rungwise/engine/source"
)

// Start is what a new case file begins with; empty fields are left open.
type Start struct {
	Code      string
	Age       string // years
	Throws    string // right or left
	Level     string
	Reference string // throw id
}

//go:embed new.yaml.tmpl
var newText string

var newFile = template.Must(template.New("case").Funcs(template.FuncMap{"quote": source.Quote}).Parse(newText))

// New writes a new case file: what is known filled in, everything else as a
// comment that says what goes there. It says nothing that nobody told.
func New(s Start) []byte {
	var b bytes.Buffer
	_ = newFile.Execute(&b, s) // the template takes any words, and whoever writes the file reads it first
	return b.Bytes()
}
