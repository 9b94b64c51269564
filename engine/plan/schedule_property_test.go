package plan

import (
	"flag"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"rungwise/engine/workload"
)

var study = flag.Bool("study", false, "run the long studies")

func problems(normal, long int) int {
	if *study {
		return long
	}
	return normal
}

// No plan breaks a limit of the house or of the rules, whatever the history, the games and the house; each limit
// binds somewhere; what a limit leaves room for is planned; and every reason given is one that the judge finds too.
func TestNoPlanBreaksALimit(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	n := problems(2000, 20000)
	refused, empty, binds := 0, 0, map[string]int{}
	for i := range n {
		p := randomProblem(rng)
		r := Schedule(p.Request)
		if len(r.Refused) > 0 {
			refused++
			p.refusedRightly(t, r)
			continue
		}
		if r.Empty && !contains(reasons(r), workload.NoThrowing) {
			empty++
		}
		for _, row := range []workload.Row{p.Limits, p.rules} {
			if broken := p.judged(r.Days, row).all(); len(broken) > 0 {
				t.Fatalf("problem %d breaks %v", i, broken)
			}
		}
		if *study || i%8 == 0 {
			p.nothingLarger(t, i, r)
		}
		for _, b := range r.Binding {
			binds[b.ID]++
		}
	}
	t.Logf("%d problems, %d refused for a game, %d without a throw though months off are no bar; binding %v", n, refused, empty, binds)
	if empty > n/100 {
		t.Errorf("%d of %d plans are empty", empty, n)
	}
	for _, id := range []string{
		workload.DailyPitches, workload.RestDays, workload.PitchDaysInARow, workload.Innings, workload.NoThrowing, workload.NoPitching,
		workload.DaysBetween, workload.DailyHigh, workload.DailyThrows, workload.HighDays, workload.DaysInARow, workload.DaysOff,
		workload.LightAfter, workload.BeforeGame, workload.WeeklyGrowth, "away", "no_training_day",
	} {
		if binds[id] == 0 {
			t.Errorf("%s never binds", id)
		}
	}
}

func reasons(r Result) (ids []string) {
	for _, b := range r.Binding {
		ids = append(ids, b.ID)
	}
	return ids
}

// refusedRightly checks that the judge finds the named limit broken with nothing planned around the games.
func (p problem) refusedRightly(t *testing.T, r Result) {
	t.Helper()
	var games []Day
	for _, g := range p.Games {
		if g.On < p.Start+workload.Date(7*p.Weeks) {
			games = append(games, Day{Day: g, Kind: Game})
		}
	}
	found := strings.Join(p.judged(games, p.Limits).all(), "; ")
	for _, reason := range r.Refused {
		if reason.Limit == nil || !strings.Contains(found, reason.ID+" on "+reason.Limit.On.String()) {
			t.Fatalf("refused for %s, the judge finds %q", reason.Words, found)
		}
	}
}

// nothingLarger puts every larger session in place of each day's and wants the judge to object, and to a limit that
// the day names. So a day that could hold more is found, and so is a reason that is not one.
func (p problem) nothingLarger(t *testing.T, n int, r Result) {
	t.Helper()
	wish := p.Wish
	if wish.High == 0 {
		wish = WishFor(p.Limits, p.Phase)
	}
	j := p.judged(r.Days, p.Limits)
	for _, d := range r.Days {
		if d.Kind == Game || d.Kind == Done {
			continue
		}
		closed := len(d.Because) == 1 && d.Because[0].Limit == nil
		if closed {
			continue
		}
		tries := wish.lighter()
		if contains(p.mound(), d.On.Weekday()) {
			tries = wish.mound()
			if d.Kind != Mound {
				tries = append(tries, wish.lighter()...)
			}
		}
		cut := false
		for _, try := range tries {
			if try.low == d.Low && try.moderate == d.Moderate && try.high == d.High {
				break
			}
			cut = true
			p.objects(t, n, j, d, try)
		}
		if cut && len(d.Because) == 0 {
			t.Fatalf("problem %d: %s is cut without a reason", n, d.On)
		}
	}
}

func (p problem) objects(t *testing.T, n int, j *judge, d Day, try try) {
	t.Helper()
	trial := d.Day
	trial.Low, trial.Moderate, trial.High = try.low, try.moderate, try.high
	j.Put(trial)
	broken := strings.Join(j.all(), "; ")
	j.Put(d.Day)
	if broken == "" {
		t.Fatalf("problem %d: %s (%s) could hold %+v, reasons %+v", n, d.On, d.Kind, try, d.Because)
	}
	for _, r := range d.Because {
		if strings.Contains(broken, r.ID) {
			return
		}
	}
	t.Fatalf("problem %d: %s names %+v, the judge %s", n, d.On, d.Because, broken)
}

func contains[T comparable](list []T, v T) bool {
	for _, x := range list {
		if x == v {
			return true
		}
	}
	return false
}

// The high-effort throws of one week reach at least 88 % of the most that any choice of mound sessions could hold.
func TestVolumeAgainstExhaustion(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	got, most, n := 0, 0, 0
	for n < problems(150, 1500) {
		p := randomProblem(rng)
		p.Weeks = 1
		r := Schedule(p.Request)
		if len(r.Refused) > 0 {
			continue
		}
		n++
		for _, d := range r.Days {
			got += d.High
		}
		most += p.exhaust()
	}
	share := float64(got) / float64(most)
	t.Logf("%d weeks: %d of %d high-effort throws, %.1f %%", n, got, most, 100*share)
	if share < .88 {
		t.Errorf("%.3f of the largest possible volume", share)
	}
}

