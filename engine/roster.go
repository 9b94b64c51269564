package engine

import (
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/kept"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/week"
)

// RosterOptions says how a folder is read. The zero value reads it with one
// worker and keeps nothing.
type RosterOptions struct {
	Workers  int
	Cache    string                // folder in which results are kept; "" = none
	Program  string                // whatever tells one build from another; part of what results are kept under
	Progress func(done, total int) // called now and then from one goroutine at a time; may be nil
}

// Roster reads every case file of a folder, as casefile.Folder lists them, and
// orders the athletes by what needs the coach today. A file that cannot be read
// is listed and stops nothing.
func (e *Engine) Roster(dir string, o RosterOptions) (*report.Roster, error) {
	paths, err := casefile.Folder(dir)
	if err != nil {
		return nil, err
	}
	r := &report.Roster{Rungwise: report.RosterVersion, On: e.today.Format(time.DateOnly),
		Rules: report.Rules{Version: e.base.Version, Hash: e.base.Hash}, Rows: []report.RosterRow{}, Unreadable: []report.Unreadable{}}
	if e.base.House != "" {
		house := e.base.House
		r.Rules.House = &house
	}
	store, stamp := keptOf(o.Cache, "roster", dir), e.stamp(o.Program)
	lines := make([]line, len(paths))
	each(len(paths), o.Workers, o.Progress, func(i int) { lines[i] = e.line(dir, paths[i], store, stamp) })
	store.Close()
	for _, l := range lines {
		if l.Row != nil {
			r.Rows = append(r.Rows, *l.Row)
		} else {
			r.Unreadable = append(r.Unreadable, *l.Bad)
		}
	}
	week.Order(r.Rows)
	return r, nil
}

// line is what one file comes to: a row, or why there is none.
type line struct {
	Row *report.RosterRow  `json:"row,omitempty"`
	Bad *report.Unreadable `json:"bad,omitempty"`
}

// line reads one file, or what was kept of it.
func (e *Engine) line(dir, path string, store *kept.Store, stamp string) line {
	name, err := filepath.Rel(dir, path)
	if err != nil {
		name = path
	}
	d, err := readStored(path)
	if err != nil {
		return line{Bad: &report.Unreadable{File: name, Says: reason(err)}}
	}
	key := kept.Key(stamp, name, d.hash())
	var l line
	if store.Get(key, &l) && (l.Row == nil) != (l.Bad == nil) {
		return l
	}
	row, err := e.row(path, name, d)
	if err != nil {
		l = line{Bad: &report.Unreadable{File: name, Says: err.Error()}}
	} else {
		row.File = name
		l = line{Row: row}
	}
	store.Put(key, l)
	return l
}

func (e *Engine) row(path, name string, d stored) (*report.RosterRow, error) {
	d.file = source.New(name, d.file.Bytes)
	c, ds := e.read(d)
	if c == nil {
		return nil, firstFault(ds)
	}
	_, _ = e.Remember(c, path) // what cannot be logged holds on this run all the same
	f, err := e.brief(c)
	if err != nil {
		return nil, err
	}
	return week.Row(f)
}

// reason is an error without the path before it.
func reason(err error) string {
	_, says, ok := strings.Cut(err.Error(), ": ")
	if !ok {
		return err.Error()
	}
	return says
}

// RosterFilter keeps the rows that meet all of what is set.
type RosterFilter struct {
	Due           bool   // something is due, or comes before what is due
	Stuck, Factor string // ids
}

// FilterRoster takes the rows out that a filter does not keep, and counts them.
func FilterRoster(r *report.Roster, f RosterFilter) {
	all := len(r.Rows)
	r.Rows = slices.DeleteFunc(r.Rows, func(x report.RosterRow) bool {
		return f.Due && x.Urgency > 3 || f.Stuck != "" && x.Rung != f.Stuck || f.Factor != "" && x.Factor != f.Factor
	})
	r.Hidden = all - len(r.Rows)
}
