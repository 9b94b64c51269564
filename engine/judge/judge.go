// Package judge judges a house by what it does.
//
// Its invariant: nothing here believes a house. Plans are made under the house
// for stored and drawn athletes and counted again with the base's throws, drills,
// weights and limits; what breaks a limit of the base, what the base would not
// have planned at all, and every safety sentence of the base that is gone is a
// finding. The limits are read from the base as they are, so that a new one is
// judged without new code here.
package judge

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// A Finding is one way in which a house is looser than the base.
type Finding struct {
	Athlete string // code; "" = whoever it is
	On      string // day; "" = no day
	ID      string // of the limit, gate, caution, sentence, throw or drill
	Words   string // what is looser, in plain words
	Change  *rule.Change
	of      *athlete // whose it is; nil = whoever it is
}

// String tells the finding in a line.
func (f Finding) String() string {
	var parts []string
	for _, s := range []string{f.Athlete, f.On, f.Words} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ": ")
}

// Judge holds the base alone, with which houses are compared. It may be shared;
// what it draws and what the base makes of it it remembers.
type Judge struct {
	base   side
	cases  []*casefile.Case
	givens []rule.Example
	on     time.Time

	mu   sync.Mutex
	pool []*athlete
	draw *drawer
}

// side is a rule base made ready to plan with.
type side struct {
	base  *rule.Base
	model *triage.Model
}

func sideOf(b *rule.Base) (side, error) {
	m, err := triage.New(b)
	return side{b, m}, err
}

// New makes a judge of the base alone, which was loaded without errors and with
// its own cases, and of stored athletes, read with the base's names. On stands
// for today.
func New(base *rule.Base, stored []*casefile.Case, on time.Time) (*Judge, error) {
	s, err := sideOf(base)
	if err != nil {
		return nil, err
	}
	j := &Judge{base: s, cases: stored, on: on}
	for _, k := range base.Cases {
		j.givens = append(j.givens, k.Given)
	}
	for _, c := range stored {
		j.pool = append(j.pool, &athlete{Case: c})
	}
	j.pool = append(j.pool, j.asked()...)
	j.draw = newDrawer(rand.New(rand.NewPCG(20261127, 12)), j)
	return j, nil
}

// Judged is what a judge found.
type Judged struct {
	Findings []Finding // by id, each id with its first athlete
	Athletes int       // stored and drawn
	Planned  int       // those with a plan under the house
}

// House judges a house laid over the same base: the stored athletes and n drawn
// ones. The same house gives the same findings.
func (j *Judge) House(house *rule.Base, n int) (Judged, error) {
	s, err := sideOf(house)
	if err != nil {
		return Judged{}, err
	}
	athletes := j.athletes(house, n)
	found := make([][]Finding, len(athletes))
	planned := make([]bool, len(athletes))
	var wg sync.WaitGroup
	const workers = 4
	for w := range workers {
		wg.Go(func() {
			for i := w; i < len(athletes); i += workers {
				found[i], planned[i] = j.judge(s, athletes[i])
			}
		})
	}
	wg.Wait()
	out := Judged{Athletes: len(athletes), Findings: j.standing(house)}
	for i := range athletes {
		out.Findings = append(out.Findings, found[i]...)
		if planned[i] {
			out.Planned++
		}
	}
	out.Findings = firsts(out.Findings)
	return out, nil
}

// firsts keeps the first finding of every id.
func firsts(all []Finding) []Finding {
	had := map[string]bool{}
	out := slices.DeleteFunc(all, func(f Finding) bool { again := had[f.ID]; had[f.ID] = true; return again })
	slices.SortStableFunc(out, func(a, b Finding) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// athletes are the stored ones, those of every answer of the safety screen, and
// up to n in all with drawn ones; where a house has throws of its own, some more who throw them. Who
// names what the house took out is left out.
func (j *Judge) athletes(house *rule.Base, n int) []*athlete {
	j.mu.Lock()
	for len(j.pool) < len(j.cases)+n {
		j.pool = append(j.pool, j.draw.next(nil))
	}
	out := slices.Clone(j.pool[:max(n+len(j.cases), len(j.cases))])
	j.mu.Unlock()
	var own []string
	for _, t := range house.Throws {
		if _, known := j.base.base.Throw(t.ID); !known {
			own = append(own, t.ID)
		}
	}
	if len(own) > 0 {
		d := newDrawer(rand.New(rand.NewPCG(20261127, 13)), j)
		for range n/4 + len(own) {
			out = append(out, d.next(own))
		}
	}
	return slices.DeleteFunc(out, func(a *athlete) bool { return !readable(a.Case, house) })
}

// readable reports whether a base has every throw that a case names.
func readable(c *casefile.Case, b *rule.Base) bool {
	return !slices.ContainsFunc(throwsOf(c), func(id string) bool { _, ok := b.Throw(id); return id != "" && !ok })
}

// Blame finds, for each finding, the change of the house that did it. load lays
// the changes for which keep holds over the base, and returns nil where that is
// not whole.
func (j *Judge) Blame(found []Finding, house *rule.Base, load func(keep func(rule.Change) bool) *rule.Base) {
	for i, f := range found {
		looser := func(keep func(int) bool) bool {
			at := map[string]int{}
			for k, c := range house.Changes {
				at[place(c)] = k
			}
			some := load(func(c rule.Change) bool { k, ok := at[place(c)]; return ok && keep(k) })
			return some != nil && j.finds(some, f)
		}
		found[i].Change = culprit(house.Changes, looser)
	}
}

func place(c rule.Change) string {
	return fmt.Sprintf("%s:%d:%d", c.Place.Path, c.Place.Line, c.Place.Col)
}

// culprit is the last change of the shortest beginning of a house that is
// already looser.
func culprit(changes []rule.Change, looser func(keep func(int) bool) bool) *rule.Change {
	low, high := 0, len(changes) // the first low changes are not looser, the first high ones are
	for low+1 < high {
		mid := (low + high) / 2
		if looser(func(k int) bool { return k < mid }) {
			high = mid
		} else {
			low = mid
		}
	}
	if high == 0 || len(changes) == 0 {
		return nil
	}
	return &changes[high-1]
}

// finds reports whether a house is looser in the way of a finding.
func (j *Judge) finds(house *rule.Base, f Finding) bool {
	same := func(x Finding) bool { return x.ID == f.ID }
	if f.of == nil {
		return slices.ContainsFunc(j.standing(house), same)
	}
	s, err := sideOf(house)
	if err != nil || !readable(f.of.Case, house) {
		return false
	}
	found, _ := j.judge(s, f.of)
	return slices.ContainsFunc(found, same)
}
