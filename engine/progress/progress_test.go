package progress

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/workload"
)

// The wall table: counts at which the rule promotes and steps back (house default; computed, not published).
func TestWallTable(t *testing.T) {
	s := house(t)
	for _, want := range []Wall{{16, 14, 5}, {20, 17, 7}, {24, 19, 9}} {
		if got := s.Wall(want.Of); got != want {
			t.Errorf("got %+v, want %+v", got, want)
		}
	}
	if got := s.Wall(60); got != s.Wall(24) {
		t.Errorf("more marks than the window holds: %+v", got)
	}
}

// simpson integrates the density of Beta(a, b) from lo to 1: a second opinion on the chance of a rate.
func above(a, b, lo float64) float64 {
	density := func(x float64) float64 { return pow(x, a-1) * pow(1-x, b-1) }
	area := func(lo, hi float64) float64 {
		n, sum := 4000, 0.0
		h := (hi - lo) / float64(n)
		for i := range n {
			x := lo + float64(i)*h
			sum += density(x) + 4*density(x+h/2) + density(x+h)
		}
		return sum * h / 6
	}
	return area(lo, 1-1e-12) / area(1e-12, 1-1e-12)
}

func TestPooledChanceAgainstIntegration(t *testing.T) {
	s := house(t)
	for held := 0; held <= 16; held++ {
		p, _ := s.pool([]Session{{On: monday, Marks: marks(max(held-8, 0), 8)}, {On: monday + 3, Marks: marks(min(held, 8), 8)}})
		w := 1 / 1.7 // 8 marks of one session at correlation .1
		a, b := 1.5+w*float64(held), 1.5+w*float64(16-held)
		if want := above(a, b, .65); !near(p.Promote, want, 1e-4) {
			t.Errorf("%d of 16: %.5f above .65, integration %.5f", held, p.Promote, want)
		}
		if want := 1 - above(a, b, .5); !near(p.Back, want, 1e-4) {
			t.Errorf("%d of 16: %.5f below .5, integration %.5f", held, p.Back, want)
		}
	}
}

func near(a, b, eps float64) bool { return a-b < eps && b-a < eps }

// work returns sessions three days apart at a rung, with marks held of eight, full speed and keep-up throws.
func work(from int, rung string, held ...int) (out []Session) {
	share := map[string]float64{}
	for _, r := range ladder() {
		share[r.ID] = r.Share
	}
	for i, h := range held {
		out = append(out, Session{On: monday + workload.Date(from+3*i), Rung: rung, Marks: marks(h, 8),
			Speeds: speeds(90*share[rung], 8), Keep: speeds(90, 3)})
	}
	return out
}

func join(lists ...[]Session) (all []Session) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

