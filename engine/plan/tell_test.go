package plan_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/observe"
	"rungwise/engine/plan"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/engine/workload"
	"rungwise/rules"
)

func today() time.Time { return time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC) }

func load(t testing.TB) *rule.Base {
	t.Helper()
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true, On: today()})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0].String())
	}
	return b
}

// facts reads a case with a reference drill; more is the rest of it.
func facts(t testing.TB, b *rule.Base, athlete, more string) (*casefile.Case, *observe.Facts) {
	t.Helper()
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: today()}
	for _, th := range b.Throws {
		v.Throws = append(v.Throws, th.ID)
	}
	text := "rungwise: case/1\nathlete: {code: SM-60" + athlete + "}\nreference: {throw: running_throw}\n" + more
	c, ds := casefile.Parse(source.New("sm-60.yaml", []byte(text)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0].String())
	}
	f, err := observe.Observe(c, b, today())
	if err != nil {
		t.Fatal(err)
	}
	if err := observe.Prospect(f, c, b); err != nil {
		t.Fatal(err)
	}
	return c, f
}

func order(t testing.TB, b *rule.Base, f *observe.Facts, kind string) (plan.Order, *plan.Limits) {
	t.Helper()
	l, err := plan.LimitsOf(f, b, today(), session)
	if err != nil {
		t.Fatal(err)
	}
	o, err := plan.AskFor(f, l, kind)
	if err != nil {
		t.Fatal(err)
	}
	return o, l
}

// session is a planned session's most at any age: house default.
var session = plan.Session{Hard: 30, Warm: 12}

const base200 = `load: {season: off, last_high_effort: 2026-11-04, weeks: [{throws: 200, high_effort: 50}, {throws: 200, high_effort: 50}, {throws: 200, high_effort: 50}, {throws: 200, high_effort: 50}]}
`

func TestDefaultOrder(t *testing.T) {
	b := load(t)
	for _, c := range []struct{ athlete, more, want string }{
		{", age: 20", base200, plan.Whole}, {", age: 20", strings.Replace(base200, "off", "in", 1), plan.Halving},
		{", age: 18", base200, plan.Halving}, {"", base200, plan.Halving}, {", age: 19", "", plan.Whole},
	} {
		k, f := facts(t, b, c.athlete, c.more)
		l, err := plan.LimitsOf(f, b, today(), session)
		if err != nil {
			t.Fatal(err)
		}
		if got, why := l.Default(k.Load); got != c.want || why == "" {
			t.Errorf("athlete %q, %.20q: %s, %q", c.athlete, c.more, got, why)
		}
	}
}

// A new ladder: the reference four times, then three throws a rung, or of the
// halving order the reference and the top.
func TestAFreshLadder(t *testing.T) {
	b := load(t)
	_, f := facts(t, b, ", age: 20", base200)
	o, _ := order(t, b, f, plan.Whole)
	rungs := len(f.Ladder.Rungs)
	seen := map[int]int{}
	for _, d := range o.Days {
		if d.Parts[0].Rung != 0 {
			t.Errorf("the day of %s does not begin with the reference: %v", d.On, d.Parts)
		}
		for _, p := range d.Parts {
			seen[p.Rung] += p.Throws
		}
	}
	for r := range rungs {
		if seen[r] < 3 {
			t.Errorf("rung %d is thrown %d times: %v", r, seen[r], o.Days)
		}
	}
	if !o.Fresh || o.Settled {
		t.Errorf("got %+v", o)
	}
	o, _ = order(t, b, f, plan.Halving)
	if len(o.Days) != 1 || !slices.Equal(o.Days[0].Parts, []plan.Part{{0, 4}, {rungs - 1, 3}}) {
		t.Errorf("halving begins with %+v", o.Days)
	}
}

// The next step of the halving order needs its own throws of the reference on
// another day, and none on the ladder's own.
func TestGoingOn(t *testing.T) {
	b := load(t)
	ladder := `ladder: {on: 2026-11-%s, rungs: [{throw: running_throw, speeds: [92, 92.5, 91.8, 92.2]}, {throw: slope_live, speeds: [80, 80.5, 79.8]}]}
`
	for day, want := range map[string]int{"09": 1, "06": 2} {
		_, f := facts(t, b, ", age: 20", base200+fmt.Sprintf(ladder, day))
		o, _ := order(t, b, f, plan.Halving)
		if len(o.Days) != 1 || len(o.Days[0].Parts) != want || o.Fresh || o.Days[0].Parts[want-1].Rung == 0 {
			t.Errorf("ladder of %s: %+v", day, o)
		}
	}
	_, f := facts(t, b, ", age: 20", base200+fmt.Sprintf(strings.Replace(ladder, "-11-", "-10-", 1), "20"))
	if o, _ := order(t, b, f, plan.Halving); !o.Fresh {
		t.Errorf("a ladder of three weeks ago is gone on with: %+v", o)
	}
}

