package compose

import (
	"strconv"
	"strings"

	"rungwise/engine/ladder"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

// ladder writes the ladder with its verdict. Speeds are told in the unit they
// were written in.
func (c composer) ladder() report.Ladder {
	l := c.Facts.Ladder
	v := l.Verdict
	out := report.Ladder{Verdict: v.Kind, Dip: v.Dip, Probability: v.Probability, NoneChance: v.PNone, Rungs: c.rungs(), Advice: []string{},
		Flags: append([]string{}, l.Flags...)}
	if !l.Thrown {
		return out
	}
	out.Advice = c.advice(false)
	if v.Kind != ladder.Stuck && v.Kind != ladder.Range || v.Rung < 0 {
		return out
	}
	out.Rung, out.RungTitle = l.Rungs[v.Rung].Throw.ID, l.Rungs[v.Rung].Throw.Title
	if v.Next >= 0 {
		out.RungTo = l.Rungs[v.Next].Throw.ID
	}
	if v.After >= 0 {
		out.LastGood = l.Rungs[v.After].Throw.ID
	}
	out.Lost = strings.Join(l.Lost, " and ")
	out.LostWords = c.addsWords(l.Lost)
	if almost, known := v.Almost(); known {
		out.Almost = &almost
	}
	if r := v.Rungs[v.Rung]; r.Marks > 0 {
		out.Held = &r.Held
	}
	if r := v.Rungs[v.Rung]; r.N > 0 && r.Ratio > 0 {
		out.GapPercent = &r.Drop
	}
	return out
}

// addsWords says what demands add: "adds the slope and adds the leg lift".
func (c composer) addsWords(demands []string) string {
	var parts []string
	for _, id := range demands {
		if d, ok := c.Base.Demand(id); ok {
			parts = append(parts, d.Adds)
		}
	}
	return strings.Join(parts, " and ")
}

func (c composer) rungs() []report.Rung {
	out := []report.Rung{}
	for i := range c.Facts.Ladder.Rungs {
		out = append(out, c.rung(i))
	}
	return out
}

func (c composer) rung(i int) report.Rung {
	l := c.Facts.Ladder
	r, res := l.Rungs[i], l.Verdict.Rungs[i]
	to := r.Unit
	if to == unit.None {
		to = unit.MPH
	}
	out := report.Rung{Throw: r.Throw.ID, Title: r.Throw.Title, Adds: c.addsWords(r.Adds), N: res.N, Unit: string(to),
		Speeds: []float64{}, Misread: []float64{}, Expected: [2]float64{res.Low, res.High}, PBreak: res.PBreak, ThrowsToAdd: res.ThrowsToAdd}
	for _, s := range r.Speeds {
		out.Speeds = append(out.Speeds, in(s, to))
	}
	for _, s := range res.Misreads {
		out.Misread = append(out.Misread, in(s, to))
	}
	if res.N > 0 {
		mean := in(res.Mean, to)
		out.Mean = &mean
	}
	if res.N > 1 {
		sd := in(res.SD, to)
		out.SD = &sd
	}
	if res.N > 0 && res.Ratio > 0 {
		out.Share = &res.Ratio
	}
	if res.Marks > 0 {
		out.Held = &res.Held
	}
	out.Stuck = (l.Verdict.Kind == ladder.Stuck || l.Verdict.Kind == ladder.Range) && i == l.Verdict.Rung
	return out
}

// in converts miles an hour, to a tenth.
func in(mph float64, to unit.Unit) float64 {
	q, _ := unit.Quantity{Value: mph, Unit: unit.MPH}.In(to)
	return float64(int64(q.Value*10+0.5)) / 10
}

// sureEnough is the chance from which on no throw is spent on being surer.
// Source: house default.
const sureEnough = .95

// advice says where more throws would help, and where they would not. With the
// days of the next throws told beside it, it leaves them out.
func (c composer) advice(days bool) []string {
	l := c.Facts.Ladder
	v := l.Verdict
	out := []string{}
	add := func(id string, pairs ...string) {
		if text := c.Say("advice_"+id, pairs...); text != "" {
			out = append(out, text)
		}
	}
	switch v.Missing {
	case ladder.MissingReference:
		add("reference")
	case ladder.MissingRungs:
		add("rungs")
	}
	if v.Gap && v.After >= 0 && v.Rung >= 0 {
		add("between", "last_good", l.Rungs[v.After].Throw.Title, "rung", l.Rungs[v.Rung].Throw.Title)
	}
	if limits, err := c.limits(); err == nil && len(v.Advice) > 0 {
		if why, barred := limits.Barred(); barred {
			return append(out, why)
		}
	}
	total := 0
	for _, a := range v.Advice {
		values := []string{"n", strconv.Itoa(a.Throws), "throw", l.Rungs[a.Rung].Throw.Title}
		switch {
		case days:
		case v.AdviceNeeded:
			total += a.Throws
			add("more", values...)
		case v.Probability < sureEnough:
			add("surer", values...)
		}
	}
	if v.AdviceNeeded && !v.MoreThrowsCanSettle {
		add("video")
	}
	if v.Kind == ladder.NoneFound {
		holes, beyond := c.untested()
		if holes {
			add("holes")
		}
		add("beyond", "last_good", beyond)
	}
	if text := c.allowed(total); text != "" {
		out = append(out, text)
	}
	return out
}

// untested says what no break found leaves open: whether rungs between the
// thrown ones were left out, which can only hide a break that does not stay, and
// the last thrown rung where others lie beyond it.
func (c composer) untested() (holes bool, beyond string) {
	l := c.Facts.Ladder
	last := 0
	for i, r := range l.Verdict.Rungs {
		if r.Tested {
			holes = holes || i > last+1
			last = i
		}
	}
	if last < len(l.Rungs)-1 {
		beyond = l.Rungs[last].Throw.Title
	}
	return holes, beyond
}
