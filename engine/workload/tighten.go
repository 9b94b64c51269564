package workload

import (
	"fmt"
	"slices"
)

// A Loosening is an attempt of a house to make a hard limit looser. It had no effect.
type Loosening struct {
	ID       string  // of the number, or daily_pitches, rest_days, innings_12_months, effort_weights
	Ages     string  // to 14, 15 to 18, 19 and over, or a table row's ages; empty: all
	Has, Set float64 // the limit that stays, and what was asked for
	Words    string  // the whole thing in plain words
}

// Tighten lays a house's numbers over the limits and keeps the stricter of each pair. The house holds whole entries,
// and only those it changes; what would loosen, is not a number, or is not known here comes back as a Loosening and
// changes nothing. Effort weights cannot be changed at all: a heavier weight for easy throws would raise the base
// and with it the hard throws that growth allows.
func (l Limits) Tighten(house Limits) (Limits, []Loosening) {
	var refused []Loosening
	l.Numbers = slices.Clone(l.Numbers)
	for _, h := range house.Numbers {
		refused = append(refused, l.tightenNumber(h)...)
	}
	if l.Before == nil {
		l.Before = l.Table
	}
	l.Table = slices.Clone(l.Table)
	for _, h := range house.Table {
		refused = append(refused, l.tightenTable(h)...)
	}
	l.Innings = slices.Clone(l.Innings)
	for _, h := range house.Innings {
		refused = append(refused, l.tightenInnings(h)...)
	}
	if (house.Weights != Weights{}) && house.Weights != l.Weights {
		refused = append(refused, Loosening{ID: "effort_weights", Words: "effort weights belong to the rules and cannot be changed by a house"})
	}
	return l, refused
}

// stricter returns the stricter value, and whether the wish was at least as strict. A value that is not a number
// compares false and so is never taken.
func stricter(d Direction, has, wish float64) (float64, bool) {
	if d == Down && wish >= 0 && wish <= has || d == Up && wish >= has {
		return wish, true
	}
	return has, false
}

func (l *Limits) tightenNumber(h Limit) []Loosening {
	d, ok := Tightening(h.ID)
	most := mostMeant(h.ID)
	i := slices.IndexFunc(l.Numbers, func(n Limit) bool { return n.ID == h.ID })
	if !ok || i < 0 {
		return []Loosening{{ID: h.ID, Words: fmt.Sprintf("there is no hard limit %q", h.ID)}}
	}
	var refused []Loosening
	n := &l.Numbers[i]
	for _, band := range []struct {
		ages string
		has  *float64
		wish float64
	}{{"to 14", &n.To14, h.To14}, {"15 to 18", &n.To18, h.To18}, {"19 and over", &n.Adult, h.Adult}} {
		value, taken := stricter(d, *band.has, band.wish)
		if value > most { // a typing slip, not a limit: it would forbid everything
			value, taken = *band.has, false
		}
		if !taken {
			refused = append(refused, loosening(h.ID, band.ages, *band.has, band.wish, d))
		}
		*band.has = value
	}
	return refused
}

func loosening(id, ages string, has, wish float64, d Direction) Loosening {
	way := [...]string{Down: "lowered", Up: "raised"}[d]
	return Loosening{ID: id, Ages: ages, Has: has, Set: wish,
		Words: fmt.Sprintf("%s for ages %s stays %v: it may only be %s, %v was asked for", id, ages, has, way, wish)}
}

// tightenTable merges one row of a house's table into every row of the base that it covers the whole of.
func (l *Limits) tightenTable(h PitchRow) []Loosening {
	var refused []Loosening
	covered := false
	for i, r := range l.Table {
		if h.From > r.From || h.To < r.To {
			continue
		}
		covered = true
		ages := fmt.Sprintf("%d to %d", r.From, r.To)
		daily, taken := stricter(Down, float64(r.Daily), float64(h.Daily))
		if !taken {
			refused = append(refused, loosening(DailyPitches, ages, float64(r.Daily), float64(h.Daily), Down))
		}
		l.Table[i].Daily = int(daily)
		var loose []Loosening
		l.Table[i].Rest, loose = tightenRest(r, h, ages)
		refused = append(refused, loose...)
	}
	if !covered {
		refused = append(refused, Loosening{ID: DailyPitches, Words: fmt.Sprintf(
			"the ages %d to %d do not cover a whole row of the pitch table", h.From, h.To)})
	}
	return refused
}

// tightenRest takes, for each number of rest days, the fewer pitches. A house's row that ends early would ask for
// fewer days at the top, so the base's own counts go on there; a longer one adds days and counts that only tighten.
func tightenRest(r, h PitchRow, ages string) ([]int, []Loosening) {
	if len(h.Rest) == 0 {
		return r.Rest, nil
	}
	if !slices.IsSorted(h.Rest) {
		return r.Rest, []Loosening{{ID: RestDays, Ages: ages, Words: "the rest counts of ages " + ages + " must rise"}}
	}
	var refused []Loosening
	rest := slices.Clone(r.Rest)
	for i := range rest {
		if i >= len(h.Rest) {
			break
		}
		value, taken := stricter(Down, float64(rest[i]), float64(h.Rest[i]))
		if !taken {
			refused = append(refused, loosening(RestDays, ages, float64(rest[i]), float64(h.Rest[i]), Down))
		}
		rest[i] = int(value)
	}
	if len(h.Rest) > len(rest) {
		rest = append(rest, h.Rest[len(rest):]...)
	}
	return rest, refused
}

// tightenInnings lowers the rows that a house's row covers; ages without a row may get one.
func (l *Limits) tightenInnings(h InningsRow) []Loosening {
	var refused []Loosening
	if !(h.Most >= 0) || h.To < h.From {
		return []Loosening{{ID: Innings, Words: fmt.Sprintf("the innings of ages %d to %d cannot be read", h.From, h.To)}}
	}
	touched := false
	for i, r := range l.Innings {
		if h.From > r.To || h.To < r.From {
			continue
		}
		touched = true
		ages := fmt.Sprintf("%d to %d", r.From, r.To)
		if h.From > r.From || h.To < r.To {
			refused = append(refused, Loosening{ID: Innings, Ages: ages, Words: fmt.Sprintf(
				"the ages %d to %d do not cover the whole innings row %s", h.From, h.To, ages)})
			continue
		}
		value, taken := stricter(Down, r.Most, h.Most)
		if !taken {
			refused = append(refused, loosening(Innings, ages, r.Most, h.Most, Down))
		}
		l.Innings[i].Most = value
	}
	if !touched {
		l.Innings = append(l.Innings, h)
	}
	return refused
}
