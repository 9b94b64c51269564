package engine

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/report"
	"rungwise/engine/source"
)

// agreeFile is the file of house rules that holds the reading error, and
// agreeLimit the limit that it sets.
const (
	agreeFile  = "reading_error.yaml"
	agreeLimit = "reading_error_eye"
)

// WriteAgreement puts the reading error of an agreement into a folder of house
// rules, in the name of somebody, in the place of what it wrote before. A file
// that holds other rules as well is left alone.
func (e *Engine) WriteAgreement(r *report.Agreement, dir, by string) error {
	path := filepath.Join(dir, agreeFile)
	because := fmt.Sprintf("%d clips graded twice by %s, %d alike", r.Clips, e.today.Format(time.DateOnly), r.Same)
	data := []byte("# Written by `rungwise agree --write`; it is written anew each time.\nextends: base\nlimits:\n" +
		fmt.Sprintf("  - id: %s\n    set: {value: %.2f}\n    because: %s\n    by: %s\n", agreeLimit, r.Use, source.Quote(because), source.Quote(by)))
	err := putAgreement(path, data)
	if err == nil {
		r.Written = path
	}
	return err
}

func putAgreement(path string, data []byte) error {
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return casefile.Create(path, data)
	}
	before, err := casefile.Read(path)
	if err != nil {
		return err
	}
	root, _ := before.YAML()
	if items := root.Get("limits").Items(); len(root.Fields()) != 2 || len(items) != 1 || items[0].Get("id").Text() != agreeLimit {
		return fmt.Errorf("%s holds other rules as well: change %s there by hand", path, agreeLimit)
	}
	return casefile.Replace(before, data)
}

// HoldsAgreement says whether the rules in force read with the error of an
// agreement that was written: another file of the house may say something else,
// and the last one counts.
func (e *Engine) HoldsAgreement(r *report.Agreement) error {
	l, ok := e.base.Limit(agreeLimit)
	if ok && l.Value == r.Use {
		return nil
	}
	where := "another file"
	if ok && len(l.Changes) > 0 {
		where = l.Changes[len(l.Changes)-1].Place.Path
	}
	return &Faults{Why: fmt.Sprintf("%s was written, but %s sets %s after it", r.Written, where, agreeLimit)}
}
