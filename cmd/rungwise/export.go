package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
)

func (a *app) exportCommand() *cobra.Command {
	var out string
	c := &cobra.Command{Use: "export FILE|DIR --out DIR", Args: cobra.ExactArgs(1)}
	declare(c.Flags().StringVar, map[string]*string{"out": &out})
	c.RunE = func(_ *cobra.Command, args []string) error {
		if out == "" {
			return mistake("say with --out where to write")
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		paths, err := casesIn(args[0])
		if err != nil {
			return err
		}
		bad := 0
		for _, path := range paths {
			if err := a.exportOne(e, path, out); err != nil {
				a.say("%s", err)
				bad++
			}
		}
		if bad > 0 {
			return halted("%d of %d not exported", bad, len(paths))
		}
		return nil
	}
	return c
}

// casesIn is a file, or the case files of a folder.
func casesIn(path string) ([]string, error) {
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file or folder", path)
	case err != nil:
		return nil, fmt.Errorf("%s: it may not be read", path)
	case !info.IsDir():
		return []string{path}, nil
	}
	return engine.CaseFiles(path)
}

// exportOne writes one case and its log under the athlete's code: the file's own
// name may be a person's.
func (a *app) exportOne(e *engine.Engine, path, out string) error {
	f, err := casefile.Read(path)
	if err != nil {
		return err
	}
	data, err := e.Export(f)
	if err != nil {
		return err
	}
	c, _ := e.Case(f) // it was read a moment ago
	name := strings.ToLower(c.Code) + ".yaml"
	files := []file{{name, data}}
	if _, err := e.ReadLog(c, path); err != nil {
		return err
	}
	a.remember(e, c, path) // what the file says of the body goes along
	if _, err := os.Stat(c.Log.Path); err == nil {
		l, err := casefile.Read(c.Log.Path)
		if err != nil {
			return err
		}
		entries, left, err := e.ExportLog(l)
		if err != nil {
			return err
		}
		if left > 0 {
			a.say("%s: %d lines could not be read and are left out", c.Log.Path, left)
		}
		files = append(files, file{casefile.LogPath(name), entries})
	}
	return a.write(out, files...)
}

func (a *app) forgetCommand() *cobra.Command {
	c := &cobra.Command{Use: "forget CODE DIR", Args: cobra.ExactArgs(2)}
	sure := c.Flags().Bool("yes", false, "")
	c.RunE = a.withRules(func(e *engine.Engine, args []string) error {
		files, err := e.FilesOf(args[0], args[1])
		if err != nil {
			return err
		}
		if len(files.Paths) == 0 {
			return fmt.Errorf("no file of %s in %s", args[0], args[1])
		}
		for _, p := range files.Unread {
			a.say("%s cannot be read; by its name, or the code in its text, it is of %s", p, args[0])
		}
		return a.forget(args[0], files.Paths, *sure)
	})
	return c
}

// forget shows what goes, has it confirmed, and deletes it.
func (a *app) forget(code string, paths []string, sure bool) error {
	for _, p := range paths {
		a.say("%s", p)
	}
	if !sure {
		typed, err := a.prompter().Line(fmt.Sprintf("These files go, and nothing brings them back. Type %s to delete them:", code), true)
		if err != nil || typed != code {
			return halted("nothing was deleted")
		}
	}
	for _, p := range paths {
		if err := os.Remove(p); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s could not be deleted, and what stands after it was not tried", p)
		}
	}
	if dir := cacheDir(); dir != "" {
		if err := errors.Join(engine.ForgetRoster(dir), os.RemoveAll(filepath.Join(dir, diffCache))); err != nil {
			return fmt.Errorf("what the roster and \"rules diff\" kept below %s could not be deleted", dir)
		}
	}
	a.say("deleted %d files of %s; copies elsewhere (a synced folder, a mail, a printout) are yours to delete", len(paths), code)
	return nil
}