func TestDecisions(t *testing.T) {
	keep := func(from int, v float64, n int) (out []Session) {
		for i := range n {
			out = append(out, Session{On: monday + workload.Date(from+3*i), Keep: speeds(v, 3)})
		}
		return out
	}
	bare := func(list []Session) []Session { // the day's reference throws are logged apart
		for i := range list {
			list[i].Keep = nil
		}
		return list
	}
	slowed := func(list []Session, percent float64) []Session {
		for i := range list {
			list[i].Speeds = speeds(list[i].Speeds[0]*(1-percent/100), 8)
		}
		return list
	}
	for _, c := range []struct {
		name     string
		sessions []Session
		decision Decision
		to       string
		reason   string
	}{
		{"nothing logged", nil, Hold, "", "no_rung"},
		{"one good day is no proof", work(0, "flat_lift", 8), Hold, "flat_lift", "too_few_sessions"},
		{"two good days, 14 of 16", work(0, "flat_lift", 7, 7), Promote, "slope_net", "promote"},
		{"13 of 16", work(0, "flat_lift", 7, 6), Hold, "flat_lift", "marks"},
		{"last rung", work(0, "slope_net", 8, 8), Promote, "", "promote"},
		{"held, but 3 % slow", slowed(work(0, "flat_lift", 8, 8), 3), Hold, "flat_lift", "speed"},
		{"held, but 6 % slow", slowed(work(0, "flat_lift", 8, 8), 6), StepBack, "shuffle_throw", "speed"},
		{"one bad day", work(0, "flat_lift", 0), Hold, "flat_lift", "too_few_sessions"},
		{"5 of 16", work(0, "flat_lift", 3, 2), StepBack, "shuffle_throw", "marks"},
		{"old sessions fall out of the window", work(0, "flat_lift", 0, 8, 8, 8), Promote, "slope_net", "promote"},
		{"the count starts again after a change of rung", join(work(0, "flat_lift", 8, 8), work(6, "slope_net", 8)), Hold, "slope_net", "too_few_sessions"},
		{"and after a change of drill", func() []Session {
			l := work(0, "flat_lift", 8, 8, 8)
			l[2].Changed = true
			return l
		}(), Hold, "flat_lift", "too_few_sessions"},
		{"two sessions of one day are one", func() []Session {
			l := work(0, "flat_lift", 8, 8)
			l[1].On = l[0].On
			return l
		}(), Hold, "flat_lift", "too_few_sessions"},
		{"a second step back running", join(work(0, "slope_net", 0, 0), work(6, "flat_lift", 0, 0)), Retriage, "", "two_rungs_running"},
		{"a step back after a promotion", join(work(0, "shuffle_throw", 8, 8), work(6, "flat_lift", 0, 0)), StepBack, "shuffle_throw", "marks"},
		{"lost at the reference itself", work(0, "running_throw", 0, 0), Retriage, "", "no_rung_below"},
		{"a rung that is not on the ladder", work(0, "one_knee", 8, 8), Hold, "", "no_rung"},
		{"one session under the floor is watched", join(keep(0, 90, 9), keep(27, 85, 1), nil), Hold, "", "no_rung"},
		{"the second of three restores", join(keep(0, 90, 9), keep(27, 85, 2), bare(work(27, "flat_lift", 8, 8))), Restore, "running_throw", "floor"},
		{"three weeks without and under the floor", join(keep(0, 90, 9), keep(27+21, 85, 1)), Restore, "running_throw", "floor"},
		{"three weeks without, far under: faded, not hurt", join(keep(0, 90, 9), keep(27+21, 80, 1)), Restore, "running_throw", "floor"},
		{"far under in a week: loss", join(keep(0, 90, 9), keep(27, 82, 1)), Stop, "", "velocity_loss"},
		{"restoring has not helped", join(keep(0, 90, 9), keep(27, 85, 5)), Stop, "", "velocity_loss"},
		{"no floor while learning", join(keep(0, 90, 4), keep(12, 80, 2)), Hold, "", "no_rung"},
	} {
		rep := Decide(Request{Sessions: c.sessions, Ladder: ladder(), Age: 20, AgeKnown: true, Settings: house(t)})
		var ids []string
		for _, r := range rep.Reasons {
			ids = append(ids, r.ID)
		}
		if rep.Decision != c.decision || rep.To != c.to || !strings.Contains(strings.Join(ids, " "), c.reason) {
			t.Errorf("%s: %s to %q because of %v, want %s to %q because of %s", c.name, rep.Decision, rep.To, ids, c.decision, c.to, c.reason)
		}
	}
}

func TestSpeedIsComparedWithTheSameDay(t *testing.T) {
	list := work(0, "flat_lift", 8, 8)
	for i := range list { // a slow day for everything
		list[i].Keep, list[i].Speeds = speeds(87, 3), speeds(87*.935, 8)
	}
	rep := Decide(Request{Sessions: list, Ladder: ladder(), Settings: house(t)})
	if rep.Decision != Promote || !near(rep.Speed.Percent, 100, 1e-9) || rep.Speed.Sessions != 2 {
		t.Errorf("%s at %.2f %%", rep.Decision, rep.Speed.Percent)
	}
	for i := range list {
		list[i].Keep = nil
	}
	rep = Decide(Request{Sessions: list, Ladder: ladder(), Settings: house(t)})
	if rep.Speed.Known() || rep.Decision != Promote || !strings.Contains(strings.Join(rep.Notes, " "), "no speed could be compared") {
		t.Errorf("without reference throws: %+v, %v", rep.Speed, rep.Notes)
	}
}

