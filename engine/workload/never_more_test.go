package workload

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var study = flag.Bool("study", false, "run the long studies")

// A telling is everything that is known of one athlete on a day, and what is planned and played after it.
type telling struct {
	Record
	row   Row
	ahead []Day
}

func (k telling) ledger() *Ledger {
	history, _ := k.History(k.row)
	for _, d := range k.Days {
		if d.On >= k.Until {
			history = append(history, d)
		}
	}
	return NewLedger(k.row, Year{}, k.Until, k.Until+27, history, k.ahead)
}

func randomTelling(rng *rand.Rand) telling {
	limits := base()
	row, err := limits.For(7+rng.IntN(20), rng.IntN(12) > 0)
	if err != nil {
		panic(err)
	}
	k := telling{row: row, Record: Record{Until: monday + Date(rng.IntN(7))}}
	size := 1 + rng.IntN(30)
	for back := Date(1); back < 50 && rng.IntN(4) > 0; back++ {
		for ; back < 50 && rng.IntN(3) > 0; back++ {
		}
		k.Days = append(k.Days, randomDay(rng, k.Until-back, size))
	}
	for range rng.IntN(5) {
		high := rng.IntN(60)
		k.Weeks = append(k.Weeks, Week{Throws: high + rng.IntN(150), High: high})
	}
	k.date(k.Until - 1 - Date(rng.IntN(2)*rng.IntN(20)))
	k.Slack = rng.IntN(2) * rng.IntN(40)
	if rng.IntN(3) == 0 {
		k.LastHigh, k.LastHighKnown = k.Until-1-Date(rng.IntN(12)), true
	}
	for d := k.Until; d < k.Until+28; d++ {
		switch rng.IntN(9) {
		case 0:
			k.ahead = append(k.ahead, Day{On: d, Game: 5 + rng.IntN(40), Innings: 2})
		case 1:
			k.ahead = append(k.ahead, Day{On: d, Low: 5 + rng.IntN(20), Moderate: rng.IntN(10), High: rng.IntN(2) * rng.IntN(20)})
		}
	}
	return k
}

// date ends the newest week on a day and the others seven days apart before it.
func (k *telling) date(ends Date) {
	k.Weeks = slices.Clone(k.Weeks)
	for i := range k.Weeks {
		k.Weeks[i].Ends = ends - Date(7*(len(k.Weeks)-1-i))
	}
}

func randomDay(rng *rand.Rand, on Date, size int) Day {
	d := Day{On: on, Low: rng.IntN(size), Moderate: rng.IntN(size), High: rng.IntN(size) * rng.IntN(2)}
	if rng.IntN(4) == 0 {
		d.Game = 1 + rng.IntN(2*size)
	}
	if rng.IntN(3) == 0 {
		d.Least = &Least{Low: float64(d.Low), High: float64(d.High) / 2}
	}
	return d
}

// more returns the same athlete with one thing more told: the earliest day whose throws it tells of, and the most load
// that it may add to what is sure.
func (k telling) more(rng *rand.Rand) (with telling, what string, first Date, sure float64) {
	with = k
	with.Days, with.ahead = slices.Clone(k.Days), slices.Clone(k.ahead)
	on := k.Until - Date(rng.IntN(45))
	d := randomDay(rng, on, 1+rng.IntN(60))
	i := slices.IndexFunc(with.Days, func(o Day) bool { return o.On == on })
	sure = k.row.LeastLoad(d.Surely())
	switch kind := rng.IntN(6); {
	case kind == 0: // a game or a session ahead, its count known or not
		on = k.Until + Date(rng.IntN(20))
		d.On = on
		with.ahead = append(with.ahead, d)
		return with, "ahead", on, sure
	case kind == 1 && len(k.Weeks) > 0 && len(k.Weeks) < 8: // one week more, before the others
		w := Week{Ends: k.Weeks[0].Ends - 7, High: rng.IntN(60)}
		w.Throws = w.High + rng.IntN(150)
		with.Weeks = append([]Week{w}, k.Weeks...)
		return with, "an older week", w.Ends - 6 - Date(k.Slack), k.row.Load(Day{Low: w.Throws - w.High, High: w.High})
	case kind == 2 && i >= 0: // the same once more
		sure = 0
		with.Days[i] = with.Days[i].Twice(with.Days[i])
		return with, "told twice", on, sure
	case kind == 3 && i >= 0: // another telling of the same day
		with.Days[i] = with.Days[i].Larger(d)
		return with, "another telling", on, sure
	case kind == 4 && i >= 0: // the totals of the day
		with.Days[i] = with.Days[i].AtLeast(d.Throws(), d.Pitches())
		return with, "totals", on, k.row.Load(Day{Low: d.Throws() - d.Pitches(), Game: d.Pitches()})
	}
	if len(k.Weeks) > 0 && rng.IntN(3) == 0 { // an older entry of the log, from which weeks without a date may be older
		with.Slack += rng.IntN(20)
	}
	with.Days = append(with.Days, d)
	return with, "a day", on, sure
}

