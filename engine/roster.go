package engine

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/compose"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/rule"
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

// Roster reads every case file of a folder, as CaseFiles lists them, and orders the athletes by what needs the coach today. A
// file that cannot be read is listed and stops nothing.
func (e *Engine) Roster(dir string, o RosterOptions) (*report.Roster, error) {
	paths, err := CaseFiles(dir)
	if err != nil {
		return nil, err
	}
	r := &report.Roster{Rungwise: report.RosterVersion, On: e.today.Format(time.DateOnly),
		Rules: report.Rules{Version: e.base.Version, Hash: e.base.Hash}, Rows: []report.RosterRow{}, Unreadable: []report.Unreadable{}}
	if e.base.House != "" {
		house := e.base.House
		r.Rules.House = &house
	}
	kept := openCache(o.Cache, dir, e.rosterKey(o.Program))
	for _, l := range e.lines(dir, paths, kept, o) {
		if l.Row != nil {
			r.Rows = append(r.Rows, *l.Row)
		} else {
			r.Unreadable = append(r.Unreadable, *l.Bad)
		}
	}
	kept.close()
	oneFileEach(r.Rows)
	slices.SortStableFunc(r.Rows, needsFirst)
	return r, nil
}

// oneFileEach says of an athlete with more than one file that nobody knows which
// of them counts, and nothing else.
func oneFileEach(rows []report.RosterRow) {
	files := map[string][]string{}
	for _, x := range rows {
		files[x.Case] = append(files[x.Case], x.File)
	}
	for i, x := range rows {
		if all := files[x.Case]; len(all) > 1 {
			rows[i] = report.RosterRow{Case: x.Case, File: x.File, Gate: rule.NotEnough, LastLog: x.LastLog, BadLines: x.BadLines, Cautions: []string{}, Spark: []float64{}, SparkAt: -1,
				Urgency: min(x.Urgency, 1), Attention: x.Attention}
			if x.Urgency > 0 {
				rows[i].Attention = "more than one file: " + strings.Join(all, ", ")
			}
		}
	}
}

// needsFirst puts before others who needs the coach more, then whose decision is
// due longer.
func needsFirst(a, b report.RosterRow) int {
	return cmp.Or(cmp.Compare(a.Urgency, b.Urgency), dueOrder(a, b), cmp.Compare(a.Case, b.Case), cmp.Compare(a.File, b.File))
}

func dueOrder(a, b report.RosterRow) int {
	switch {
	case a.Due == b.Due:
		return 0
	case a.Due == "":
		return 1
	case b.Due == "":
		return -1
	}
	return cmp.Compare(a.Due, b.Due)
}

// CaseFiles lists the case files of a folder and its subfolders, in the order of
// their names. Whatever reads a folder of cases reads these.
func CaseFiles(dir string) ([]string, error) { return filesIn(dir, source.IsYAML) }

// filesIn lists the files of a folder and its subfolders by their names, apart
// from hidden ones and house rules. A subfolder that may not be read hides no other.
func filesIn(dir string, wanted func(name string) bool) ([]string, error) {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() && !wanted(dir) {
		return nil, fmt.Errorf("%s: this is a file; give a folder of case files", dir)
	}
	var out []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		name := filepath.Base(path)
		switch hidden := strings.HasPrefix(name, "."); {
		case err != nil && path == dir:
			return fmt.Errorf("%s: there is no such folder, or it may not be read", dir)
		case err != nil:
		case d.IsDir() && path != dir && (hidden || name == "house"):
			return filepath.SkipDir
		case !d.IsDir() && !hidden && wanted(name):
			out = append(out, path)
		}
		return nil
	})
	return out, err
}

// line is what one file comes to: a row, or why there is none.
type line struct {
	Row *report.RosterRow  `json:"row,omitempty"`
	Bad *report.Unreadable `json:"bad,omitempty"`
}

