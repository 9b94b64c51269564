package week

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
	"rungwise/engine/workload"
)

// changed collects what is different, in sentences of the rule base.
type changed struct {
	words report.Words
	out   []string
}

func (c *changed) add(id string, pairs ...string) {
	if text := c.words.Say("changed_"+id, pairs...); text != "" {
		c.out = append(c.out, text)
	}
}

// Changes tells in plain words what is different from the last plan and why:
// what was thrown of it, what the case shows now, which rules and limits moved.
// Done is everything thrown, by day; to is the throw that the log has moved to
// since the newest ladder, "" = none. Where the new record has no plan there is
// nothing to tell.
func Changes(words report.Words, before, now *report.Report, done []workload.Day, to string) []string {
	c := &changed{words: words, out: []string{}}
	switch {
	case now.Plan == nil:
		return c.out
	case before.Case != now.Case:
		c.add("other_athlete")
		return c.out
	case before.Plan == nil:
		c.add("no_plan", "why", orElse(before.PlanRefused, "none was made"))
		return c.out
	}
	c.thrown(before.Plan, now, done)
	c.add("moved", "throw", to)
	c.findings(before, now)
	c.numbers(before, now)
	if len(c.out) == 0 {
		c.add("nothing")
	}
	return c.out
}

// thrown compares what was planned up to the new plan with what was logged.
func (c *changed) thrown(p *report.Plan, now *report.Report, done []workload.Day) {
	byDay := map[string]int{}
	for _, d := range done {
		byDay[d.On.String()] += d.Throws()
	}
	planned, days, kept, logged := 0, 0, 0, 0
	last := ""
	for _, s := range p.Sessions {
		if s.Date >= now.Plan.Start || s.Date > now.On {
			break
		}
		if s.Throws > 0 && s.Kind != "game" {
			planned, days = planned+s.Throws, days+1
			if byDay[s.Date] > 0 {
				kept++
			}
		}
		logged, last = logged+byDay[s.Date], s.Date
	}
	if last == "" || days == 0 {
		return
	}
	c.add("thrown", "n", count(days, "day"), "date", last, "held", strconv.Itoa(kept), "planned", strconv.Itoa(planned), "of", strconv.Itoa(logged))
	if kept < days {
		c.add("missed")
	}
}

// findings compares what the two records say of the athlete.
func (c *changed) findings(before, now *report.Report) {
	if before.Ladder.Rung != now.Ladder.Rung {
		c.add("rung", "throw", orElse(before.Ladder.RungTitle, "not known"), "rung", orElse(now.Ladder.RungTitle, "not known"))
	}
	was, is := focus(before.Plan), focus(now.Plan)
	for _, f := range before.Plan.Focus {
		if !slices.Contains(is, f.Factor) {
			c.dropped(f, now)
		}
	}
	for _, f := range now.Plan.Focus {
		if !slices.Contains(was, f.Factor) {
			c.add("new_factor", "factor", f.Title, "why", orElse(lower(f.Why), "it leads now"))
		}
	}
	if len(was) > 1 && len(is) > 1 && was[0] != is[0] && slices.Contains(is, was[0]) {
		c.add("order", "factor", now.Plan.Focus[0].Title)
	}
	if before.Plan.Stage != now.Plan.Stage {
		c.add("stage", "now", now.Plan.Stage)
	}
}

func focus(p *report.Plan) []string {
	var out []string
	for _, f := range p.Focus {
		out = append(out, f.Factor)
	}
	return out
}

// dropped tells what became of a factor that is no longer worked on.
func (c *changed) dropped(f report.Focus, now *report.Report) {
	i := slices.IndexFunc(now.Factors, func(x report.Factor) bool { return x.ID == f.Factor })
	switch {
	case i < 0:
		c.add("factor_gone", "factor", f.Title)
	case now.Factors[i].Role == "consequence":
		c.add("factor_follows", "factor", f.Title, "upstream", now.Factors[i].OfTitle)
	default:
		c.add("factor_later", "factor", f.Title, "n", strconv.Itoa(now.Factors[i].Rank))
	}
}

// numbers compares floors, limits and rules.
func (c *changed) numbers(before, now *report.Report) {
	if a, b := before.Plan.Floor, now.Plan.Floor; a != nil && b != nil && math.Abs(a.Speed-b.Speed) >= .1 {
		c.add("floor", "reference", b.Title, "floor", number(a.Speed, 1), "unit", a.Unit, "now", number(b.Speed, 1))
	}
	if len(before.Plan.Week) > 0 && len(now.Plan.Week) > 0 {
		if a, b := before.Plan.Week[0], now.Plan.Week[0]; math.Abs(a.Base-b.Base) >= 1 {
			c.add("base", "base", number(a.Base, 0), "now", number(b.Base, 0), "cap", number(b.Cap, 0), "other", number(a.Cap, 0))
		}
	}
	for _, l := range now.Plan.Limits {
		i := slices.IndexFunc(before.Plan.Limits, func(x report.Limit) bool { return x.ID == l.ID })
		if i >= 0 && l.ID != workload.WeeklyGrowth && before.Plan.Limits[i].Cap != l.Cap && before.Rules.Hash != now.Rules.Hash {
			c.add("limit", "limit", l.Title, "cap", fmt.Sprint(before.Plan.Limits[i].Cap), "now", fmt.Sprint(l.Cap))
		}
	}
	if a, b := before.Rules, now.Rules; a.Hash != b.Hash {
		c.add("rules", "version", a.Version, "hash", a.Hash, "now", b.Version, "other", b.Hash)
	}
	if a, b := house(before), house(now); a != b {
		c.add("house", "house", orElse(a, "none"), "now", orElse(b, "none"))
	}
}

func house(r *report.Report) string {
	if r.Rules.House == nil {
		return ""
	}
	return *r.Rules.House
}

func orElse(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}

// lower makes a sentence into the end of one.
func lower(s string) string {
	s = strings.TrimSuffix(strings.TrimSpace(s), ".")
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToLower(string(r[:1])) + string(r[1:])
}
