package ladder

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// demandValues are the demands of a throw and their values in order; catalogue the throws of the trade with their
// values. Source: common practice, no source.
var demandValues = [][]string{
	{"full", "short", "none"}, {"yes", "no"}, {"none", "full"}, {"moving", "standstill"}, {"flat", "slope"},
	{"net", "catcher", "half_plate", "corner"}, {"fastball", "two"}, {"none", "watching", "live"},
	{"whole", "wide_stance", "stride_hold", "feet_set", "one_knee"},
}

const catalogueTable = `
running_throw    full no none moving flat net fastball none whole
shuffle_throw    short no none moving flat net fastball none whole
crow_hop         short yes none moving flat net fastball none whole
long_toss        short yes none moving flat catcher fastball none whole
hop_in_place     none yes none moving flat net fastball none whole
walk_in          none no full moving flat net fastball none whole
back_step        none no full moving flat net fastball none whole
weight_rock      none no none moving flat net fastball none wide_stance
flat_no_lift     none no none standstill flat net fastball none whole
flat_lift        none no full standstill flat net fastball none whole
slope_no_lift    none no none standstill slope net fastball none whole
slope_net        none no full standstill slope net fastball none whole
slope_stretch    none no full standstill slope net fastball none whole
slope_catcher    none no full standstill slope catcher fastball none whole
slope_half_plate none no full standstill slope half_plate fastball none whole
slope_corner     none no full standstill slope corner fastball none whole
slope_two_pitches none no full standstill slope corner two none whole
slope_batter     none no full standstill slope corner two watching whole
slope_live       none no full standstill slope corner two live whole
feet_set         none no none standstill flat net fastball none feet_set
stride_hold      none no none standstill flat net fastball none stride_hold
one_knee         none no none standstill flat net fastball none one_knee`

func catalogue(t testing.TB, measured ...string) []Throw {
	var out []Throw
	for line := range strings.Lines(strings.TrimSpace(catalogueTable)) {
		f := strings.Fields(line)
		th := Throw{ID: f[0], Measured: slices.Contains(measured, f[0])}
		for d, v := range f[1:] {
			at := slices.Index(demandValues[d], v)
			if at < 0 {
				t.Fatalf("%s: no value %q", f[0], v)
			}
			th.Demands = append(th.Demands, at)
		}
		out = append(out, th)
	}
	return out
}

