package casefile

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"rungwise/engine/safety"
)

// screenPrefix stands before the id of a safety question.
const screenPrefix = "screen."

// Record lists every way in which a body has spoken in a case and its log, in
// the order in which it was written down: what the case file answers comes
// first, since nobody knows when it was typed; what it complains of and the log
// does not hold yet comes last, where no clearance reaches it.
func (c *Case) Record(rules safety.Rules, alarms safety.Alarms) []safety.Report {
	var out, last []safety.Report
	for _, part := range split(c.Screen(), rules) {
		r := safety.Report{On: c.ScreenedOn(), From: "the case file", Answers: part}
		switch {
		case !wrong(part, rules):
			out = append(out, r)
		case !c.holds(part):
			last = append(last, r)
		}
	}
	for _, note := range c.alarming(alarms) {
		last = append(last, safety.Report{On: note.on, From: "the case file", Unread: "the note \u201c" + short(note.text) + "\u201d may tell of the arm"})
	}
	if c.Log == nil {
		return append(out, last...)
	}
	for _, x := range c.Log.lines {
		out = append(out, x.reports(rules, alarms)...)
	}
	lost := c.lost()
	if c.Log.closed != "" {
		lost = append(lost, c.Log.closed)
	}
	for _, words := range lost {
		last = append(last, safety.Report{From: "the log", Unread: words})
	}
	return append(out, last...)
}

// Unrecorded is what to log so that nothing that the files say today of the body
// can be edited away: answers that complain, answers that differ from those
// logged before, notes, and lines of the log that cannot be read. It is nil where
// the log has it all.
func (c *Case) Unrecorded(rules safety.Rules, alarms safety.Alarms, today time.Time) []Entry {
	var out []Entry
	add := func(on time.Time, e Entry) {
		if on.IsZero() || on.After(today) {
			on = today
		}
		e.Entered, e.On, e.What = today.Format(time.DateOnly), on.Format(time.DateOnly), LogScreen
		out = append(out, e)
	}
	screen := c.Screen()
	complaint := func(part map[string]string) bool { return wrong(part, rules) && !c.holds(part) }
	if slices.ContainsFunc(split(screen, rules), complaint) || differs(screen, c.logged()) {
		add(c.ScreenedOn(), Entry{Answers: screen})
	}
	for _, note := range c.alarming(alarms) {
		add(note.on, Entry{Note: note.text})
	}
	for _, words := range c.lost() {
		add(today, Entry{Unread: words})
	}
	return out
}

// mostLost bounds how many lines are named one by one.
const mostLost = 20

// lost tells, in words, of lines of the log that cannot be read or are missing
// and that no entry speaks of yet: somebody may have asked since, but not since
// it is known.
func (c *Case) lost() []string {
	if c.Log == nil {
		return nil
	}
	told := map[string]bool{}
	for _, x := range c.Log.lines {
		told[x.Unread] = true
	}
	var out []string
	for _, x := range c.Log.lines {
		if x.unread != "" && !told[x.unread] {
			out = append(out, x.unread)
		}
	}
	if n := len(out); n > mostLost {
		if out = []string{fmt.Sprintf("%d lines of the log cannot be read", n)}; told[out[0]] {
			return nil
		}
	}
	return out
}

// Screen is what the case file answers to the safety questions, by question.
func (c *Case) Screen() map[string]string {
	out := map[string]string{}
	for _, a := range c.Answers {
		if id, ok := strings.CutPrefix(a.Name, screenPrefix); ok {
			out[id] = a.Value
		}
	}
	return out
}

// ScreenedOn is the day on which the safety questions of the case file were
// asked: the one that it tells, else the newest day of which it tells anything,
// since they were asked by then. It is zero where it tells of none.
func (c *Case) ScreenedOn() time.Time {
	if !c.Screened.IsZero() {
		return c.Screened
	}
	days := []time.Time{c.Load.LastHighEffort, c.Reference.FirstThrown, c.Reference.LastThrown}
	for _, d := range c.Load.Days {
		days = append(days, d.On)
	}
	for _, b := range slices.Concat(c.Reference.Best, c.Mound) {
		days = append(days, b.On)
	}
	for _, s := range c.Reference.Sessions {
		days = append(days, s.On)
	}
	for _, l := range c.Ladders {
		days = append(days, l.On)
	}
	return slices.MaxFunc(days, time.Time.Compare)
}

// dated is an answer to the screen and the day it tells of.
type dated struct {
	answer string
	on     time.Time
}

// logged is the newest answer to each question that was logged as an answer to
// the screen.
func (c *Case) logged() map[string]dated {
	out := map[string]dated{}
	if c.Log != nil {
		for _, x := range c.Log.lines {
			for id, answer := range x.Answers {
				out[id] = dated{answer, x.Day()}
			}
		}
	}
	return out
}

