package observe

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/workload"
	"rungwise/rules"
)

// loadOf reads what a case of an age says of throws, on 10 November 2026; more is the rest of the case.
func loadOf(t *testing.T, age int, more string, log ...casefile.Entry) (Load, workload.Row) {
	t.Helper()
	today := time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC)
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: today, NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: today}
	for _, th := range b.Throws {
		v.Throws = append(v.Throws, th.ID)
	}
	text := fmt.Sprintf("rungwise: case/1\nathlete: {code: SM-70, age: %d}\n%s\n", age, more)
	c, ds := casefile.Parse(source.New("sm-70.yaml", []byte(text)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0])
	}
	if log != nil {
		c.Log = logOf(t, log...)
	}
	f, err := Observe(c, b, today)
	if err != nil {
		t.Fatal(err)
	}
	row, err := b.Workload.For(age, true)
	if err != nil {
		t.Fatal(err)
	}
	return f.Load, row
}

func on(list []workload.Day, month time.Month, day int) workload.Day {
	for _, d := range list {
		if d.On == workload.On(2026, month, day) {
			return d
		}
	}
	return workload.Day{}
}

// A game ahead whose pitches nobody told is a full one: the most that the published table allows in a day (MLB and USA
// Baseball, Guidelines for Youth and Adolescent Pitchers: 85 at 11-12, 120 at 19-22); with its innings 20 pitches for
// each, house default. None of it is base but what was told.
func TestGamesWithoutACount(t *testing.T) {
	for _, c := range []struct {
		age         int
		game        string
		want, throw int
		sure        float64
	}{
		{12, "", 85, 85, 0}, {19, "", 120, 120, 0}, {12, ", throws: 40", 85, 85, 40}, {12, ", throws: 100", 85, 100, 100},
		{12, ", innings: 3", 60, 60, 0}, {12, ", innings: 6", 85, 85, 0}, {12, ", game: 30, throws: 20, high_effort: 8", 38, 50, 50},
	} {
		l, _ := loadOf(t, c.age, "load: {games: [{on: 2026-11-14"+c.game+"}]}")
		g := on(l.Games, time.November, 14)
		if g.Game != c.want || g.Throws() != c.throw || g.High != 0 || g.Surely().Throws() != c.sure {
			t.Errorf("at %d, a game%s: %+v, surely %+v", c.age, c.game, g, g.Surely())
		}
	}
	l, row := loadOf(t, 16, "load: {games: [{on: 2026-11-08}]}") // gone by, and nobody wrote down what was thrown
	history, _ := l.Record.History(row)
	if len(l.Games) != 0 || on(history, time.November, 8).Game != 95 {
		t.Errorf("a game gone by: %+v", history)
	}
}

// Everything that tells of a day counts with the larger number, the ladder's throws at least.
func TestNoRecordHidesAnother(t *testing.T) {
	ladder := "ladder: {on: 2026-11-09, rungs: [{throw: running_throw, speeds: [90, -, 91, 90]}, {throw: flat_lift, speeds: [80, 81], hits: 6 of 10}], again: [90, -]}\n"
	day := "load: {days: [{on: 2026-11-09, throws: 10}]}\n"
	for name, more := range map[string]string{"a ladder": ladder, "a ladder and ten throws": ladder + day} {
		l, row := loadOf(t, 20, more)
		history, _ := l.Record.History(row)
		if d := on(history, time.November, 9); d.High != 16 || d.Throws() != 16 { // 4, 10 attempts, 2 at the end
			t.Errorf("%s: %+v", name, d)
		}
	}
	l, _ := loadOf(t, 20, "reference: {throw: running_throw, today: {on: 2026-11-10, speeds: [90, 91, -]}, sessions: [{on: 2026-11-06, speeds: [90, 91]}]}\n"+
		"load: {days: [{on: 2026-11-06, throws: 30}]}\n")
	if d := on(l.Record.Days, time.November, 10); d.High != 3 {
		t.Errorf("today's throws of the reference: %+v", d)
	}
	if d := on(l.Record.Days, time.November, 6); d.High != 2 || d.Throws() != 30 {
		t.Errorf("a session of the reference on a recorded day: %+v", d)
	}
}

