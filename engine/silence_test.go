package engine_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// verdictReaders are the files that ask whether a gate refers or waits, and what
// for. Whether anything may be said about a throw is decided in one of them; the
// others choose words, questions or an exit code by it.
var verdictReaders = map[string]string{
	"engine/report/report.go": "decides whether no word about throwing may be said",
	"engine/rule/gate.go":     "orders the gates: a referral comes first",
	"engine/rule/oppose.go":   "tells of gates that an earlier one hides",
	"engine/rule/showcase.go": "makes examples that no gate refers",
	"engine/judge/athlete.go": "holds a house's referrals against the base's",
	"engine/ask/safety.go":    "ends a visit with whom to see, and asks what gates wait for",
	"engine/ask/sheet.go":     "prints whom to see in the place of a sheet",
	"engine/compose/why.go":   "explains the gates that refer also where nothing else is",
	"engine/week/week.go":     "calls a decision a stop or not asked, once it is silent",
	"engine/week/roster.go":   "says what is lacking of an athlete who may throw",
	"engine/render/render.go": "keeps a record without a reference quiet",
	"engine/render/triage.go": "chooses a heading",
	"engine/render/plan.go":   "lists what is lacking in the place of a plan",
	"cmd/rungwise/plan.go":    "chooses an exit code",
	"cmd/rungwise/ladder.go":  "a ladder that is not done is an answer, and no failure",
}

func TestSilenceIsDecidedInOnePlace(t *testing.T) {
	seen := map[string]bool{}
	for _, dir := range []string{"../engine", "../cmd"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			if err != nil {
				return err
			}
			if name := strings.TrimPrefix(filepath.ToSlash(path), "../"); comparesVerdicts(file) {
				seen[name] = true
				if verdictReaders[name] == "" {
					t.Errorf("%s asks whether a gate refers or waits: ask compose.Silent or report.Gate.Silent, or say in this test what for", name)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for name := range verdictReaders {
		if !seen[name] {
			t.Errorf("%s is listed and compares no verdict", name)
		}
	}
}

// comparesVerdicts reports whether a file compares anything with the verdicts that
// can silence a record.
func comparesVerdicts(file *ast.File) bool {
	found := false
	verdict := func(e ast.Expr) {
		switch x := e.(type) {
		case *ast.BasicLit:
			found = found || x.Value == `"refer"` || x.Value == `"not_enough"`
		case *ast.SelectorExpr:
			of, ok := x.X.(*ast.Ident)
			found = found || ok && of.Name == "rule" && (x.Sel.Name == "Refer" || x.Sel.Name == "NotEnough")
		case *ast.Ident:
			found = found || file.Name.Name == "rule" && (x.Name == "Refer" || x.Name == "NotEnough")
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.BinaryExpr:
			if x.Op == token.EQL || x.Op == token.NEQ {
				verdict(x.X)
				verdict(x.Y)
			}
		case *ast.CaseClause:
			for _, e := range x.List {
				verdict(e)
			}
		}
		return true
	})
	return found
}
