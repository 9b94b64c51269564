package frozen

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

var update = flag.Bool("update", false, "take the shipped files over")

// TestFrozen reads the frozen base; with -update the shipped one takes its place.
func TestFrozen(t *testing.T) {
	if *update {
		for dir, fsys := range map[string]fs.FS{"rules": rules.FS, "checklists": checklists.FS} {
			if err := os.RemoveAll(dir); err != nil {
				t.Fatal(err)
			}
			if err := os.CopyFS(filepath.FromSlash(dir), fsys); err != nil {
				t.Fatal(err)
			}
		}
		return
	}
	if _, ds := rule.Load(rule.Options{Rules: Rules(), Checklists: Checklists()}); len(ds) > 0 {
		t.Error(ds.Sorted())
	}
}
