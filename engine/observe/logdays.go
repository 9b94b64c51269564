package observe

import (
	"slices"

	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// LogDays counts the throws of a log by day. What nobody told is read the way
// that allows less: throws at a rung of a hard throw are hard unless another
// effort was told, and throws beyond those told one by one are of moderate
// effort. A return slip tells the whole day, so it can only raise it.
func LogDays(l *casefile.Log, b *rule.Base) []workload.Day {
	if l == nil {
		return nil
	}
	var days []workload.Day
	at := func(e casefile.Entry) *workload.Day {
		on := workload.DateOf(e.Day())
		i := slices.IndexFunc(days, func(d workload.Day) bool { return d.On == on })
		if i < 0 {
			days = append(days, workload.Day{On: on})
			i = len(days) - 1
		}
		return &days[i]
	}
	for _, e := range l.Entries {
		switch e.What {
		case casefile.LogSession:
			add(at(e), sessionDay(e, b))
		case casefile.LogOther:
			add(at(e), otherDay(e, b))
		}
	}
	for _, e := range l.Of(casefile.LogSlip) {
		if e.Throws+e.High > 0 {
			d := at(e)
			*d = told(*d, e.Throws, e.High)
		}
	}
	slices.SortFunc(days, func(a, b workload.Day) int { return int(a.On - b.On) })
	return days
}

func add(d *workload.Day, e workload.Day) {
	d.Low, d.Moderate, d.High = d.Low+e.Low, d.Moderate+e.Moderate, d.High+e.High
	d.Game, d.Innings, d.Assumed = d.Game+e.Game, d.Innings+e.Innings, d.Assumed || e.Assumed
}

// sessionDay counts one session.
func sessionDay(e casefile.Entry, b *rule.Base) workload.Day {
	w := b.Workload.Weights
	d := workload.Day{High: len(e.Keep)}
	put := func(class workload.Effort, n int) {
		switch class {
		case workload.Low:
			d.Low += n
		case workload.Moderate:
			d.Moderate += n
		default:
			d.High += n
		}
	}
	class := workload.High
	if t, ok := b.Throw(e.Rung); ok && !t.HighEffort {
		class = workload.Moderate
	}
	if e.Effort > 0 {
		class = w.Class(e.Effort)
	}
	put(class, e.AtRung())
	for _, x := range e.Drills {
		effort := workload.High
		if drill, ok := b.Drill(x.Drill); ok {
			effort = w.Class(drill.Effort)
		}
		put(effort, x.Throws)
	}
	return told(d, e.Throws, e.High)
}

// told raises counts to the totals that were told.
func told(d workload.Day, throws, high int) workload.Day {
	if more := high - d.Pitches(); more > 0 {
		moderate := min(more, d.Moderate)
		d.Moderate -= moderate
		d.Low -= min(more-moderate, d.Low)
		d.High += more
	}
	if more := throws - d.Throws(); more > 0 {
		d.Moderate += more
	}
	return d
}

func otherDay(e casefile.Entry, b *rule.Base) workload.Day {
	d := workload.Day{Game: e.Pitches, Innings: e.Innings}
	if e.Kind == "catching" && e.Throws == 0 {
		d.Innings, d.Assumed = 0, true
		return told(d, int(b.Value("catching_throws", 0)), int(b.Value("catching_hard", 0)))
	}
	if e.Kind == "catching" {
		d.Innings = 0 // innings caught are no innings pitched
	}
	return told(d, e.Throws, e.High)
}

// joined puts logged days to recorded ones. A day that stands in both counts
// with the larger of each number: the two may tell of the same throws.
func joined(recorded, logged []workload.Day) []workload.Day {
	var out []workload.Day
	for _, d := range recorded {
		if i := slices.IndexFunc(out, func(o workload.Day) bool { return o.On == d.On }); i >= 0 {
			add(&out[i], d)
			continue
		}
		out = append(out, d)
	}
	for _, d := range logged {
		i := slices.IndexFunc(out, func(o workload.Day) bool { return o.On == d.On })
		if i < 0 {
			out = append(out, d)
			continue
		}
		o := &out[i]
		o.Low, o.Moderate, o.High = max(o.Low, d.Low), max(o.Moderate, d.Moderate), max(o.High, d.High)
		o.Game, o.Innings, o.Adjust = max(o.Game, d.Game), max(o.Innings, d.Innings), max(o.Adjust, d.Adjust)
		o.Assumed = o.Assumed && d.Assumed
	}
	return out
}
