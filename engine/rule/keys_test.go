package rule

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"rungwise/engine/source"
)

// fileKeys stand in a file or a house's change beside what the entries take.
const fileKeys = " id version extends house because by until base rows effort_weights plain_words checkpoints questions derived "

// known gathers the names of keys and of the keys within them.
func known(names map[string]bool, keys []source.Known) {
	for _, k := range keys {
		names[k.Name] = true
		known(names, k.Takes.Keys)
		if k.Takes.Each != nil {
			known(names, k.Takes.Each.Keys)
		}
	}
}

// No reader asks for a key that stands in no list: it would be read and be neither
// described nor guarded.
func TestEveryKeyStandsInAList(t *testing.T) {
	names := map[string]bool{}
	for _, c := range Concerns() {
		known(names, c.Keys)
	}
	asks := " Get Has Need Text NeedText Number Count YesNo Date Texts Object Items Fields OneOf NeedOneOf "
	asked := 0
	files, _ := filepath.Glob("*.go")
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			method, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || !strings.Contains(asks, " "+method.Sel.Name+" ") {
				return true
			}
			if of, ok := method.X.(*ast.Ident); ok && of.Name == "source" {
				return true // a list itself
			}
			lit, ok := call.Args[0].(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			asked++
			if key, _ := strconv.Unquote(lit.Value); !names[key] && !strings.Contains(fileKeys, " "+key+" ") {
				t.Errorf("%s asks for `%s`, which stands in no list of keys", name, key)
			}
			return true
		})
	}
	if asked < 40 {
		t.Errorf("only %d questions for a key were found", asked)
	}
}

// A key of which nothing is said stays as the base has it, and no key of a gate, a
// caution, a limit or a table is left free but those that change no decision.
func TestKeysAreClosedToAHouse(t *testing.T) {
	if (Concern{}).key("anything").Change != source.Fixed || (source.Known{}).Change != source.Fixed {
		t.Error("a key without a direction may change")
	}
	harmless := map[string]string{
		Gates: "title why source since examples", Cautions: "title why source since examples", LimitsKey: "why source grade reviewed",
		ByAge: "why source grade reviewed", PitchRows: "source why", InningsRows: "source grade reviewed why", Demands: "title why source since",
	}
	for _, c := range Concerns() {
		of, guarded := harmless[c.Name]
		for _, k := range c.Keys {
			if guarded && k.Change == source.Free && !strings.Contains(" "+of+" ", " "+k.Name+" ") {
				t.Errorf("%s: a house may change `%s` as it likes", c.Name, k.Name)
			}
		}
	}
}
