package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
)

// ErrCannotExport tells that a case cannot be exported as it is.
var ErrCannotExport = errors.New("cannot be exported")

// CasesIn is a file, or the case files of a folder.
func CasesIn(path string) ([]string, error) {
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file or folder", path)
	case err != nil:
		return nil, fmt.Errorf("%s: it may not be read", path)
	case !info.IsDir():
		return []string{path}, nil
	}
	return casefile.Folder(path)
}

// Exported is a case without what is private, and the name of a file for it.
type Exported struct {
	Case *casefile.Case // as it was, with its log
	Name string
	Data []byte
}

// ExportCase exports a case file.
func (e *Engine) ExportCase(path string) (x Exported, err error) {
	f, err := casefile.Read(path)
	if err != nil {
		return x, err
	}
	if x.Data, err = e.Export(f); err != nil {
		return x, err
	}
	x.Case, _ = e.Case(f) // it was read a moment ago
	x.Name = strings.ToLower(x.Case.Code) + ".yaml"
	_, err = e.ReadLog(x.Case, path)
	return x, err
}

// Export writes a case again without names, notes and names of clips: neither
// comments nor anything that somebody wrote in words of his own is in it. The
// athlete's code stays. What comes out is a case that reads as the one before,
// apart from what was left out.
func (e *Engine) Export(f *source.File) ([]byte, error) {
	if c, ds := e.Case(f); c == nil {
		return nil, fmt.Errorf("%s: %w: %v", f.Path, ErrCannotExport, firstFault(ds))
	}
	root, _ := f.YAML() // a case that was read has no faults
	x, shape := exporter{guns: map[string]string{}}, casefile.Shape(e.vocabulary())
	var b strings.Builder
	for _, field := range root.Fields() {
		if value, keep := x.field(field, shape); keep {
			fmt.Fprintf(&b, "%s: %s\n", source.Quote(field.Key.Text()), value)
		}
	}
	out := []byte(b.String())
	if c, ds := e.Case(source.New(f.Path, out)); c == nil {
		return nil, fmt.Errorf("%s: %w: what is left of it does not read any more: %v", f.Path, ErrCannotExport, firstFault(ds))
	}
	return out, nil
}

// exporter writes values on one line and gives guns new names.
type exporter struct {
	guns map[string]string
}

// field writes the value of a key that may leave the house.
func (x *exporter) field(f source.Field, in casefile.Block) (string, bool) {
	known, ok := in.Field(f.Key.Text())
	switch {
	case !ok:
		return "", false
	case known.Takes == casefile.TakesGun:
		return x.gun(f.Value.Text()), true
	case known.Own && known.Needed:
		return "not exported", true
	case known.Own:
		return "", false
	case known.Block != nil:
		return x.value(f.Value, known.Block()), true
	}
	return x.value(f.Value, casefile.Block{}), true
}

// gun keeps guns apart without saying what they are.
func (x *exporter) gun(name string) string {
	if _, known := x.guns[name]; !known {
		x.guns[name] = fmt.Sprintf("gun %d", len(x.guns)+1)
	}
	return x.guns[name]
}

func (x *exporter) value(n *source.Node, in casefile.Block) string {
	var parts []string
	switch n.Kind() {
	case source.Map:
		for _, f := range n.Fields() {
			if v, keep := x.field(f, in); keep {
				parts = append(parts, source.Quote(f.Key.Text())+": "+v)
			}
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case source.List:
		for _, item := range n.Items() {
			parts = append(parts, x.value(item, in))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case source.Nothing:
		return ""
	}
	return source.Quote(n.Text())
}

// ExportLog writes the entries of a log again without free words, those among
// them that were taken back, since what they complained of stands. Lines that
// cannot be read are counted; in their place it says so. A log that is not there
// is nil.
func (e *Engine) ExportLog(path string) (out []byte, left int, err error) {
	if _, err := os.Stat(path); err != nil {
		return nil, 0, nil
	}
	f, err := casefile.Read(path)
	if err != nil {
		return nil, 0, err
	}
	log, _ := casefile.ParseLog(f, e.vocabulary())
	var b bytes.Buffer
	for _, x := range log.All() {
		if x.Unread != "" || x.Asked == "" && e.Alarming(x.Note) != "" {
			x.Unread = "not exported"
		}
		x.Note = ""
		line, err := json.Marshal(x)
		if err != nil {
			return nil, 0, fmt.Errorf("%s: %w: entry %d", f.Path, ErrCannotExport, x.ID)
		}
		b.Write(append(line, '\n'))
	}
	if n := len(log.Bad); n > 0 {
		today := e.today.Format(time.DateOnly)
		line, err := json.Marshal(casefile.Entry{Format: casefile.LogFormat, ID: log.Next(), Entered: today, On: today, What: casefile.LogScreen, Unread: fmt.Sprintf("%d lines could not be exported", n)})
		if err != nil {
			return nil, 0, err
		}
		b.Write(append(line, '\n'))
	}
	return b.Bytes(), len(log.Bad), nil
}
