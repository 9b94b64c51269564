package compose

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/measure"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// Two gradings that cannot be compared.
var (
	ErrTwoAthletes = errors.New("the two files are of different athletes: grade the same clips twice")
	ErrOneFile     = errors.New("the two files hold the same text: a copy says nothing about a second look")
	ErrNothing     = errors.New("the two files share no checkpoint that was graded by eye on the same throw")
)

// Agreement compares two case files in which the same clips were graded, by one
// coach twice or by two.
func Agreement(first, second *casefile.Case, b *rule.Base) (*report.Agreement, error) {
	switch {
	case first.Code != second.Code:
		return nil, ErrTwoAthletes
	case first.File.Hash() == second.File.Hash():
		return nil, ErrOneFile
	}
	var clips []measure.Twice
	for _, p := range b.Checklist.Checkpoints {
		for _, o := range first.Seen {
			if o.Checkpoint == p.ID {
				clips = append(clips, pairs(p.ID, o.Looks, second.Observed(p.ID, o.Throw))...)
			}
		}
	}
	a, ok := measure.AgreeOn(clips)
	if !ok {
		return nil, ErrNothing
	}
	out := &report.Agreement{Rungwise: report.Version, Case: first.Code, Clips: a.N, Same: a.Same, LeftOut: a.LeftOut,
		Raw: a.Raw, RawRange: [2]float64{a.RawRange.Low, a.RawRange.High},
		Error: a.Error, ErrorRange: [2]float64{a.ErrorRange.Low, a.ErrorRange.High}, Enough: a.Enough,
		Now: b.Value(rule.ReadingError(checklist.Eye), measure.EyeError), Use: math.Round(100*a.Usable()) / 100,
		By: by(clips, b.Checklist), Notes: said(a.Explain())}
	if a.KappaKnown {
		out.Kappa, out.KappaRange = &a.Kappa, [2]float64{a.KappaRange.Low, a.KappaRange.High}
	}
	out.Notes = append(out.Notes, report.Said{ID: "use", Text: use(out)},
		report.Said{ID: "blind", Text: "it counts only if the second grading was done without a look at the first; one eye also repeats its errors, so two coaches tell more than one"})
	return out, nil
}

func use(a *report.Agreement) string {
	now := fmt.Sprintf("the rules read with %.0f wrong in 100", 100*a.Now)
	if !a.Enough {
		return now + ", and go on doing so"
	}
	return fmt.Sprintf("%s; %.0f can take its place", now, 100*a.Use)
}

// pairs joins the grades of the same clips: by the clip's name and time where
// both have one, else by their place in the list. What was measured is left out.
func pairs(checkpoint string, looks []casefile.Look, other *casefile.Observation) []measure.Twice {
	if other == nil {
		return nil
	}
	taken := make([]bool, len(other.Looks))
	var out []measure.Twice
	for i, l := range looks {
		j := slices.IndexFunc(other.Looks, func(o casefile.Look) bool { return l.Clip != "" && l.Clip == o.Clip && l.At == o.At })
		if j < 0 && i < len(other.Looks) && (l.Clip == "" || other.Looks[i].Clip == "") {
			j = i
		}
		if j < 0 || taken[j] || l.Measured() || other.Looks[j].Measured() {
			continue
		}
		taken[j] = true
		out = append(out, measure.Twice{Group: checkpoint, First: l.Answer, Second: other.Looks[j].Answer})
	}
	return out
}

// by counts the checkpoints, the least alike first.
func by(clips []measure.Twice, l *checklist.Checklist) []report.AgreementRow {
	out := []report.AgreementRow{}
	for _, c := range clips {
		if c.First == "" || c.Second == "" {
			continue
		}
		i := slices.IndexFunc(out, func(r report.AgreementRow) bool { return r.Checkpoint == c.Group })
		if i < 0 {
			p, _ := l.Checkpoint(c.Group)
			out, i = append(out, report.AgreementRow{Checkpoint: c.Group, Title: p.Title}), len(out)
		}
		out[i].Clips++
		if c.First == c.Second {
			out[i].Same++
		}
	}
	share := func(r report.AgreementRow) float64 { return float64(r.Same) / float64(r.Clips) }
	slices.SortStableFunc(out, func(a, b report.AgreementRow) int { return cmp.Compare(share(a), share(b)) })
	return out
}
