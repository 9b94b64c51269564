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

	"rungwise/engine/checklist"
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
	var now []Entry
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
		now = append(now, e)
	}
	l.stand(now, &r)
	return l, r.ds
}

// stand works out which of the entries that were written by now are in force, and which of all were withdrawn.
func (l *Log) stand(now []Entry, r *logReader) {
	gone, astray := replaced(now)
	first := map[int]bool{}
	for i, e := range now {
		if first[e.ID] {
			r.fault(e.start, e.start, "L403", fmt.Sprintf("entry %d stands twice in the log: both count", e.ID), "take one back with `rungwise log FILE --void`")
		}
		if astray[i] {
			r.fault(e.start, e.start, "L404", fmt.Sprintf("entry %d corrects entry %d, which is not there: it counts by itself", e.ID, e.Corrects), "")
		}
		if first[e.ID] = true; !gone[i] && e.What != LogVoid {
			l.Entries = append(l.Entries, e)
		}
	}
	slices.SortStableFunc(l.Entries, func(a, b Entry) int { return strings.Compare(a.On, b.On) })
	all := make([]Entry, len(l.lines))
	for i, x := range l.lines {
		all[i] = x.Entry
	}
	gone, _ = replaced(all)
	for i, e := range all {
		if l.lines[i].withdrawn = gone[i]; gone[i] && e.What != LogVoid {
			l.Withdrawn = append(l.Withdrawn, e)
		}
	}
}

// replaced tells which entries a later one corrects or takes back, itself perhaps a correction, and which are astray:
// what they correct does not stand.
func replaced(entries []Entry) (gone, astray []bool) {
	gone, astray = make([]bool, len(entries)), make([]bool, len(entries))
	stands := map[int]int{} // by number, of an entry or of what it corrects
	for i, e := range entries {
		stands[e.ID] = i
		if e.Corrects <= 0 {
			continue
		}
		at, known := stands[e.Corrects]
		if astray[i] = !known || gone[at] || entries[at].What == LogVoid; known {
			gone[at], stands[e.Corrects] = true, i
		}
	}
	return gone, astray
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

// writeAgain mends a line that cannot be read.
const writeAgain = "write it again with `rungwise log`; its throws are missing until then, and the safety questions are asked again"

// entry decodes and checks one line.
func (r *logReader) entry(text []byte, start int) (Entry, bool) {
	e, says := decode(text)
	e.start = start
	if says != "" {
		r.fault(start, start+len(text), "L400", "this line of the log cannot be read: "+says, writeAgain)
		return e, false
	}
	faults := e.faults(r.v)
	for _, s := range faults {
		r.fault(start, start+len(text), "L401", s+"; this line cannot be read", writeAgain)
	}
	if len(faults) == 0 && e.Rung != "" && len(r.v.Throws) > 0 && !slices.Contains(r.v.Throws, e.Rung) {
		r.fault(start, start+len(text), "L402", fmt.Sprintf("no throw is called `%s`: its throws are counted, its marks decide nothing", e.Rung), "")
	}
	return e, len(faults) == 0
}

var unknownField = regexp.MustCompile(`unknown field "([^"]*)"`)

// decode reads one entry strictly and says in words why it is none.
func decode(text []byte) (e Entry, says string) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(&e)
	var kind *json.UnmarshalTypeError
	switch {
	case err == nil && twice(json.NewDecoder(bytes.NewReader(text))):
		return e, "a name stands twice in it"
	case err == nil:
		if _, more := d.Token(); more != io.EOF {
			return e, "it holds more than one entry"
		}
		return e, ""
	case errors.As(err, &kind) && kind.Field != "":
		return e, fmt.Sprintf("`%s` holds something that it cannot hold", kind.Field)
	}
	if m := unknownField.FindStringSubmatch(err.Error()); m != nil {
		return e, fmt.Sprintf("`%s` is no part of an entry", m[1])
	}
	return e, "it was cut short or changed by hand"
}

// twice reports whether a name stands twice in an object of a value that is whole: the reader would take the last one
// and lose the other.
func twice(d *json.Decoder) bool {
	open, _ := d.Token()
	if _, nested := open.(json.Delim); !nested {
		return false
	}
	names := map[json.Token]bool{}
	for d.More() {
		if open == json.Delim('{') {
			name, _ := d.Token()
			if names[name] {
				return true
			}
			names[name] = true
		}
		if twice(d) {
			return true
		}
	}
	_, _ = d.Token() // the closing bracket
	return false
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

// counted is one thing that an entry counts.
type counted struct {
	words []string // that stand for it in a line about throws elsewhere
	slip  bool     // on a slip too
	most  bound
	parts bool // a part of one counts
	n     float64
	set   func(n float64)
}

func (e *Entry) counts() []counted {
	return []counted{
		{[]string{"pitches", "pitch"}, false, gameBound(), false, float64(e.Pitches), func(n float64) { e.Pitches = int(n) }},
		{[]string{"innings", "inning"}, false, inningsBound(), true, e.Innings, func(n float64) { e.Innings = n }},
		{[]string{"throws", "throw"}, true, dayBound(), false, float64(e.Throws), func(n float64) { e.Throws = int(n) }},
		{[]string{"hard", "high"}, true, dayBound(), false, float64(e.High), func(n float64) { e.High = int(n) }},
	}
}

// count is what a word stands for; known is false where it counts nothing.
func (e *Entry) count(word string) (c counted, known bool) {
	all := e.counts()
	i := slices.IndexFunc(all, func(c counted) bool { return slices.Contains(c.words, word) })
	if i < 0 {
		return counted{}, false
	}
	return all[i], true
}

func (e Entry) countFaults() []string {
	all := append(e.counts(), counted{most: dayBound(), n: float64(e.AtRung())}, counted{most: dayBound(), n: float64(len(e.Keep))})
	for _, d := range e.Drills {
		all = append(all, counted{most: dayBound(), n: float64(d.Throws)})
	}
	var out []string
	for _, c := range all {
		if says, ok := c.most.check(c.n); !ok {
			out = append(out, says)
		}
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
		if _, ok := Believed(q); !ok {
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
	if e.Health == nil {
		return out
	}
	for _, q := range e.Health.questions() {
		if a := *q.answer; a != "" && a != "yes" && a != "no" {
			out = append(out, fmt.Sprintf("a health question is answered yes or no, not `%s`", a))
		}
	}
	if places, sore := v.Places(), e.Health.Sore; sore != "" && len(places) > 0 && !slices.Contains(places, sore) {
		out = append(out, fmt.Sprintf("it is sore at one of %s, not `%s`", strings.Join(places, ", "), sore))
	}
	return out
}

// Places lists where it can be sore, as the screen asks it; none where the
// checklist is not at hand.
func (v Vocabulary) Places() []string { return ids(v.screen("where").Answers) }

// Clinicians lists who may clear an athlete, as the screen asks it; none where
// the checklist is not at hand.
func (v Vocabulary) Clinicians() []string { return v.screen("surgery_by").Fine }

func (v Vocabulary) screen(id string) (q checklist.Question) {
	if v.Checklist != nil {
		q, _ = v.Checklist.Question(screenPrefix + id)
	}
	return q
}
