package rule

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// entry is one thing of the rule base before it is read: its YAML, laid over by
// the house's, and what is known about where it came from.
type entry struct {
	id      string
	name    *source.Node // the node that holds the id, for places
	node    *source.Node // what is read
	base    *source.Node // what stood there before the house; nil for an added entry
	adds    []*source.Node
	house   bool // added or replaced by the house
	origin  diag.Place
	changes []Change
}

// section is the entries of one concern in order, those taken out apart.
type section struct {
	entries  []*entry
	disabled map[string]Change
	gone     map[string]*entry // what was switched off, for the case that it is added again
}

func (s *section) find(id string) *entry {
	for _, e := range s.entries {
		if e.id == id {
			return e
		}
	}
	return nil
}

func (s *section) ids() []string {
	ids := make([]string, len(s.entries))
	for i, e := range s.entries {
		ids[i] = e.id
	}
	return ids
}

// file is a file of a folder, its path in it, and what it holds.
type file struct {
	*source.File
	within string
	root   *source.Node
	faults diag.List
}

// read reads the YAML of many files side by side: it is most of the work of
// loading, and no file's depends on another's.
func read(files []file) {
	var wg sync.WaitGroup
	for i := range files {
		wg.Go(func() { files[i].root, files[i].faults = files[i].YAML() })
	}
	wg.Wait()
}

// files opens every YAML file below a folder, by path. What is named like one and
// cannot be read is a fault, and so is what looks as if it should have been.
func (r *reader) files(fsys fs.FS, name string) []file {
	var names []string
	_ = fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			r.unread(path.Join(name, p), "this folder could not be read", "look whether it is there and may be read")
		case p == ".":
		case source.IsYAML(p):
			names = append(names, p)
			if d.IsDir() {
				return fs.SkipDir
			}
		case source.AlmostYAML(p) && !d.IsDir():
			r.unread(path.Join(name, p), "this file is not read, since its name does not end in .yaml or .yml", "rename it, or move it to another folder")
		}
		return nil // told where it stands
	})
	if len(names) == 0 {
		r.unread(name, "no rule files were found here", "a rule base is one or more files that end in .yaml")
	}
	slices.Sort(names)
	var out []file
	for _, p := range names {
		shown := path.Join(name, p)
		f, err := source.Open(fsys, p, shown)
		var u *source.Unreadable
		switch {
		case errors.As(err, &u):
			r.unread(shown, u.Why, u.Help)
		case err != nil:
			r.unread(shown, "this file could not be read", "look whether it may be read")
		default:
			out = append(out, file{File: f, within: p})
		}
	}
	return out
}

func (r *reader) unread(path, headline, help string) {
	r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: path}, Code: "B500", Headline: headline, Help: help})
}

// hash is the short fingerprint of files: their paths within their folder and
// their bytes, wherever the folder lies.
func hash(files []file) string {
	sum := sha256.New()
	for _, f := range files {
		fmt.Fprintf(sum, "%s\x00%d\x00", f.within, len(f.Bytes))
		sum.Write(f.Bytes)
	}
	return hex.EncodeToString(sum.Sum(nil))[:12]
}

// baseFile puts the entries of one file of the base into their sections.
func (r *reader) baseFile(f file) {
	r.ds = append(r.ds, f.faults...)
	if f.root == nil {
		return
	}
	o := f.root.Object(&r.ds, "a rule file")
	if v := o.Text("version"); v != "" {
		r.b.Version = v
	}
	for _, c := range concerns() {
		switch c {
		case PitchRows:
			r.pitchTable(o)
		case Checkpoints: // the base's stand in the checklists
		case InningsRows:
			r.rows(c, o.Items(c))
		default:
			for _, n := range o.Items(c) {
				r.collect(c, n, n.Get("id"))
			}
		}
	}
	if w := o.Get("effort_weights"); w != nil {
		r.weights = w
	}
	if w := o.Get("plain_words"); w != nil {
		r.plain = w
	}
	o.Close()
}

// rows collects rows that are named by the ages they hold for, such as "9-10".
func (r *reader) rows(concern string, items []*source.Node) {
	for _, n := range items {
		ages := n.Get("ages")
		if ages.Kind() != source.List || len(ages.Items()) != 2 {
			n.Fault(&r.ds, "B502", "this row does not say for which ages it holds", "", "write ages: [9, 10]")
			continue
		}
		e := &entry{id: ages.Items()[0].Text() + "-" + ages.Items()[1].Text(), name: ages, node: n, base: n, origin: n.Place()}
		r.section(concern).entries = append(r.section(concern).entries, e)
	}
}

// collect keeps an entry under its id; a second one of the same id is a fault
// that shows both places.
func (r *reader) collect(concern string, n, id *source.Node) {
	if n.Kind() != source.Map {
		n.Object(&r.ds, "a "+noun(concern))
		return
	}
	if !r.goodID(concern, n, id) {
		return
	}
	s := r.section(concern)
	if before := s.find(id.Text()); before != nil {
		r.fault(id, "B503", fmt.Sprintf("the %s `%s` stands twice", noun(concern), id.Text()), "", "give one of the two another id, or take it out",
			"the first is at "+at(before.origin))
		return
	}
	s.entries = append(s.entries, &entry{id: id.Text(), name: id, node: n, base: n, origin: id.Place()})
}

// goodID reports whether an entry has an id that can be referred to.
func (r *reader) goodID(concern string, n, id *source.Node) bool {
	if id == nil {
		n.Fault(&r.ds, "Y221", fmt.Sprintf("a %s has no `id`", noun(concern)), "", "add a line `id: ...`")
		return false
	}
	if !snake.MatchString(id.Text()) {
		id.Fault(&r.ds, "B501", fmt.Sprintf("an id cannot be %s", id.Describe()), "", "write small letters, digits and underscores, such as weight_shift")
		return false
	}
	return true
}

func (r *reader) section(concern string) *section {
	s := r.sections[concern]
	if s == nil {
		s = &section{disabled: map[string]Change{}, gone: map[string]*entry{}}
		r.sections[concern] = s
	}
	return s
}

func (r *reader) fault(n *source.Node, code, headline, under, help string, notes ...string) {
	n.Fault(&r.ds, code, headline, under, help)
	r.ds[len(r.ds)-1].Notes = notes
}

// at writes a place as people look it up.
func at(p diag.Place) string { return fmt.Sprintf("%s:%d", p.Path, p.Line) }

// flow writes a value on one line as YAML does, so that two ways of writing the
// same value compare as equal.
func flow(n *source.Node) string {
	switch n.Kind() {
	case source.Scalar:
		return strings.Join(strings.Fields(n.Text()), " ")
	case source.List:
		var parts []string
		for _, item := range n.Items() {
			parts = append(parts, flow(item))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case source.Map:
		var parts []string
		for _, f := range n.Fields() {
			parts = append(parts, f.Key.Text()+": "+flow(f.Value))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return ""
}

// fingerprint is the short hash of an entry's content, which a house change may
// name as the text it was written against. Spaces and comments do not count.
func fingerprint(n *source.Node) string {
	sum := sha256.Sum256([]byte(flow(n)))
	return hex.EncodeToString(sum[:])[:8]
}
