package pages

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/casefile"
)

// Files are the files of one athlete.
type Files struct {
	Paths  []string
	Unread []string // case files among them that cannot be read: they go by their name, or by the code in their text
}

// FilesOf lists every file of an athlete in a folder and its subfolders, by the
// code inside the case and not by the file's name: case, backup, log, their
// locks, what an interrupted write left, and the pages that were made for the
// code, there and in the folders that stand beside the case as those of its
// plans. Nobody else's file is among them.
func FilesOf(code, dir string) (Files, error) {
	paths, err := casefile.Folder(dir)
	if err != nil {
		return Files{}, err
	}
	var out Files
	var folders []string
	for _, path := range paths {
		is, read := isOf(path, code)
		if !is {
			continue
		}
		if !read {
			out.Unread = append(out.Unread, path)
		}
		out.Paths = append(out.Paths, belonging(path)...)
		folders = append(folders, filepath.Dir(path))
		plans, _ := Folders(path) // a list that cannot be read names none
		folders = append(folders, plans...)
	}
	filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error { // what may not be read holds no page that could go
		if err == nil && d.IsDir() {
			folders = append(folders, path)
		}
		return nil
	})
	for _, d := range folders {
		out.Paths = append(out.Paths, written(code, d)...)
		if p := filepath.Join(d, strings.ToLower(code)+".yaml"); !slices.Contains(paths, p) { // its case is gone already
			out.Paths = append(out.Paths, belonging(p)...)
		}
	}
	for i, p := range out.Paths {
		out.Paths[i] = filepath.Clean(p)
	}
	slices.Sort(out.Paths)
	out.Paths = slices.Compact(out.Paths)
	return out, nil
}

// Forget deletes files.
func Forget(paths []string) error {
	for _, p := range paths {
		if err := os.Remove(p); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s could not be deleted, and what stands after it was not tried", p)
		}
	}
	return nil
}

// isOf reports whether a case is an athlete's. One that cannot be read is where
// its name is the code, or its text says so.
func isOf(path, code string) (is, read bool) {
	name := filepath.Base(path)
	named := strings.EqualFold(strings.TrimSuffix(name, filepath.Ext(name)), code)
	f, err := casefile.Read(path)
	if err != nil {
		return named, false
	}
	root, _ := f.YAML()
	if inside := root.Get("athlete").Get("code").Text(); inside != "" {
		return inside == code, true
	}
	said := regexp.MustCompile(`code:[ \t]*["']?` + regexp.QuoteMeta(code) + `(?:[^A-Za-z0-9-]|$)`)
	return named || said.Match(f.Bytes), false
}

// belonging lists a case with its log and its list of plans.
func belonging(path string) []string {
	return slices.Concat(besides(path), besides(casefile.LogPath(path)), besides(List(path)))
}

// besides lists a file that is there, with its backup, lock and unfinished copies.
func besides(path string) []string {
	dir, name := filepath.Split(path)
	var out []string
	for _, p := range []string{path, path + "~", filepath.Join(dir, "."+name+".lock")} {
		if _, err := os.Lstat(p); err == nil {
			out = append(out, p)
		}
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return out
	}
	for _, x := range entries {
		for _, of := range []string{name, name + "~"} {
			if strings.HasPrefix(x.Name(), "."+of+".new-") || strings.HasPrefix(x.Name(), "."+of+".tmp-") {
				out = append(out, filepath.Join(dir, x.Name()))
			}
		}
	}
	return out
}

// written lists the pages that were made for a code in a folder.
func written(code, dir string) []string {
	var out []string
	for _, p := range pagesOf(code) {
		out = append(out, besides(filepath.Join(dir, p.name))...)
	}
	return out
}
