package checklist

import (
	"cmp"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// Load reads every *.yaml of a folder in name order; name is the path that
// messages show for the folder. The list holds every fault of every file; the
// checklist holds what could be read, and is never nil.
func Load(fsys fs.FS, name string) (*Checklist, diag.List) {
	r := &reader{list: &Checklist{}, first: map[string]diag.Place{}}
	names, err := fs.Glob(fsys, "*.yaml")
	if err != nil || len(names) == 0 {
		r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: name}, Code: "C500",
			Headline: "no checklist files were found here", Help: "a checklist is one or more files that end in .yaml"})
	}
	slices.Sort(names)
	for _, n := range names {
		f, err := source.Open(fsys, n, path.Join(name, n))
		if err != nil {
			r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: path.Join(name, n)}, Code: "C500", Headline: "this file could not be read"})
			continue
		}
		root, ds := f.YAML()
		if r.ds = append(r.ds, ds...); root != nil {
			r.file(root)
		}
	}
	r.list.sort()
	return r.list, r.ds
}

// reader collects entries and faults; first tells where each name was declared.
type reader struct {
	list  *Checklist
	ds    diag.List
	first map[string]diag.Place
}

func (r *reader) file(root *source.Node) {
	o := root.Object(&r.ds, "a checklist file")
	for _, n := range o.Items("checkpoints") {
		p := ReadCheckpoint(n, nil, &r.ds)
		if r.declare(n, p.ID, "best."+p.ID) {
			r.list.Checkpoints = append(r.list.Checkpoints, p)
		}
	}
	for _, n := range o.Items("questions") {
		q := readQuestion(n, &r.ds)
		if q.ID != "" && r.declare(n, q.Name(), q.Name()) {
			r.list.Questions = append(r.list.Questions, q)
		}
	}
	for _, n := range o.Items("derived") {
		d := readDerived(n, &r.ds)
		if r.declare(n, d.ID, d.ID) {
			r.list.Derived = append(r.list.Derived, d)
		}
	}
	o.Close()
}

// declare keeps the first entry of a name and refuses a second one, told with
// both places.
func (r *reader) declare(n *source.Node, id, name string) bool {
	if id == "" || strings.HasSuffix(name, ".") {
		return false
	}
	if before, twice := r.first[name]; twice {
		at := n.Get("id")
		at.Fault(&r.ds, "C501", fmt.Sprintf("`%s` is declared twice", id), "", "give one of the two another id, or take it out")
		r.ds[len(r.ds)-1].Notes = []string{fmt.Sprintf("the first is at %s:%d", before.Path, before.Line)}
		return false
	}
	r.first[name] = n.Place()
	return true
}

// With returns a checklist that also holds the checkpoints given, in the order
// of the throw.
func (c *Checklist) With(more []Checkpoint) *Checklist {
	out := &Checklist{Checkpoints: slices.Concat(c.Checkpoints, more), Questions: c.Questions, Derived: c.Derived}
	out.sort()
	return out
}

// sort puts the checkpoints in the order of the throw. What runs over landing
// starts before it; within a phase the order of the files stands.
func (c *Checklist) sort() {
	rank := map[string]int{BeforeLanding: 0, Both: 0, AfterLanding: 1, Task: 2}
	slices.SortStableFunc(c.Checkpoints, func(a, b Checkpoint) int { return cmp.Compare(rank[a.Phase], rank[b.Phase]) })
}
