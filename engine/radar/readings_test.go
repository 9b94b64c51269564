package radar_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/radar"
	"rungwise/engine/source"
)

// order is a ladder from the drill toward the game.
func order() []string {
	return []string{"running_throw", "shuffle_throw", "flat_no_lift", "flat_lift", "slope_net", "slope_catcher"}
}

// lists reads the checklists once for all tests.
var lists = sync.OnceValues(func() (*checklist.Checklist, diag.List) { return checklist.Load(checklists.FS, "checklists") })

func vocabulary(t testing.TB) casefile.Vocabulary {
	t.Helper()
	c, ds := lists()
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return casefile.Vocabulary{Checklist: c, Throws: order(), Today: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)}
}

// into imports a list of readings into a case and returns its new text.
func into(t *testing.T, text, csv string, o radar.Placing) (string, radar.Change) {
	t.Helper()
	c, ds := casefile.Parse(source.New("sm-40.yaml", []byte(text)), vocabulary(t))
	if c == nil {
		t.Fatal(ds.Sorted()[0])
	}
	var names []radar.Name
	for _, id := range order() {
		names = append(names, radar.Name{ID: id})
	}
	m, ds := radar.Read("gun.csv", strings.NewReader(csv), radar.Options{Throws: names})
	if m == nil {
		t.Fatal(ds.Sorted()[0])
	}
	o.On, o.Order = time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), order()
	change, err := radar.Into(c, m, vocabulary(t), o)
	if err != nil {
		t.Fatal(err)
	}
	if change.Data == nil {
		return text, change
	}
	body, comment, ok := strings.Cut(string(change.Data), "# readings of gun.csv, sha256 "+m.Hash)
	if !ok || strings.Count(comment, "\n") != 1 {
		t.Errorf("the import is not noted at the end:\n%s", change.Data)
	}
	if radar.Imported(source.New("sm-40.yaml", change.Data), m.Hash) != strings.Count(body, "\n")+1 {
		t.Error("the same file is not known again")
	}
	return body, change
}

const head = "rungwise: case/1   # invented\nathlete: {code: SM-40}\nreference: {throw: running_throw}\n"

