package progress

import (
	"fmt"
	"slices"

	"rungwise/engine/workload"
)

// Decide returns the decision that the sessions call for, at the end of the newest one. What stops throwing is decided
// first, then what is wrong with the reference drill, then the rung.
func Decide(r Request) Report {
	days := byDay(r.Sessions)
	readings := r.readings(days)
	work := run(days)
	rep := Report{Decision: Hold, Floor: r.floor(readings), Gain: r.gain(readings)}
	marks, window := r.Settings.pool(work)
	rep.Marks = marks
	if len(work) > 0 {
		rep.Rung = work[0].Rung
	}
	i := r.index(rep.Rung)
	if i >= 0 {
		rep.Speed = r.Settings.speed(window, r.Ladder[i].Share, func(on workload.Date) (float64, int) { return r.Settings.basis(readings, on) })
	}
	rep.notes(r, days)
	switch {
	case r.stops(&rep), r.restores(&rep):
	case i < 0:
		rep.add("no_rung", "no session at a rung of the ladder is logged yet")
	default:
		r.rung(i, days, &rep)
	}
	return rep
}

func (rep *Report) add(id, words string) { rep.Reasons = append(rep.Reasons, Reason{id, words}) }

// byDay sorts the sessions by date and joins those of one day and rung. Sessions of one day at different rungs stay
// apart, in the order in which they were given.
func byDay(sessions []Session) []Session {
	sorted := slices.Clone(sessions)
	slices.SortStableFunc(sorted, func(a, b Session) int { return int(a.On - b.On) })
	var out []Session
	for _, s := range sorted {
		last := len(out) - 1
		if last < 0 || out[last].On != s.On || out[last].Rung != s.Rung && out[last].Rung != "" && s.Rung != "" {
			out = append(out, s)
			continue
		}
		out[last] = out[last].join(s)
	}
	return shareKeep(out)
}

// shareKeep gives all sessions of a day that day's reference throws.
func shareKeep(days []Session) []Session {
	keep := map[workload.Date][]float64{}
	for _, d := range days {
		keep[d.On] = append(keep[d.On], d.Keep...)
	}
	for i := range days {
		days[i].Keep = keep[days[i].On]
	}
	return days
}

func (s Session) join(o Session) Session {
	if s.Rung == "" {
		s.Rung = o.Rung
	}
	s.Marks = slices.Concat(s.Marks, o.Marks)
	s.Speeds = slices.Concat(s.Speeds, o.Speeds)
	s.Keep = slices.Concat(s.Keep, o.Keep)
	s.Changed = s.Changed || o.Changed
	if o.Sore != "" {
		s.Sore = o.Sore
	}
	return s
}

func (r Request) index(rung string) int {
	return slices.IndexFunc(r.Ladder, func(x Rung) bool { return x.ID == rung && rung != "" })
}

// stops says whether throwing ends on a loss of velocity that noise does not explain (Mayo 2021, Orthop J Sports Med 9(6): fastball velocity fell before elbow ligament surgery).
func (r Request) stops(rep *Report) bool {
	f := rep.Floor
	if f.Loss {
		rep.Decision = Stop
		rep.add("velocity_loss", fmt.Sprintf("the reference drill is %.1f %% under its best sessions, more than a day explains: rest, and have it looked at", 100-f.ShareOfBest))
	}
	if f.Stuck {
		rep.Decision = Stop
		rep.add("velocity_loss", "the reference drill stays under its floor although it is thrown: rest, and have it looked at")
	}
	return rep.Decision == Stop
}

// restores says whether the reference drill has faded and comes first.
func (r Request) restores(rep *Report) bool {
	f := rep.Floor
	if !f.Faded {
		return false
	}
	rep.Decision = Restore
	if len(r.Ladder) > 0 {
		rep.To = r.Ladder[0].ID
	}
	words := fmt.Sprintf("the reference drill is under its floor in %d of the last %d sessions", f.Under, f.Of)
	if f.Under < r.Settings.FloorBreaches {
		words = fmt.Sprintf("the reference drill is under its floor after %d days without it", f.DaysSince)
	}
	rep.add("floor", words)
	return true
}

// rung decides between moving on, staying and stepping back at rung i of the ladder.
func (r Request) rung(i int, days []Session, rep *Report) {
	s, m, v := r.Settings, rep.Marks, rep.Speed
	slow := v.Sessions >= s.LeastSessions && v.Percent < 100-s.BackSpeed
	switch {
	case s.stepsBack(m) || slow:
		r.back(i, days, slow, rep)
	case s.promotes(m) && (!v.Known() || v.Percent >= 100-s.PromoteSpeed):
		rep.Decision = Promote
		if i+1 < len(r.Ladder) {
			rep.To = r.Ladder[i+1].ID
		}
		rep.add("promote", fmt.Sprintf("%s of %d throws held over %d sessions", count(m.Held), m.Marks, m.Sessions))
	default:
		rep.To = rep.Rung
		r.holds(rep)
	}
}

// back steps down a rung; from the reference itself, or twice running, the diagnosis is in doubt instead.
func (r Request) back(i int, days []Session, slow bool, rep *Report) {
	m := rep.Marks
	words := fmt.Sprintf("%s of %d throws held over %d sessions", count(m.Held), m.Marks, m.Sessions)
	id := "marks"
	if slow {
		id, words = "speed", fmt.Sprintf("the speed is %.1f %% under what the throw leaves of the reference", 100-rep.Speed.Percent)
	}
	rep.add(id, words)
	previous := r.index(before(days))
	switch {
	case i == 0:
		rep.Decision = Retriage
		rep.add("no_rung_below", "there is no rung below the reference drill")
	case previous > i:
		rep.Decision = Retriage
		rep.add("two_rungs_running", "this is the second step back running: look again at what is in the way")
	default:
		rep.Decision, rep.To = StepBack, r.Ladder[i-1].ID
	}
}

// holds says what is missing for a promotion.
func (r Request) holds(rep *Report) {
	s, m, v := r.Settings, rep.Marks, rep.Speed
	switch {
	case m.Sessions < s.LeastSessions:
		rep.add("too_few_sessions", fmt.Sprintf("%d of the %d sessions that a decision needs", m.Sessions, s.LeastSessions))
	case !s.promotes(m):
		rep.add("marks", fmt.Sprintf("%s of %d throws held over %d sessions: neither enough to move on nor few enough to step back",
			count(m.Held), m.Marks, m.Sessions))
	default:
		rep.add("speed", fmt.Sprintf("the pattern is held, the speed is %.1f %% under what the throw leaves of the reference", 100-v.Percent))
	}
}

// notes tells what did not decide but should be known.
func (rep *Report) notes(r Request, days []Session) {
	note := func(words string) { rep.Notes = append(rep.Notes, words) }
	f := rep.Floor
	switch {
	case f.Learning:
		note("the reference drill is still being learned: its speeds count for no best, floor or gain yet")
	case !f.Known:
		note("too few sessions with reference throws for a floor")
	case f.Watch:
		note("the reference drill is under its floor for the first time: repeat it next session and watch")
	}
	if !rep.Speed.Known() && rep.Marks.Marks > 0 {
		note("no speed could be compared: the marks alone count, and more of them have to be held")
	}
	if rep.Gain.Words == "may be growth" {
		note("months of gain at this age are mostly growth: they are not called progress")
	}
	if n := len(days); n > 0 && days[n-1].Sore != "" {
		note("soreness: " + days[n-1].Sore)
	}
}

func count(held float64) string {
	if held == float64(int(held)) {
		return fmt.Sprint(int(held))
	}
	return fmt.Sprintf("%.1f", held)
}
