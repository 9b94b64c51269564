package workload

// The ways in which tellings of one day become one day. Each can only raise what the day may have held: more that is
// told never allows more.

// counts is the throws of a day by class, the lightest first.
type counts[T int | float64] [4]T

func (d Day) counts() counts[int] { return counts[int]{d.Low, d.Moderate, d.High, d.Game} }

func (d *Day) set(c counts[int]) { d.Low, d.Moderate, d.High, d.Game = c[0], c[1], c[2], c[3] }

func (l Least) counts() counts[float64] { return counts[float64]{l.Low, l.Moderate, l.High, l.Game} }

func (c counts[T]) least(adjust float64) *Least {
	return &Least{float64(c[0]), float64(c[1]), float64(c[2]), float64(c[3]), adjust}
}

// Plus returns both days' throws together, on d's date: two tellings of different throws.
func (d Day) Plus(e Day) Day {
	if d.Least != nil || e.Least != nil {
		a, b := d.Surely(), e.Surely()
		d.Least = &Least{a.Low + b.Low, a.Moderate + b.Moderate, a.High + b.High, a.Game + b.Game, a.Adjust + b.Adjust}
	}
	d.Low += e.Low
	d.Moderate += e.Moderate
	d.High += e.High
	d.Game += e.Game
	d.Innings += e.Innings
	d.Adjust += e.Adjust
	d.Assumed = d.Assumed || e.Assumed
	return d
}

// Twice returns d's throws and e's together where e may tell of the same throws once more: both count for the most,
// d's alone for the least.
func (d Day) Twice(e Day) Day {
	e.Least = &Least{}
	return d.Plus(e)
}

// Larger returns, on d's date, what two tellings of the same throws come to: the larger of each count. Practice throws
// of an effort are counted together with the harder ones, so that the same throw does not count in two classes.
func (d Day) Larger(e Day) Day {
	if d.Least != nil || e.Least != nil {
		a, b := d.Surely(), e.Surely()
		d.Least = larger(a.counts(), b.counts()).least(min(a.Adjust, b.Adjust))
	}
	d.Assumed = (d.Assumed || d.Throws() == 0) && (e.Assumed || e.Throws() == 0)
	d.set(larger(d.counts(), e.counts()))
	d.Innings, d.Adjust = max(d.Innings, e.Innings), max(d.Adjust, e.Adjust)
	return d
}

func larger[T int | float64](a, b counts[T]) (out counts[T]) {
	var hard T // the throws of all harder classes
	for i := 2; i >= 0; i-- {
		upTo := func(c counts[T]) (n T) {
			for _, v := range c[i:3] {
				n += v
			}
			return n
		}
		out[i] = max(upTo(a), upTo(b)) - hard
		hard += out[i]
	}
	out[3] = max(a[3], b[3])
	return out
}

// AtLeast raises a day to totals that were told of the whole of it: all throws, and pitches among them. The effort of
// the others is moderate for the most and low for the least, even where a part of them was told as lighter: it may be
// another part.
func (d Day) AtLeast(throws, pitches int) Day {
	high := max(pitches-d.Game, 0)
	sure := d.Surely().Game
	surely := max(float64(pitches)-sure, 0)
	return d.Larger(Day{High: high, Moderate: max(throws-d.Game-high, 0),
		Least: &Least{High: surely, Low: max(float64(throws)-sure-surely, 0)}})
}
