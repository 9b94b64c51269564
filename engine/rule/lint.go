package rule

import (
	"cmp"
	"fmt"
	"slices"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
)

// Finding is something about the base as a whole that is no fault of an entry
// and still weakens it.
type Finding struct {
	diag.Diagnostic
	Rules []string // ids of the entries it is about
	Case  Example  // shows what is claimed, as a case that can be run; nil where none is needed
}

// Lint looks for what can never apply, always applies, counts twice, reaches
// nothing or is reached by nothing. Everything it says is a warning or a note,
// and it says nothing about conditions that cannot be gone through case by
// case. It wants a base that loaded without errors.
func (b *Base) Lint() []Finding {
	var out []Finding
	tell := func(f Finding) { out = append(out, f) }
	b.lintFactors(tell)
	b.lintFacts(tell)
	sound := b.lintConditions(tell)
	b.lintPairs(sound, tell)
	b.lintGates(sound, tell)
	b.lintBeside(tell)
	b.lintBare(tell)
	slices.SortStableFunc(out, func(x, y Finding) int {
		return cmp.Or(cmp.Compare(x.Path, y.Path), cmp.Compare(x.Line, y.Line), cmp.Compare(x.Col, y.Col), cmp.Compare(x.Code, y.Code))
	})
	return few(out)
}

// mostAlike is how many findings of one kind are told one by one.
const mostAlike = 20

// few keeps the first findings of each kind and tells how many more there are.
func few(all []Finding) []Finding {
	n := map[string]int{}
	var out []Finding
	for _, f := range all {
		if n[f.Code]++; n[f.Code] <= mostAlike {
			out = append(out, f)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		if code := out[i].Code; n[code] > mostAlike {
			out[i].Notes = append(out[i].Notes, fmt.Sprintf("and %d more like this one", n[code]-mostAlike))
			n[code] = 0
		}
	}
	return out
}

// Diagnostics returns the findings as they are shown with faults.
func Diagnostics(findings []Finding) diag.List {
	var ds diag.List
	for _, f := range findings {
		ds.Add(f.Diagnostic)
	}
	return ds
}

// lintFactors tells of a factor that nothing can raise, of one that no drill
// reaches, and of a drill for factors that drills cannot reach.
func (b *Base) lintFactors(tell func(Finding)) {
	for _, f := range b.Factors {
		if !slices.ContainsFunc(b.Signs, func(s Sign) bool { return pointsTo(s, f.ID) }) {
			tell(b.lostAt(diag.Diagnostic{Place: f.Origin, Level: diag.Warning, Code: "L302",
				Headline: fmt.Sprintf("no sign points to `%s`, so nothing can raise it", f.ID), Help: "add a sign with seen_with: or supports: for it"}, f.ID))
		}
		if !f.NoDrills && len(b.DrillsFor(f.ID)) == 0 {
			tell(b.shown(diag.Diagnostic{Place: f.Origin, Level: diag.Warning, Code: "L303", Headline: fmt.Sprintf("no drill reaches `%s`", f.ID),
				Help: "add a drill, or write drills: none where drills cannot reach it"}, f.ID))
		}
	}
	for _, d := range b.Drills {
		reached := slices.ContainsFunc(d.Factors, func(id string) bool { f, ok := b.Factor(id); return ok && !f.NoDrills })
		if !reached && len(d.Factors) > 0 {
			tell(b.shown(diag.Diagnostic{Place: d.Origin, Level: diag.Note, Code: "L306",
				Headline: fmt.Sprintf("the drill `%s` is for factors that drills cannot reach", d.ID),
				Help:     "name another factor, or take drills: none out of the factor"}, d.Factors[0]))
		}
	}
}

func pointsTo(s Sign, factor string) bool {
	return slices.ContainsFunc(s.Seen, func(l Link) bool { return l.ID == factor })
}

// lintFacts tells of checkpoints and questions that no rule reads.
func (b *Base) lintFacts(tell func(Finding)) {
	read := b.reads()
	unread := func(what string, place diag.Place, name string) {
		if slot, ok := b.Catalogue.Slot(name); ok {
			tell(b.oneAnswer(diag.Diagnostic{Place: place, Level: diag.Note, Code: "L304", Headline: "no rule reads " + what,
				Why: "whatever is answered, nothing changes", Help: "add a rule that reads it, or say with read_by: who else does"}, slot))
		}
	}
	used := func(name string) bool { slot, ok := b.Catalogue.Slot(name); return ok && read[slot] }
	for _, p := range b.Checklist.Checkpoints {
		if p.ReadBy == "" && !slices.ContainsFunc(p.Facts(), func(f fact.Fact) bool { return used(f.Name) }) {
			unread(fmt.Sprintf("the checkpoint `%s`", p.ID), p.Place, fact.Stuck+"."+p.ID)
		}
	}
	for _, q := range b.Checklist.Questions {
		if q.ReadBy == "" && !used(q.Name()) {
			unread(fmt.Sprintf("`%s`", q.Name()), q.Place, q.Name())
		}
	}
	for _, d := range b.Checklist.Derived {
		if d.ReadBy == "" && !used(d.ID) {
			unread(fmt.Sprintf("`%s`", d.ID), d.Place, d.ID)
		}
	}
}

// reads marks the slots that some condition or gate reads.
func (b *Base) reads() map[int]bool {
	read := map[int]bool{}
	mark := func(slots []int) {
		for _, s := range slots {
			read[s] = true
		}
	}
	for _, c := range b.Conditions() {
		mark(c.When.Reads())
	}
	for i := range b.Gates {
		mark(slices.Concat(b.Gates[i].slots, b.Gates[i].more))
	}
	return read
}

// lintBare tells when too many signs only say that something differs.
func (b *Base) lintBare(tell func(Finding)) {
	bare := 0
	for _, s := range b.Signs {
		if s.Bare != "" {
			bare++
		}
	}
	if 3*bare > len(b.Signs) {
		tell(Finding{Diagnostic: diag.Diagnostic{Place: diag.Place{Path: b.Signs[0].Origin.Path}, Level: diag.Note, Code: "L307",
			Headline: fmt.Sprintf("%d of %d signs only say that something differs", bare, len(b.Signs)),
			Why:      "a sign that names both answers says more", Help: "write best.X == ... and stuck.X == ..."}})
	}
}
