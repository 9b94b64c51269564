package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/pages"
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
		paths, err := engine.CasesIn(args[0])
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

// exportOne writes one case and its log under the athlete's code: the file's own
// name may be a person's.
func (a *app) exportOne(e *engine.Engine, path, out string) error {
	x, err := e.ExportCase(path)
	if err != nil {
		return err
	}
	a.remember(e, x.Case, path) // what the file says of the body goes along
	log, left, err := e.ExportLog(x.Case.Log.Path)
	if err != nil {
		return err
	}
	if left > 0 {
		a.say("%s: %d lines could not be read and are left out", x.Case.Log.Path, left)
	}
	files := []file{{x.Name, x.Data}}
	if log != nil {
		files = append(files, file{casefile.LogPath(x.Name), log})
	}
	return a.write(out, files...)
}

func (a *app) forgetCommand() *cobra.Command {
	c := &cobra.Command{Use: "forget CODE DIR", Args: cobra.ExactArgs(2)}
	sure := c.Flags().Bool("yes", false, "")
	c.RunE = func(_ *cobra.Command, args []string) error {
		files, err := pages.FilesOf(args[0], args[1])
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
	}
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
	if err := pages.Forget(paths); err != nil {
		return err
	}
	if dir := cacheDir(); dir != "" {
		if err := engine.ForgetKept(dir); err != nil {
			return fmt.Errorf("what the roster and \"rules diff\" kept below %s could not be deleted", dir)
		}
	}
	a.say("deleted %d files of %s; copies elsewhere (a synced folder, a mail, a printout) are yours to delete", len(paths), code)
	return nil
}