// holds reports whether the log has these answers as the newest, of the day on
// which the file says that they were given.
func (c *Case) holds(part map[string]string) bool {
	logged := c.logged()
	for id, answer := range part {
		if logged[id].answer != answer || c.Screened.After(logged[id].on) {
			return false
		}
	}
	return true
}

// differs reports whether an answer of the case file is another than was logged.
func differs(screen map[string]string, logged map[string]dated) bool {
	for id, answer := range screen {
		if was, known := logged[id]; known && was.answer != answer {
			return true
		}
	}
	return false
}

// note is free words of a case file and the day they tell of.
type note struct {
	text string
	on   time.Time
}

// alarming lists the free words of the case file that may tell of the arm and that the log does not hold, of their day
// where they tell one.
func (c *Case) alarming(alarms safety.Alarms) []note {
	var all, out []note
	for _, o := range c.Seen {
		for _, l := range o.Looks {
			all = append(all, note{l.Note, l.On})
		}
	}
	for _, d := range c.Disagrees {
		all = append(all, note{d.Reason, d.On})
	}
	said := map[string]bool{"": true}
	for _, n := range all {
		if said[n.text] || alarms.Find(n.text) == "" {
			continue
		}
		said[n.text] = true
		if c.Log == nil || !slices.ContainsFunc(c.Log.lines, func(x line) bool {
			return x.What == LogScreen && x.Note == n.text && !n.on.After(x.Day())
		}) {
			out = append(out, n)
		}
	}
	return out
}

// reports are what one line of the log says of the body.
func (x line) reports(rules safety.Rules, alarms safety.Alarms) []safety.Report {
	if x.unread != "" {
		return []safety.Report{{On: x.after, From: "the log", Unread: x.unread}}
	}
	r := safety.Report{On: x.Day(), Written: dayOf(x.Entered), From: fmt.Sprintf("entry %d of the log", x.ID), Withdrawn: x.withdrawn}
	var fine, out []safety.Report
	if x.What == LogClearance { // what it tells besides comes after it
		out = append(out, r)
		out[0].Cleared, out[0].By = true, x.By
	}
	answers := x.Health.Answers()
	maps.Copy(answers, x.Answers)
	switch x.Asked {
	case "", "none":
	case "pain":
		answers["pain"] = "pain"
	default:
		answers["pain"], answers["where"] = "soreness", x.Asked
	}
	for _, part := range split(answers, rules) {
		r := r
		r.Answers = part
		for id := range part {
			r.Referred = r.Referred || slices.Contains(x.Refers, id)
		}
		if wrong(part, rules) {
			out = append(out, r)
		} else {
			fine = append(fine, r)
		}
	}
	if words := x.said(alarms); words != "" { // then nobody knows what the other answers are worth
		r.Unread = words
		return append(out, r)
	}
	return append(out, fine...)
}

// said is what an entry says in free words that nobody has asked about, "" for
// nothing.
func (x line) said(alarms safety.Alarms) string {
	switch {
	case x.Unread != "":
		return fmt.Sprintf("not understood: %s (entry %d of the log)", short(x.Unread), x.ID)
	case x.Asked == "" && alarms.Find(x.Note) != "":
		return fmt.Sprintf("the note of entry %d, \u201c%s\u201d, may tell of the arm", x.ID, short(x.Note))
	}
	return ""
}

// Referring lists the questions of an entry whose answers send the athlete to a
// clinician, for its Refers.
func (e Entry) Referring(rules safety.Rules) []string {
	var out []string
	answers := e.Health.Answers()
	maps.Copy(answers, e.Answers)
	for _, part := range split(answers, rules) {
		if wrong(part, rules) && rules.Refers(part) {
			out = append(out, slices.Sorted(maps.Keys(part))...)
		}
	}
	return out
}

// split parts answers into those of a session, which belong together, and each
// other question with its details: a clearance for one is none for another.
func split(answers map[string]string, rules safety.Rules) []map[string]string {
	parts := map[string]map[string]string{}
	var order []string
	for _, q := range rules.Questions {
		answer := answers[q.ID]
		if answer == "" {
			continue
		}
		key := q.ID
		switch {
		case q.Session:
			key = ""
		case q.Of != "":
			key = q.Of
		}
		if parts[key] == nil {
			parts[key] = map[string]string{}
			order = append(order, key)
		}
		parts[key][q.ID] = answer
	}
	out := make([]map[string]string, len(order))
	for i, key := range order {
		out[i] = parts[key]
	}
	return out
}

// wrong reports whether an answer tells of something wrong.
func wrong(answers map[string]string, rules safety.Rules) bool {
	return slices.ContainsFunc(rules.Questions, func(q safety.Question) bool {
		return q.Complains(answers[q.ID])
	})
}
