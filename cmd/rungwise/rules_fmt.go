package main

import (
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/source"
)

func (a *app) rulesFmt() *cobra.Command {
	c := &cobra.Command{
		Use:   "fmt PATH...",
		Short: "set the spacing of rule files; comments stay and so does what the files say",
		Example: "  rungwise rules fmt house\n" +
			"  rungwise rules fmt --list house/club.yaml",
		Args: cobra.MinimumNArgs(1),
	}
	list := c.Flags().Bool("list", false, "write nothing; list the files that would be set otherwise, and end with 1 where there are any")
	c.RunE = func(_ *cobra.Command, args []string) error {
		paths, err := ruleFiles(args)
		if err != nil {
			return err
		}
		return a.format(paths, *list)
	}
	return c
}

// ruleFiles lists the files named and those of the folders named.
func ruleFiles(args []string) ([]string, error) {
	var out []string
	for _, arg := range args {
		err := filepath.WalkDir(arg, func(p string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() && (p == arg || source.IsYAML(p)) {
				out = append(out, p)
			}
			return err
		})
		if err != nil {
			return nil, status{failed, fmt.Errorf("%s: could not be read", arg)}
		}
	}
	return out, nil
}

func (a *app) format(paths []string, list bool) error {
	var bad bool
	for _, p := range paths {
		f, err := casefile.Read(p)
		if err != nil {
			return status{failed, err}
		}
		set, ds, err := engine.FormatRules(f)
		if err != nil {
			return status{failed, err}
		}
		if ds.Errors() > 0 {
			bad = true
			if err := ds.Write(a.err); err != nil {
				return status{failed, err}
			}
			continue
		}
		if set == nil || string(set) == string(f.Bytes) {
			continue
		}
		fmt.Fprintln(a.out, p)
		bad = bad || list
		if !list {
			if err := casefile.Replace(f, set); err != nil {
				return status{failed, err}
			}
		}
	}
	if bad {
		return status{attention, nil}
	}
	return nil
}
