package engine

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/ruletest"
	"rungwise/engine/source"
)

// OpenNew opens the base with a house that may have no rules yet, or no folder.
func OpenNew(trade Trade, dir string, today time.Time) (*Engine, diag.List) {
	var house fs.FS
	if HasRules(dir) {
		house = os.DirFS(dir)
	}
	return Open(Options{Trade: trade, House: house, HousePath: dir, Today: today})
}

// HasRules reports whether a folder holds files of rules.
func HasRules(dir string) bool {
	entries, err := os.ReadDir(dir)
	return err == nil && slices.ContainsFunc(entries, func(x fs.DirEntry) bool { return source.IsYAML(x.Name()) })
}

// WriteSign writes a new sign into a house, with two examples and two cases, and
// the schema of house files where there is none yet. It returns the new file.
func (e *Engine) WriteSign(dir string, s ruletest.Sign) (path string, err error) {
	if s.Factor, err = e.Named("factors", s.Factor); err != nil {
		return "", &Typed{"factor", err}
	}
	text, err := ruletest.Draft(e.base, s)
	if err != nil {
		return "", &Typed{"when", err}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("%s: the folder could not be made", dir)
	}
	path = filepath.Join(dir, s.ID+".yaml")
	if err := casefile.Create(path, text); err != nil {
		return "", err
	}
	schema := filepath.Join(dir, ruletest.HouseSchema)
	if _, err := os.Stat(schema); err == nil {
		return path, nil
	}
	return path, e.WriteSchema(schema, "house")
}

// WriteSchema writes the JSON Schema of a kind of file, over an older one.
func (e *Engine) WriteSchema(path, kind string) error {
	text, err := e.Schema(kind)
	if err != nil {
		return err
	}
	if err := os.WriteFile(path, text, 0o644); err != nil {
		return fmt.Errorf("%s: could not be written", path)
	}
	return nil
}

// CheckSign says what is wrong with one part of a new sign: id, when, factor,
// strength, or any other, which only has to be there; nil for nothing.
func (e *Engine) CheckSign(part, text string) error {
	wrong := func(format string, args ...any) error { return &Typed{part, fmt.Errorf(format, args...)} }
	_, there := e.base.Sign(text)
	switch {
	case part == "id" && !goodID(text):
		return wrong("an id cannot be %q: write small letters, digits and underscores", text)
	case part == "id" && there:
		return wrong("there is a sign %s already", text)
	case text == "":
		return wrong("an answer is needed here")
	case part == "factor":
		if id, err := e.Named("factors", text); err == nil {
			text = id
		}
		return among(wrong, text, e.SignFactors())
	case part == "strength":
		return among(wrong, text, []string{"strong", "moderate", "weak"})
	case part == "when":
		var b strings.Builder
		if err := e.Condition(text).Write(&b); err != nil || b.Len() > 0 {
			return wrong("%s", strings.TrimRight(b.String(), "\n"))
		}
	}
	return nil
}

// SignFactors lists what a sign can point to.
func (e *Engine) SignFactors() []string {
	var out []string
	for _, f := range e.base.Factors {
		out = append(out, f.ID)
	}
	return out
}

func among(wrong func(string, ...any) error, text string, words []string) error {
	near, close := diag.Nearest(text, words)
	switch {
	case slices.Contains(words, text):
		return nil
	case close:
		return wrong("there is no %q; did you mean %s?", text, near)
	}
	return wrong("there is no %q; choose one of: %s", text, strings.Join(words, ", "))
}

func goodID(s string) bool {
	return s != "" && s[0] >= 'a' && s[0] <= 'z' && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789_") == ""
}
