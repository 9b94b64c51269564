package rule

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
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

// How keys are needed and may be changed.
const (
	may    = source.May
	inBase = source.InBase
	must   = source.Must
	fixed  = source.Fixed
	free   = source.Free
)

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
	out := l.of(r.b)
	for _, e := range slices.Clone(r.section(l.name).entries) {
		o, before := r.open(e, l.name), r.ds.Errors()
		var x T
		if h, ok := any(&x).(headed); ok {
			*h.head() = Entry{ID: e.id, Origin: e.origin, Changes: e.changes}
			source.Fill(o, r.common(l.name, l.need), h.head(), e.house)
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
			r.drop(l.name, e)
		}
	}
}

// open starts reading an entry. Whoever opens it closes it.
func (r *reader) open(e *entry, concern string) *source.Object {
	o := e.node.Object(&r.ds, fmt.Sprintf("the %s `%s`", noun(concern), e.id))
	o.Get("id")
	return o
}

// drop takes out an entry that a house's change has left without a purpose, so
// that nothing refers to it any more.
func (r *reader) drop(concern string, e *entry) {
	s := r.section(concern)
	s.entries = slices.DeleteFunc(s.entries, func(x *entry) bool { return x == e })
	s.disabled[e.id] = Change{Concern: concern, ID: e.id, Kind: disable, Because: "all it points to was switched off", Place: e.origin}
}

// plain lists the sources that need no citation.
func plain() []string { return []string{"common practice", "house default", "from memory"} }

var month = regexp.MustCompile(`^\d{4}-\d{2}$`)

// common are the keys that every entry has. Those named must be there in the base;
// a house may leave out the title and the month. What a limit is called stays.
func (r *reader) common(concern string, named []string) []source.Key[Entry] {
	need := func(key string, n source.Need) source.Need {
		if slices.Contains(named, key) {
			return n
		}
		return may
	}
	name := free
	if concern == LimitsKey || concern == ByAge {
		name = fixed
	}
	return []source.Key[Entry]{
		source.Reads("title", need("title", inBase), name, "a few words for lists", source.Shape{}, func(o *source.Object, e *Entry) {
			e.Title = orElse(o.Text("title"), strings.ReplaceAll(e.ID, "_", " "))
		}),
		source.Text("why", need("why", must), free, "why this is so", func(e *Entry) *string { return &e.Why }),
		source.Reads("since", need("since", inBase), name, monthly, source.Shape{Form: source.Month}, func(o *source.Object, e *Entry) {
			if e.Since = o.Text("since"); e.Since != "" && !month.MatchString(e.Since) {
				r.fault(o.Get("since"), "B505", fmt.Sprintf("`since` is a month, this is %q", e.Since), "", "write it as year-month, such as 2026-11")
			}
		}),
		sourceKey(r, need("source", must), func(e *Entry) *string { return &e.Source }),
	}
}

const monthly = "year and month, such as 2026-11"

func sourceKey[T any](r *reader, n source.Need, at func(*T) *string) source.Key[T] {
	return source.Reads("source", n, free, "", ids(Sources), func(o *source.Object, x *T) { *at(x) = r.source(o.Get("source")) })
}

func ids(concern string) source.Shape { return source.Shape{Form: source.ID, Of: concern} }

// source reads the key of a source and checks that it is known.
func (r *reader) source(n *source.Node) string {
	if n == nil {
		return ""
	}
	key := strings.TrimSpace(n.Text())
	if slices.Contains(plain(), key) {
		return key
	}
	r.ref(n, Sources)
	return key
}

// ref reads the id of an entry of a concern. One that does not exist is a fault
// with the nearest name; one that the house switched off is left out quietly.
func (r *reader) ref(n *source.Node, concern string) (id string, ok bool) {
	id = strings.TrimSpace(n.Text())
	s := r.section(concern)
	if s.find(id) != nil {
		return id, true
	}
	if _, off := s.disabled[id]; off {
		return id, false
	}
	names := s.ids()
	if concern == Sources {
		names = append(names, plain()...)
	}
	help := "it has: " + strings.Join(names, ", ")
	if len(names) > 12 {
		help = fmt.Sprintf("add it to the %s, or name one that is there", concern)
	}
	if near, found := diag.Nearest(id, names); found {
		help = fmt.Sprintf("the closest name is `%s`", near)
		if e := s.find(near); e != nil {
			help += " (" + at(e.origin) + ")"
		}
	}
	r.fault(n, "B510", fmt.Sprintf("there is no %s called %s", noun(concern), n.Describe()), "", help)
	return id, false
}