// exhaust tries every combination of mound sessions in the week and returns the largest high-effort volume.
func (p problem) exhaust() int {
	wish := p.Wish
	if wish.High == 0 {
		wish = WishFor(p.Limits, p.Phase)
	}
	var games []Day
	for _, g := range p.Games {
		if g.On >= p.Start && g.On < p.Start+7 {
			games = append(games, Day{Day: g, Kind: Game})
		}
	}
	j := p.judged(games, p.Limits)
	best := 0
	var walk func(i, high int)
	walk = func(i, high int) {
		if i == 7 {
			best = max(best, high)
			return
		}
		on := p.Start + workload.Date(i)
		walk(i+1, high)
		if j.Day(on).Throws() > 0 || contains(p.Away, on) || !contains(p.mound(), on.Weekday()) || p.Phase == TimeOff {
			return
		}
		for _, t := range wish.mound() {
			j.Put(workload.Day{On: on, Low: t.low, Moderate: t.moderate, High: t.high})
			if _, broken := j.FirstFrom(j.origin + workload.Date(j.first)); !broken {
				walk(i+1, high+t.high)
			}
			j.Put(workload.Day{On: on})
		}
	}
	walk(0, 0)
	return best
}

// Each planted mistake places sessions that the judge flags.
func TestPlantedFaultsAreCaught(t *testing.T) {
	for _, fault := range plantedFaults() {
		rng := rand.New(rand.NewPCG(7, 3))
		first, flagged, n := 0, 0, problems(20, 500)
		for i := 1; i <= 500 && (i <= n || flagged == 0); i++ {
			p := randomProblem(rng)
			r := schedule(p.Request, func(first, last workload.Date, entries ...[]workload.Day) book {
				j := newJudge(p.Limits, p.Year, first, last, entries...)
				j.fault = fault
				return j
			})
			if len(r.Refused) > 0 || len(p.judged(r.Days, p.Limits).all()) == 0 {
				continue
			}
			if flagged++; first == 0 {
				first = i
			}
		}
		t.Logf("%s: first at problem %d, %d of %d", fault, first, flagged, n)
		if flagged == 0 {
			t.Errorf("%s: never caught", fault)
		}
	}
}

// Without a fault the judge in the book's place gives the ledger's schedule: the two agree on every session tried.
func TestJudgeAndLedgerAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 4))
	for i := range problems(80, 2000) {
		p := randomProblem(rng)
		want := Schedule(p.Request)
		got := schedule(p.Request, func(first, last workload.Date, entries ...[]workload.Day) book {
			return newJudge(p.Limits, p.Year, first, last, entries...)
		})
		counts := cmpopts.IgnoreFields(Day{}, "Because", "open")
		if diff := cmp.Diff(want.Days, got.Days, counts); diff != "" {
			t.Fatalf("problem %d: %s", i, diff)
		}
	}
}

// The same request gives the same result, and after some days are thrown exactly as planned, the rest still stands.
func TestRepeatableAndRenewable(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 5))
	for i := range problems(120, 2000) {
		p := randomProblem(rng)
		r := Schedule(p.Request)
		if diff := cmp.Diff(r, Schedule(p.Request), cmpopts.IgnoreUnexported(Day{})); diff != "" {
			t.Fatalf("problem %d differs the second time: %s", i, diff)
		}
		if len(r.Refused) > 0 {
			continue
		}
		k := 1 + rng.IntN(len(r.Days)-1)
		later := p
		later.History = append([]workload.Day(nil), p.History...)
		for _, d := range r.Days[:k] {
			if d.Throws() > 0 {
				later.History = append(later.History, d.Day)
				later.Year.Innings += d.Innings
			}
		}
		later.Start += workload.Date(k)
		rest := r.Days[k:]
		later.Weeks = 0
		j := later.judgedFor(rest)
		if broken := j.all(); len(broken) > 0 {
			t.Fatalf("problem %d: after %d days the rest breaks %v", i, k, broken)
		}
	}
}

func (p problem) judgedFor(days []Day) *judge {
	var planned []workload.Day
	for _, d := range days {
		planned = append(planned, d.Day)
	}
	return newJudge(p.Limits, p.Year, p.Start, p.Start+workload.Date(len(days))-1, p.History, planned)
}

// One throw more on a day that touches a limit is flagged.
func TestOneThrowMore(t *testing.T) {
	row := rowAt(t, 30)
	days := []workload.Day{{On: monday, High: 50}, {On: monday + 3, High: 50}}
	p := problem{Request: Request{Start: monday, Weeks: 1, Limits: row}}
	if broken := p.judged([]Day{{Day: days[0]}, {Day: days[1]}}, row).all(); len(broken) != 0 {
		t.Fatalf("at the limit: %v", broken)
	}
	days[1].High++
	if broken := p.judged([]Day{{Day: days[0]}, {Day: days[1]}}, row).all(); len(broken) != 1 {
		t.Fatalf("one over: %v", broken)
	}
}
