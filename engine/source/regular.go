package source

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// Unreadable tells why a file is not read, and what to do.
type Unreadable struct {
	Path string
	Why  string // in plain words: "this is a pipe and no file"
	Help string
}

// Error tells all of it in a line.
func (u *Unreadable) Error() string { return u.Path + ": " + u.Why + "; " + u.Help }

// Readable refuses what is no file, since to open it could wait for ever, and a
// file that is larger than any of its kind. Path is what messages call it.
func Readable(path string, info fs.FileInfo) error {
	what := "a device"
	switch m := info.Mode(); {
	case m.IsRegular() && info.Size() > MostBytes:
		return &Unreadable{path, fmt.Sprintf("the file is %.1f MB, and none over %d MB is read", float64(info.Size())/(1<<20), MostBytes>>20), "split it, or take out what does not belong"}
	case m.IsRegular():
		return nil
	case m.IsDir():
		what = "a folder"
	case m&fs.ModeNamedPipe != 0:
		what = "a pipe"
	case m&fs.ModeSocket != 0:
		what = "a socket"
	}
	return &Unreadable{path, "this is " + what + " and no file", "take it away, or give it another name"}
}

// IsYAML reports whether a file of this name is read as YAML.
func IsYAML(name string) bool { ext := path.Ext(name); return ext == ".yaml" || ext == ".yml" }

// AlmostYAML reports whether a name looks as if a YAML file was meant, and is not
// read as one. Copies that editors and --fix leave beside a file are not meant.
func AlmostYAML(name string) bool {
	base := strings.ToLower(path.Base(name))
	if IsYAML(name) || strings.HasPrefix(base, ".") || strings.HasSuffix(base, "~") || strings.HasSuffix(base, "#") {
		return false
	}
	return strings.Contains(base, ".yaml") || strings.Contains(base, ".yml") || path.Ext(base) == ".yam" || path.Ext(base) == ".ymal"
}
