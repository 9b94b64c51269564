package observe

import (
	"strings"
	"testing"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
)

// Better positions: at least two checkpoints better, none worse (house default).
// What was looked at on one throw only keeps the answer open; what nobody looked
// at says nothing.
func TestBetterPositions(t *testing.T) {
	b := base(t)
	slot, _ := b.Catalogue.Slot("reference.better_positions")
	const (
		better  = "hinge: {running_throw: holds, flat_lift: none}|weight_shift: {running_throw: early, flat_lift: late}"
		level   = "hinge: {running_throw: holds, flat_lift: holds}|weight_shift: {running_throw: late, flat_lift: late}"
		oneSide = "|arm_tempo: {running_throw: quick}"
	)
	for _, c := range []struct{ name, seen, want string }{
		{"two better", better, "yes"},
		{"two level", level, "no"},
		{"one worse", better + "|arm_tempo: {running_throw: slow, flat_lift: quick}", "no"},
		{"two better, one seen on one throw", better + oneSide, "not seen"},
		{"two level, one seen on one throw", level + oneSide, "not seen"},
		{"two level, one that could not be seen", level + "|arm_tempo: {running_throw: quick, flat_lift: could_not_see}", "not seen"},
		{"one better", strings.Split(better, "|")[0], "not seen"},
		{"one level", strings.Split(level, "|")[0], "not seen"},
	} {
		text := "rungwise: case/1\nathlete: {code: SM-04}\nreference: {throw: running_throw}\nseen:\n  " + strings.ReplaceAll(c.seen, "|", "\n  ") + "\n"
		v := casefile.Vocabulary{Checklist: b.Checklist, Today: day0(), Throws: []string{"running_throw", "flat_lift"}}
		k, ds := casefile.Parse(source.New("sm.yaml", []byte(text)), v)
		if k == nil {
			t.Fatal(ds.Sorted()[0].String())
		}
		f, err := Observe(k, b, day0())
		if err != nil {
			t.Fatal(err)
		}
		if got := b.Catalogue.At(slot).Format(f.Vector[slot]); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}
