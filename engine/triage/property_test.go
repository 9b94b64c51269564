package triage

import (
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"path"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
	"rungwise/rules"
)

// drawn makes a case up: each fact is unknown with the given chance, a graded
// checkpoint is the same in both columns half of the time, a measured difference
// speaks either way.
func drawn(rng *rand.Rand, m *Model, unknown float64) Case {
	b := m.base
	c := Case{Vector: b.Catalogue.Vector(), Lambda: map[int]float64{}, Unsure: map[int]bool{}}
	for slot := range c.Vector {
		f := b.Catalogue.At(slot)
		if f.Constant || f.Column == fact.Changed || rng.Float64() < unknown {
			continue
		}
		switch f.Kind {
		case fact.YesNo:
			c.Vector[slot] = fact.Bool(rng.IntN(2) == 0)
		case fact.Choice:
			c.Vector[slot] = fact.Num(float64(rng.IntN(len(f.Answers))))
		default:
			c.Vector[slot] = fact.Num(f.Low + rng.Float64()*(f.High-f.Low))
		}
		c.Unsure[slot] = f.Checkpoint != "" && rng.IntN(8) == 0
	}
	for _, p := range b.Checklist.Checkpoints {
		m.pair(rng, c, p.ID)
	}
	b.Derive(c.Vector)
	if len(b.Demands) > 0 && rng.IntN(4) > 0 {
		c.Break = make([]float64, len(b.Demands))
		c.Break[rng.IntN(len(b.Demands))] = 1
	}
	return c
}

// pair makes the two columns of a checkpoint agree half of the time, and
// measures the difference of one that has numbers.
func (m *Model) pair(rng *rand.Rand, c Case, checkpoint string) {
	best, _ := m.base.Catalogue.Slot(fact.Best + "." + checkpoint)
	stuck, _ := m.base.Catalogue.Slot(fact.Stuck + "." + checkpoint)
	changed, ok := m.base.Catalogue.Slot(fact.Changed + "." + checkpoint)
	if !ok || !c.Vector[best].Known || !c.Vector[stuck].Known {
		return
	}
	if rng.IntN(2) == 0 {
		c.Vector[stuck] = c.Vector[best]
	}
	if m.base.Catalogue.At(best).Kind != fact.Number {
		return
	}
	c.Lambda[changed] = math.Exp(2 * rng.NormFloat64())
	switch l := c.Lambda[changed]; {
	case l > 4:
		c.Vector[changed] = fact.Bool(true)
	case l < 0.25:
		c.Vector[changed] = fact.Bool(false)
	}
}

// told writes a result without ids: what a coach would read.
func told(r *Result, m *Model) string {
	var b strings.Builder
	title := func(id string) string {
		f, _ := m.base.Factor(id)
		return f.Title
	}
	for _, f := range r.Factors {
		of := ""
		if f.Of != nil {
			of = f.Of.Title
		}
		fmt.Fprintf(&b, "%s %s %s %.7f %.7f %v\n", f.Factor.Title, f.Role, of, f.Root, f.Present, f.Unseen)
		for _, x := range f.Reasons {
			fmt.Fprintf(&b, "  %s %v %.6f\n", x.Sign.Title, x.For, x.Weight)
		}
	}
	for _, s := range r.Shaky {
		fmt.Fprintf(&b, "shaky %s %s %s %s\n", s.Fact, s.Now, s.If, title(s.First))
	}
	for _, l := range r.Next {
		fmt.Fprintf(&b, "look %s %s %.7f\n", l.Fact, l.Also, l.Bits)
	}
	for _, id := range r.Tied {
		fmt.Fprintf(&b, "tied %s\n", title(id))
	}
	fmt.Fprintf(&b, "%.7f %v %v %.3f %v\n", r.Unlisted, r.Standing, r.Explains, r.Kept, r.OneSided)
	return b.String()
}

// ranked is a whole ranking, whatever the gate says.
func (m *Model) whole(c Case) *Result {
	r := &Result{}
	e, s := m.ranking(c, r)
	m.shaky(c, e, s, r)
	r.Next = m.looks(c, e, s)
	return r
}

// renamed is a base with other ids and another order of factors and signs.
func renamed(rng *rand.Rand, b *rule.Base) *rule.Base {
	out := *b
	name := map[string]string{}
	out.Factors, out.Signs = slices.Clone(b.Factors), slices.Clone(b.Signs)
	rng.Shuffle(len(out.Factors), func(i, j int) { out.Factors[i], out.Factors[j] = out.Factors[j], out.Factors[i] })
	rng.Shuffle(len(out.Signs), func(i, j int) { out.Signs[i], out.Signs[j] = out.Signs[j], out.Signs[i] })
	for i, k := range rng.Perm(len(out.Factors)) {
		name[out.Factors[i].ID] = fmt.Sprintf("f%02d", k)
	}
	links := func(list []rule.Link) []rule.Link {
		list = slices.Clone(list)
		rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		for i := range list {
			if other, ok := name[list[i].ID]; ok {
				list[i].ID = other
			}
		}
		return list
	}
	for i := range out.Factors {
		f := &out.Factors[i]
		f.ID, f.CanCause = name[f.ID], links(f.CanCause)
	}
	for i, k := range rng.Perm(len(out.Signs)) {
		s := &out.Signs[i]
		s.ID, s.Seen = fmt.Sprintf("s%03d", k), links(s.Seen)
		if s.Group != "" {
			s.Group = "g" + s.Group
		}
	}
	return &out
}

