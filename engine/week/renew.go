package week

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rungwise/engine/report"
	"rungwise/engine/workload"
)

// Changes tells in plain words what is different from the last plan and why:
// what was thrown of it, what the case shows now, which rules and limits moved.
// Done is everything thrown, by day; to is the throw that the log has moved to
// since the newest ladder, "" = none. Where the new record has no plan there is
// nothing to tell.
func Changes(before, now *report.Report, done []workload.Day, to string) []string {
	out := []string{}
	if now.Plan == nil {
		return out
	}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if before.Case != now.Case {
		add("the plan before is another athlete's: nothing is compared")
		return out
	}
	if before.Plan == nil {
		add("there was no plan before: %s", orElse(before.PlanRefused, "none was made"))
		return out
	}
	out = append(out, thrown(before.Plan, now, done)...)
	if to != "" {
		add("the ladder work is at another throw than the one at which it broke, as the weekly decision said: %s", to)
	}
	out = append(out, findings(before, now)...)
	out = append(out, numbers(before, now)...)
	if len(out) == 0 {
		add("nothing: the plan goes on as it was")
	}
	return out
}

// thrown compares what was planned up to the new plan with what was logged.
func thrown(p *report.Plan, now *report.Report, done []workload.Day) []string {
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
		return nil
	}
	out := []string{fmt.Sprintf("of the %s with throws planned up to %s, %d are logged; %d throws were planned and %d are logged. The new plan starts from what was thrown",
		count(days, "day"), last, kept, planned, logged)}
	if missed := days - kept; missed > 0 {
		out = append(out, "missed sessions are not made up for: what was not thrown lowers what the next weeks may hold")
	}
	return out
}

// findings compares what the two records say of the athlete.
func findings(before, now *report.Report) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if a, b := before.Ladder.Rung, now.Ladder.Rung; a != b {
		add("the throw at which it breaks was %s and is %s now", orElse(before.Ladder.RungTitle, "not known"), orElse(now.Ladder.RungTitle, "not known"))
	}
	was, is := focus(before.Plan), focus(now.Plan)
	for _, f := range before.Plan.Focus {
		if !slices.Contains(is, f.Factor) {
			add("no longer worked on: %s%s", f.Title, because(now, f.Factor))
		}
	}
	for _, f := range now.Plan.Focus {
		if !slices.Contains(was, f.Factor) {
			add("new to work on: %s, because %s", f.Title, orElse(lower(f.Why), "it leads now"))
		}
	}
	if len(was) > 1 && len(is) > 1 && was[0] != is[0] && slices.Contains(is, was[0]) {
		add("the order of what is worked on has changed: %s comes first now", now.Plan.Focus[0].Title)
	}
	if before.Plan.Stage != now.Plan.Stage && now.Plan.Stage != "" {
		add("the stage of learning is another: %s", now.Plan.Stage)
	}
	return out
}

func focus(p *report.Plan) []string {
	var out []string
	for _, f := range p.Focus {
		out = append(out, f.Factor)
	}
	return out
}

// because is what became of a factor that is no longer worked on.
func because(now *report.Report, factor string) string {
	for _, f := range now.Factors {
		if f.ID != factor {
			continue
		}
		if f.Role == "consequence" {
			return ", because it most likely follows from something upstream: " + f.OfTitle
		}
		return fmt.Sprintf(", because it stands at place %d now", f.Rank)
	}
	return ", because what was seen no longer points to it"
}

// numbers compares floors, limits and rules.
func numbers(before, now *report.Report) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if a, b := before.Plan.Floor, now.Plan.Floor; a != nil && b != nil && math.Abs(a.Speed-b.Speed) >= .1 {
		add("the floor of the %s was %.1f %s and is %.1f now, from the best sessions since", b.Title, a.Speed, a.Unit, b.Speed)
	}
	if len(before.Plan.Week) > 0 && len(now.Plan.Week) > 0 {
		a, b := before.Plan.Week[0], now.Plan.Week[0]
		if math.Abs(a.Base-b.Base) >= 1 {
			add("the four weeks before held a load of %.0f a week then and %.0f now, so the first week may hold %.0f and not %.0f", a.Base, b.Base, b.Cap, a.Cap)
		}
	}
	for _, l := range now.Plan.Limits {
		i := slices.IndexFunc(before.Plan.Limits, func(x report.Limit) bool { return x.ID == l.ID })
		if i >= 0 && l.ID != workload.WeeklyGrowth && before.Plan.Limits[i].Cap != l.Cap && before.Rules.Hash != now.Rules.Hash {
			add("the limit on %s was %g and is %g now", l.Title, before.Plan.Limits[i].Cap, l.Cap)
		}
	}
	if before.Rules.Hash != now.Rules.Hash {
		add("the rules are others: %s (%s) then, %s (%s) now", before.Rules.Version, before.Rules.Hash, now.Rules.Version, now.Rules.Hash)
	}
	if house(before) != house(now) {
		add("the house rules were %s and are %s now", orElse(house(before), "none"), orElse(house(now), "none"))
	}
	return out
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
