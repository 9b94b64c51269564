package plan

import (
	"slices"
	"strings"
	"testing"
	"time"

	"rungwise/engine/workload"
)

func TestRefusals(t *testing.T) {
	good := Request{Start: monday, Weeks: 1, Train: allDays, Limits: rowAt(t, 20)}
	for id, spoil := range map[string]func(*Request){
		"stop":                func(r *Request) { r.Stop = "pain was reported" },
		"weeks":               func(r *Request) { r.Weeks = 27 },
		"training_days":       func(r *Request) { r.Train = nil },
		"limits":              func(r *Request) { r.Limits = workload.Row{} },
		"mound_days":          func(r *Request) { r.Train, r.Mound = allDays[:2], allDays[4:5] },
		workload.DailyPitches: func(r *Request) { r.Games = []workload.Day{{On: monday + 2, Game: 121}} },
		workload.RestDays: func(r *Request) {
			r.Games = []workload.Day{{On: monday + 2, Game: 50}, {On: monday + 4, Game: 9}}
		},
	} {
		r := good
		spoil(&r)
		got := Schedule(r)
		if len(got.Refused) == 0 || got.Refused[0].ID != id || got.Refused[0].Words == "" || len(got.Days) > 0 {
			t.Errorf("%s: %+v", id, got.Refused)
		}
	}
	if got := Schedule(good); len(got.Refused) != 0 || got.Empty {
		t.Errorf("the good request: %+v", got.Refused)
	}
}

// 95 pitches, 104.5, are over the floor of 100 with nothing thrown before them; after five weeks of the plan they are not.
func TestAPlanBuildsTheBaseOfALateGame(t *testing.T) {
	r := Request{Start: monday, Weeks: 6, Train: allDays, Limits: rowAt(t, 20), Games: []workload.Day{{On: monday + 40, Game: 95}}}
	got := Schedule(r)
	if len(got.Refused) > 0 {
		t.Fatalf("refused: %+v", got.Refused)
	}
	p := problem{Request: r}
	if broken := p.judged(got.Days, r.Limits).all(); len(broken) > 0 {
		t.Errorf("breaks %v", broken)
	}
	r.Games[0].On = monday + 4
	if got := Schedule(r); len(got.Refused) != 1 || got.Refused[0].ID != workload.WeeklyGrowth {
		t.Errorf("in the first week: %+v", got.Refused)
	}
}

func TestTimeOffAndDoneDays(t *testing.T) {
	r := Request{Start: monday, Weeks: 2, Train: allDays, Limits: rowAt(t, 20), Phase: TimeOff}
	got := Schedule(r)
	if !got.Empty || got.Binding[0] != (Binding{"time_off", 14}) {
		t.Errorf("time off: %+v", got.Binding)
	}
	r.Phase, r.History = MoundPhase, []workload.Day{{On: monday + 1, High: 40}}
	r.Games = []workload.Day{{On: monday + 1, Game: 40}} // the same day's practice was recorded, the game was not
	got = Schedule(r)
	if d := got.Days[1]; d.Kind != Done || d.High != 40 || d.Game != 40 {
		t.Errorf("a day already thrown: %+v", d)
	}
	if got.Days[0].Kind != Done || got.Days[2].High+got.Days[3].High+got.Days[4].High+got.Days[5].High > 0 {
		t.Errorf("80 pitches ask for four days: %+v", got.Days[:6])
	}
}

func TestMoundDaysByThemselves(t *testing.T) {
	r := Request{Train: []time.Weekday{time.Friday, time.Sunday, time.Monday, time.Wednesday}}
	if got := r.mound(); !slices.Equal(got, []time.Weekday{time.Monday, time.Friday}) {
		t.Errorf("every other training day of the week: %v", got)
	}
}

func TestAssumed(t *testing.T) {
	row, _ := base().For(0, false)
	r := Request{Start: monday, Weeks: 1, Train: allDays, Limits: row}
	if got := Schedule(r); len(got.Assumed) != 4 {
		t.Errorf("unknown age and year: %q", got.Assumed)
	}
	r.Limits, r.Year = rowAt(t, 15), workload.Year{InningsKnown: true, NoPitchingKnown: true, NoThrowingKnown: true, NoThrowing: 3, NoPitching: 5}
	if got := Schedule(r); len(got.Assumed) != 0 {
		t.Errorf("all known: %q", got.Assumed)
	}
}

func TestWishes(t *testing.T) {
	for _, c := range []struct {
		age, high int
		phase     Phase
	}{{12, 20, MoundPhase}, {16, 25, MoundPhase}, {30, 30, MoundPhase}, {30, 18, InSeason}} {
		w := WishFor(rowAt(t, c.age), c.phase)
		if w.High != c.high {
			t.Errorf("age %d, %s: %d, want %d", c.age, c.phase, w.High, c.high)
		}
		for _, m := range w.mound() {
			if m.high < leastHigh {
				t.Errorf("age %d: a mound session of %d high-effort throws", c.age, m.high)
			}
		}
	}
}

// A game of which nobody told the pitches holds no hard throws of ours, nor do the days before it; and the plan says how
// it was counted, and where it does not fit, how to tell more.
func TestAGameWithoutACount(t *testing.T) {
	game := workload.Day{On: monday + 5, Game: 95, Least: &workload.Least{}} // the most of a day at 15-16 (MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers)
	r := Request{Start: monday, Weeks: 1, Train: allDays, Limits: rowAt(t, 16), Games: []workload.Day{game}}
	got := Schedule(r)
	if len(got.Refused) == 0 || !strings.Contains(got.Refused[0].Words, "its pitches are not told") {
		t.Errorf("with nothing thrown before: %+v", got.Refused)
	}
	for back := workload.Date(7); back < 42; back += 2 {
		r.History = append(r.History, workload.Day{On: monday - back, Low: 40, Moderate: 20})
	}
	got = Schedule(r)
	if len(got.Refused) > 0 || !strings.Contains(strings.Join(got.Assumed, "; "), "the pitches of the game on 2026-11-14 are not told: counted as 95") {
		t.Fatalf("refused %+v, assumed %q", got.Refused, got.Assumed)
	}
	for _, d := range got.Days[3:] {
		if d.High > 0 {
			t.Errorf("hard throws on %s, the game is on %s", d.On, game.On)
		}
	}
}
