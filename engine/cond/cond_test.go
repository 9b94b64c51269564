package cond

import (
	"testing"

	"rungwise/engine/fact"
)

// catalogue has every kind of fact, as invented for the Saltmarsh Throwing
// Club's tests.
func catalogue(t testing.TB) *fact.Catalogue {
	t.Helper()
	shift := answers("early", "at_peak", "late", "none")
	hinge := answers("holds", "folds_late", "none")
	facts := []fact.Fact{
		column(fact.Best, "weight_shift", shift), column(fact.Stuck, "weight_shift", shift), changed("weight_shift"),
		column(fact.Best, "hinge", hinge), column(fact.Stuck, "hinge", hinge), changed("hinge"),
		measured(fact.Best, "back_knee_bend"), measured(fact.Stuck, "back_knee_bend"), changed("back_knee_bend"),
		{Name: "screen.pain", Kind: fact.Choice, Answers: answers("none", "soreness", "pain"), Ordered: true},
		{Name: "screen.numbness", Kind: fact.YesNo},
		{Name: "screen.pop", Kind: fact.YesNo},
		{Name: "athlete.age", Kind: fact.Number, Unit: "years", Low: 5, High: 60},
		{Name: "athlete.throws", Kind: fact.Choice, Answers: answers("right", "left")},
		{Name: "load.mound_throws_28d", Kind: fact.Number, Unit: "throws", High: 2000},
		{Name: "load.growth", Kind: fact.Number, Unit: "ratio", High: 10},
		{Name: "ladder.found", Kind: fact.YesNo},
		{Name: "ladder.lost", Kind: fact.Choice, Answers: answers("run_up", "hop", "lift", "start", "surface")},
		{Name: "rung.miss", Kind: fact.Choice, Answers: answers("on_target", "high", "low")},
		{Name: "rung.net_miss", Kind: fact.Choice, Answers: answers("on_target", "high", "low")},
		{Name: "limit.few_slope_throws", Kind: fact.Number, Unit: "throws in 28 days", Constant: true, Value: 60},
		{Name: "limit.spike_alarm", Kind: fact.Number, Unit: "ratio", Constant: true, Value: 1.3},
	}
	c, err := fact.NewCatalogue(facts)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func answers(ids ...string) []fact.Answer {
	out := make([]fact.Answer, len(ids))
	for i, id := range ids {
		out[i] = fact.Answer{ID: id, Label: id}
	}
	return out
}

func column(col, id string, a []fact.Answer) fact.Fact {
	return fact.Fact{Name: col + "." + id, Kind: fact.Choice, Answers: a, Ordered: true, Column: col, Checkpoint: id}
}

func measured(col, id string) fact.Fact {
	return fact.Fact{Name: col + "." + id, Kind: fact.Number, Unit: "deg", Low: 0, High: 120, Column: col, Checkpoint: id}
}

func changed(id string) fact.Fact {
	return fact.Fact{Name: "changed." + id, Kind: fact.YesNo, Column: fact.Changed, Checkpoint: id}
}

// vector sets facts by name, as people write them.
func vector(t testing.TB, cat *fact.Catalogue, given map[string]string) fact.Vector {
	t.Helper()
	v := cat.Vector()
	for name, value := range given {
		slot, ok := cat.Slot(name)
		if !ok {
			t.Fatalf("no fact called %s", name)
		}
		x, err := cat.At(slot).Parse(value)
		if err != nil {
			t.Fatal(err)
		}
		v[slot] = x
	}
	return v
}

func compile(t testing.TB, cat *fact.Catalogue, text string) *Condition {
	t.Helper()
	c, faults := Compile(text, cat)
	if c == nil {
		t.Fatalf("%s does not compile: %v", text, faults)
	}
	return c
}

func TestEval(t *testing.T) {
	cat := catalogue(t)
	given := map[string]string{"best.weight_shift": "early", "stuck.weight_shift": "late", "athlete.age": "15", "screen.numbness": "no",
		"best.back_knee_bend": "52", "stuck.back_knee_bend": "44", "load.mound_throws_28d": "60", "changed.weight_shift": "yes"}
	v := vector(t, cat, given)
	for _, c := range []struct {
		text string
		want fact.Truth
	}{
		{`best.weight_shift == "early" and stuck.weight_shift in ["late", "none"]`, fact.Yes},
		{`best.weight_shift != 'early' or not (stuck.weight_shift not in ["late"])`, fact.Yes},
		{`stuck.hinge == "none"`, fact.Unknown},
		{`stuck.hinge != "none"`, fact.Unknown},
		{`stuck.hinge not in ["none"]`, fact.Unknown},
		{`not (stuck.hinge in ["none"])`, fact.Unknown},
		{`stuck.hinge == "none" and screen.numbness`, fact.No},
		{`screen.numbness and stuck.hinge == "none"`, fact.No},
		{`stuck.hinge == "none" or changed.weight_shift`, fact.Yes},
		{`changed.weight_shift or stuck.hinge == "none"`, fact.Yes},
		{`stuck.hinge == "none" or screen.numbness`, fact.Unknown},
		{`not changed.hinge`, fact.Unknown},
		{`!screen.numbness && athlete.age >= 15`, fact.Yes},
		{`10 < athlete.age < 15`, fact.No},
		{`10 < athlete.age <= 15`, fact.Yes},
		{`athlete.age in 9..14`, fact.No},
		{`athlete.age in [13, 14, 15]`, fact.Yes},
		{`between(athlete.age, 15, 18)`, fact.Yes},
		{`between(athlete.age, 16, limit.few_slope_throws)`, fact.No},
		{`abs(best.back_knee_bend - stuck.back_knee_bend) > 7`, fact.Yes},
		{`stuck.back_knee_bend < best.back_knee_bend * 0.8`, fact.No},
		{`-best.back_knee_bend / 2 == -26`, fact.Yes},
		{`load.mound_throws_28d < limit.few_slope_throws`, fact.No},
		{`load.growth > limit.spike_alarm`, fact.Unknown},
		{`load.growth * 0 == 0`, fact.Unknown},
		{`limit.spike_alarm < limit.few_slope_throws`, fact.Yes},
		{`best.weight_shift == stuck.weight_shift`, fact.No},
		{`"late" == stuck.weight_shift`, fact.Yes},
		{`screen.numbness == false`, fact.Yes},
		{`screen.pop == screen.numbness`, fact.Unknown},
		{`true`, fact.Yes},
		{`athlete.age > 10 and athlete.age > 11 and athlete.age > 12 and screen.pop`, fact.Unknown},
		{`athlete.age > 20 or athlete.age > 21 or athlete.age > 22 or changed.weight_shift`, fact.Yes},
	} {
		if got := compile(t, cat, c.text).Eval(v); got != c.want {
			t.Errorf("%s is %v, want %v", c.text, got, c.want)
		}
	}
}
