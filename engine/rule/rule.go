// Package rule holds the rule base: what the trade knows, and what a house has
// changed about it.
//
// Its invariant: a Base without errors is whole. Every name in it (factor,
// demand, throw, source, fact, limit) exists, causes run in no circle, every
// condition is checked, and no hard limit, no referral and no stop sign is
// looser than in the base, whatever the house's files say. Every entry and
// every value keeps the place it came from. A loaded Base is not changed again
// and may be shared.
package rule

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"time"

	"rungwise/engine/checklist"
	"rungwise/engine/cond"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
	"rungwise/engine/workload"
)

// snake is how an id is written.
var snake = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)

// Options says what to load. The paths are what messages show for the folders.
type Options struct {
	Rules      fs.FS
	RulesPath  string // "rules" where empty
	Checklists fs.FS
	ListsPath  string // "checklists" where empty
	House      fs.FS  // nil: no house rules
	HousePath  string // "house" where empty
	On         time.Time
	// NoCases leaves the files below a folder `cases` unread, which only tests of
	// the rules need; they still count for the hash.
	NoCases bool
}

// Base is a loaded rule base. All lists stand in the order of the files, by
// path; a house's additions follow, and its gates stand where gates.go says.
type Base struct {
	Version   string // the rule files' own, else the newest `since`
	Hash      string // of the rule and checklist files
	House     string // name or path of the house; "" without one
	HouseHash string

	Factors  []Factor
	Signs    []Sign
	Demands  []Demand
	Throws   []Throw
	Drills   []Drill
	Gates    []Gate
	Cautions []Caution
	Limits   []Number
	ByAge    []AgeNumber
	Workload workload.Limits // the hard limits ready to judge throws with
	Sources  []Citation
	Wording  []Sentence

	AlarmLists []AlarmList

	Cases   []Case
	Changes []Change // every applied decision of the house, in the order of its files

	Checklist *checklist.Checklist
	Catalogue *fact.Catalogue // the checklist's facts, then limit.*

	housePath string
	sections  map[string]*section
	written   map[*cond.Condition]*source.Node
}

// reader reads one base; entries are gathered first, so that every name is
// known before the first entry is read.
type reader struct {
	b        *Base
	o        Options
	ds       diag.List
	sections map[string]*section
	table    *source.Node // pitch_table
	weights  *source.Node // effort_weights
	plain    *source.Node // plain_words
	says     wordList
	concerns []Concern         // of house changes, described when the first is read
	keep     func(Change) bool // which changes of the house are laid over; nil: all
}

// Load reads the base, lays the house's changes over it and checks all of it.
// The list holds every fault of every file; the Base is never nil, and is whole
// when the list has no errors.
func Load(o Options) (*Base, diag.List) { return Read(o).Load(o.House, o.HousePath, o.On) }

// Content is the files of a base, read once, to lay houses over again and again.
// It does not change and may be shared.
type Content struct {
	o       Options
	files   []file
	hash    string
	list    *checklist.Checklist
	listed  diag.List // faults of the checklists
	missing diag.List // files that could not be read
}

// Read reads the files of a base. The house in the options is left aside.
func Read(o Options) *Content {
	o.RulesPath, o.ListsPath = orElse(o.RulesPath, "rules"), orElse(o.ListsPath, "checklists")
	r := &reader{}
	c := &Content{o: o, files: r.files(o.Rules, o.RulesPath)}
	c.hash = hash(append(r.files(o.Checklists, o.ListsPath), c.files...))
	if o.NoCases {
		c.files = slices.DeleteFunc(c.files, func(f file) bool { return strings.HasPrefix(f.within, Cases+"/") })
	}
	read(c.files)
	c.missing = r.ds
	c.list, c.listed = checklist.Load(o.Checklists, o.ListsPath)
	return c
}

// Load is the function Load with these files: it lays a house's changes, if there
// is a house, over the base as on a day.
func (c *Content) Load(house fs.FS, path string, on time.Time) (*Base, diag.List) {
	return c.LoadSome(house, path, on, nil)
}

// LoadSome is Load with those changes of the house alone for which keep holds; nil
// keeps all.
func (c *Content) LoadSome(house fs.FS, path string, on time.Time, keep func(Change) bool) (*Base, diag.List) {
	o := c.o
	o.House, o.HousePath, o.On = house, orElse(path, "house"), on
	r := &reader{b: &Base{Hash: c.hash, Checklist: c.list, written: map[*cond.Condition]*source.Node{}}, o: o,
		ds: slices.Concat(c.missing, c.listed), sections: map[string]*section{}, keep: keep}
	for _, f := range c.files {
		r.baseFile(f)
	}
	if house != nil {
		r.house(r.files(house, o.HousePath))
	}
	r.read()
	r.b.sections = r.sections
	return r.b, r.ds.Sorted()
}

// read turns the entries into their types, what others refer to first.
func (r *reader) read() {
	fill(r, r.sources())
	r.readWordList()
	r.readCheckpoints()
	r.readLimits()
	r.catalogue()
	fill(r, r.demands())
	fill(r, r.throws())
	if len(r.b.Throws) == 0 {
		r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: r.o.RulesPath}, Code: "B521", Headline: "the rule base has no throws"})
	}
	fill(r, r.factors())
	fill(r, r.signs())
	fill(r, r.drills())
	fill(r, r.cautions())
	fill(r, r.gates())
	r.orderGates()
	fill(r, r.wording())
	fill(r, r.alarms())
	fill(r, r.cases())
	r.checkChecklistSources()
	r.checkCycles()
	if r.b.Version == "" {
		r.b.Version = r.newest()
	}
}

// catalogue joins the checklist's facts and the named limits.
func (r *reader) catalogue() {
	facts := r.b.Checklist.Facts()
	for _, l := range r.b.Limits {
		facts = append(facts, fact.Fact{Name: "limit." + l.ID, Kind: fact.Number, Unit: l.Unit, About: l.Why, Constant: true, Value: l.Value})
	}
	cat, err := fact.NewCatalogue(facts)
	if err != nil { // a repeated name, which was reported where it stands
		r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: r.o.ListsPath}, Code: "B504", Headline: err.Error()})
		cat, _ = fact.NewCatalogue(nil)
	}
	r.b.Catalogue = cat
}

// newest is the latest `since` of the base.
func (r *reader) newest() string {
	last := ""
	for _, c := range concerns() {
		for _, e := range r.section(c).entries {
			if since := e.node.Get("since").Text(); !e.house && since > last {
				last = since
			}
		}
	}
	return last
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
