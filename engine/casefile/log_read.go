package casefile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// ReadLog reads the log beside a case file as it stood on the vocabulary's
// today. A case without a log has an empty one. Two logs of one case, or a log
// that leads nowhere, are an error: what stands in them would be lost.
func ReadLog(casePath string, v Vocabulary) (*Log, diag.List, error) {
	path, err := LogOf(casePath)
	if err != nil {
		return nil, nil, err
	}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return &Log{Path: path}, nil, nil
	}
	f, err := Read(path)
	if err != nil {
		return nil, nil, err
	}
	l, ds := ParseLog(f, v)
	return l, ds, nil
}

// LogOf finds the one log of a case: beside the file itself, also where it is
// reached by a link.
func LogOf(casePath string) (string, error) {
	real, err := filepath.EvalSymlinks(casePath)
	if err != nil {
		real = casePath // not there: whoever reads the case says so
	}
	path := LogPath(real)
	at, err := os.Stat(path)
	if _, link := os.Lstat(path); link == nil && err != nil {
		return "", fmt.Errorf("%s: the log cannot be reached, so nobody knows what stands in it; put it back", path)
	}
	for _, other := range []string{LogPath(casePath), casePath + ".log.jsonl", real + ".log.jsonl"} {
		if info, there := os.Lstat(other); other != path && there == nil && !os.SameFile(at, info) {
			return "", fmt.Errorf("%s and %s are two logs of one athlete; put the lines of both into the first", path, other)
		}
	}
	return path, nil
}

// ParseLog reads a log line by line. A line that cannot be read is reported by
// its number; its throws are missing, and whatever it said of the arm counts as
// not understood. Entries written down after today are left out of what is in
// force, so that a report of an earlier day comes out as it did then; what they
// complain of counts all the same.
func ParseLog(f *source.File, v Vocabulary) (*Log, diag.List) {
	l := &Log{Path: f.Path}
	r := logReader{f: f, v: v}
	var all []Entry
	at, next, after := 0, 1, time.Time{}
	for n, text := range bytes.SplitAfter(f.Bytes, []byte("\n")) {
		start := at
		at += len(text)
		text = bytes.TrimRight(text, "\r\n")
		if n == 0 {
			text = bytes.TrimPrefix(text, []byte("\ufeff"))
		}
		if len(bytes.TrimSpace(text)) == 0 {
			continue
		}
		e, ok := r.entry(text, start)
		e.line = n + 1
		if ok && e.ID > next {
			r.fault(start, start, "L406", fmt.Sprintf("entries are missing before this one, number %d", e.ID), "put them back, or ask the safety questions again")
			l.lines = append(l.lines, line{unread: fmt.Sprintf("entries before number %d are missing from the log", e.ID), after: after})
		}
		next = following(next, text, n)
		if !ok {
			l.Bad = append(l.Bad, n+1)
			l.lines = append(l.lines, line{unread: fmt.Sprintf("line %d of the log cannot be read", n+1), after: after})
			continue
		}
		if day := dayOf(e.Entered); day.After(after) {
			after = day
		}
		l.lines = append(l.lines, line{Entry: e})
		if !v.Today.IsZero() && dayOf(e.Entered).After(v.Today) {
			l.Later++
			continue
		}
		all = append(all, e)
	}
	l.inForce(all, &r)
	l.withdraw()
	return l, r.ds
}

// withdraw marks what a later entry corrects or takes back, a correction among
// them.
func (l *Log) withdraw() {
	stands := map[int]int{} // by number, of an entry or of what it corrects, into lines
	for i, x := range l.lines {
		if at, known := stands[x.Corrects]; known && x.Corrects > 0 {
			l.lines[at].withdrawn = true
			stands[x.Corrects] = i
		}
		stands[x.ID] = i
	}
	for _, x := range l.lines {
		if x.withdrawn && x.What != LogVoid {
			l.Withdrawn = append(l.Withdrawn, x.Entry)
		}
	}
}

// logReader reads lines and gathers what is wrong with them.
type logReader struct {
	f  *source.File
	v  Vocabulary
	ds diag.List
}

func (r *logReader) fault(start, end int, code, headline, help string) {
	r.ds.Add(diag.Diagnostic{Place: r.f.Place(start, end), Level: diag.Warning, Code: code, Headline: headline, Help: help})
}

