package compose

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strconv"

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
	use := "agree_keep"
	if out.Enough {
		use = "agree_use"
	}
	words := Words(b)
	out.Notes = append(out.Notes, report.Said{ID: "use", Text: words.Say(use, "now", hundredths(out.Now), "n", hundredths(out.Use))},
		report.Said{ID: "blind", Text: words.Say("agree_blind")})
	return out, nil
}

func hundredths(share float64) string { return strconv.FormatFloat(100*share, 'f', 0, 64) }

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
