package compose

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/cond"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/triage"
)

func (c composer) factors() []report.Factor {
	out := []report.Factor{}
	for i, f := range c.Triage.Factors {
		chance := f.Root
		row := report.Factor{ID: f.Factor.ID, Title: f.Factor.Title, Rank: i + 1, Phase: f.Factor.Phase, Chance: f.Root, Present: f.Present,
			Role: f.Role, InWords: tidy(f.Factor.InWords), LooksLike: tidy(f.Factor.LooksLike), Reasons: []report.Reason{}, Unseen: []string{}}
		if f.Of != nil {
			chance = f.Present
			id := f.Of.ID
			row.Of, row.OfTitle = &id, f.Of.Title
		}
		row.Words, row.Range = cause.InWords(chance), cause.InTenths(chance)
		for _, reason := range f.Reasons {
			row.Reasons = append(row.Reasons, c.reason(reason))
			row.Private = row.Private || reason.For && c.readsScreen(reason.Sign.When)
		}
		for _, name := range f.Unseen {
			if !c.looked(name) {
				row.Unseen = append(row.Unseen, c.factTitle(name))
			}
		}
		out = append(out, row)
	}
	return out
}

// looked reports whether somebody looked at the checkpoint of a fact in its throw, also where what was measured lies
// too close to an edge to be called.
func (c composer) looked(name string) bool {
	f, ok := c.Base.Catalogue.Lookup(name)
	i := slices.IndexFunc(c.Facts.Rows, func(r observe.Row) bool { return ok && r.Checkpoint.ID == f.Checkpoint })
	if i < 0 {
		return false
	}
	best, stuck := c.Facts.Rows[i].Best.Seen(), c.Facts.Rows[i].Stuck.Seen()
	switch f.Column {
	case fact.Best:
		return best
	case fact.Stuck:
		return stuck
	}
	return best && stuck
}

func (c composer) reason(r triage.Reason) report.Reason {
	says := "against"
	if r.For {
		says = "for"
	}
	out := report.Reason{Rule: r.Sign.ID, Title: r.Sign.Title, Says: says, Strength: r.Strength(), Weight: r.Weight, Why: tidy(r.Sign.Why), Source: r.Sign.Source}
	if truth := r.Sign.When.Eval(c.Facts.Vector); truth != fact.Unknown {
		holds := truth == fact.Yes
		out.Holds = &holds
		if !holds {
			out.Is, out.Asks = c.short(r.Sign.When.Explain(c.Facts.Vector))
		}
	}
	return out
}

// short tells what a number is that a condition's deciding comparison asks to be
// another, and what it asks.
func (c composer) short(e cond.Explained) (is, asks string) {
	for _, p := range e.Parts {
		if is, asks := c.short(p); is != "" {
			return is, asks
		}
	}
	words := strings.Fields(e.Text)
	if !e.Decided || e.Join != "" || len(words) != 3 || len(e.Facts) == 0 || e.Facts[0].Name != words[0] || !e.Facts[0].Known {
		return "", ""
	}
	f, than := c.Base.Catalogue.At(e.Facts[0].Slot), words[2]
	if len(e.Facts) == 2 && e.Facts[1].Constant {
		than = e.Facts[1].Value
	}
	sign := map[string]string{">": "more than ", ">=": "at least ", "<": "less than ", "<=": "at most "}[words[1]]
	if _, err := strconv.ParseFloat(than, 64); err != nil || f.Kind != fact.Number || sign == "" {
		return "", ""
	}
	value := strconv.FormatFloat(math.Round(10*c.Facts.Vector[e.Facts[0].Slot].N)/10, 'f', -1, 64)
	return value + " " + f.Unit, sign + than + " " + f.Unit
}

// confidence says in words how far the order can be trusted.
func (c composer) confidence() report.Confidence {
	t := c.Triage
	out := report.Confidence{Level: string(t.Standing), Kept: t.Kept, Single: t.OneSided, Tied: []string{}, Unlisted: t.Unlisted}
	out.Tied = append(out.Tied, t.Tied...)
	if !t.Explains {
		out.Level = "no_factor"
	}
	if len(t.Factors) == 0 && t.Standing == "" {
		out.Level = ""
		return out
	}
	out.Says = c.says(out)
	return out
}

// says tells how sure the first factor is: that of it, or that none can be told
// from others, and how often reading everything again keeps it.
func (c composer) says(k report.Confidence) string {
	values := []string{"n", strconv.Itoa(int(k.Kept*10 + 0.5)), "factor2", strings.Join(c.titles(k.Tied), " and ")}
	if len(c.Triage.Factors) > 0 {
		values = append(values, "factor", c.Triage.Factors[0].Factor.Title)
	}
	if k.Level != "no_factor" && len(k.Tied) > 1 {
		return c.Say("sure_tied", values...)
	}
	return c.Say("sure_"+k.Level, values...)
}

func (c composer) titles(factors []string) []string {
	var out []string
	for _, id := range factors {
		if f, ok := c.Base.Factor(id); ok {
			out = append(out, f.Title)
		}
	}
	return out
}

func (c composer) shaky() []report.Shaky {
	out := []report.Shaky{}
	for _, s := range c.Triage.Shaky {
		row := report.Shaky{Fact: s.Fact, FirstBecomes: s.First}
		row.Title, row.Now = c.answerWords(s.Fact, s.Now)
		_, row.If = c.answerWords(s.Fact, s.If)
		if f, ok := c.Base.Factor(s.First); ok {
			row.FirstTitle = f.Title
		}
		out = append(out, row)
	}
	return out
}

// answerWords tells an answer to a fact: what it is about, and what it says.
func (c composer) answerWords(name, value string) (title, says string) {
	if f, ok := c.Base.Catalogue.Lookup(name); ok && f.Column == fact.Changed {
		return c.checkpointTitle(f.Checkpoint) + ", drill against mound", map[string]string{"yes": "different", "no": "alike"}[value]
	}
	return c.factTitle(name), words(value)
}

// next writes the looks that tell most, with the clip to shoot.
func (c composer) next() []report.NextLook {
	out := []report.NextLook{}
	for _, l := range c.Triage.Next {
		row := report.NextLook{Fact: l.Fact, Title: c.factTitle(l.Fact), GainBits: l.Bits}
		if q, ok := c.Base.Checklist.Question(l.Fact); ok {
			row.Ask = q.Ask
		} else if f, ok := c.Base.Catalogue.Lookup(l.Fact); ok && f.Checkpoint != "" {
			row.Ask, row.Film = c.clip(f, l.Also != "")
		} else {
			row.Ask = f.About
		}
		out = append(out, row)
	}
	return out
}

// clip says what to film for a checkpoint: throw, view and moment.
func (c composer) clip(f fact.Fact, both bool) (ask, film string) {
	p, _ := c.Base.Checklist.Checkpoint(f.Checkpoint)
	throw := c.throwTitle(c.Facts.Compared)
	if c.Facts.Compared == "" {
		throw = c.Say("film_unnamed")
	}
	switch {
	case both || f.Column == fact.Changed:
		throw = c.throwTitle(c.Case.Reference.Throw) + " and " + throw
	case f.Column == fact.Best:
		throw = c.throwTitle(c.Case.Reference.Throw)
	}
	fps := ""
	if n := observe.FilmAt(p); n > 0 {
		fps = strconv.Itoa(n)
	}
	id, values := "film_this", []string{"throw", throw, "view", p.View, "moment", p.Moment, "n", fps}
	if f.Column == fact.Changed {
		id = "film_both"
	}
	return p.Ask, orElse(c.Say(id+"_fast", values...), c.Say(id, values...))
}
