package rule

import (
	"fmt"
	"slices"

	"rungwise/engine/checklist"
	"rungwise/engine/source"
)

// The concerns of a rule base, as the top-level keys of its files name them.
const (
	Factors     = "factors"
	Signs       = "signs"
	Throws      = "throws"
	Demands     = "demands"
	Drills      = "drills"
	Gates       = "gates"
	Cautions    = "cautions"
	LimitsKey   = "limits"
	ByAge       = "by_age"
	PitchRows   = "pitch_table"
	InningsRows = "innings"
	Sources     = "sources"
	Wordings    = "wording"
	AlarmsKey   = "alarms"
	Cases       = "cases"
	Checkpoints = "checkpoints"
)

// concerns lists every concern in the order in which it is read: what others
// refer to comes first.
func concerns() []string {
	return []string{Sources, Demands, LimitsKey, ByAge, PitchRows, InningsRows, Checkpoints, Throws, Factors, Signs, Drills, Gates,
		Cautions, Wordings, AlarmsKey, Cases}
}

// noun names an entry of a concern in messages.
func noun(concern string) string {
	return map[string]string{Factors: "factor", Signs: "sign", Throws: "throw", Demands: "demand", Drills: "drill", Gates: "gate",
		Cautions: "caution", LimitsKey: "limit", ByAge: "limit by age", PitchRows: "row of the pitch table",
		InningsRows: "row of the innings table", Sources: "source", Wordings: "sentence", AlarmsKey: "list of alarming words", Cases: "case",
		Checkpoints: "checkpoint"}[concern]
}

// Concern is one list of the rule files and what its entries take.
type Concern struct {
	Name string
	Keys []source.Known
	Adds bool               // a house may add entries
	told func(*Base) []Told // nil: rows of tables
}

// Concerns describes every list of the rule files, in the order in which they are
// read.
func Concerns() []Concern { return (&reader{}).describe() }

func (r *reader) describe() []Concern {
	return []Concern{r.sources().describe(), r.demands().describe(), r.limits().describe(), r.byAge().describe(), r.pitchRows().describe(),
		r.inningsRows().describe(), {Name: Checkpoints, Keys: checklist.Keys(), Adds: true}, r.throws().describe(), r.factors().describe(),
		r.signs().describe(), r.drills().describe(), r.gates().describe(), r.cautions().describe(), r.wording().describe(),
		r.alarms().describe(), r.cases().describe()}
}

// concern describes one of the lists.
func (r *reader) concern(name string) Concern {
	if r.concerns == nil {
		r.concerns = r.describe()
	}
	return r.concerns[slices.IndexFunc(r.concerns, func(c Concern) bool { return c.Name == name })]
}

// key describes a key of the concern; one that it does not know stays as it is.
func (c Concern) key(name string) source.Known {
	for _, k := range c.Keys {
		if k.Name == name {
			return k
		}
	}
	return source.Known{Name: name}
}

// list is a concern: what its entries take, and what is checked of each once it is
// read, sound where nothing was wrong with it. An entry that the check does not keep
// is dropped.
type list[T any] struct {
	name  string
	of    func(b *Base) *[]T
	need  []string // of the keys that every entry has
	keys  []source.Key[T]
	rest  bool // nothing is added to it by a house
	check func(e *entry, o *source.Object, x *T, sound bool) (keep bool)
}

func (l list[T]) describe() Concern {
	c := Concern{Name: l.name, Adds: !l.rest}
	if _, ok := any(new(T)).(headed); ok {
		c.Keys, c.told = source.Describe((&reader{}).common(l.name, l.need)), l.told
	}
	c.Keys = append(c.Keys, source.Describe(l.keys)...)
	return c
}

// headed is an entry with the keys that every entry has; the rows of tables have
// none of them.
type headed interface{ head() *Entry }

func (e *Entry) head() *Entry { return e }

// fill reads all of a concern.
func fill[T any](r *reader, l list[T]) {
	out, common := l.of(r.b), r.common(l.name, l.need)
	for _, e := range slices.Clone(r.section(l.name).entries) {
		o, before := r.open(e), r.ds.Errors()
		var x T
		if h, ok := any(&x).(headed); ok {
			*h.head() = Entry{ID: e.id, Origin: e.origin, Changes: e.changes}
			source.Fill(o, common, h.head(), e.house)
		}
		keys := l.keys
		if e.base == nil {
			keys = slices.DeleteFunc(slices.Clone(keys), func(k source.Key[T]) bool { return k.Change == source.BaseOnly })
		}
		source.Fill(o, keys, &x, e.house)
		o.Close()
		if l.check == nil || l.check(e, o, &x, r.ds.Errors() == before) {
			*out = append(*out, x)
		} else {
			r.drop(e)
		}
	}
}

// open starts reading an entry. Whoever opens it closes it.
func (r *reader) open(e *entry) *source.Object {
	o := e.node.Object(&r.ds, fmt.Sprintf("the %s `%s`", noun(e.concern), e.id))
	o.Get("id")
	return o
}

// drop takes out an entry that a house's change has left without a purpose, so
// that nothing refers to it any more.
func (r *reader) drop(e *entry) {
	s := r.section(e.concern)
	s.entries = slices.DeleteFunc(s.entries, func(x *entry) bool { return x == e })
	s.disabled[e.id] = Change{Concern: e.concern, ID: e.id, Kind: disable, Because: "all it points to was switched off", Place: e.origin}
}