func TestInto(t *testing.T) {
	for _, c := range []struct{ name, before, csv, after string }{
		{"a case without a ladder", head, "throw,mph,held\nflat_lift,81.2,no\nrunning_throw,92,yes\nrunning_throw,91.5,\n",
			head + "ladder:\n  on: 2026-11-09\n  rungs:\n    - {throw: running_throw, speeds: [92, 91.5], unit: mph, held: [yes, could_not_see]}\n" +
				"    - {throw: flat_lift, speeds: [81.2], unit: mph, held: [no]}\n"},
		{"a bare key", head + "ladder:   # to come\nseen:\n", "throw,km/h\nflat_lift,130.5\n",
			head + "ladder:   # to come\n  on: 2026-11-09\n  rungs:\n    - {throw: flat_lift, speeds: [130.5], unit: km/h}\nseen:\n"},
		{"rungs there and new ones", head + "ladder:\n  on: 2026-11-09\n  rungs:\n    # best first\n    - {throw: running_throw, speeds: [92.1, 91]}   # good\n" +
			"    - throw: flat_lift   # said twice\n      speeds:\n        - 81\n        - 82   # hm\n      effort: 95\n    - throw: slope_catcher\n      effort: 90\nseen: {}\n",
			"throw,mph\nrunning_throw,93\nflat_no_lift,85\nslope_net,80\nslope_net,81\nslope_catcher,79.5\nflat_lift,80\n",
			head + "ladder:\n  on: 2026-11-09\n  rungs:\n    # best first\n    - {throw: running_throw, speeds: [92.1, 91, 93]}   # good\n" +
				"    - {throw: flat_no_lift, speeds: [85], unit: mph}\n    - throw: flat_lift   # said twice\n      speeds:\n        - 81\n        - 82   # hm\n        - 80\n      effort: 95\n" +
				"    - {throw: slope_net, speeds: [80, 81], unit: mph}\n    - throw: slope_catcher\n      speeds: [79.5]\n      effort: 90\nseen: {}\n"},
		{"everything in brackets", head + "ladder: {on: 2026-11-09, rungs: [{throw: flat_lift, speeds: 81}, {throw: slope_net, speeds: [], held: []}] } # end\n",
			"throw,mph\nrunning_throw,93\nflat_lift,82\nslope_net,80\nslope_catcher,78\n",
			head + "ladder: {on: 2026-11-09, rungs: [{throw: running_throw, speeds: [93], unit: mph}, {throw: flat_lift, speeds: [81, 82]}, " +
				"{throw: slope_net, speeds: [80], held: []}, {throw: slope_catcher, speeds: [78], unit: mph}] } # end\n"},
		{"marks throw by throw", head + "ladder:\n  on: 2026-11-09\n  rungs:\n  - {throw: flat_lift, speeds: [81], held: [yes]}\n  - {throw: slope_net, held: no, speeds: }\n",
			"throw,mph,held\nflat_lift,82,no\nslope_net,80,no\n",
			head + "ladder:\n  on: 2026-11-09\n  rungs:\n  - {throw: flat_lift, speeds: [81, 82], held: [yes, no]}\n  - {throw: slope_net, held: no, speeds: [80] }\n"},
		{"another unit than the rung's", head + "ladder:\n  on: 2026-11-09\n  rungs:\n    - {throw: flat_lift, speeds: [81], unit: mph}\n    - {throw: slope_net, effort: 90}\n",
			"throw,km/h\nflat_lift,\"130,5\"\nslope_net,131\n",
			head + "ladder:\n  on: 2026-11-09\n  rungs:\n    - {throw: flat_lift, speeds: [81, 130.5 km/h], unit: mph}\n    - {throw: slope_net, speeds: [131], unit: km/h, effort: 90}\n"},
		{"a second day", head + "ladder:   # the first\n  on: 2026-11-02\n  rungs:\n    - {throw: flat_lift, speeds: [81]}   # low\n\nseen: {}\n",
			"date,throw,mph\n2026-11-09,flat_lift,82\n",
			head + "ladder:   # the first\n- on: 2026-11-02\n  rungs:\n    - {throw: flat_lift, speeds: [81]}   # low\n- on: 2026-11-09\n  rungs:\n" +
				"    - {throw: flat_lift, speeds: [82], unit: mph}\n\nseen: {}\n"},
		{"a second day in brackets", head + "ladder: {on: 2026-11-02, rungs: [{throw: flat_lift, speeds: [81]}]}\n", "date,throw,mph\n2026-11-09,flat_lift,82\n",
			head + "ladder: [{on: 2026-11-02, rungs: [{throw: flat_lift, speeds: [81]}]}, {on: 2026-11-09, rungs: [{throw: flat_lift, speeds: [82], unit: mph}]}]\n"},
		{"a third day", head + "ladder:\n  - on: 2026-11-02\n    rungs: [{throw: flat_lift, speeds: [81]}]\n  - on: 2026-11-04\n    rungs:\n      - {throw: flat_lift}\n",
			"date,throw,mph\n2026-11-09,flat_lift,82\n",
			head + "ladder:\n  - on: 2026-11-02\n    rungs: [{throw: flat_lift, speeds: [81]}]\n  - on: 2026-11-04\n    rungs:\n      - {throw: flat_lift}\n" +
				"  - on: 2026-11-09\n    rungs:\n      - {throw: flat_lift, speeds: [82], unit: mph}\n"},
		{"the reference thrown again at the end", head, "throw,mph\nrunning_throw,92\nrunning_throw,91\nflat_lift,81\nrunning_throw,90\nrunning_throw,89\n",
			head + "ladder:\n  on: 2026-11-09\n  again: [90, 89]\n  rungs:\n    - {throw: running_throw, speeds: [92, 91], unit: mph}\n    - {throw: flat_lift, speeds: [81], unit: mph}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _ := into(t, c.before, c.csv, radar.Placing{})
			if diff := cmp.Diff(c.after, got); diff != "" {
				t.Errorf("the text (-want +got):\n%s", diff)
			}
		})
	}
}

func TestReadingsThatStandThereAlready(t *testing.T) {
	ladder := head + "ladder:\n  on: 2026-11-09\n  rungs:\n    - {throw: flat_lift, speeds: [81.2, 82, 80.4]}\n"
	for _, c := range []struct {
		name, csv, want string
		all             bool
	}{
		{"all of them", "throw,mph\nflat_lift,81.2\nflat_lift,82\n", "[81.2, 82, 80.4]", false},
		{"in another unit's digits", "throw,km/h\nflat_lift,130.679\nflat_lift,131.966\n", "[81.2, 82, 80.4]", false},
		{"a longer list", "throw,mph\nflat_lift,81.2\nflat_lift,82\nflat_lift,80.4\nflat_lift,83\n", "[81.2, 82, 80.4, 83]", false},
		{"others", "throw,mph\nflat_lift,81.2\nflat_lift,83\n", "[81.2, 82, 80.4, 81.2, 83]", false},
		{"one alone may be another throw", "throw,mph\nflat_lift,82\n", "[81.2, 82, 80.4, 82]", false},
		{"taken all the same", "throw,mph\nflat_lift,81.2\nflat_lift,82\n", "[81.2, 82, 80.4, 81.2, 82]", true},
	} {
		got, _ := into(t, ladder, c.csv, radar.Placing{All: c.all})
		if want := strings.Replace(ladder, "[81.2, 82, 80.4]", c.want, 1); got != want {
			t.Errorf("%s: got\n%s", c.name, got)
		}
	}
}

func TestALadderWithoutADay(t *testing.T) {
	c, _ := casefile.Parse(source.New("sm-40.yaml", []byte(head+"ladder: {rungs: [{throw: flat_lift}]}\n")), vocabulary(t))
	m, _ := radar.Read("gun.csv", strings.NewReader("throw,mph\nflat_lift,81\n"), radar.Options{Throws: []radar.Name{{ID: "flat_lift"}}})
	if _, err := radar.Into(c, m, vocabulary(t), radar.Placing{On: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC)}); err == nil {
		t.Error("readings went into a ladder of no known day")
	}
}