// pairsOf reads pairs of an id and a word, each with a chance behind it.
func pairsOf[T any](r *reader, key, concern, about string, words []string, weight func(string) (float64, bool), into func(*T, []Link)) source.Key[T] {
	shape := source.Shape{Form: source.Weights, Of: concern, Words: words}
	return source.Reads(key, may, free, about, shape, func(o *source.Object, x *T) {
		var out []Link
		for _, f := range o.Fields(key) {
			word := f.Value.OneOf(&r.ds, f.Key.Text(), words)
			if f.Value.Kind() == source.Nothing {
				r.fault(f.Key, "B511", fmt.Sprintf("`%s` does not say how often", f.Key.Text()), "", "write one of: "+strings.Join(words, ", "))
			}
			id, ok := r.ref(f.Key, concern)
			if w, known := weight(word); ok && known {
				out = append(out, Link{ID: id, Word: word, Weight: w, Place: f.Key.Place()})
			}
		}
		if o.Has(key) {
			into(x, out)
		}
	})
}

// linkWords are links as people read them.
func linkWords(list []Link) string {
	var out []string
	for _, l := range list {
		out = append(out, l.ID+" ("+strings.ReplaceAll(l.Word, "_", " ")+")")
	}
	return strings.Join(out, ", ")
}

// oftenKey reads pairs of an id and a frequency word.
func oftenKey[T any](r *reader, key, concern, about string, at func(*T) *[]Link) source.Key[T] {
	often := []string{"nearly_always", "usually", "often", "sometimes"}
	return pairsOf(r, key, concern, about, often, cause.Frequency, func(x *T, l []Link) { *at(x) = l }).
		Shown(func(x *T) string { return linkWords(*at(x)) })
}

// refsKey reads a list of ids of one concern, or of any of several, leaving out what a
// house switched off.
func refsKey[T any](r *reader, n source.Need, key, about string, at func(*T) *[]string, concerns ...string) source.Key[T] {
	shape := ids(concerns[0])
	if len(concerns) > 1 {
		shape.Of = ""
	}
	return source.Reads(key, n, free, about, source.Each(source.Some, shape), func(o *source.Object, x *T) {
		for _, n := range o.Texts(key) {
			in := concerns[0]
			for _, c := range concerns[1:] {
				s := r.section(c)
				if _, off := s.disabled[n.Text()]; off || s.find(n.Text()) != nil {
					in = c
				}
			}
			if id, ok := r.ref(n, in); ok {
				*at(x) = append(*at(x), id)
			}
		}
	}).Shown(func(x *T) string { return strings.Join(*at(x), ", ") })
}

// conditionKey compiles a condition; its faults go to the list.
func conditionKey[T any](r *reader, key string, n source.Need, c source.Change, at func(*T) **cond.Condition) source.Key[T] {
	return source.Reads(key, n, c, "", source.Shape{Form: source.Condition}, func(o *source.Object, x *T) { *at(x) = r.condition(o.Get(key)) }).
		Shown(func(x *T) string { return inWords(*at(x)) })
}

// inWords joins conditions of which any is enough.
func inWords(all ...*cond.Condition) string {
	var out []string
	for _, c := range all {
		if c != nil {
			out = append(out, oneLine(c.Text()))
		}
	}
	return strings.Join(out, " or ")
}

func (r *reader) condition(n *source.Node) *cond.Condition {
	if n == nil {
		return nil
	}
	c := cond.CompileNode(n, r.b.Catalogue, &r.ds)
	if c != nil {
		r.b.written[c] = n
	}
	return c
}

// examplesKey reads the firing and the silent example of an entry.
func examplesKey[T any](r *reader, n source.Need, at func(*T) (fires, silent *Example)) source.Key[T] {
	var keys []source.Key[T]
	for i, name := range []string{"fires", "silent"} {
		keys = append(keys, source.Reads(name, must, free, "", source.Shape{Form: source.Facts}, func(o *source.Object, x *T) {
			fires, silent := at(x)
			*[]*Example{fires, silent}[i] = r.example(o.Fields(name))
		}))
	}
	return source.Reads("examples", n, free, "", group(keys), func(o *source.Object, x *T) {
		if in := o.Object("examples", "`examples`"); in != nil {
			source.Fill(in, keys, x, false)
			in.Close()
		}
	})
}

// needExamples refuses an entry without examples.
func (r *reader) needExamples(e *entry, o *source.Object) {
	if !o.Has("examples") {
		r.fault(e.name, "B531", fmt.Sprintf("`%s` has no examples", e.id), "", "add examples: with fires: and silent:")
	}
}
