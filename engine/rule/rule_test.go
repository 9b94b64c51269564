package rule

import (
	"os"
	"testing"

	"rungwise/checklists"
)

func TestTmp(t *testing.T) {
	b, ds := Load(Options{RulesPath: "rules", Rules: os.DirFS("../../rules"), Checklists: checklists.FS})
	ds.Write(os.Stdout)
	for _, f := range b.TestExamples() { t.Log(f.Diagnostic) }
	t.Log(len(b.Signs), len(b.Drills), b.Version, b.Hash)
}
