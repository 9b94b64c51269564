package judge

import (
	"flag"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
	"rungwise/testdata/cases"
)

var study = flag.Bool("study", false, "run the long studies")

// No hostile house loosens anything: it is not opened, or the judge says what it
// does; and where neither speaks, an own count of its plans finds nothing either.
func TestHostileHouses(t *testing.T) {
	houses, athletes := 48, 24
	if *study {
		houses, athletes = 1000, 100
	}
	j, _ := judged(t)
	own, trade, rng := newRecount(t), readTrade(t), rand.New(rand.NewPCG(1000, 7))
	content := rule.Read(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
	var taken []raid // those that a house may do, to be done together
	var n struct{ refused, found, held, together int }
	for i := range houses {
		raids := []raid{trade.hostile(rng)}
		if i%4 == 3 && len(taken) > 3 {
			n.together++
			raids = nil
			for range 5 {
				raids = append(raids, taken[rng.IntN(len(taken))])
			}
		}
		house := fstest.MapFS{}
		for name, text := range files(raids) {
			house[name] = &fstest.MapFile{Data: []byte(text)}
		}
		b, ds := content.Load(house, "house", cases.Day())
		if ds.Errors() > 0 {
			n.refused++
			continue
		}
		got, err := j.House(b, athletes)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Findings) > 0 {
			n.found++
			t.Logf("found by what it does alone: %s\n%s", got.Findings[0], text(house))
			continue
		}
		n.held++
		if len(raids) == 1 {
			taken = append(taken, raids[0])
		}
		if looser := own.house(t, j, b, athletes); looser != "" {
			t.Errorf("loosened: %s\n%s", looser, text(house))
		}
	}
	t.Logf("%+v of %d", n, houses)
	if n.refused < houses/4 || n.held < houses/20 {
		t.Errorf("the houses are not hostile enough, or all alike: %+v", n)
	}
}

func text(house fstest.MapFS) string {
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(house)) {
		b.WriteString(name + ":\n" + string(house[name].Data))
	}
	return b.String()
}