func TestGainAndGrowth(t *testing.T) {
	series := func(from, to float64, n int) (out []Session) {
		for i := range n {
			v := from + (to-from)*float64(i)/float64(n-1)
			out = append(out, Session{On: monday + workload.Date(7*i), Keep: speeds(v, 5)})
		}
		return out
	}
	for _, c := range []struct {
		age   int
		known bool
		to    float64
		n     int
		words string
	}{
		{13, true, 80, 16, "may be growth"}, {0, false, 80, 16, "may be growth"}, {25, true, 80, 16, "gain"},
		{25, true, 71, 16, "no change beyond noise"}, {25, true, 64, 16, "loss"}, {25, true, 80, 5, ""},
	} {
		rep := Decide(Request{Sessions: series(70, c.to, c.n), Ladder: ladder(), Age: c.age, AgeKnown: c.known, Settings: house(t)})
		if rep.Gain.Words != c.words {
			t.Errorf("age %d, to %v in %d weeks: %q, want %q", c.age, c.to, c.n, rep.Gain.Words, c.words)
		}
		if told := strings.Contains(strings.Join(rep.Notes, " "), "not called progress"); told != (c.words == "may be growth") {
			t.Errorf("age %d: notes %v", c.age, rep.Notes)
		}
	}
}

func TestLearningSessions(t *testing.T) {
	s := house(t)
	var days []Session
	for i := range 8 {
		days = append(days, Session{On: monday + workload.Date(10*i), Keep: speeds(90, 3)})
	}
	learning := func(r Request) (n int) {
		for _, x := range r.readings(days) {
			if x.learning {
				n++
			}
		}
		return n
	}
	if got := learning(Request{Settings: s}); got != 4 {
		t.Errorf("sparse sessions: %d learning, want the first four", got)
	}
	if got := learning(Request{Settings: s, FirstThrown: monday - 200, FirstThrownKnown: true}); got != 0 {
		t.Errorf("an old drill: %d learning", got)
	}
	for i := range days {
		days[i].On = monday + workload.Date(2*i)
	}
	if got := learning(Request{Settings: s}); got != 7 {
		t.Errorf("dense sessions: %d learning, want those of fourteen days", got)
	}
}

// The order in which sessions are handed over changes nothing, and no decision but a stop comes from a single day.
func TestOrderAndSingleDays(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 99))
	for i := range cases(300, 3000) {
		a := newAthlete(13<<32 + uint64(i))
		r := Request{Ladder: ladder(), Settings: house(t)}
		for k := range 1 + rng.IntN(8) {
			r.Sessions = append(r.Sessions, a.session(monday+workload.Date(2*k), ladder()[rng.IntN(4)], rng.Float64()*.9+.05))
		}
		want := Decide(r)
		shuffled := r
		shuffled.Sessions = append([]Session(nil), r.Sessions...)
		rng.Shuffle(len(shuffled.Sessions), func(i, j int) {
			shuffled.Sessions[i], shuffled.Sessions[j] = shuffled.Sessions[j], shuffled.Sessions[i]
		})
		if diff := cmp.Diff(want, Decide(shuffled)); diff != "" {
			t.Fatalf("course %d: %s", i, diff)
		}
		if (want.Decision == Promote || want.Decision == StepBack) && want.Marks.Sessions < 2 {
			t.Fatalf("course %d: %s on %d sessions", i, want.Decision, want.Marks.Sessions)
		}
	}
}

func TestReadSettings(t *testing.T) {
	_, err := ReadSettings(func(name string) (float64, bool) { return 1, name != "promote_rate" && name != "loss_percent" })
	if err == nil || !strings.Contains(err.Error(), "promote_rate") || strings.Contains(err.Error(), "loss_percent") {
		t.Errorf("missing name: %v", err)
	}
	if _, err = ReadSettings(func(string) (float64, bool) { return -1, true }); err == nil {
		t.Error("negative settings were read")
	}
}
