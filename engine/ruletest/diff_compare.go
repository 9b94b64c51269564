package ruletest

import (
	"slices"
	"sync"

	"rungwise/engine/kept"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// differ is one comparison on its way.
type differ struct {
	older, newer *Side
	store        *kept.Store
	steps        []Step
	mu           sync.Mutex
	hybrids      []*hybrid // by step, made when first needed
	idle         []bool    // by step: it moves no factor by itself
}

// blamed is the part of a delta that is kept.
type blamed struct {
	By       []Step `json:"by"`
	Together bool   `json:"together"`
}

type judged struct {
	Delta
	known bool
}

// judge compares one case, from what is kept where it can.
func (d *differ) judge(c Case) judged {
	j := judged{Delta: Delta{Case: c.Path}}
	okOld := d.store.Get(d.older.keyOf(c), &j.Old)
	okNew := d.store.Get(d.newer.keyOf(c), &j.New)
	j.known = okOld && okNew
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
	key := kept.Key("by", d.older.Key, d.newer.Key, c.Hash)
	if by := (blamed{}); d.store.Get(key, &by) {
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
	d.store.Put(key, blamed{j.By, j.Together})
	return j
}

func (d *differ) run(s *Side, c Case) (triage.Case, Outcome) {
	facts, faults := s.Facts(c.Path)
	o := Outcome{Faults: faults}
	if len(faults) == 0 {
		o = s.decide(facts)
	}
	d.store.Put(s.keyOf(c), o)
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
