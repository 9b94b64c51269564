package main

import (
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/ruletest"
)

// diffCache is where outcomes of cases are kept below the cache folder.
const diffCache = "diff"

func (a *app) rulesDiff() *cobra.Command {
	var against string
	var fresh bool
	c := onFolder(&cobra.Command{Use: "diff DIR", Args: cobra.ExactArgs(1)})
	c.Flags().StringVar(&against, "against", "base", "")
	declare(c.Flags().BoolVar, map[string]*bool{"fresh": &fresh})
	c.RunE = func(_ *cobra.Command, args []string) error {
		beside := filepath.Join(args[0], "x") // a house may lie beside the cases
		newer, err := a.open(beside)
		if err != nil {
			return err
		}
		older, err := a.older(against, beside)
		if err != nil {
			return err
		}
		o := engine.DiffOptions{Program: build(), Progress: a.bar()}
		if dir := cacheDir(); dir != "" && !fresh {
			o.Cache = filepath.Join(dir, diffCache)
		}
		r, err := engine.DiffRules(older, newer, args[0], o)
		if err != nil {
			return err
		}
		if err := a.show(shown{record: r}); err != nil || !r.Lost() {
			return err
		}
		return seen()
	}
	return a.prints(c, shown{record: ruletest.Result{}})
}

// older opens what the rules in force are compared with.
func (a *app) older(against, casePath string) (*engine.Engine, error) {
	const unfit = ": these rules have faults, so nothing can be compared with them"
	today, err := a.today()
	if err != nil {
		return nil, err
	}
	if against == "base" {
		e, ds := engine.Open(engine.Options{Trade: a.trade, Today: today})
		return told(a, e, ds, "the embedded rules"+unfit)
	}
	rev, isGit := strings.CutPrefix(against, "git:")
	if !isGit {
		rules, path, err := folder(against, "rules")
		if err != nil {
			return nil, err
		}
		e, ds := engine.OpenFolder(a.trade, rules, path, today)
		return told(a, e, ds, against+unfit)
	}
	house, path, err := a.houseFS(casePath)
	if err != nil {
		return nil, err
	}
	if house == nil {
		return nil, mistake("a git revision is one of house rules: give their folder with --house")
	}
	before, err := engine.AtRevision(path, rev)
	if err != nil {
		return nil, err
	}
	e, ds := engine.OpenFolder(a.trade, before, path+"@"+rev, today)
	return told(a, e, ds, "the house rules of that revision"+unfit)
}
