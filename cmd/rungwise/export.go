package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/pages"
)

func (a *app) exportCommand() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:     "export FILE|DIR --out DIR",
		Short:   "cases and logs without names, notes and names of clips",
		Example: "  rungwise export sm-04.yaml --out shared\n  rungwise export athletes --out shared",
		Args:    cobra.ExactArgs(1),
	}
	c.Flags().StringVar(&out, "out", "", "folder to write to")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if out == "" {
			return status{usage, errors.New("say with --out where to write")}
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		paths, err := casesIn(args[0])
		if err != nil {
			return status{failed, err}
		}
		bad := 0
		for _, path := range paths {
			if err := a.exportOne(e, path, out); err != nil {
				fmt.Fprintf(a.err, "%s\n", err)
				bad++
			}
		}
		if bad > 0 {
			return status{attention, fmt.Errorf("%d of %d not exported", bad, len(paths))}
		}
		return nil
	}
	return c
}

// casesIn is a file, or the case files of a folder.
func casesIn(path string) ([]string, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file or folder", path)
	case err != nil:
		return nil, fmt.Errorf("%s: it may not be read", path)
	case !info.IsDir():
		return []string{path}, nil
	}
	return casefile.Folder(path)
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
	files, order := map[string][]byte{name: data}, []string{name}
	if _, err := e.ReadLog(c, path); err != nil {
		return err
	}
	a.remember(e, c, path) // what the file says of the body goes along
	logPath := c.Log.Path
	if _, err := os.Stat(logPath); err == nil {
		l, err := casefile.Read(logPath)
		if err != nil {
			return err
		}
		entries, left, err := e.ExportLog(l)
		if err != nil {
			return err
		}
		if left > 0 {
			fmt.Fprintf(a.err, "%s: %d lines could not be read and are left out\n", logPath, left)
		}
		files[casefile.LogPath(name)] = entries
		order = append(order, casefile.LogPath(name))
	}
	return a.write(out, files, order)
}

func (a *app) forgetCommand() *cobra.Command {
	var yes bool
	c := &cobra.Command{
		Use:     "forget CODE DIR",
		Short:   "delete an athlete's files: case, log, backup and pages",
		Example: "  rungwise forget SM-04 athletes",
		Args:    cobra.ExactArgs(2),
	}
	c.Flags().BoolVar(&yes, "yes", false, "do not ask")
	c.RunE = func(_ *cobra.Command, args []string) error {
		files, err := pages.FilesOf(args[0], args[1])
		if err != nil {
			return status{failed, err}
		}
		if len(files.Paths) == 0 {
			return status{failed, fmt.Errorf("no file of %s in %s", args[0], args[1])}
		}
		for _, p := range files.Unread {
			fmt.Fprintf(a.err, "%s cannot be read; by its name, or the code in its text, it is of %s\n", diag.Clean(p), args[0])
		}
		return a.forget(args[0], files.Paths, yes)
	}
	return c
}

// forget shows what goes, has it confirmed, and deletes it.
func (a *app) forget(code string, paths []string, yes bool) error {
	for _, p := range paths {
		fmt.Fprintf(a.err, "%s\n", diag.Clean(p))
	}
	if !yes {
		fmt.Fprintf(a.err, "These files go, and nothing brings them back. Type %s to delete them: ", code)
		lines := bufio.NewScanner(a.in)
		typed := ""
		if lines.Scan() {
			typed = strings.TrimSpace(lines.Text())
		}
		fmt.Fprintln(a.err)
		if typed != code {
			return status{attention, errors.New("nothing was deleted")}
		}
	}
	for _, p := range paths {
		if err := os.Remove(p); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return status{failed, fmt.Errorf("%s could not be deleted, and what stands after it was not tried", p)}
		}
	}
	if dir := cacheDir(); dir != "" {
		if err := engine.ForgetKept(dir); err != nil {
			return status{failed, fmt.Errorf("what the roster and \"rules diff\" kept below %s could not be deleted", dir)}
		}
	}
	fmt.Fprintf(a.err, "deleted %d files of %s; copies elsewhere (a synced folder, a mail, a printout) are yours to delete\n", len(paths), code)
	return nil
}
