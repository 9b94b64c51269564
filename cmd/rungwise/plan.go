package main

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/pages"
	"rungwise/engine/plan"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/rule"
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
	c := onCase(&cobra.Command{Use: "plan FILE"})
	f.bind(c)
	c.Args = func(c *cobra.Command, args []string) error {
		if f.out == "" { // else --as names the kinds of pages
			a.as = cmp.Or(a.as, f.as)
		}
		return cobra.ExactArgs(1)(c, args)
	}
	c.RunE = a.withCase(func(e *engine.Engine, k *casefile.Case, args []string) error {
		o, err := f.options()
		if err != nil {
			return err
		}
		if today := e.Today().Format(time.DateOnly); f.start != "" && f.start < today {
			return mistake("--start %s lies before today, %s: days gone by cannot be planned", f.start, today)
		}
		r, err := e.Plan(k, o)
		if err != nil {
			return err
		}
		if f.since != "" {
			earlier, err := casefile.Read(f.since)
			if err != nil {
				return err
			}
			if err := e.Since(r, k, earlier); err != nil {
				return err
			}
		}
		return a.planOut(e, k, args[0], r, f)
	})
	return a.prints(c, shown{record: (*report.Report)(nil), words: "-"})
}

func (f *planFlags) bind(c *cobra.Command) {
	fl := c.Flags()
	declare(fl.IntVar, map[string]*int{"weeks": &f.weeks})
	declare(fl.StringVar, map[string]*string{
		"start": &f.start, "days": &f.days, "mound": &f.mound, "phase": &f.phase, "since": &f.since,
		"out": &f.out, "as": &f.as,
	})
	declare(fl.BoolVar, map[string]*bool{"coach": &f.coach})
}

// options reads the wishes; every fault is a usage error.
func (f *planFlags) options() (o engine.PlanOptions, err error) {
	o = engine.PlanOptions{Weeks: f.weeks, Phase: plan.Phase(f.phase)}
	if f.weeks < 0 || f.weeks > 8 {
		return o, mistake("--weeks takes 1 to 8, not %d", f.weeks)
	}
	if !slices.Contains([]plan.Phase{"", plan.VelocityBlock, plan.MoundPhase, plan.InSeason, plan.TimeOff}, o.Phase) {
		return o, mistake("--phase takes velocity, mound, season or time_off, not %q", f.phase)
	}
	if err := dayFlag("start", f.start, "2026-11-16", &o.Start); err != nil {
		return o, err
	}
	if o.Train, err = weekdays("--days", f.days); err != nil {
		return o, err
	}
	o.Mound, err = weekdays("--mound", f.mound)
	return o, err
}

func weekdays(flag, list string) (out []time.Weekday, err error) {
	for _, name := range strings.FieldsFunc(list, func(c rune) bool { return c == ',' }) {
		d, ok := casefile.Weekday(strings.ToLower(strings.TrimSpace(name)))
		if !ok {
			return nil, mistake("%s takes days such as mon,wed,fri, not %q", flag, name)
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
	if err := a.show(shown{record: r, words: words}); err != nil {
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

// pageKinds are written where nobody says otherwise.
func pageKinds() []string { return pages.Kinds()[:3] }

// kinds are the kinds of pages that --as names.
func (f *planFlags) kinds() (out []string, err error) {
	if f.out == "" {
		return nil, nil
	}
	for _, kind := range strings.Split(cmp.Or(f.as, strings.Join(pageKinds(), ",")), ",") {
		if kind = strings.TrimSpace(kind); !slices.Contains(pages.Kinds(), kind) {
			return nil, mistake("--as takes md, html, ics or json, not %q", kind)
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
			return err
		}
	}
	return a.paged(pages.Of(k, r, a.options(e)).Write(dir, kinds))
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
	return a.paged(pages.Of(k, r, a.options(e)).Withdraw(path))
}

// paged says what became of each page.
func (a *app) paged(lines []string, err error) error {
	for _, l := range lines {
		a.say("%s", l)
	}
	return err
}

// options says how a record is put into words on this run.
func (a *app) options(e *engine.Engine) render.Options {
	return render.Options{Width: a.columns(), Words: e.Sentence}
}

// verdict is how a run ends: a case that is referred, or that lacks the safety
// answers, needs attention.
func verdict(r *report.Report) error {
	if v := r.Gate.Verdict; v == rule.Refer || v == rule.NotEnough {
		return seen()
	}
	return nil
}
