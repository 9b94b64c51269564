package checklist

import "rungwise/engine/fact"

// Facts returns every fact of the checklist in a stable order: for each
// checkpoint best.ID, stuck.ID and changed.ID, then the questions, then what is
// derived.
func (c *Checklist) Facts() []fact.Fact {
	var out []fact.Fact
	for _, p := range c.Checkpoints {
		out = append(out, p.Facts()...)
	}
	for _, q := range c.Questions {
		f := valued(q.Answers, q.Number)
		f.Name, f.About = q.Name(), q.Title
		out = append(out, f)
	}
	for _, d := range c.Derived {
		f := valued(d.Answers, d.Number)
		f.Name, f.About = d.ID, d.About
		out = append(out, f)
	}
	return out
}

// Facts returns the three facts of a checkpoint: as it is in the reference
// drill, as it is at the compared throw, and whether the two differ.
func (p Checkpoint) Facts() []fact.Fact {
	seen := fact.Fact{Kind: fact.Choice, Answers: p.Answers, Ordered: p.Ordered, Checkpoint: p.ID}
	if len(p.Answers) == 0 && p.Measure != nil {
		seen.Kind, seen.Ordered = fact.Number, false
		seen.Unit, seen.Low, seen.High = p.Measure.Unit, p.Measure.Low, p.Measure.High
	}
	best, stuck := seen, seen
	best.Name, best.Column, best.About = fact.Best+"."+p.ID, fact.Best, p.Title+", in the reference drill"
	stuck.Name, stuck.Column, stuck.About = fact.Stuck+"."+p.ID, fact.Stuck, p.Title+", where it is lost"
	changed := fact.Fact{Name: fact.Changed + "." + p.ID, Kind: fact.YesNo, Column: fact.Changed, Checkpoint: p.ID,
		About: p.Title + " differs between the two", Measured: p.Measure != nil}
	return []fact.Fact{best, stuck, changed}
}

// valued starts a fact by how it is answered.
func valued(answers []fact.Answer, n *Number) fact.Fact {
	switch {
	case len(answers) > 0:
		return fact.Fact{Kind: fact.Choice, Answers: answers}
	case n != nil:
		return fact.Fact{Kind: fact.Number, Unit: n.Unit, Low: n.Low, High: n.High}
	}
	return fact.Fact{Kind: fact.YesNo}
}