// lines reads the files with some workers; the order of the result is that of
// the paths, whoever was faster.
func (e *Engine) lines(dir string, paths []string, kept *cache, o RosterOptions) []line {
	out := make([]line, len(paths))
	var mu sync.Mutex
	next, done := 0, 0
	take := func() (int, bool) {
		mu.Lock()
		defer mu.Unlock()
		next++
		return next - 1, next <= len(paths)
	}
	var wg sync.WaitGroup
	for range max(1, o.Workers) {
		wg.Go(func() {
			for i, ok := take(); ok; i, ok = take() {
				out[i] = e.line(dir, paths[i], kept)
				mu.Lock()
				done++
				if o.Progress != nil {
					o.Progress(done, len(paths))
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	return out
}

// line reads one file, or what was kept of it.
func (e *Engine) line(dir, path string, kept *cache) line {
	name, err := filepath.Rel(dir, path)
	if err != nil {
		name = path
	}
	f, err := casefile.Read(path)
	if err != nil {
		return line{Bad: &report.Unreadable{File: name, Says: reason(err)}}
	}
	logPath, err := casefile.LogOf(path)
	if err != nil {
		return line{Bad: &report.Unreadable{File: name, Says: err.Error()}}
	}
	log, err := casefile.Read(logPath)
	if errors.Is(exists(logPath), fs.ErrNotExist) {
		log, err = source.New(logPath, nil), nil
	}
	if err != nil {
		return line{Bad: &report.Unreadable{File: name, Says: reason(err)}}
	}
	key := kept.key(name, f.Bytes, log.Bytes)
	if l, ok := kept.get(key); ok {
		return l
	}
	l := e.rosterLine(dir, name, f, log)
	kept.put(key, l)
	return l
}

func exists(path string) error {
	_, err := os.Stat(path)
	return err
}

// reason is an error without the path before it.
func reason(err error) string {
	_, says, ok := strings.Cut(err.Error(), ": ")
	if !ok {
		return err.Error()
	}
	return says
}

func (e *Engine) rosterLine(dir, name string, f, log *source.File) line {
	c, ds := e.Case(source.New(name, f.Bytes))
	if c == nil {
		return line{Bad: &report.Unreadable{File: name, Says: firstFault(ds)}}
	}
	c.Log, _ = casefile.ParseLog(log, e.vocabulary())
	_, _ = e.Remember(c, filepath.Join(dir, name)) // what cannot be logged holds on this run all the same
	row, err := e.rosterRow(c)
	if err != nil {
		return line{Bad: &report.Unreadable{File: name, Says: err.Error()}}
	}
	row.File = name
	return line{Row: row}
}

// rosterRow is one athlete in a line. Of one who must not throw it says so and
// nothing else.
func (e *Engine) rosterRow(c *casefile.Case) (*report.RosterRow, error) {
	f, err := e.brief(c)
	if err != nil {
		return nil, err
	}
	w, err := week.Make(f)
	if err != nil {
		return nil, err
	}
	row := &report.RosterRow{Case: c.Code, Gate: rule.GoOn, Cautions: []string{}, Spark: []float64{}, SparkAt: -1, BadLines: len(c.Log.Bad)}
	if g := f.Triage.Gate; g != nil {
		row.Gate = g.Verdict
	}
	if n := len(c.Log.Entries); n > 0 {
		row.LastLog = c.Log.Entries[n-1].On
	}
	row.Urgency, row.Attention = attention(f, w)
	if w.Decision == stopDecision || w.Decision == week.NotAsked {
		return row, nil
	}
	row.Due, row.DueNow = w.Due.Next, w.Due.Now
	for _, k := range f.Triage.Cautions {
		if k.Level != rule.Note && k.When != nil { // what is said of everybody tells nobody apart
			row.Cautions = append(row.Cautions, k.ID)
		}
	}
	if fs := f.Triage.Factors; len(fs) > 0 {
		row.Factor, row.FactorIs = fs[0].Factor.ID, fs[0].Factor.Title
	}
	row.Week, row.Base = w.Load.Throws, w.Load.BaseThrows
	if s := f.Facts.Load.Recent; s.GrowthKnown {
		row.Growth = &s.Growth
	}
	spark(row, f.Facts)
	return row, nil
}

const stopDecision = "stop"

// spark draws the ladder in percent of the reference.
func spark(row *report.RosterRow, facts *observe.Facts) {
	l := facts.Ladder
	for _, r := range l.Verdict.Rungs {
		v := 0.0
		if r.N > 0 && r.Ratio > 0 {
			v = float64(int(1000*r.Ratio+.5)) / 10
		}
		row.Spark = append(row.Spark, v)
	}
	if at := l.Verdict.Rung; l.Thrown && at > 0 && at < len(l.Rungs) {
		row.SparkAt, row.Rung, row.RungName = at, l.Rungs[at].Throw.ID, l.Rungs[at].Throw.Title
	}
}

// attention says how soon an athlete needs the coach, and for what.
func attention(f compose.Findings, w *report.Week) (int, string) {
	switch {
	case w.Decision == stopDecision && len(w.Reasons) > 0:
		return 0, "stop: " + w.Reasons[len(w.Reasons)-1].Words
	case w.Decision == week.NotAsked:
		return 1, "ask the safety questions"
	case w.Decision == "restore":
		return 2, "bring the drill back first"
	case w.Decision == "re_triage":
		return 2, "look at the whole throw again"
	case w.Due.Now:
		return 3, "decision due since " + w.Due.Next + ": " + strings.ReplaceAll(w.Decision, "_", " ")
	}
	for _, t := range w.Trials {
		if t.Verdict == "due" {
			return 3, "decide on the drill on trial: " + t.Title
		}
	}
	if n := len(w.Relook); n > 0 {
		return 3, fmt.Sprintf("look again at %s", strings.ToLower(w.Relook[0].Title))
	}
	if g := f.Triage.Gate; g != nil && (g.Verdict == rule.NotEnough || g.Verdict == rule.NotThisQuestion) {
		return 4, strings.Join(strings.Fields(g.Says), " ")
	}
	if w.Load.Over {
		return 4, "the week's load is over the most it may be"
	}
	return 5, ""
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
