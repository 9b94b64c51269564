package progress

import (
	"slices"

	"rungwise/engine/workload"
)

// Floor is the state of the reference drill.
type Floor struct {
	Known bool    `json:"known"`
	Basis float64 `json:"basis"` // mean of the best sessions so far, in the unit of the speeds
	Speed float64 `json:"speed"` // the floor: Basis less the floor's percentage
	Last  float64 `json:"last"`  // newest session's mean; with LastKnown
	// ShareOfBest is Last in percent of Basis.
	ShareOfBest float64 `json:"share_of_best"`
	// Under of the last Of sessions lie under the floor.
	Under int `json:"under"`
	Of    int `json:"of"`
	// Watch: the newest session is under the floor for the first time. Faded: restore the drill.
	Watch bool `json:"watch"`
	Faded bool `json:"faded"`
	// Learning: the drill is too new for a best, a floor or a gain.
	Learning bool `json:"learning"`
	// DaysSince the drill was thrown before the newest session with it.
	DaysSince int `json:"days_since"`
	// Loss: the newest session is under Basis by more than noise explains. Stuck: under the floor for so long that
	// restoring has not helped.
	Loss  bool `json:"loss"`
	Stuck bool `json:"stuck"`
}

// A reading is one day's mean of the reference drill.
type reading struct {
	on       workload.Date
	mean     float64
	learning bool
}

// FloorOf judges the reference drill by the sessions of a request. It is the one owner of the floor.
func FloorOf(r Request) Floor { return r.floor(r.readings(byDay(r.Sessions))) }

// readings returns the days with enough reference throws, oldest first, the learning ones marked: the first days on the
// drill and, where its first day is not told, the first sessions, whichever last longer.
func (r Request) readings(days []Session) []reading {
	var out []reading
	first := r.FirstThrown
	for _, d := range days {
		n := len(out)
		if len(d.Keep) < r.Settings.LeastThrows || n > 0 && out[n-1].on == d.On {
			continue
		}
		if !r.FirstThrownKnown && n == 0 {
			first = d.On
		}
		few := !r.FirstThrownKnown && n < r.Settings.LearningSessions
		out = append(out, reading{d.On, mean(d.Keep), few || int(d.On-first) < r.Settings.LearningDays})
	}
	return out
}

// basis is the mean of the best sessions up to a day, of as many as it takes or of the best so far, and how many these
// are. Learning sessions are left out, and so is one under the floor of those before it: a faded session does not lower
// what it is held against.
func (s Settings) basis(all []reading, until workload.Date) (speed float64, sessions int) {
	var best []float64
	for _, r := range all {
		if r.on > until {
			break
		}
		if r.learning || len(best) > 0 && r.mean < mean(best)*(1-s.FloorPercent/100) {
			continue
		}
		best = append(best, r.mean)
		slices.Sort(best)
		best = best[max(0, len(best)-s.FloorBest):]
	}
	return mean(best), len(best)
}

// under reports whether a reading lies under the floor of its own day.
func (s Settings) under(all []reading, r reading) bool {
	basis, n := s.basis(all, r.on)
	return n > 0 && r.mean < basis*(1-s.FloorPercent/100)
}

// floor judges the reference drill: one session under the floor is watched, the second of the last three acted on. A
// loss is told against as many best sessions as a floor takes: one best day grows by luck, their mean much less.
func (r Request) floor(all []reading) Floor {
	var f Floor
	if len(all) == 0 {
		return f
	}
	s, newest := r.Settings, all[len(all)-1]
	f.Last, f.Learning = newest.mean, newest.learning
	var sessions int
	if f.Basis, sessions = s.basis(all, newest.on); sessions == 0 {
		f.Basis = 0
		return f
	}
	f.Known = true
	f.Speed, f.ShareOfBest = f.Basis*(1-s.FloorPercent/100), 100*f.Last/f.Basis
	f.Under, f.Of = s.count(all, s.FloorLast)
	if len(all) > 1 {
		before := all[len(all)-2].on
		if r.LastThrown < newest.on {
			before = max(before, r.LastThrown)
		}
		f.DaysSince = int(newest.on - before)
	}
	low, enough := s.under(all, newest), sessions >= s.FloorBest
	f.Faded = f.Under >= s.FloorBreaches || low && f.DaysSince >= s.DroppedDays
	f.Watch = low && !f.Faded
	f.Loss = enough && f.DaysSince < s.DroppedDays && f.Last < f.Basis*(1-s.LossPercent/100)
	f.Stuck = enough && s.stuck(all)
	return f
}

// stuck reports whether all of the last sessions, two more than the floor looks at, lie under the floor though the drill
// was not dropped before any of them: restoring has not helped.
func (s Settings) stuck(all []reading) bool {
	n := s.FloorLast + 2
	if len(all) <= n {
		return false
	}
	for i := len(all) - n; i < len(all); i++ {
		if int(all[i].on-all[i-1].on) >= s.DroppedDays {
			return false
		}
	}
	under, of := s.count(all, n)
	return under == of
}

// count returns how many of the last so many readings are under the floor.
func (s Settings) count(all []reading, last int) (under, of int) {
	for _, r := range all[max(0, len(all)-last):] {
		of++
		if s.under(all, r) {
			under++
		}
	}
	return under, of
}

// Gain is the change of the reference drill over the weeks logged, the first three sessions against the last three.
type Gain struct {
	Known   bool    `json:"known"`
	Percent float64 `json:"percent"`
	Weeks   float64 `json:"weeks"`
	// Words: no change beyond noise, gain, loss, or may be growth (young, over months).
	Words string `json:"words"`
}

// The ends of a gain: growing is the age under which months of gain are mostly growth (in 420 youths age explained .658
// of velocity; Sgroi 2015, J Shoulder Elbow Surg 24:1339-1345), growthWeeks what months are. House default.
const (
	growing     = 18
	growthWeeks = 6
	gainEnds    = 3
)

func (r Request) gain(all []reading) Gain {
	all = slices.DeleteFunc(slices.Clone(all), func(x reading) bool { return x.learning })
	if len(all) < 2*gainEnds {
		return Gain{}
	}
	first, last := all[:gainEnds], all[len(all)-gainEnds:]
	was, is := 0.0, 0.0
	for i := range gainEnds {
		was, is = was+first[i].mean, is+last[i].mean
	}
	g := Gain{Known: true, Percent: 100 * (is/was - 1), Weeks: float64(last[gainEnds-1].on-first[0].on) / 7}
	switch young := !r.AgeKnown || r.Age < growing; {
	case g.Percent < -r.Settings.NoisePercent:
		g.Words = "loss"
	case g.Percent <= r.Settings.NoisePercent:
		g.Words = "no change beyond noise"
	case young && g.Weeks >= growthWeeks:
		g.Words = "may be growth"
	default:
		g.Words = "gain"
	}
	return g
}
