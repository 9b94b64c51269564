package ruletest

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// differ is one comparison on its way.
type differ struct {
	older, newer *Side
	store        *Store
	steps        []Step
	mu           sync.Mutex
	hybrids      []*hybrid // by step, made when first needed
	idle         []bool    // by step: it moves no factor by itself
}

type judged struct {
	Delta
	known bool
}

// all judges the cases side by side.
func (d *differ) all(cases []Case, out []judged, tell func(int)) {
	var next, done atomic.Int64
	var wg sync.WaitGroup
	var said sync.Mutex
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(cases); i = int(next.Add(1)) - 1 {
				out[i] = d.judge(cases[i])
				if n := int(done.Add(1)); tell != nil {
					said.Lock()
					tell(n)
					said.Unlock()
				}
			}
		})
	}
	wg.Wait()
}

// judge compares one case, from what is kept where it can.
func (d *differ) judge(c Case) judged {
	j := judged{Delta: Delta{Case: c.Path}}
	older, okOld := d.store.outcome(d.older.Key, c.Hash)
	newer, okNew := d.store.outcome(d.newer.Key, c.Hash)
	j.Old, j.New, j.known = older, newer, okOld && okNew
	var facts, changed triage.Case
	if !okOld {
		facts, j.Old = d.run(d.older, c)
	}
	if !okNew {
		changed, j.New = d.run(d.newer, c)
	}
	if j.Old.Equal(j.New) {
		return j
	}
	pair := d.older.Key + " " + d.newer.Key
	if by, ok := d.store.blame(pair, c.Hash); ok {
		j.By, j.Together = by.By, by.Together
		return j
	}
	if len(j.Old.Faults)+len(j.New.Faults) == 0 {
		if okOld {
			facts, _ = d.older.Facts(c.Path)
		}
		if okNew {
			changed, _ = d.newer.Facts(c.Path)
		}
		j.By, j.Together = d.blame(j.Delta, facts, changed)
	}
	d.store.keepBlame(pair, c.Hash, blamed{j.By, j.Together})
	return j
}

func (d *differ) run(s *Side, c Case) (triage.Case, Outcome) {
	facts, faults := s.Facts(c.Path)
	o := Outcome{Faults: faults}
	if len(faults) == 0 {
		o = s.decide(facts)
	}
	d.store.keep(s.Key, c.Hash, o)
	return facts, o
}

// blame finds the changes that bring the new outcome about. A gate or a caution
// that came or went is responsible by itself; for the order every change is
// tried alone.
func (d *differ) blame(x Delta, older, newer triage.Case) (by []Step, together bool) {
	if x.Old.Gate != x.New.Gate || x.Old.Verdict != x.New.Verdict {
		by = append(by, d.named(rule.Gates, x.Old.Gate, x.New.Gate)...)
	}
	for _, id := range slices.Concat(x.Old.Cautions, x.New.Cautions) {
		if slices.Contains(x.Old.Cautions, id) != slices.Contains(x.New.Cautions, id) {
			by = append(by, d.named(rule.Cautions, id)...)
		}
	}
	if !sameOrder(x.Old.Factors, x.New.Factors) && len(x.Old.Factors) > 0 && len(x.New.Factors) > 0 {
		alone, some := d.tried(x, older, newer)
		by, together = append(by, alone...), len(alone) == 0
		if together {
			by = append(by, some...)
		}
	}
	return compact(by), together
}

// named lists the changes of entries, and of limits that their conditions read.
func (d *differ) named(concern string, ids ...string) []Step {
	var out []Step
	for _, s := range d.steps {
		if s.Concern == concern && slices.Contains(ids, s.ID) || s.Concern == rule.LimitsKey && slices.ContainsFunc(ids, s.reads) {
			out = append(out, s)
		}
	}
	return out
}

func compact(by []Step) []Step {
	var out []Step
	for _, s := range by {
		if !slices.ContainsFunc(out, func(t Step) bool { return t.Concern == s.Concern && t.ID == s.ID }) {
			out = append(out, s)
		}
	}
	return out
}

// mostTried bounds how many changes are tried alone; with more of them nobody
// asks for the one.
const mostTried = 40

// tried puts each change alone into the old base: those that give the new order,
// and those that change the order at all.
func (d *differ) tried(x Delta, older, newer triage.Case) (alone, some []Step) {
	if len(d.steps) > mostTried {
		return nil, nil
	}
	was, is := d.older.Model.Evidence(older), d.newer.Model.Evidence(newer)
	for i, s := range d.steps {
		h := d.hybrid(i)
		if h == nil {
			continue
		}
		got := h.order(was, is)
		if sameOrder(got, x.New.Factors) {
			alone = append(alone, s)
		} else if !sameOrder(got, x.Old.Factors) {
			some = append(some, s)
		}
	}
	return alone, some
}

// hybrid is the old base with one change, made once.
func (d *differ) hybrid(i int) *hybrid {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.hybrids[i] == nil && !d.idle[i] {
		d.hybrids[i] = mix(d.older.Base, d.newer.Base, d.steps[i])
		d.idle[i] = d.hybrids[i] == nil
	}
	return d.hybrids[i]
}