func made(t *testing.T, b *rule.Base) *Model {
	t.Helper()
	m, err := New(b)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestNamesAndOrderChangeNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 62))
	m := model(t)
	for range 2 {
		other := made(t, renamed(rng, m.base))
		for range 4 {
			c := drawn(rng, m, 0.4)
			if a, b := told(m.whole(c), m), told(other.whole(c), other); a != b {
				t.Fatalf("with other names and another order\n%s\ninstead of\n%s", b, a)
			}
		}
	}
}

// turned is the rule files under other names that sort the other way round,
// each list with its entries reversed.
func turned(t *testing.T) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	k := 0
	err := fs.WalkDir(rules.FS, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".yaml" {
			return err
		}
		text, err := fs.ReadFile(rules.FS, name)
		if k++; path.Dir(name) == "signs" {
			name, text = fmt.Sprintf("signs/x%02d.yaml", 99-k), reversed(text)
		}
		if name == "factors.yaml" {
			text = reversed(text)
		}
		out[name] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// reversed turns the order of a file's entries round.
func reversed(text []byte) []byte {
	parts := strings.Split(string(text), "\n  - id: ")
	slices.Reverse(parts[1:])
	return []byte(strings.Join(parts, "\n  - id: ") + "\n")
}

func TestOrderOfFilesChangesNothing(t *testing.T) {
	m := model(t)
	b, ds := rule.Load(rule.Options{Rules: turned(t), Checklists: checklists.FS, On: time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC), NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	if b.Signs[0].ID == m.base.Signs[0].ID || len(b.Signs) != len(m.base.Signs) {
		t.Fatal("the files were not turned round")
	}
	other := made(t, b)
	rng := rand.New(rand.NewPCG(63, 64))
	for range 5 {
		c := drawn(rng, m, 0.4)
		if a, b := told(m.whole(c), m), told(other.whole(c), other); a != b {
			t.Fatalf("with the files the other way round\n%s\ninstead of\n%s", b, a)
		}
	}
}

// Equal factors stand in the order of the throw and not in that of their names.
func TestEqualsStandInTheOrderOfTheThrow(t *testing.T) {
	m := model(t)
	roots := make([]float64, len(m.base.Factors)+1)
	for i := range roots {
		roots[i] = 0.2 + 1e-12*float64(i%3)
	}
	order := m.byRoot(roots[:len(m.base.Factors)])
	if first := m.first(roots); first != order[0] {
		t.Errorf("first is %d, the order %v", first, order)
	}
	for k := 1; k < len(order); k++ {
		if m.precedence(order[k-1], order[k]) >= 0 {
			t.Errorf("%s stands before %s", m.base.Factors[order[k-1]].ID, m.base.Factors[order[k]].ID)
		}
	}
}

// What nobody answered counts like what is not in the base.
func TestUnansweredEqualsMissing(t *testing.T) {
	rng := rand.New(rand.NewPCG(65, 66))
	m := model(t)
	for range 6 {
		c := drawn(rng, m, 0.6)
		less := *m.base
		less.Signs = slices.DeleteFunc(slices.Clone(m.base.Signs), func(s rule.Sign) bool { return s.When.Eval(c.Vector) == fact.Unknown && s.Bare == "" })
		got, want := &Result{}, &Result{}
		made(t, &less).Rank(c, got)
		m.Rank(c, want)
		for i := range want.Factors {
			want.Factors[i].Unseen, got.Factors[i].Unseen = nil, nil
		}
		if a, b := told(want, m), told(got, m); a != b {
			t.Fatalf("%d unanswered signs taken out\n%s\ninstead of\n%s", len(m.base.Signs)-len(less.Signs), b, a)
		}
		for slot := range c.Vector {
			if !c.Vector[slot].Known {
				c.Vector[slot].N = 1 + float64(rng.IntN(3))
			}
		}
		if a, b := told(want, m), told(m.ranksAlone(c), m); a != b {
			t.Fatalf("a number behind an unknown fact counts\n%s\ninstead of\n%s", b, a)
		}
	}
}

func (m *Model) ranksAlone(c Case) *Result {
	r := &Result{}
	m.Rank(c, r)
	for i := range r.Factors {
		r.Factors[i].Unseen = nil
	}
	return r
}

// A copy of a sign within its group counts nothing, and a sign without a group
// shares one with its copy.
func TestCopyWithinAGroupChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(67, 68))
	m := model(t)
	copied := func(signs ...int) *Model {
		more := *m.base
		more.Signs = slices.Clone(m.base.Signs)
		for _, i := range signs {
			s := &more.Signs[i]
			if s.Group == "" {
				s.Group = "copies of " + s.ID
			}
			again := *s
			again.ID += "_again"
			more.Signs = append(more.Signs, again)
		}
		return made(t, &more)
	}
	all := make([]int, len(m.base.Signs))
	for i := range all {
		all[i] = i
	}
	models := []*Model{copied(all...)}
	for k := range all {
		if *study || k%17 == 3 {
			models = append(models, copied(k))
		}
	}
	for _, other := range models {
		for range 6 {
			c := drawn(rng, m, 0.3)
			a, b := &Result{}, &Result{}
			m.Rank(c, a)
			other.Rank(c, b)
			for i := range a.Factors {
				if i >= len(b.Factors) || a.Factors[i].Factor.ID != b.Factors[i].Factor.ID || math.Abs(a.Factors[i].Root-b.Factors[i].Root) > 1e-9 {
					t.Fatalf("with %d copies %s instead of %s", len(other.base.Signs)-len(all), m.order(b), m.order(a))
				}
			}
		}
	}
}
