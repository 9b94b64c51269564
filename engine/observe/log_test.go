package observe

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/rules"
)

func logOf(t *testing.T, entries ...casefile.Entry) *casefile.Log {
	t.Helper()
	var b bytes.Buffer
	for i, e := range entries {
		e.Format, e.ID = casefile.LogFormat, i+1
		if e.On == "" {
			e.On = "2026-11-12"
		}
		e.Entered = e.On
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(append(line, '\n'))
	}
	l, ds := casefile.ParseLog(source.New("a.log.jsonl", b.Bytes()), casefile.Vocabulary{})
	if len(ds) > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return l
}

func thrown(n int) []*float64 {
	out := make([]*float64, n)
	for i := range out {
		v := 85.0
		out[i] = &v
	}
	return out
}

func easy(n int) []*float64 {
	out := thrown(n)
	for _, v := range out {
		*v = 60
	}
	return out
}

// What was not told is read the way that allows less: house default. Effort up
// to 60 % is low, up to 85 % moderate.
func TestLogDaysCountTheCautiousWay(t *testing.T) {
	base, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC), NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	session := func(e casefile.Entry) casefile.Entry { e.What = casefile.LogSession; return e }
	for _, c := range []struct {
		name string
		log  []casefile.Entry
		want string // low moderate high game innings
	}{
		{"hard throws at the rung and keep-up", []casefile.Entry{session(casefile.Entry{Rung: "flat_lift", Speeds: thrown(8), Keep: thrown(3)})}, "0 0 11 0 0"},
		{"another effort told", []casefile.Entry{session(casefile.Entry{Rung: "flat_lift", Speeds: easy(8), Effort: 55})}, "8 0 0 0 0"},
		{"an easy effort told of hard throws", []casefile.Entry{session(casefile.Entry{Rung: "flat_lift", Speeds: thrown(8), Effort: 70})}, "0 0 8 0 0"},
		{"hard throws from the knee", []casefile.Entry{session(casefile.Entry{Rung: "one_knee", Speeds: thrown(4)})}, "0 0 4 0 0"},
		{"totals told", []casefile.Entry{session(casefile.Entry{Rung: "flat_lift", Speeds: thrown(8), Throws: 60, High: 25})}, "0 35 25 0 0"},
		{"totals smaller than what was counted", []casefile.Entry{session(casefile.Entry{Rung: "flat_lift", Speeds: thrown(8), Throws: 5, High: 2})}, "0 0 8 0 0"},
		{"an unknown throw", []casefile.Entry{session(casefile.Entry{Rung: "gone", Speeds: thrown(4)})}, "0 0 4 0 0"},
		{"a game and a warm-up", []casefile.Entry{{What: casefile.LogOther, Kind: "game", Pitches: 45, Innings: 3, Throws: 65}}, "0 20 0 45 3"},
		{"two entries of a day", []casefile.Entry{session(casefile.Entry{Throws: 20}), {What: casefile.LogOther, Kind: "practice", Throws: 40, High: 10}}, "0 50 10 0 0"},
		{"catching, nobody counted", []casefile.Entry{{What: casefile.LogOther, Kind: "catching", Innings: 6}}, "0 70 10 0 0"},
		{"a slip of less", []casefile.Entry{session(casefile.Entry{Throws: 50, High: 20}), {What: casefile.LogSlip, Throws: 30, High: 5}}, "0 30 20 0 0"},
		{"a slip of more", []casefile.Entry{session(casefile.Entry{Throws: 50, High: 20}), {What: casefile.LogSlip, Throws: 70, High: 30}}, "0 40 30 0 0"},
		{"a slip without throws", []casefile.Entry{{What: casefile.LogSlip, Health: &casefile.Health{Sore: "none"}}}, ""},
	} {
		got := ""
		for _, d := range LogDays(logOf(t, c.log...), base, hardness{b: base, reference: 90}) {
			got += fmt.Sprint(d.Low, d.Moderate, d.High, d.Game, d.Innings)
		}
		if got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
	}
}
