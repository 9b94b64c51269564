package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"rungwise/engine/casefile"
)

// file is what is to be written under a name.
type file struct {
	name string
	data []byte
}

// write puts files into a folder. It replaces none that is there unless it holds
// the same bytes.
func (a *app) write(dir string, files ...file) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("%s: the folder could not be made", dir)
	}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		err := casefile.Create(path, f.data)
		if errors.Is(err, casefile.ErrExists) {
			if old, read := os.ReadFile(path); read != nil || string(old) != string(f.data) {
				return fmt.Errorf("%s is there already and says something else: move it away, or choose another folder with --out", path)
			}
			err = nil
		}
		if err != nil {
			return err
		}
		a.say("wrote %s", path)
	}
	return nil
}

// cacheDir is where results may be kept, "" where the system names no place.
func cacheDir() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "rungwise")
}
