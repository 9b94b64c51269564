package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/pages"
	"rungwise/engine/plan"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

// planFlags are the wishes for a plan as they were typed.
type planFlags struct {
	start, days, mound, phase string
	weeks                     int
	since                     string
	out, as                   string
	coach                     bool
}

func (a *app) planCommand() *cobra.Command {
	var f planFlags
	c := &cobra.Command{
		Use:   "plan FILE",
		Short: "the written plan, within safe limits",
		Example: "  rungwise plan sm-04.yaml\n" +
			"  rungwise plan sm-04.yaml --weeks 2 --days mon,wed,fri --mound wed\n" +
			"  rungwise plan sm-04.yaml --out plans --as md,html,ics",
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: caseFiles,
	}
	f.bind(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, k, err := a.readCase(args[0])
		if err != nil {
			return err
		}
		o, err := f.options()
		if err != nil {
			return err
		}
		if today := e.Today().Format(time.DateOnly); f.start != "" && f.start < today {
			return status{usage, fmt.Errorf("--start %s lies before today, %s: days gone by cannot be planned", f.start, today)}
		}
		r, err := e.Plan(k, o)
		if errors.Is(err, engine.ErrTooFarAhead) {
			return status{usage, err}
		}
		if err != nil {
			return err
		}
		if err := a.since(e, k, r, f.since); err != nil {
			return err
		}
		return a.planOut(e, k, args[0], r, f)
	}
	return c
}

func (f *planFlags) bind(c *cobra.Command) {
	fl := c.Flags()
	fl.IntVar(&f.weeks, "weeks", 0, "how many weeks, 1 to 8 (else 3)")
	fl.StringVar(&f.start, "start", "", "first day, such as 2026-11-16 (else the next training day)")
	fl.StringVar(&f.days, "days", "", "training days, such as mon,wed,fri")
	fl.StringVar(&f.mound, "mound", "", "those of them on which the mound is free")
	fl.StringVar(&f.phase, "phase", "", "velocity, mound, season or time_off")
	fl.StringVar(&f.since, "since", "", "the last plan's record (--json): tells what has changed since, and why")
	fl.StringVar(&f.out, "out", "", "folder to write the pages to")
	fl.StringVar(&f.as, "as", "md,html,ics", "what to write with --out: md, html, ics, json")
	fl.BoolVar(&f.coach, "coach", false, "the coach's page: reasons, chances, load and limits")
}

// options reads the wishes; every fault is a usage error.
func (f *planFlags) options() (engine.PlanOptions, error) {
	o := engine.PlanOptions{Weeks: f.weeks, Phase: plan.Phase(f.phase)}
	if f.weeks < 0 || f.weeks > 8 {
		return o, status{usage, fmt.Errorf("--weeks takes 1 to 8, not %d", f.weeks)}
	}
	switch o.Phase {
	case "", plan.VelocityBlock, plan.MoundPhase, plan.InSeason, plan.TimeOff:
	default:
		return o, status{usage, fmt.Errorf("--phase takes velocity, mound, season or time_off, not %q", f.phase)}
	}
	var err error
	if f.start != "" {
		if o.Start, err = time.Parse(time.DateOnly, f.start); err != nil {
			return o, status{usage, fmt.Errorf("--start takes a day such as 2026-11-16, not %q", f.start)}
		}
	}
	if o.Train, err = weekdays("--days", f.days); err != nil {
		return o, err
	}
	o.Mound, err = weekdays("--mound", f.mound)
	return o, err
}

func weekdays(flag, list string) ([]time.Weekday, error) {
	if list == "" {
		return nil, nil
	}
	var out []time.Weekday
	for _, name := range strings.Split(list, ",") {
		d, ok := casefile.Weekday(strings.ToLower(strings.TrimSpace(name)))
		if !ok {
			return nil, status{usage, fmt.Errorf("%s takes days such as mon,wed,fri, not %q", flag, name)}
		}
		out = append(out, d)
	}
	return out, nil
}

// planOut shows a plan and writes its pages. A refusal replaces the pages that
// were written before, wherever they lie.
func (a *app) planOut(e *engine.Engine, k *casefile.Case, path string, r *report.Report, f planFlags) error {
	o := a.options(e)
	words := render.Plan(r, o)
	if f.coach {
		words = render.CoachPlan(r, o)
	}
	kinds, err := f.kinds()
	if err != nil {
		return err
	}
	if err := a.show(r, words); err != nil {
		return err
	}
	if f.out != "" {
		if err := a.writePages(e, k, path, r, f.out, kinds); err != nil {
			return err
		}
	}
	ended := verdict(r)
	if ended != nil && path != "-" {
		if err := a.withdraw(e, k, path, r); err != nil {
			return err
		}
	}
	return ended
}

// kinds reads --as.
func (f *planFlags) kinds() ([]string, error) {
	var out []string
	for _, kind := range strings.Split(f.as, ",") {
		if kind = strings.TrimSpace(kind); !slices.Contains(pages.Kinds(), kind) {
			return nil, status{usage, fmt.Errorf("--as takes md, html, ics or json, not %q", kind)}
		}
		out = append(out, kind)
	}
	return out, nil
}

// writePages writes the pages of a record into a folder and remembers it beside
// the case, before anything is in it.
func (a *app) writePages(e *engine.Engine, k *casefile.Case, path string, r *report.Report, dir string, kinds []string) error {
	if path != "-" {
		if err := pages.Remember(path, dir); err != nil {
			return status{failed, err}
		}
	}
	return a.told(a.job(e, k, r).Write(dir, kinds))
}

// withdrawn takes the pages of a case back where nothing may be said about
// throwing any more. Whoever puts a complaint on the record calls it.
func (a *app) withdrawn(e *engine.Engine, k *casefile.Case, path string) error {
	if _, silent, err := e.Silent(k); err != nil || !silent {
		return err
	}
	r, err := e.Plan(k, engine.PlanOptions{})
	if err != nil {
		return err
	}
	return a.withdraw(e, k, path, r)
}

// withdraw writes a refusal over every page of a case that was written before,
// in every folder that is remembered.
func (a *app) withdraw(e *engine.Engine, k *casefile.Case, path string, r *report.Report) error {
	return a.told(a.job(e, k, r).Withdraw(path))
}

func (a *app) job(e *engine.Engine, k *casefile.Case, r *report.Report) pages.Job {
	parts := [][]byte{k.File.Bytes, []byte(r.On), []byte(r.Rules.Hash)}
	if k.Log != nil {
		if log, err := json.Marshal(k.Log.Entries); err == nil {
			parts = append(parts, log)
		}
	}
	return pages.Job{Report: r, Options: a.options(e), From: pages.From(parts...)}
}

// told says what became of each page.
func (a *app) told(lines []string, err error) error {
	for _, l := range lines {
		fmt.Fprintln(a.err, diag.Clean(l))
	}
	if err != nil {
		return status{failed, err}
	}
	return nil
}