// Where no day has room for the whole step, the first gives what it has room for, the reference before what it is held
// against, and the rest waits; with room for nothing to compare there is no day.
func TestAStepThatDoesNotFit(t *testing.T) {
	b := load(t)
	for _, c := range []struct {
		hard, waits int
		want        []plan.Part
	}{{7, 0, []plan.Part{{0, 4}, {-1, 3}}}, {6, 1, []plan.Part{{0, 4}, {-1, 2}}}, {4, 0, nil}} {
		_, f := facts(t, b, ", age: 20", "")
		l, err := plan.LimitsOf(f, b, today(), plan.Session{Hard: c.hard, Warm: 12})
		if err != nil {
			t.Fatal(err)
		}
		o, err := plan.AskFor(f, l, plan.Halving)
		if err != nil {
			t.Fatal(err)
		}
		var got []plan.Part
		for _, d := range o.Days {
			for _, p := range d.Parts {
				if p.Rung == len(f.Ladder.Rungs)-1 {
					p.Rung = -1
				}
				got = append(got, p)
			}
		}
		if !slices.Equal(got, c.want) || o.Waits != c.waits || o.NoDay != (c.want == nil) {
			t.Errorf("%d throws a day: %+v", c.hard, o)
		}
	}
}

// Time off, an age at which nothing is thrown hard and an age that nobody told leave no room on any day, and say so.
func TestNothingHard(t *testing.T) {
	b := load(t)
	for _, c := range []struct {
		athlete string
		stop    string
		want    string
	}{{", age: 8", "", "drills and catch only"}, {"", "", "tell the age first"}, {", age: 20", "time off", "time off"}} {
		_, f := facts(t, b, c.athlete, base200)
		l, err := plan.LimitsOf(f, b, today(), plan.Session{Hard: 30, Warm: 12, Stop: c.stop})
		if err != nil {
			t.Fatal(err)
		}
		why, barred := l.Barred()
		for _, kind := range []string{plan.Halving, plan.Whole} {
			o, err := plan.AskFor(f, l, kind)
			if err != nil || !barred || !strings.Contains(why, c.want) || len(o.Days) > 0 || !o.NoDay {
				t.Errorf("%q, %s: %q, %+v, %v", c.athlete, kind, why, o, err)
			}
		}
	}
}

func TestTheYoungest(t *testing.T) {
	b := load(t)
	_, f := facts(t, b, ", age: 6", "")
	o, l := order(t, b, f, plan.Halving)
	if room, why := l.Room(workload.DateOf(today())); room != 0 || why == "" || len(o.Days) > 0 || !o.NoDay {
		t.Errorf("room %d, %q, %+v", room, why, o)
	}
}

// Whatever the athlete and the days before, the days named break no limit when
// they are judged by themselves, and no day under 19 measures more than its cap.
func TestNoDayBreaksALimit(t *testing.T) {
	b := load(t)
	r := rand.New(rand.NewPCG(3, 9))
	for range 60 {
		age := 7 + r.IntN(16)
		var days []string
		for d := 1; d < 9; d++ {
			if r.IntN(3) == 0 {
				high := r.IntN(40)
				days = append(days, fmt.Sprintf("{on: 2026-11-%02d, throws: %d, high_effort: %d}", d, high+r.IntN(60), high))
			}
		}
		more := strings.Replace(base200, "{season", fmt.Sprintf("{days: [%s], games: [{on: 2026-11-%d, throws: 40, game: 40}], season", strings.Join(days, ", "), 10+r.IntN(9)), 1)
		_, f := facts(t, b, fmt.Sprintf(", age: %d", age), more)
		for _, kind := range []string{plan.Halving, plan.Whole} {
			o, l := order(t, b, f, kind)
			check(t, b, f, l, o, age)
		}
	}
}

func check(t *testing.T, b *rule.Base, f *observe.Facts, l *plan.Limits, o plan.Order, age int) {
	t.Helper()
	row, err := b.Workload.For(age, true)
	if err != nil {
		t.Fatal(err)
	}
	history, _ := f.Load.Record.History(row)
	var planned []workload.Day
	for _, d := range o.Days {
		planned = append(planned, workload.Day{On: d.On, Low: session.Warm, High: d.Throws})
		if d.Throws > l.Most() || age < 19 && d.Throws > 25 {
			t.Errorf("at %d years %d measured throws on %s", age, d.Throws, d.On)
		}
	}
	if broken := workload.Check(planned, history, row, f.Load.Year); len(broken) > 0 {
		t.Errorf("at %d years: %v breaks %v", age, o.Days, broken)
	}
}