// permits returns how many throws of a class a day takes where breaches that are excused do not count.
func permits(l *Ledger, on Date, e Effort, excused func(Breach) bool) int {
	was := l.Day(on)
	defer l.Put(was)
	for n := 0; ; n++ {
		d := was
		switch e {
		case Low:
			d.Low += n + 1
		case Moderate:
			d.Moderate += n + 1
		default:
			d.High += n + 1
		}
		l.Put(d)
		for day := on; day <= l.Last(); day++ {
			for _, c := range l.checks {
				if b, applies := l.judge(c, day); applies && b.broken() && !excused(b) {
					return n
				}
			}
		}
	}
}

// One thing more told of an athlete, late or ahead: a game, a day, one more week before the others, a second telling of
// a day, its totals, the same once more. Then, on every day from today on and for each class of throws:
//
//   - the day permits no more throws than without it under every limit but growth, and in the seven days that begin with
//     what was told under growth as well, where a breach of growth on a day after those seven days does not count;
//   - the week's load is not smaller, on any day;
//   - the base of growth is not larger on any of those seven days, and later by no more than a quarter of the load that
//     was surely thrown, which is what the base formula gives.
//
// Two tellings are left out, since they are the answer to a question and not something more: the first week of all where
// the last high-effort day stood alone, and a newer week, which gives the others another date.
func TestMoreToldNeverPermitsMore(t *testing.T) {
	rng := rand.New(rand.NewPCG(26, 1))
	n := 1200
	if *study {
		n = 30000
	}
	room, fewer, kinds := 0, 0, map[string]int{}
	for i := range n {
		without := randomTelling(rng)
		with, what, first, sure := without.more(rng)
		a, b := without.ledger(), with.ledger()
		kinds[what]++
		for on := without.Until; on <= a.Last(); on++ {
			weekA, baseA, _ := a.Week(on)
			weekB, baseB, _ := b.Week(on)
			within := on < first+7
			if weekB < weekA-tolerance || baseB > baseA+tolerance && within || baseB > baseA+sure/4+tolerance {
				t.Fatalf("telling %d, %s on %s, judged on %s: week %v and base %v, with it %v and %v; %v may be added",
					i, what, first, on, weekA, baseA, weekB, baseB, sure/4)
			}
			if int(on-without.Until)%14 != i%14 {
				continue // two of the days of each are enough
			}
			excused := func(x Breach) bool { return x.ID == WeeklyGrowth && (!within || x.On >= first+7) }
			for _, e := range []Effort{Low, Moderate, High} {
				before := permits(a, on, e, excused)
				after := permits(b, on, e, excused)
				if after > before {
					t.Fatalf("telling %d, %s on %s: %s permits %d %s throws, without it %d\n%+v\n%+v", i, what, first, on, after, e, before, without, with)
				}
				room += min(before, 1)
				fewer += min(before-after, 1)
			}
		}
	}
	t.Logf("%d tellings %v: room on %d days and classes, less of it with more told on %d", n, kinds, room, fewer)
	if room < n/2 || fewer < n/20 || len(kinds) < 6 {
		t.Error("the tellings show too little")
	}
}

// What is only assumed is no part of the base: an unrecorded last high-effort day leaves it at what was recorded.
func TestAssumedThrowsAreNoBase(t *testing.T) {
	row := rowAt(t, 19)
	r := Record{Until: monday, LastHigh: monday - 9, LastHighKnown: true, Days: []Day{{On: monday - 20, High: 60}}}
	history, _ := r.History(row)
	week, base, _ := NewLedger(row, Year{}, monday, monday, history).Week(monday - 1)
	if math.Abs(base-15) > 1e-9 || week != 0 {
		t.Errorf("base %v, week %v, want 15 and 0", base, week)
	}
	if week, _, _ = NewLedger(row, Year{}, monday, monday, history).Week(monday - 3); week != 76 {
		t.Errorf("the week of the assumed day holds %v, want 76", week)
	}
}
