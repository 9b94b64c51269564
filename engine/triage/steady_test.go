package triage

import (
	"math"
	"testing"

	"rungwise/engine/cond"
	"rungwise/engine/fact"
)

func condition(t *testing.T, m *Model, text string) *cond.Condition {
	t.Helper()
	c, faults := cond.Compile(text, m.base.Catalogue)
	if c == nil {
		t.Fatal(faults)
	}
	return c
}

// The share of re-readings that keep an outcome is the normal chance that the
// number stays on its side: Φ((value - bound) / error), and of a difference of
// two with the errors joined in quadrature.
func TestSteadyIsTheNormalChance(t *testing.T) {
	m := model(t)
	c := Case{Vector: m.base.Catalogue.Vector(), Error: map[int]float64{}, Lambda: map[int]float64{}}
	set := func(name string, n, err float64) {
		slot, ok := m.base.Catalogue.Slot(name)
		if !ok {
			t.Fatal(name)
		}
		c.Vector[slot], c.Error[slot] = fact.Num(n), err
	}
	set("best.back_knee_bend", 60, 3)
	set("stuck.back_knee_bend", 50, 4)
	set("stuck.trunk_side_tilt", 45, 5)
	set("load.mound_throws_28d", 59, 0)
	lambda, _ := m.base.Catalogue.Slot("changed.stride_length")
	c.Vector[lambda], c.Lambda[lambda] = fact.Bool(true), 4
	for _, row := range []struct {
		text string
		want float64
	}{
		{"stuck.trunk_side_tilt > 40", normalCDF(1)},
		{"stuck.trunk_side_tilt <= 40", normalCDF(1)},
		{"between(stuck.trunk_side_tilt, 40, 50)", 1 - 2*(1-normalCDF(1))},
		{"best.back_knee_bend - stuck.back_knee_bend > 9", normalCDF(0.2)},
		{"best.back_knee_bend - stuck.back_knee_bend > 9 and stuck.trunk_side_tilt > 40", normalCDF(0.2) * normalCDF(1)},
		{"load.mound_throws_28d < 60", 1},
		{"changed.stride_length", 0.8},
		{"stuck.stride_length < 75 and stuck.trunk_side_tilt > 40", 1},
		{"ladder.found", 1},
	} {
		when := condition(t, m, row.text)
		if row.text == "stuck.stride_length < 75 and stuck.trunk_side_tilt > 40" {
			// unknown, or no where the tilt falls under its bound
			row.want = normalCDF(1)
		}
		got := m.Steady(c, when)[0]
		if math.Abs(got-row.want) > 0.015 {
			t.Errorf("%s is kept in %.3f of the draws, want %.3f", row.text, got, row.want)
		}
		if beside := m.Steady(c, condition(t, m, "stuck.trunk_side_tilt > 44"), when)[1]; beside != got {
			t.Errorf("%s is kept in %v alone and in %v beside another", row.text, got, beside)
		}
	}
}

// A difference of two numbers follows from the numbers drawn.
func TestSteadyFollowsTheNumbers(t *testing.T) {
	m := model(t)
	c := Case{Vector: m.base.Catalogue.Vector(), Error: map[int]float64{}, Lambda: map[int]float64{}}
	for name, n := range map[string]float64{"best.back_foot_angle": 0, "stuck.back_foot_angle": 30} {
		slot, _ := m.base.Catalogue.Slot(name)
		c.Vector[slot], c.Error[slot] = fact.Num(n), 1
	}
	changed, _ := m.base.Catalogue.Slot("changed.back_foot_angle")
	c.Vector[changed], c.Lambda[changed] = fact.Bool(true), 1.5
	if got := m.Steady(c, condition(t, m, "changed.back_foot_angle"))[0]; got < 0.99 {
		t.Errorf("30 deg with an error of 1 deg is a difference in %.3f of the draws", got)
	}
}

func TestUsualErrors(t *testing.T) {
	m := model(t)
	c := Case{Vector: m.base.Catalogue.Vector()}
	for _, row := range []struct {
		name string
		want float64
	}{{"stuck.trunk_side_tilt", 5}, {"stuck.stride_length", 3}, {"reference.gain", 1}, {"rung.effort_drop", 5}, {"load.mound_throws_28d", 0},
		{"athlete.age", 0}, {"reference.share_of_best", 1.5}, {"limit.few_slope_throws", 0}} {
		slot, ok := m.base.Catalogue.Slot(row.name)
		if !ok {
			t.Fatal(row.name)
		}
		if m.ErrorOf(c, slot) != 0 && !m.base.Catalogue.At(slot).Constant {
			t.Errorf("%s has an error before it is known", row.name)
		}
		c.Vector[slot] = fact.Num(20)
		if got := m.ErrorOf(c, slot); got != row.want {
			t.Errorf("the error of %s is %v, want %v", row.name, got, row.want)
		}
	}
}

func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
