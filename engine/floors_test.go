package engine_test

import (
	"go/build"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// floors says how high each package sits; it may import only from below.
var floors = map[string]int{
	"rules": 0, "checklists": 0, "testdata/cases": 0, "testdata/frozen": 0,
	"engine/diag": 0, "engine/unit": 0, "engine/stats": 0, "engine/safety": 0, "engine/kept": 0,
	"engine/prompt": 1, "engine/source": 1, "engine/fact": 1, "engine/ladder": 1, "engine/workload": 1, "engine/cause": 1, "engine/measure": 1, "engine/report": 1,
	"engine/cond": 2, "engine/progress": 2, "engine/checklist": 2,
	"engine/rule": 3, "engine/casefile": 3,
	"engine/observe": 4, "engine/triage": 4, "engine/radar": 4, "engine/rulebook": 4,
	"engine/plan": 5, "engine/ruletest": 5,
	"engine/compose": 6, "engine/judge": 6,
	"engine/render": 7, "engine/ask": 7, "engine/week": 7,
	"engine/pages": 8,
	"engine":       9,
	"cmd/rungwise": 10,
}

// owners says which package alone may import a module, tests apart.
var owners = map[string]string{
	"gopkg.in/yaml.v3":                      "engine/source",
	"github.com/expr-lang/expr":             "engine/cond",
	"gonum.org/v1/gonum":                    "engine/stats",
	"charm.land/glamour/v2":                 "engine/render",
	"github.com/charmbracelet/colorprofile": "engine/render",
	"github.com/yuin/goldmark":              "engine/render",
	"github.com/arran4/golang-ical":         "engine/render",
	"github.com/gofrs/flock":                "engine/casefile",
	"charm.land/bubbletea/v2":               "engine/ask",
	"charm.land/bubbles/v2":                 "engine/ask",
	"charm.land/lipgloss/v2":                "engine/ask",
	"github.com/charmbracelet/ultraviolet":  "engine/ask",
	"github.com/charmbracelet/x/ansi":       "engine/ask",
	"github.com/charmbracelet/x/term":       "cmd/rungwise",
	"github.com/spf13/cobra":                "cmd/rungwise",
	"github.com/spf13/pflag":                "cmd/rungwise",
}

func TestFloorsAndOwners(t *testing.T) {
	root := ".."
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); name == "testdata" || (strings.HasPrefix(name, ".") && path != root) {
			return filepath.SkipDir
		}
		dir, err := filepath.Abs(path)
		if err != nil {
			return err
		}
		pkg, err := build.ImportDir(dir, 0)
		if err != nil || len(pkg.GoFiles) == 0 {
			return nil // no Go files here
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		checkImports(t, filepath.ToSlash(name), pkg.Imports)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(root, "go.mod")); err != nil {
		t.Fatal("the walk did not start at the module's root")
	}
}

func checkImports(t *testing.T, pkg string, imports []string) {
	floor, known := floors[pkg]
	if !known {
		t.Errorf("%s stands on no floor: give it a row", pkg)
		return
	}
	for _, path := range imports {
		if inside, ok := strings.CutPrefix(path, "rungwise/"); ok {
			if below, ok := floors[inside]; !ok || below >= floor {
				t.Errorf("%s (floor %d) imports %s (floor %d)", pkg, floor, inside, below)
			}
			continue
		}
		if !strings.Contains(strings.SplitN(path, "/", 2)[0], ".") {
			continue // the standard library
		}
		checkOwner(t, pkg, path)
	}
}

func checkOwner(t *testing.T, pkg, path string) {
	for module, owner := range owners {
		if path == module || strings.HasPrefix(path, module+"/") {
			if owner != pkg {
				t.Errorf("%s imports %s, which belongs to %s", pkg, path, owner)
			}
			return
		}
	}
	t.Errorf("%s imports %s, which has no owner", pkg, path)
}
