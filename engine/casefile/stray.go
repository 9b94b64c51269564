package casefile

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"rungwise/engine/source"
)

const logEnd = ".log.jsonl"

// Stray looks, for a case that has no log, whether one of the athlete lies in its
// folder under another name: beside a copy of the case, or left behind when the
// file was renamed. The error names it; what was said of the body stands there.
func Stray(casePath, code string) error {
	own, err := LogOf(casePath)
	if err != nil {
		return err
	}
	if info, err := os.Stat(own); err == nil && info.Size() > 0 {
		return nil
	}
	dir := filepath.Dir(own)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil // whoever reads the case says so
	}
	cases := map[string]string{} // by the name of its log
	for _, e := range entries {
		if source.IsYAML(e.Name()) {
			cases[filepath.Base(LogPath(e.Name()))] = e.Name()
		}
	}
	for _, e := range entries {
		name := e.Name()
		if !strings.HasSuffix(name, logEnd) || strings.HasPrefix(name, ".") || name == filepath.Base(own) {
			continue
		}
		beside, owned := cases[name]
		if owned && names(filepath.Join(dir, beside), code) {
			return fmt.Errorf("%s is a file of %s too, and has a log; one athlete has one file", filepath.Join(dir, beside), code)
		}
		if !owned && left(filepath.Join(dir, name), code) {
			return fmt.Errorf("%s lies here without its case; if it is %s's, call it %s, else move it away", filepath.Join(dir, name), code, own)
		}
	}
	return nil
}

// names reports whether a case file is an athlete's.
func names(path, code string) bool {
	f, err := Read(path)
	return err == nil && regexp.MustCompile(`\bcode:\s*["']?`+regexp.QuoteMeta(code)+`\b`).Match(f.Bytes)
}

// left reports whether a log without a case may be an athlete's: it says so, or
// does not say whose it is.
func left(path, code string) bool {
	f, err := Read(path)
	return err != nil || bytes.Contains(f.Bytes, []byte(`"code":"`+code+`"`)) || len(f.Bytes) > 0 && !bytes.Contains(f.Bytes, []byte(`"code":`))
}
