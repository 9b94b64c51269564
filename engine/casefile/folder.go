package casefile

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"rungwise/engine/source"
)

// Folder lists the case files of a folder and its subfolders, in the order of
// their names. Whatever reads a folder of cases reads these.
func Folder(dir string) ([]string, error) { return filesIn(dir, source.IsYAML) }

// Logs lists the logs of a folder and its subfolders.
func Logs(dir string) ([]string, error) {
	return filesIn(dir, func(name string) bool { return strings.HasSuffix(name, logEnd) })
}

// filesIn lists the files of a folder and its subfolders by their names, apart
// from hidden ones and house rules. A subfolder that may not be read hides no other.
func filesIn(dir string, wanted func(name string) bool) ([]string, error) {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() && !wanted(dir) {
		return nil, fmt.Errorf("%s: this is a file; give a folder of case files", dir)
	}
	var out []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		name := filepath.Base(path)
		switch hidden := strings.HasPrefix(name, "."); {
		case err != nil && path == dir:
			return fmt.Errorf("%s: there is no such folder, or it may not be read", dir)
		case err != nil:
		case d.IsDir() && path != dir && (hidden || name == "house"):
			return filepath.SkipDir
		case !d.IsDir() && !hidden && wanted(name):
			out = append(out, path)
		}
		return nil
	})
	return out, err
}
