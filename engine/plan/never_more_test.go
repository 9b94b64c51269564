package plan

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/engine/workload"
)

// A told case is the parts of a case file and its log, each a line of its own.
type told struct {
	age                                      int
	weeks, days, games, ladders, drill, more []string
	log                                      []string
}

func (c told) text() []byte {
	load := append(slices.Clone(c.more), "weeks: ["+strings.Join(c.weeks, ", ")+"]", "days: ["+strings.Join(c.days, ", ")+"]",
		"games: ["+strings.Join(c.games, ", ")+"]")
	return fmt.Appendf(nil, "rungwise: case/1\nathlete: {code: SM-71, age: %d}\nload: {%s}\nreference: {throw: running_throw, sessions: [%s]}\nladder: [%s]\n",
		c.age, strings.Join(load, ", "), strings.Join(c.drill, ", "), strings.Join(c.ladders, ", "))
}

// ago is a date so many days before today, ahead of it where negative.
func ago(days int) string { return today().AddDate(0, 0, -days).Format("2006-01-02") }

func speeds(n int) string { return strings.TrimSuffix(strings.Repeat("80, ", n), ", ") }

// add tells one thing more, says how many days ago the first of its throws was, and the most load in it.
func (c *told) add(rng *rand.Rand) (what string, first int, load float64) {
	back, n := rng.IntN(40), 1+rng.IntN(40)
	hard := rng.IntN(n + 1)
	switch rng.IntN(9) {
	case 0:
		c.days = append(c.days, fmt.Sprintf("{on: %s, throws: %d, high_effort: %d}", ago(back), n, hard))
		return "a day", back, float64(n)
	case 1: // a game gone by or ahead, its pitches told or not
		back -= 20
		c.games = append(c.games, fmt.Sprintf("{on: %s%s}", ago(back), []string{"", fmt.Sprintf(", game: %d", n), ", innings: 2", fmt.Sprintf(", throws: %d", n)}[rng.IntN(4)]))
		return "a game", back, 150
	case 2:
		c.ladders = append(c.ladders, fmt.Sprintf("{on: %s, rungs: [{throw: running_throw, speeds: [%s]}, {throw: flat_lift, held: [yes, no]}]}", ago(back), speeds(1+n/4)))
		return "a ladder", back, float64(n + 5)
	case 3:
		c.drill = append(c.drill, fmt.Sprintf("{on: %s, speeds: [%s]}", ago(back), speeds(1+n/4)))
		return "a session of the drill", back, float64(n)
	case 4:
		if len(c.weeks) > 0 && len(c.weeks) < 8 {
			c.weeks = append([]string{fmt.Sprintf("{throws: %d, high_effort: %d}", 3*n, hard)}, c.weeks...)
			return "an older week", 100, float64(3 * n)
		}
		fallthrough
	case 5:
		e := casefile.Entry{What: casefile.LogSession, Rung: "flat_lift", Throws: n, High: hard}
		if rng.IntN(2) == 0 {
			e = casefile.Entry{What: casefile.LogOther, Kind: []string{"game", "practice", "catching"}[rng.IntN(3)], Pitches: n, Throws: 2 * n, High: hard}
		}
		c.logged(e, back)
		return "a line of the log", back, 1.1*float64(3*n) + 80
	case 6:
		c.logged(casefile.Entry{What: casefile.LogSlip, Throws: n, High: hard}, back)
		return "a slip", back, float64(n)
	case 7:
		if len(c.log) > 0 {
			c.log = append(c.log, c.log[rng.IntN(len(c.log))])
			return "a line of the log twice", 100, 0
		}
	}
	c.log = append(c.log, `{"rungwise":"log/1","id":77,"entered":"2026-11-0`)
	return "a line that cannot be read", 100, 0
}

func (c *told) logged(e casefile.Entry, back int) {
	e.Format, e.ID, e.On, e.Entered = casefile.LogFormat, len(c.log)+1, ago(back), ago(min(back, 1))
	line, err := json.Marshal(e)
	if err != nil {
		panic(err)
	}
	c.log = append(c.log, string(line))
}

func randomTold(rng *rand.Rand) told {
	c := told{age: 9 + rng.IntN(14)}
	for range rng.IntN(5) {
		c.weeks = append(c.weeks, fmt.Sprintf("{throws: %d, high_effort: %d}", 60+rng.IntN(120), rng.IntN(60)))
	}
	if len(c.weeks) > 0 {
		if rng.IntN(2) == 0 {
			c.more = append(c.more, "weeks_until: "+ago(1+rng.IntN(20)))
		}
		if rng.IntN(2) == 0 {
			c.more = append(c.more, "last_high_effort: "+ago(rng.IntN(12)))
		}
	}
	for range rng.IntN(12) {
		c.add(rng)
	}
	return c
}

