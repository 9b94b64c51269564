package plan

import (
	"fmt"
	"slices"

	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
)

// mostClips is how many clips are asked for at once (house default): more are not filmed.
const mostClips = 8

// film lists what to film: what would tell most now, then, for the retest, what is worked on and what most likely
// follows from it.
func (m *maker) film() []string {
	out := []string{}
	add := func(clip string) {
		if clip != "" && len(out) < mostClips && !slices.Contains(out, clip) {
			out = append(out, clip)
		}
	}
	for _, l := range m.Triage.Next {
		if f, ok := m.Base.Catalogue.Lookup(l.Fact); ok && f.Checkpoint != "" {
			add(m.clip(f.Checkpoint, f.Column, l.Also != ""))
		}
	}
	for _, a := range m.focus {
		for _, id := range m.shows(a.factor) {
			add(m.clip(id, fact.Changed, true))
		}
	}
	for _, f := range m.Triage.Factors {
		if f.Of != nil && m.kind == carry {
			for _, id := range m.shows(f.Factor) {
				add(m.clip(id, fact.Changed, true))
			}
		}
	}
	return out
}

// shows are the checkpoints that differ and that a sign of the factor reads, in the order of the throw.
func (m *maker) shows(f *rule.Factor) []string {
	read := map[string]bool{}
	for _, s := range m.Base.Signs {
		if !slices.ContainsFunc(s.Seen, func(l rule.Link) bool { return l.ID == f.ID }) {
			continue
		}
		for _, slot := range s.When.Reads() {
			read[m.Base.Catalogue.At(slot).Checkpoint] = true
		}
	}
	var out []string
	for _, row := range m.Facts.Rows {
		if read[row.Checkpoint.ID] && row.Verdict == observe.Differs {
			out = append(out, row.Checkpoint.ID)
		}
	}
	return out
}

// clip says what to film for a checkpoint: which throws, from where, and the moment that counts.
func (m *maker) clip(checkpoint, column string, both bool) string {
	p, ok := m.Base.Checklist.Checkpoint(checkpoint)
	if !ok {
		return ""
	}
	throws := m.title(m.Facts.Compared)
	if m.Facts.Compared == "" {
		throws = "the throw in which it is lost"
	}
	switch {
	case both || column == fact.Changed:
		throws = m.reference.Title + " and " + throws
	case column == fact.Best:
		throws = m.reference.Title
	}
	return fmt.Sprintf("%s: %s; camera: %s; moment: %s", p.Title, throws, p.View, p.Moment)
}
