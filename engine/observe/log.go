package observe

import (
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
	"rungwise/engine/stats"
)

// logSessions are the days of the log with enough throws of the reference drill
// to say something, and last the last day with any.
func (o *observer) logSessions() (out []session, last time.Time) {
	if o.c.Log == nil {
		return nil, last
	}
	speeds := map[time.Time][]float64{}
	var days []time.Time
	for _, e := range o.c.Log.Of(casefile.LogSession) {
		v := e.MPH(e.Keep)
		thrown := len(e.Keep) > 0
		if e.Rung == o.c.Reference.Throw && e.Rung != "" {
			v, thrown = append(v, e.MPH(e.Speeds)...), thrown || e.AtRung() > 0
		}
		on := e.Day()
		if thrown && on.After(last) {
			last = on
		}
		if _, known := speeds[on]; !known {
			days = append(days, on)
		}
		speeds[on] = append(speeds[on], v...)
	}
	for _, on := range days {
		if v := speeds[on]; len(v) >= int(o.number("stale_throws")) {
			out = append(out, session{on, stats.Mean(v), len(v)})
		}
	}
	return out, last
}

// logSlope counts the last four weeks' throws off the slope, where the log is as
// old as that.
func (o *observer) logSlope() {
	if o.c.Log == nil || len(o.c.Log.Entries) == 0 {
		return
	}
	from := o.today.AddDate(0, 0, -28)
	if o.c.Log.Entries[0].Day().After(from) {
		return
	}
	n := 0
	for _, e := range o.c.Log.Entries {
		if on := e.Day(); on.Before(from) || !on.Before(o.today.AddDate(0, 0, 1)) {
			continue
		}
		if t, ok := o.b.Throw(e.Rung); ok && t.OnMound {
			n += e.AtRung()
		}
		n += e.Pitches
	}
	o.set("load.mound_throws_28d", fact.Num(float64(n)))
}
