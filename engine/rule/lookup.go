package rule

import (
	"cmp"
	"slices"

	"rungwise/engine/cause"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// Each of these returns the entry of an id, and whether there is one. The plain
// sources (common practice, house default, from memory) have no citation.
func (b *Base) Factor(id string) (*Factor, bool)        { return byID(b.Factors, id) }
func (b *Base) Sign(id string) (*Sign, bool)            { return byID(b.Signs, id) }
func (b *Base) Throw(id string) (*Throw, bool)          { return byID(b.Throws, id) }
func (b *Base) Demand(id string) (*Demand, bool)        { return byID(b.Demands, id) }
func (b *Base) Drill(id string) (*Drill, bool)          { return byID(b.Drills, id) }
func (b *Base) Gate(id string) (*Gate, bool)            { return byID(b.Gates, id) }
func (b *Base) Caution(id string) (*Caution, bool)      { return byID(b.Cautions, id) }
func (b *Base) Limit(id string) (*Number, bool)         { return byID(b.Limits, id) }
func (b *Base) LimitByAge(id string) (*AgeNumber, bool) { return byID(b.ByAge, id) }
func (b *Base) Citation(key string) (*Citation, bool)   { return byID(b.Sources, key) }

func byID[T any](list []T, id string) (*T, bool) {
	return find(list, func(x *T) bool { return any(x).(headed).head().ID == id })
}

// Value returns a named number, or other where the base has none of that id.
func (b *Base) Value(id string, other float64) float64 {
	if l, ok := b.Limit(id); ok {
		return l.Value
	}
	return other
}

// Cite returns what to print for a source: its citation, or the key itself for
// the plain ones.
func (b *Base) Cite(key string) string {
	if c, ok := b.Citation(key); ok {
		return c.Cite
	}
	return key
}

// Words returns a sentence of the plan, and whether there is one of that id.
func (b *Base) Words(id string) (string, bool) {
	if s, ok := byID(b.Wording, id); ok {
		return s.Text, true
	}
	return "", false
}

// DrillsFor returns the drills of a factor, easiest to feel first.
func (b *Base) DrillsFor(factor string) []*Drill {
	var out []*Drill
	for i := range b.Drills {
		if slices.Contains(b.Drills[i].Factors, factor) {
			out = append(out, &b.Drills[i])
		}
	}
	slices.SortStableFunc(out, func(a, b *Drill) int { return cmp.Compare(a.Step, b.Step) })
	return out
}

// ShareFor returns the expected share of a throw for an athlete of an age in
// years; an unknown age takes the share for any age.
func (t *Throw) ShareFor(age int, known bool) Share {
	for _, s := range t.ByAge {
		if known && age < s.AgeBelow {
			return s
		}
	}
	return t.Share
}

// Rule is one condition of the base and whose it is.
type Rule struct {
	Concern, ID string
	Place       diag.Place
	When        *cond.Condition
}

// Conditions lists every condition of the base in a stable order: signs, gates,
// cautions, a house's additions after the entry they add to.
func (b *Base) Conditions() []Rule {
	var out []Rule
	put := func(concern string, e Entry, when *cond.Condition, also []*cond.Condition) {
		for _, c := range append([]*cond.Condition{when}, also...) {
			if c != nil {
				out = append(out, Rule{Concern: concern, ID: e.ID, Place: e.Origin, When: c})
			}
		}
	}
	for _, s := range b.Signs {
		put(Signs, s.Entry, s.When, nil)
	}
	for _, g := range b.Gates {
		put(Gates, g.Entry, g.When, g.Also)
	}
	for _, c := range b.Cautions {
		put(Cautions, c.Entry, c.When, c.Also)
	}
	return out
}

// PlaceIn returns where the characters from (inclusive) to to (exclusive) of a
// condition of this base stand in its file.
func (b *Base) PlaceIn(c *cond.Condition, from, to int) diag.Place {
	if n := b.written[c]; n != nil {
		return n.PlaceAt(from, to)
	}
	return diag.Place{}
}

// Network returns the factors and the signs as the computation wants them: in
// the order of Factors and of Signs, with indices for ids and chances for
// words. Break tables run over Demands.
func (b *Base) Network() ([]cause.Factor, []cause.Sign) {
	index := make(map[string]int, len(b.Factors))
	for i, f := range b.Factors {
		index[f.ID] = i
	}
	factors := make([]cause.Factor, len(b.Factors))
	for i, f := range b.Factors {
		factors[i] = cause.Factor{Prior: f.Prior, Causes: links(f.CanCause, index), BreaksAt: b.breakTable(f)}
	}
	groups := map[string]int{}
	signs := make([]cause.Sign, len(b.Signs))
	for i, s := range b.Signs {
		group := -1
		if s.Group != "" {
			if _, known := groups[s.Group]; !known {
				groups[s.Group] = len(groups)
			}
			group = groups[s.Group]
		}
		signs[i] = cause.Sign{Seen: links(s.Seen, index), Otherwise: s.Leak, Reading: s.Error, Group: group}
	}
	return factors, signs
}

func links(from []Link, index map[string]int) []cause.Link {
	var out []cause.Link
	for _, l := range from {
		if to, ok := index[l.ID]; ok {
			out = append(out, cause.Link{To: to, Weight: l.Weight})
		}
	}
	return out
}

// breakTable is nil for a factor that says nothing about where it breaks.
func (b *Base) breakTable(f Factor) []float64 {
	if len(f.BreaksAt) == 0 {
		return nil
	}
	weights := make([]float64, len(b.Demands))
	for _, l := range f.BreaksAt {
		for i, d := range b.Demands {
			if d.ID == l.ID {
				weights[i] = l.Weight
			}
		}
	}
	return cause.BreakTable(weights)
}

// IDs lists the ids of a concern in their order, the house's own at the end.
func (b *Base) IDs(concern string) []string {
	if s := b.sections[concern]; s != nil {
		return s.ids()
	}
	return nil
}

// Told is an entry as people read it.
type Told struct {
	Entry
	Lines []source.Line
}

// Told lists the entries of a concern as people read them; nil for a concern that
// is told in another way.
func (b *Base) Told(concern string) []Told {
	if c := (&reader{b: b}).concern(concern); c.told != nil {
		return c.told(b)
	}
	return nil
}

func (l list[T]) told(b *Base) []Told {
	all := *l.of(b)
	out := make([]Told, len(all))
	for i := range all {
		out[i] = Told{*any(&all[i]).(headed).head(), source.Tell(l.keys, &all[i])}
	}
	return out
}

// EffectiveField is one value of the merged base and where it came from.
type EffectiveField struct {
	Key, Text string
	Place     diag.Place
	House     bool
}

// EffectiveEntry is one entry of the merged base.
type EffectiveEntry struct {
	Concern, ID string
	Origin      diag.Place
	Fields      []EffectiveField
	Changes     []Change
	Fingerprint string // of the base's text under the house's changes; "" for an added entry
	Disabled    bool
}

// Effective lists the merged base value by value, in the order in which it is
// read; what the house switched off stands at the end of its concern.
func (b *Base) Effective() []EffectiveEntry {
	var out []EffectiveEntry
	for _, c := range concerns() {
		s := b.sections[c]
		if s == nil {
			continue
		}
		for _, e := range s.entries {
			out = append(out, effective(c, e))
		}
		for _, ch := range b.Changes {
			if off, ok := s.disabled[ch.ID]; ok && off.Place == ch.Place {
				out = append(out, EffectiveEntry{Concern: c, ID: ch.ID, Origin: ch.Place, Changes: []Change{ch}, Disabled: true})
			}
		}
	}
	return out
}

func effective(concern string, e *entry) EffectiveEntry {
	out := EffectiveEntry{Concern: concern, ID: e.id, Origin: e.origin, Changes: e.changes}
	if e.base != nil {
		out.Fingerprint = fingerprint(e.base)
	}
	for _, f := range e.node.Fields() {
		if f.Key.Text() == "id" {
			continue
		}
		house := e.house || e.base.Get(f.Key.Text()) != f.Value
		out.Fields = append(out.Fields, EffectiveField{Key: f.Key.Text(), Text: flow(f.Value), Place: f.Key.Place(), House: house})
	}
	for _, n := range e.adds {
		for _, f := range n.Fields() {
			out.Fields = append(out.Fields, EffectiveField{Key: "or " + f.Key.Text(), Text: flow(f.Value), Place: f.Key.Place(), House: true})
		}
	}
	return out
}

// find returns a pointer to the first of a list for which ok holds.
func find[T any](list []T, ok func(*T) bool) (*T, bool) {
	for i := range list {
		if ok(&list[i]) {
			return &list[i], true
		}
	}
	return nil, false
}
