// Package safety decides what an athlete's record lets anybody say about
// throwing.
//
// Its invariant: it fails closed. The record is every report in the order in
// which it was written down; the state is a function of it and of the day. A
// complaint that is referred stands until a clearance written down after it; an
// answer that nothing is wrong counts for as many days as its question is good
// for; what could not be read makes the answers before it count for nothing. So
// adding a complaint or an unreadable line never permits more.
package safety

import (
	"slices"
	"time"
)

// Question is what the state must know of a question of the screen.
type Question struct {
	ID      string   // as in screen.ID
	Fine    []string // the answers that say that nothing is wrong; none = no answer complains
	GoodFor int      // days for which an answer counts, the day itself left out; 0 = for good
	Session bool     // asked at every session, so anything unread may have been an answer to it
	Of      string   // the question that it is a detail of, such as where of pain; "" = none
	// LiftedBy are those whose clearance lifts a complaint; none = any clinician's.
	LiftedBy []string
}

// Complains reports whether an answer says that something is wrong.
func (q Question) Complains(answer string) bool {
	return answer != "" && len(q.Fine) > 0 && !slices.Contains(q.Fine, answer)
}

// Rules is how answers are read.
type Rules struct {
	Questions []Question
	// Refers reports whether answers by themselves send the athlete to a
	// clinician.
	Refers func(answers map[string]string) bool
}

// Report is one time that a body spoke, somebody asked, or something was written
// that could not be read.
type Report struct {
	On, Written time.Time         // the day it tells of and the day it was written down; zero = not told
	From        string            // where it stands, in words: "entry 7 of the log"
	Answers     map[string]string // by question
	Unread      string            // what is not understood, in words; "" = all is
	Cleared     bool              // a licensed clinician has cleared the athlete, in writing
	By          string            // who, such as physician
	Referred    bool              // was referred when it was written down, whatever the gates say now
	Withdrawn   bool              // taken back or corrected later: what it complains of stands all the same
}

// Standing is the answer to a question that counts.
type Standing struct {
	Answer string
	On     time.Time
	From   string
}

// State is what the record comes to on a day.
type State struct {
	// Answers holds what counts, by question. A question that is not there is
	// open: never asked, aged, or asked before something that could not be read.
	Answers map[string]Standing
	// Stops are the complaints that no clearance came after, oldest first.
	Stops []Report
	// Unread are the reports that nobody has asked about since, oldest first.
	Unread []Report
	// Aged are the questions whose answer is too old, in the order of the screen.
	Aged []string
}

// Of works out the state on a day. Reports stand in the order in which they were
// written down. A complaint counts whatever its date; an answer that nothing is
// wrong, or a clearance, only if it was written and tells of a day up to today.
func Of(record []Report, rules Rules, today time.Time) State {
	f := &fold{rules: rules, today: today, s: State{Answers: map[string]Standing{}}, since: map[string]time.Time{}}
	for _, r := range record {
		f.add(r)
	}
	f.age()
	return f.s
}

// fold takes reports one by one.
type fold struct {
	rules Rules
	today time.Time
	s     State
	since map[string]time.Time // by question: answers that tell of an earlier day say nothing
}

func (f *fold) add(r Report) {
	counts := !r.Withdrawn && !r.Written.After(f.today) && !r.On.After(f.today)
	complaints := f.complaints(r)
	ofSession := slices.ContainsFunc(complaints, func(id string) bool { return f.question(id).Session })
	switch {
	case r.Cleared:
		if counts {
			f.clear(r)
		}
	case len(complaints) > 0 && (r.Referred || f.rules.Refers(r.Answers)):
		f.s.Stops = append(f.s.Stops, r)
		f.open(f.session(), r.On)
	case r.Unread != "" || ofSession && !(counts && f.whole(r)):
		f.s.Unread = append(f.s.Unread, r)
		f.open(f.session(), r.On)
	case counts:
		f.answer(r, f.answered(r))
		f.over(r)
	default:
		f.answer(r, complaints)
	}
}

