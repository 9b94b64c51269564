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
	Cases    []Case
	Changes  []Change // every applied decision of the house, in the order of its files

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
	groups   map[string]bool
}

// Load reads the base, lays the house's changes over it and checks all of it.
// The list holds every fault of every file; the Base is never nil, and is whole
// when the list has no errors.
func Load(o Options) (*Base, diag.List) {
	o.RulesPath, o.ListsPath, o.HousePath = orElse(o.RulesPath, "rules"), orElse(o.ListsPath, "checklists"), orElse(o.HousePath, "house")
	r := &reader{b: &Base{written: map[*cond.Condition]*source.Node{}}, o: o, sections: map[string]*section{}}
	files := r.files(o.Rules, o.RulesPath)
	r.b.Hash = hash(append(r.files(o.Checklists, o.ListsPath), files...))
	if o.NoCases {
		files = slices.DeleteFunc(files, func(f file) bool { return strings.HasPrefix(f.within, Cases+"/") })
	}
	read(files)
	for _, f := range files {
		r.baseFile(f)
	}
	var ds diag.List
	r.b.Checklist, ds = checklist.Load(o.Checklists, o.ListsPath)
	r.ds = append(r.ds, ds...)
	if o.House != nil {
		r.house(r.files(o.House, o.HousePath))
	}
	r.read()
	r.b.sections = r.sections
	return r.b, r.ds.Sorted()
}

// read turns the entries into their types, what others refer to first.
func (r *reader) read() {
	r.readSources()
	r.readCheckpoints()
	r.readLimits()
	r.catalogue()
	r.readDemands()
	r.readThrows()
	r.readFactors()
	r.readSigns()
	r.readDrills()
	r.readCautions()
	r.readGates()
	r.readWording()
	r.readCases()
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
