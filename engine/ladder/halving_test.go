package ladder

import "testing"

// The halving order starts with four of the reference and three of the top rung, halves, and stops at the limit.
func TestHalvingOrder(t *testing.T) {
	l := studyLadder(true)
	whole := goldenA()
	for i := 10; i < 13; i++ {
		whole.Rungs[i] = Rung{Throw: l.Rungs[i].Throw, Share: l.Rungs[i].Share, Speeds: []float64{78, 77, 78}, Marks: marks(3, 0)}
	}
	var order []int
	for {
		next, err := Halving(l, Defaults(), 36)
		if err != nil {
			t.Fatal(err)
		}
		if next.Done {
			if v := next.Verdict; v.Kind != Stuck || v.Rung != 6 || v.Gap {
				t.Errorf("found %s at %d after %d", v.Kind, v.Rung, v.After)
			}
			break
		}
		order = append(order, next.Rung)
		if want := 3 + int(step(len(order) == 1)); next.Throws != want {
			t.Errorf("%d throws at rung %d, want %d", next.Throws, next.Rung, want)
		}
		g := whole.Rungs[next.Rung]
		g.Order = len(order)
		l.Rungs[next.Rung] = g
		if len(order) > 13 {
			t.Fatalf("no end: %v", order)
		}
	}
	if len(order) < 4 || order[0] != 0 || order[1] != 12 || order[2] != 6 || len(order) > 7 {
		t.Errorf("order %v", order)
	}
	if next, _ := Halving(studyLadder(true), Defaults(), 3); !next.Done {
		t.Error("four throws of the reference do not fit into three")
	}
	if _, err := Halving(Ladder{}, Defaults(), 36); err == nil {
		t.Error("an empty ladder was read")
	}
}

// Where the marks are all a coach has, the order is the same.
func TestHalvingWithoutRadar(t *testing.T) {
	l := studyLadder(true)
	l.Rungs[0].Marks = marks(4, 1)
	l.Rungs[12].Marks = marks(3, 0)
	next, err := Halving(l, Defaults(), 36)
	if err != nil || next.Done || next.Rung == 0 || next.Rung == 12 {
		t.Errorf("%+v, %v", next, err)
	}
}