// placed is the ledger in which the planner would place sessions, with the days on which it may.
func (c told) placed(t *testing.T, b *rule.Base) (*workload.Ledger, []Day) {
	t.Helper()
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: today()}
	for _, th := range b.Throws {
		v.Throws = append(v.Throws, th.ID)
	}
	k, ds := casefile.Parse(source.New("sm-71.yaml", c.text()), v)
	if k == nil {
		t.Fatalf("%s\n%s", ds.Sorted()[0], c.text())
	}
	k.Log, _ = casefile.ParseLog(source.New("sm-71.log.jsonl", []byte(strings.Join(c.log, "\n"))), v)
	f, err := observe.Observe(k, b, today())
	if err != nil {
		t.Fatal(err)
	}
	row, err := b.Workload.For(c.age, true)
	if err != nil {
		t.Fatal(err)
	}
	drill, _ := b.Throw("running_throw")
	m := &maker{reference: drill, efforts: effortsOf(row.Weights), Input: Input{Base: b, Facts: f, Triage: &triage.Result{}, Case: k, On: today(), Weeks: 4}, row: row, start: workload.DateOf(today()) + 1, train: allDays, mound: allDays}
	m.past()
	p := newPlacing(m.request(), func(first, last workload.Date, entries ...[]workload.Day) book {
		return workload.NewLedger(row, f.Load.Year, first, last, entries...)
	})
	return p.book.(*workload.Ledger), p.days
}

// takes is how many throws of a class a day takes before a limit is broken on any day that is judged, where a breach of
// growth from a day on does not count.
func takes(l *workload.Ledger, on workload.Date, e workload.Effort, later workload.Date) int {
	was := l.Day(on)
	defer l.Put(was)
	for n := 0; ; n++ {
		d := was
		switch e {
		case workload.Low:
			d.Low += n + 1
		case workload.Moderate:
			d.Moderate += n + 1
		default:
			d.High += n + 1
		}
		l.Put(d)
		if slices.ContainsFunc(l.All(), func(b workload.Breach) bool { return b.On >= on && (b.ID != workload.WeeklyGrowth || b.On < later) }) {
			return n
		}
	}
}

// One thing more in a case or its log (a day, a game with or without its count, a ladder, a session of the drill, an
// older week, a line of the log, the same line twice, a slip, a line that cannot be read), late or ahead, and the planner
// has no more room on any day, where growth counts in the seven days that begin with what was told and the other limits
// on every day. The base of growth is not larger in those seven days, and later by no more than a quarter of the load of
// what was told. The week's load is never smaller, and no day is open that was not. Room is the throws of each class that
// the planner's own ledger takes on a day before it breaks a limit on that day or a later one.
func TestMoreToldNeverGivesThePlannerMore(t *testing.T) {
	b := opened(t, nil)
	rng := rand.New(rand.NewPCG(26, 2))
	room, fewer, kinds := 0, 0, map[string]int{}
	n := problems(150, 6000)
	for i := range n {
		without := randomTold(rng)
		with := without
		for _, list := range []*[]string{&with.weeks, &with.days, &with.games, &with.ladders, &with.drill, &with.log} {
			*list = slices.Clone(*list)
		}
		what, back, load := with.add(rng)
		kinds[what]++
		a, openA := without.placed(t, b)
		z, openZ := with.placed(t, b)
		later := workload.DateOf(today()) - workload.Date(back) + 7
		for k, d := range openA {
			weekA, baseA, _ := a.Week(d.On)
			weekZ, baseZ, _ := z.Week(d.On)
			within := d.On < later
			if weekZ < weekA-1e-9 || within && baseZ > baseA+1e-9 || baseZ > baseA+load/4+1e-9 {
				t.Fatalf("case %d, %s %d days ago, judged on %s: week %v and base %v, with it %v and %v\n%s\n%s",
					i, what, back, d.On, weekA, baseA, weekZ, baseZ, with.text(), strings.Join(with.log, "\n"))
			}
			if !d.open && openZ[k].open {
				t.Fatalf("case %d, %s: %s is open", i, what, d.On)
			}
			if !d.open || !openZ[k].open || k%7 != i%7 {
				continue
			}
			for _, e := range []workload.Effort{workload.Low, workload.Moderate, workload.High} {
				before, after := takes(a, d.On, e, later), takes(z, d.On, e, later)
				if after > before {
					t.Fatalf("case %d, %s %d days ago: %s has room for %d %s throws, without it %d\n%s\n%s",
						i, what, back, d.On, after, e, before, with.text(), strings.Join(with.log, "\n"))
				}
				room, fewer = room+min(before, 1), fewer+min(before-after, 1)
			}
		}
	}
	t.Logf("%d cases %v: room on %d days and classes, less of it with more told on %d", n, kinds, room, fewer)
	if len(kinds) < 9 || room < 4*n || fewer < n/10 {
		t.Error("the cases show too little")
	}
}