// A line that stands twice counts twice for the week and the rest, and once for the base.
func TestALineTwiceIsNoBase(t *testing.T) {
	e := casefile.Entry{What: casefile.LogOther, Kind: "practice", Throws: 60, High: 20, On: "2026-10-20"}
	other := e
	other.Note = "in the evening"
	for name, c := range map[string]struct {
		log  []casefile.Entry
		sure float64
	}{"twice": {[]casefile.Entry{e, e}, 60}, "twice, told apart": {[]casefile.Entry{e, other}, 120}} {
		l, _ := loadOf(t, 20, "", c.log...)
		if d := on(l.Record.Days, time.October, 20); d.Throws() != 120 || d.High != 40 || d.Surely().Throws() != c.sure {
			t.Errorf("%s: %+v, surely %+v", name, d, d.Surely())
		}
	}
	l, _ := loadOf(t, 20, "", casefile.Entry{What: casefile.LogSession, Rung: "gone", Speeds: thrown(4), Drills: []casefile.Drilled{{Drill: "gone_too", Throws: 6}}})
	if d := on(l.Record.Days, time.November, 12); d.High != 10 || d.Surely() != (workload.Least{Low: 10}) {
		t.Errorf("throws of names that are not there: %+v, surely %+v", d, d.Surely())
	}
	day := "{on: 2026-10-20, throws: 60, high_effort: 20}"
	l, _ = loadOf(t, 20, "load: {days: ["+day+", "+day+"]}")
	if d := on(l.Record.Days, time.October, 20); d.High != 40 || d.Surely().High != 20 {
		t.Errorf("a day that stands twice: %+v, surely %+v", d, d.Surely())
	}
	l, _ = loadOf(t, 20, "", casefile.Entry{What: casefile.LogOther, Kind: "catching"})
	if d := on(l.Record.Days, time.November, 12); d.Throws() != 80 || d.Surely().Throws() != 0 {
		t.Errorf("catching that nobody counted: %+v", d)
	}
}

// Innings are told as a sum and by day: the larger counts, and today's come on top.
func TestInningsOfTheYear(t *testing.T) {
	game := func(on string) casefile.Entry {
		return casefile.Entry{What: casefile.LogOther, Kind: "game", Pitches: 40, Innings: 4, On: on}
	}
	for _, c := range []struct {
		told float64
		log  []casefile.Entry
		want float64
	}{{70, nil, 70}, {70, []casefile.Entry{game("2026-11-01")}, 70}, {2, []casefile.Entry{game("2026-11-01")}, 4}, {70, []casefile.Entry{game("2026-11-10")}, 74}} {
		l, _ := loadOf(t, 15, fmt.Sprintf("load: {innings_12m: %g}", c.told), c.log...)
		if !l.Year.InningsKnown || l.Year.Innings != c.want {
			t.Errorf("%g told, %d games logged: %+v", c.told, len(c.log), l.Year)
		}
	}
}

// A last high-effort day that nobody counted is no base (it made a cap of 166.5 out of one of 130.5).
func TestTheLastHighDayIsNoBase(t *testing.T) {
	weeks := "{throws: 100, high_effort: 0}, {throws: 100, high_effort: 0}, {throws: 100, high_effort: 0}, {throws: 100, high_effort: 0}"
	for _, more := range []string{"", ", last_high_effort: 2026-10-30"} {
		l, row := loadOf(t, 20, "load: {days: [{on: 2026-10-19, throws: 140, high_effort: 100}]"+more+"}")
		history, _ := l.Record.History(row)
		if _, base, _ := workload.NewLedger(row, l.Year, l.Record.Until, l.Record.Until, history).Week(l.Record.Until); base != (100+40*.78)/4 {
			t.Errorf("%q: base %v", more, base)
		}
		l, row = loadOf(t, 20, "load: {weeks: ["+weeks+"], weeks_until: 2026-11-09"+more+"}")
		history, _ = l.Record.History(row)
		if _, base, _ := workload.NewLedger(row, l.Year, l.Record.Until, l.Record.Until, history).Week(l.Record.Until); base > 78 {
			t.Errorf("%q: base %v from weeks of 78", more, base)
		}
	}
}

// Without a date the weeks are the last ones for the week and the rest; what was written down since may have come after
// them, so for the base they are only what is sure.
func TestWhenTheWeeksEnded(t *testing.T) {
	weeks := "weeks: [{throws: 140}, {throws: 140}, {throws: 140}, {throws: 140}]"
	log := casefile.Entry{What: casefile.LogOther, Kind: "practice", Throws: 10, On: "2026-10-28"}
	for _, c := range []struct {
		more  string
		log   []casefile.Entry
		ends  int
		slack int
	}{
		{weeks, nil, 9, 0}, {weeks, []casefile.Entry{log}, 9, 13}, {weeks + ", weeks_until: 2026-11-07", []casefile.Entry{log}, 7, 0},
	} {
		l, row := loadOf(t, 20, "load: {"+c.more+"}", c.log...)
		r := l.Record
		if got := r.Weeks[3].Ends; got != workload.On(2026, time.November, c.ends) || r.Slack != c.slack {
			t.Errorf("%s: the weeks end on %s with %d days of slack", c.more, got, r.Slack)
		}
		_, assumed := r.History(row)
		if told := strings.Contains(strings.Join(assumed, " "), "weeks_until"); told != (c.slack > 0) {
			t.Errorf("%s: %q", c.more, assumed)
		}
	}
}