// entry decodes and checks one line.
func (r *logReader) entry(text []byte, start int) (Entry, bool) {
	var e Entry
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(&e)
	if err == nil && twice(text) {
		err = errTwice
	}
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			err = errors.New("more than one entry")
		}
	}
	if err != nil {
		r.fault(start, start+len(text), "L400", "this line of the log cannot be read: "+plainJSON(err),
			"write it again with `rungwise log`; its throws are missing until then, and the safety questions are asked again")
		return e, false
	}
	if says := e.faults(r.v); len(says) > 0 {
		for _, s := range says {
			r.fault(start, start+len(text), "L401", s+"; this line cannot be read", "write it again with `rungwise log`; its throws are missing until then, and the safety questions are asked again")
		}
		return e, false
	}
	if e.Rung != "" && len(r.v.Throws) > 0 && !slices.Contains(r.v.Throws, e.Rung) {
		r.fault(start, start+len(text), "L402", fmt.Sprintf("no throw is called `%s`: its throws are counted, its marks decide nothing", e.Rung), "")
	}
	return e, true
}

var errTwice = errors.New("a name stands twice in it")

// twice reports whether a name stands twice in an object: the reader would take
// the last one and lose the other.
func twice(text []byte) bool {
	d := json.NewDecoder(bytes.NewReader(text))
	var open []map[string]bool // the names of each object that is open; nil for a list
	name := false              // the next word of the innermost object is a name
	for {
		t, err := d.Token()
		if err != nil {
			return false
		}
		switch v := t.(type) {
		case json.Delim:
			switch v {
			case '{':
				open, name = append(open, map[string]bool{}), true
				continue
			case '[':
				open, name = append(open, nil), false
				continue
			}
			open = open[:len(open)-1]
		case string:
			if name {
				names := open[len(open)-1]
				if names[v] {
					return true
				}
				names[v], name = true, false
				continue
			}
		}
		name = len(open) > 0 && open[len(open)-1] != nil
	}
}

var unknownField = regexp.MustCompile(`unknown field "([^"]*)"`)

// plainJSON puts a decoding error into words.
func plainJSON(err error) string {
	var kind *json.UnmarshalTypeError
	switch m := unknownField.FindStringSubmatch(err.Error()); {
	case m != nil:
		return fmt.Sprintf("`%s` is no part of an entry", m[1])
	case errors.As(err, &kind) && kind.Field != "":
		return fmt.Sprintf("`%s` holds something that it cannot hold", kind.Field)
	case errors.Is(err, errTwice):
		return errTwice.Error()
	case err.Error() == "more than one entry":
		return "it holds more than one entry"
	}
	return "it was cut short or changed by hand"
}

// inForce puts corrections in the place of what they correct, in the order in
// which they were written.
func (l *Log) inForce(all []Entry, r *logReader) {
	at := map[int]int{} // by id, of an entry or of its correction, into kept
	var kept []*Entry
	for _, e := range all {
		if _, twice := at[e.ID]; twice {
			r.fault(r.lineStart(e.line), r.lineStart(e.line), "L403", fmt.Sprintf("entry %d stands twice in the log: both count", e.ID), "take one back with `rungwise log FILE --void`")
		}
		i, known := at[e.Corrects]
		if e.Corrects > 0 && known && kept[i] != nil {
			kept[i] = nil
		} else if e.Corrects > 0 {
			r.fault(r.lineStart(e.line), r.lineStart(e.line), "L404", fmt.Sprintf("entry %d corrects entry %d, which is not there: it counts by itself", e.ID, e.Corrects), "")
		}
		at[e.ID] = len(kept)
		if e.Corrects > 0 && known {
			at[e.Corrects] = len(kept)
		}
		if e.What == LogVoid {
			kept = append(kept, nil)
			continue
		}
		kept = append(kept, &e)
	}
	for _, e := range kept {
		if e != nil {
			l.Entries = append(l.Entries, *e)
		}
	}
	slices.SortStableFunc(l.Entries, func(a, b Entry) int { return strings.Compare(a.On, b.On) })
}

func (r *logReader) lineStart(line int) int {
	at := 0
	for range line - 1 {
		i := bytes.IndexByte(r.f.Bytes[at:], '\n')
		if i < 0 {
			return len(r.f.Bytes)
		}
		at += i + 1
	}
	return at
}

