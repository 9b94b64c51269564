package workload

import (
	"math/rand/v2"
	"testing"
)

// harder reports whether a day holds at least as much as another in every way that a limit can ask for: game pitches,
// pitches, throws of more than low effort, throws.
func harder(a, b [4]float64) bool {
	x, y := 0.0, 0.0
	for i := 3; i >= 0; i-- {
		if x, y = x+a[i], y+b[i]; x < y-1e-9 {
			return false
		}
	}
	return true
}

func most(d Day) [4]float64 {
	return [4]float64{float64(d.Low), float64(d.Moderate), float64(d.High), float64(d.Game)}
}

func least(d Day) [4]float64 { return d.Surely().counts() }

func TestLargerOfTwoTellings(t *testing.T) {
	told := Day{On: monday}.AtLeast(10, 0) // ten throws on the day of a ladder of thirty hard ones
	for _, got := range []Day{told.Larger(Day{High: 30}), Day{High: 30}.Larger(told)} {
		if got.High != 30 || got.Throws() != 30 || got.Surely().High != 30 {
			t.Errorf("a record beside a ladder: %+v", got)
		}
	}
	if got := (Day{Moderate: 30, High: 5}).Larger(Day{Moderate: 10, High: 12, Game: 4}); got.High != 12 || got.Moderate != 23 || got.Game != 4 {
		t.Errorf("the larger of each number, a throw in one class only: %+v", got)
	}
	if got := told.Twice(told); got.Throws() != 20 || got.Surely().Throws() != 10 {
		t.Errorf("told twice: %+v, surely %+v", got, got.Surely())
	}
	if got := (Day{Low: 9}).Larger(Day{High: 20, Assumed: true, Least: &Least{}}); got.High != 20 || got.Assumed || got.Surely() != (Least{Low: 9}) {
		t.Errorf("an assumption beside a record: %+v", got)
	}
	if got := (Day{On: monday, Low: 5, Moderate: 5}).AtLeast(30, 8); got.High != 8 || got.Throws() != 30 || got.Surely().Low != 22 {
		t.Errorf("totals of a whole day: %+v, surely %+v", got, got.Surely())
	}
}

// Whatever is told besides, no way of joining takes away from what a day may have held, nor from what it surely held.
func TestJoiningNeverTakesAway(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	day := func() Day {
		d := Day{Low: rng.IntN(30), Moderate: rng.IntN(30), High: rng.IntN(30), Game: rng.IntN(30) * rng.IntN(2)}
		if rng.IntN(3) == 0 {
			d.Least = &Least{Low: float64(rng.IntN(d.Low + 1)), High: float64(rng.IntN(d.High + 1)), Game: float64(d.Game)}
		}
		return d
	}
	for range 20000 {
		a, b, c := day(), day(), day()
		for what, pair := range map[string][2]Day{
			"plus": {a.Plus(b), a}, "larger": {a.Larger(b), a}, "larger, the other way": {a.Larger(b), b}, "twice": {a.Twice(b), a},
			"totals": {a.AtLeast(b.Throws(), b.Pitches()), a}, "a part more of what is joined": {a.Plus(b).Larger(c), a.Larger(c)},
			"a part more of a day with totals": {a.Plus(b).AtLeast(c.Throws(), c.Pitches()), a.AtLeast(c.Throws(), c.Pitches())},
			"totals of what is joined":         {a.AtLeast(b.Throws(), b.Pitches()).Larger(c), a.Larger(c)},
		} {
			if !harder(most(pair[0]), most(pair[1])) || !harder(least(pair[0]), least(pair[1])) {
				t.Fatalf("%s: %+v (%+v) holds less than %+v (%+v)", what, pair[0], pair[0].Surely(), pair[1], pair[1].Surely())
			}
			if !harder(most(pair[0]), least(pair[0])) {
				t.Fatalf("%s: %+v surely holds %+v", what, pair[0], pair[0].Surely())
			}
		}
	}
}