// clear lifts what was written down before and tells of a day up to the
// clearance's own. The questions that were complained of are open again.
func (f *fold) clear(c Report) {
	f.s.Stops = slices.DeleteFunc(f.s.Stops, func(r Report) bool {
		if r.On.After(c.On) || slices.ContainsFunc(f.complaints(r), func(id string) bool {
			by := f.question(id).LiftedBy
			return len(by) > 0 && !slices.Contains(by, c.By)
		}) {
			return false
		}
		f.open(f.complaints(r), c.On)
		return true
	})
	f.s.Unread = slices.DeleteFunc(f.s.Unread, func(r Report) bool { return !r.On.After(c.On) })
}

// over ends a complaint of the day, such as an illness, once a later day's answer
// says that it is over. Nothing else ends without a clearance.
func (f *fold) over(r Report) {
	f.s.Stops = slices.DeleteFunc(f.s.Stops, func(stop Report) bool {
		for _, id := range f.complaints(stop) {
			q := f.question(id)
			if q.GoodFor != 1 || !r.On.After(stop.On) || !slices.Contains(q.Fine, r.Answers[id]) {
				return false
			}
		}
		return true
	})
}

// answer lets the answers of a report stand, with which an unread report has been
// asked about once every question of a session is answered again.
func (f *fold) answer(r Report, ids []string) {
	for _, id := range ids {
		was, known := f.s.Answers[id]
		if r.On.Before(f.since[id]) || known && was.On.After(r.On) {
			continue
		}
		f.s.Answers[id] = Standing{Answer: r.Answers[id], On: r.On, From: r.From}
		for _, q := range f.rules.Questions {
			if q.Of == id && r.Answers[q.ID] == "" && was.Answer != r.Answers[id] {
				delete(f.s.Answers, q.ID) // a detail of the answer before
			}
		}
	}
	if asked := f.asked(); !slices.ContainsFunc(asked, func(id string) bool { _, known := f.s.Answers[id]; return !known }) && len(asked) > 0 {
		f.s.Unread = nil
	}
}

// age takes out the answers that are too old, and sets in their place what the
// stops say, the newest last and whole.
func (f *fold) age() {
	for _, q := range f.rules.Questions {
		if a, known := f.s.Answers[q.ID]; known && q.GoodFor > 0 && f.today.Sub(a.On) > time.Duration(q.GoodFor)*24*time.Hour {
			delete(f.s.Answers, q.ID)
			f.s.Aged = append(f.s.Aged, q.ID)
		}
	}
	for _, ids := range []func(Report) []string{f.answered, f.complaints} {
		for _, r := range f.s.Stops {
			for _, id := range ids(r) {
				f.s.Answers[id] = Standing{Answer: r.Answers[id], On: r.On, From: r.From}
			}
		}
	}
}

// open makes questions unanswered: only answers that tell of that day or a later
// one count from here.
func (f *fold) open(ids []string, since time.Time) {
	for _, id := range ids {
		delete(f.s.Answers, id)
		if since.After(f.since[id]) {
			f.since[id] = since
		}
	}
}

// complaints are the questions that a report answers with something wrong.
func (f *fold) complaints(r Report) []string {
	return slices.DeleteFunc(f.answered(r), func(id string) bool { return !f.question(id).Complains(r.Answers[id]) })
}

// answered are the questions that a report answers, in the order of the screen.
func (f *fold) answered(r Report) []string {
	return f.pick(func(q Question) bool { return r.Answers[q.ID] != "" })
}

// session are the questions that are asked at every session, asked those of them
// that are no detail of another.
func (f *fold) session() []string { return f.pick(func(q Question) bool { return q.Session }) }
func (f *fold) asked() []string {
	return f.pick(func(q Question) bool { return q.Session && q.Of == "" })
}

// whole reports whether a report answers every question of a session.
func (f *fold) whole(r Report) bool {
	return !slices.ContainsFunc(f.asked(), func(id string) bool { return r.Answers[id] == "" })
}

func (f *fold) pick(yes func(Question) bool) []string {
	var out []string
	for _, q := range f.rules.Questions {
		if yes(q) {
			out = append(out, q.ID)
		}
	}
	return out
}

func (f *fold) question(id string) Question {
	i := slices.IndexFunc(f.rules.Questions, func(q Question) bool { return q.ID == id })
	if i < 0 {
		return Question{}
	}
	return f.rules.Questions[i]
}