// faults lists in plain words what is wrong with an entry.
func (e Entry) faults(v Vocabulary) []string {
	var out []string
	add := func(bad bool, format string, args ...any) {
		if bad {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	add(e.Format != LogFormat, "this program reads `%s` in a log, this is `%s`", LogFormat, e.Format)
	add(e.ID < 1, "an entry needs a number of its own")
	add(!slices.Contains(logKinds(), e.What), "`%s` is no kind of entry; the kinds are %s", e.What, strings.Join(logKinds(), ", "))
	for _, d := range []struct{ what, text string }{{"entered", e.Entered}, {"on", e.On}, {"until", e.Until}} {
		_, err := time.Parse(time.DateOnly, d.text)
		add(err != nil && (d.text != "" || d.what != "until"), "`%s` is no day such as 2026-11-09", d.what)
	}
	add(dayOf(e.On).After(dayOf(e.Entered)), "%s lies after %s, the day it was written down", e.On, e.Entered)
	by := e.By != "" && (v.Checklist == nil || slices.Contains(v.Clinicians(), e.By))
	add(e.What == LogClearance && !(by && e.Writing), "a clearance says who gave it (%s) and that it is in writing; this one lifts nothing", strings.Join(v.Clinicians(), ", "))
	add(e.What == LogVoid && e.Corrects == 0, "what is taken back is not named")
	add(e.Corrects < 0 || e.Corrects >= e.ID && e.ID > 0, "an entry corrects an earlier one, not entry %d", e.Corrects)
	add(e.Effort < 0 || e.Effort > 100, "an effort lies between 1 and 100 %%, not at %g", e.Effort)
	add(e.High > e.Throws && e.Throws > 0, "more high-effort throws than throws")
	add(e.Phase != "" && !slices.Contains(phases(), e.Phase), "the phase is one of %s, not `%s`", strings.Join(phases(), ", "), e.Phase)
	add(e.What == LogOther && !slices.Contains(otherKinds(), e.Kind), "what was thrown elsewhere is one of %s, not `%s`", strings.Join(otherKinds(), ", "), e.Kind)
	return append(append(out, e.countFaults()...), e.throwFaults(v)...)
}

func phases() []string     { return []string{"velocity", "mound", "season", "time_off"} }
func otherKinds() []string { return []string{"game", "practice", "catching"} }

func (e Entry) countFaults() []string {
	var out []string
	check := func(b bound, n float64) {
		if says, ok := b.check(n); !ok {
			out = append(out, says)
		}
	}
	check(gameBound(), float64(e.Pitches))
	check(inningsBound(), e.Innings)
	for _, n := range []int{e.Throws, e.High, e.AtRung(), len(e.Keep)} {
		check(dayBound(), float64(n))
	}
	for _, d := range e.Drills {
		check(dayBound(), float64(d.Throws))
	}
	return out
}

// throwFaults checks speeds, marks and health answers.
func (e Entry) throwFaults(v Vocabulary) []string {
	var out []string
	if !slices.Contains([]unit.Unit{"", unit.MPH, unit.KMH, unit.MPS}, e.Unit) {
		return []string{fmt.Sprintf("speeds are in mph, km/h or m/s, not in %s", e.Unit)}
	}
	for _, v := range slices.Concat(e.Speeds, e.Keep) {
		if v == nil {
			continue
		}
		q := unit.Quantity{Value: *v, Unit: e.unit()}
		mph, _ := q.In(unit.MPH)
		if unit.Check(mph, speedRange()) != nil {
			out = append(out, fmt.Sprintf("nobody throws %s", q))
		}
	}
	for _, m := range e.Marks {
		if !slices.Contains(marks(), m) {
			out = append(out, fmt.Sprintf("a mark is yes, partly, no or %s, not `%s`", CouldNotSee, m))
		}
	}
	if len(e.Speeds) > 0 && len(e.Marks) > 0 && len(e.Speeds) != len(e.Marks) {
		out = append(out, fmt.Sprintf("%d speeds and %d marks: each throw has one of both; `-` stands for one that was missed", len(e.Speeds), len(e.Marks)))
	}
	if h := e.Health; h != nil {
		for _, a := range []string{h.Pain, h.Numbness, h.Pop, h.SuddenLoss} {
			if a != "" && a != "yes" && a != "no" {
				out = append(out, fmt.Sprintf("a health question is answered yes or no, not `%s`", a))
			}
		}
		out = append(out, v.notPlace(h.Sore)...)
	}
	return out
}

// Places lists where it can be sore, as the screen asks it; none where the
// checklist is not at hand.
func (v Vocabulary) Places() []string {
	if v.Checklist == nil {
		return nil
	}
	q, _ := v.Checklist.Question("screen.where")
	var out []string
	for _, a := range q.Answers {
		out = append(out, a.ID)
	}
	return out
}

// Clinicians lists who may clear an athlete, as the screen asks it; none where
// the checklist is not at hand.
func (v Vocabulary) Clinicians() []string {
	if v.Checklist == nil {
		return nil
	}
	q, _ := v.Checklist.Question("screen.surgery_by")
	return q.Fine
}

func (v Vocabulary) notPlace(place string) []string {
	if places := v.Places(); place != "" && len(places) > 0 && !slices.Contains(places, place) {
		return []string{fmt.Sprintf("it is sore at one of %s, not `%s`", strings.Join(places, ", "), place)}
	}
	return nil
}
