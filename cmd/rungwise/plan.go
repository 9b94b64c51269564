package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
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
		if o.Phase == "" {
			o.Phase = e.Phase(k)
		}
		r, err := e.Plan(k, o)
		if err != nil {
			return err
		}
		if err := a.since(e, k, r, f.since); err != nil {
			return err
		}
		return a.planOut(e, r, f)
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

// planOut shows a plan and writes its files.
func (a *app) planOut(e *engine.Engine, r *report.Report, f planFlags) error {
	o := a.options(e)
	words := render.Plan(r, o)
	if f.coach {
		words = render.CoachPlan(r, o)
	}
	if err := a.show(r, words); err != nil {
		return err
	}
	if f.out != "" {
		files, order, err := pages(r, o, f.as)
		if err != nil {
			return err
		}
		if err := a.write(f.out, files, order); err != nil {
			return err
		}
	}
	return verdict(r)
}

// pages renders the files that --as names: the athlete's page and, apart from
// it, the coach's.
func pages(r *report.Report, o render.Options, as string) (map[string][]byte, []string, error) {
	files := map[string][]byte{}
	var order []string
	add := func(name string, data []byte) {
		files[name] = data
		order = append(order, name)
	}
	base := strings.ToLower(r.Case)
	o.Width = 100
	for _, kind := range strings.Split(as, ",") {
		switch strings.TrimSpace(kind) {
		case "md":
			add(base+"-plan.md", []byte(render.Plan(r, o)))
			add(base+"-coach.md", []byte(render.CoachPlan(r, o)))
		case "html":
			for _, page := range []struct{ kind, name string }{{render.AthletePage, "plan"}, {render.CoachPage, "coach"}} {
				o.Page = page.kind
				data, err := render.HTML(r, o)
				if err != nil {
					return nil, nil, err
				}
				add(base+"-"+page.name+".html", data)
			}
		case "ics":
			data, err := render.Calendar(r)
			if err != nil {
				return nil, nil, err
			}
			if data != nil {
				add(base+"-plan.ics", data)
			}
		case "json":
			var b strings.Builder
			if err := render.JSON(&b, r); err != nil {
				return nil, nil, err
			}
			add(base+"-plan.json", []byte(b.String()))
		default:
			return nil, nil, status{usage, fmt.Errorf("--as takes md, html, ics or json, not %q", kind)}
		}
	}
	return files, order, nil
}