func build(t testing.TB, p Plan) Built {
	t.Helper()
	b, err := Build(p)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestBuild(t *testing.T) {
	slope := " slope_net slope_catcher slope_half_plate slope_corner slope_two_pitches slope_batter slope_live"
	for _, c := range []struct {
		from, want string
		large      int // steps of more than one place, which no throw of the catalogue could halve
		measured   string
	}{
		{"running_throw", "running_throw shuffle_throw walk_in flat_lift" + slope, 1, ""},
		{"running_throw", "running_throw shuffle_throw flat_no_lift flat_lift" + slope, 1, "running_throw shuffle_throw flat_no_lift flat_lift"},
		{"running_throw", "running_throw shuffle_throw back_step flat_lift" + slope, 1, "back_step flat_lift"},
		{"walk_in", "walk_in flat_lift" + slope, 0, ""},
		{"walk_in", "walk_in flat_lift" + strings.Replace(slope, "slope_net", "slope_stretch", 1), 0, "slope_stretch"},
		{"weight_rock", "weight_rock walk_in flat_lift" + slope, 1, ""},
		{"weight_rock", "weight_rock flat_no_lift flat_lift" + slope, 1, "weight_rock flat_no_lift flat_lift slope_net slope_catcher"},
		{"feet_set", "feet_set stride_hold flat_no_lift flat_lift" + slope, 1, ""},
		{"long_toss", "long_toss crow_hop shuffle_throw walk_in flat_lift" + slope, 1, ""},
		{"long_toss", "long_toss crow_hop hop_in_place walk_in flat_lift" + slope, 1, "hop_in_place"},
	} {
		b := build(t, Plan{Throws: catalogue(t, strings.Fields(c.measured)...), From: c.from, To: "slope_live"})
		if got := strings.Join(b.Throws, " "); got != c.want {
			t.Errorf("from %s:\n got %s\nwant %s", c.from, got, c.want)
		}
		large := 0
		for _, s := range b.Steps {
			if s.Places > 1 {
				large++
			}
		}
		if large != c.large {
			t.Errorf("from %s: %d large steps, want %d: %+v", c.from, large, c.large, b.Steps)
		}
	}
}

// Every step changes one demand by one place unless no throw of the catalogue lies between its ends; then the throw that
// would halve it is told, and with it in the catalogue the ladder goes through it and is cheaper.
func TestStepsChangeOneDemandWhereTheCatalogueAllows(t *testing.T) {
	for _, from := range []string{"running_throw", "long_toss", "weight_rock", "walk_in", "feet_set", "crow_hop", "one_knee", "back_step"} {
		throws := catalogue(t)
		for range 12 {
			b := build(t, Plan{Throws: throws, From: from, To: "slope_live"})
			checkSteps(t, throws, b)
			at := slices.IndexFunc(b.Steps, func(s Step) bool { return s.Places > 1 })
			if at < 0 {
				break
			}
			house := Throw{ID: "house_" + b.Steps[at].To, Demands: b.Steps[at].Halving}
			throws = append(throws, house)
			better := build(t, Plan{Throws: throws, From: from, To: "slope_live"})
			if cost(better) >= cost(b) {
				t.Fatalf("from %s: the throw that halves %s to %s does not help", from, b.Steps[at].From, b.Steps[at].To)
			}
		}
		b := build(t, Plan{Throws: throws, From: from, To: "slope_live"})
		for _, s := range b.Steps {
			if s.Places != 1 || len(s.Changes) != 1 {
				t.Errorf("from %s: with every halving throw there, %+v still moves more than one place", from, s)
			}
		}
	}
}

func cost(b Built) int {
	sum := 0
	for _, s := range b.Steps {
		sum += s.Places * s.Places
	}
	return sum
}

// checkSteps makes sure that no throw of the catalogue lies between the ends of a step.
func checkSteps(t *testing.T, throws []Throw, b Built) {
	t.Helper()
	demands := map[string][]int{}
	for _, th := range throws {
		demands[th.ID] = th.Demands
	}
	for _, s := range b.Steps {
		from, to := demands[s.From], demands[s.To]
		for _, th := range throws {
			if distance(from, th.Demands) > 0 && distance(th.Demands, to) > 0 && distance(from, th.Demands)+distance(th.Demands, to) == s.Places {
				t.Errorf("%s lies between %s and %s", th.ID, s.From, s.To)
			}
		}
		if s.Places > 1 && (distance(from, s.Halving) != s.Places/2 || distance(s.Halving, to) != s.Places-s.Places/2) {
			t.Errorf("%v does not halve %s to %s", s.Halving, s.From, s.To)
		}
	}
}

func distance(a, b []int) int {
	sum := 0
	for i := range a {
		sum += abs(a[i] - b[i])
	}
	return sum
}

// The search agrees with the relaxation of every step, over and over, on random catalogues.
func TestBuildIsCheapest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		var throws []Throw
		for i := range 2 + r.IntN(12) {
			throws = append(throws, Throw{ID: string(rune('a' + i)), Demands: []int{r.IntN(4), r.IntN(3), r.IntN(2), r.IntN(4)}, Measured: r.IntN(2) == 0})
		}
		to := throws[len(throws)-1].ID
		b := build(t, Plan{Throws: throws, From: "a", To: to})
		best := make([]int, len(throws))
		for i := range best {
			best[i] = 1 << 20
		}
		best[0] = 0
		for range throws {
			for i := range throws {
				for j := range throws {
					d := distance(throws[i].Demands, throws[j].Demands)
					best[j] = min(best[j], best[i]+d*d)
				}
			}
		}
		if got := cost(b); got != best[len(best)-1] {
			t.Fatalf("cost %d, want %d: %v", got, best[len(best)-1], b.Throws)
		}
	}
}

func TestPinAndForbid(t *testing.T) {
	throws := catalogue(t)
	b := build(t, Plan{Throws: throws, From: "running_throw", To: "slope_live", Pin: []string{"hop_in_place", "slope_stretch"}, Forbid: []string{"walk_in", "back_step"}})
	for _, want := range []string{"hop_in_place", "slope_stretch"} {
		if !slices.Contains(b.Throws, want) {
			t.Errorf("%s is pinned, but not in %v", want, b.Throws)
		}
	}
	for _, not := range []string{"walk_in", "back_step", "slope_net"} {
		if slices.Contains(b.Throws, not) {
			t.Errorf("%s does not belong in %v", not, b.Throws)
		}
	}
	at := slices.IndexFunc(b.Steps, func(s Step) bool { return s.To == "slope_stretch" })
	if got := b.Steps[at]; !slices.Equal(got.Instead, []string{"slope_net"}) || len(got.Changes) != 1 || got.Changes[0].Demand != 4 {
		t.Errorf("step to slope_stretch: %+v; want the slope added, slope_net as alternative", got)
	}
	for name, p := range map[string]Plan{
		"unknown reference": {Throws: throws, From: "run", To: "slope_live"},
		"unknown pin":       {Throws: throws, From: "walk_in", To: "slope_live", Pin: []string{"x"}},
		"no catalogue":      {From: "walk_in", To: "slope_live"},
		"short demands":     {Throws: append(catalogue(t), Throw{ID: "x", Demands: []int{1}}), From: "walk_in", To: "slope_live"},
		"twice":             {Throws: append(catalogue(t), catalogue(t)[0]), From: "walk_in", To: "slope_live"},
	} {
		if _, err := Build(p); err == nil {
			t.Errorf("%s: no fault", name)
		}
	}
}
