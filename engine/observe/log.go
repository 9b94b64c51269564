package observe

import (
	"slices"

	"rungwise/engine/casefile"
	"rungwise/engine/fact"
)

// logSessions are the days of the log on which the reference drill was thrown.
func (o *observer) logSessions() (out []session) {
	if o.c.Log == nil {
		return nil
	}
	for _, e := range o.c.Log.Of(casefile.LogSession) {
		v, thrown := e.MPH(e.Keep), len(e.Keep) > 0
		if e.Rung == o.c.Reference.Throw && e.Rung != "" {
			v, thrown = append(v, e.MPH(e.Speeds)...), thrown || e.AtRung() > 0
		}
		on := e.Day()
		i := slices.IndexFunc(out, func(s session) bool { return s.on.Equal(on) })
		switch {
		case !thrown:
		case i < 0:
			out = append(out, session{on, v})
		default:
			out[i].speeds = append(out[i].speeds, v...)
		}
	}
	return out
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
