package week

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/compose"
	"rungwise/engine/observe"
	"rungwise/engine/progress"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// Row is one athlete in a line of the roster. Of one who must not throw it says
// so and nothing else.
func Row(f compose.Findings) (*report.RosterRow, error) {
	w, err := Make(f)
	if err != nil {
		return nil, err
	}
	c := f.Case
	row := &report.RosterRow{Case: c.Code, Gate: rule.GoOn, Cautions: []string{}, Spark: []float64{}, SparkAt: -1, BadLines: len(c.Log.Bad)}
	if g := f.Triage.Gate; g != nil {
		row.Gate = g.Verdict
	}
	if n := len(c.Log.Entries); n > 0 {
		row.LastLog = c.Log.Entries[n-1].On
	}
	row.Urgency, row.Attention = attention(f, w)
	if w.Decision == stopped || w.Decision == NotAsked {
		return row, nil
	}
	row.Due, row.DueNow = w.Due.Next, w.Due.Now
	for _, k := range f.Triage.Cautions {
		if k.Level != rule.Note && k.When != nil { // what is said of everybody tells nobody apart
			row.Cautions = append(row.Cautions, k.ID)
		}
	}
	if fs := f.Triage.Factors; len(fs) > 0 {
		row.Factor, row.FactorIs = fs[0].Factor.ID, fs[0].Factor.Title
	}
	row.Week, row.Base = w.Load.Throws, w.Load.BaseThrows
	if s := f.Facts.Load.Recent; s.GrowthKnown {
		row.Growth = &s.Growth
	}
	spark(row, f.Facts)
	return row, nil
}

const stopped = string(progress.Stop)

// spark draws the ladder in percent of the reference.
func spark(row *report.RosterRow, facts *observe.Facts) {
	l := facts.Ladder
	for _, r := range l.Verdict.Rungs {
		v := 0.0
		if r.N > 0 && r.Ratio > 0 {
			v = float64(int(1000*r.Ratio+.5)) / 10
		}
		row.Spark = append(row.Spark, v)
	}
	if at := l.Verdict.Rung; l.Thrown && at > 0 && at < len(l.Rungs) {
		row.SparkAt, row.Rung, row.RungName = at, l.Rungs[at].Throw.ID, l.Rungs[at].Throw.Title
	}
}

// attention says how soon an athlete needs the coach, and for what.
func attention(f compose.Findings, w *report.Week) (int, string) {
	switch {
	case w.Decision == stopped && len(w.Reasons) > 0:
		return 0, "stop: " + w.Reasons[len(w.Reasons)-1].Words
	case w.Decision == NotAsked:
		return 1, "ask the safety questions"
	case w.Decision == string(progress.Restore):
		return 2, "bring the drill back first"
	case w.Decision == string(progress.Retriage):
		return 2, "look at the whole throw again"
	case w.Due.Now:
		return 3, "decision due since " + w.Due.Next + ": " + strings.ReplaceAll(w.Decision, "_", " ")
	}
	for _, t := range w.Trials {
		if t.Verdict == "due" {
			return 3, "decide on the drill on trial: " + t.Title
		}
	}
	if n := len(w.Relook); n > 0 {
		return 3, fmt.Sprintf("look again at %s", strings.ToLower(w.Relook[0].Title))
	}
	if g := f.Triage.Gate; g != nil && (g.Verdict == rule.NotEnough || g.Verdict == rule.NotThisQuestion) {
		return 4, strings.Join(strings.Fields(g.Says), " ")
	}
	if w.Load.Over {
		return 4, "the week's load is over the most it may be"
	}
	return 5, ""
}

// Order puts the lines in the order in which they need the coach. Of an athlete
// with more than one file it says that nobody knows which of them counts, and
// nothing else.
func Order(rows []report.RosterRow) {
	files := map[string][]string{}
	for _, x := range rows {
		files[x.Case] = append(files[x.Case], x.File)
	}
	for i, x := range rows {
		if all := files[x.Case]; len(all) > 1 {
			rows[i] = report.RosterRow{Case: x.Case, File: x.File, Gate: rule.NotEnough, LastLog: x.LastLog, BadLines: x.BadLines, Cautions: []string{}, Spark: []float64{}, SparkAt: -1,
				Urgency: min(x.Urgency, 1), Attention: x.Attention}
			if x.Urgency > 0 {
				rows[i].Attention = "more than one file: " + strings.Join(all, ", ")
			}
		}
	}
	slices.SortStableFunc(rows, needsFirst)
}

// needsFirst puts before others who needs the coach more, then whose decision is
// due longer; who has no due day comes after.
func needsFirst(a, b report.RosterRow) int {
	none := func(due string) string { return cmp.Or(due, "~") }
	return cmp.Or(cmp.Compare(a.Urgency, b.Urgency), cmp.Compare(none(a.Due), none(b.Due)), cmp.Compare(a.Case, b.Case), cmp.Compare(a.File, b.File))
}
