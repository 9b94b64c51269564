package judge

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"rungwise/engine/report"
	"rungwise/engine/rule"
	"rungwise/engine/workload"
)

// recount counts plans with nothing but the rule files: their limits by age, the
// pitch table, the throws and the drills. Sources: MLB and USA Baseball, Guidelines
// for Youth and Adolescent Pitchers, for the table; all else house default.
type recount struct {
	trade
	rows    []row
	byAge   map[string][3]float64
	numbers map[string]float64
	drills  map[string]drill
	throws  map[string]bool // high effort
}

type row struct {
	Ages  [2]int
	Daily int
	Rest  []int
}

type drill struct {
	Effort   float64
	Weighted bool
	Dose     struct{ Throws int }
	Ages     struct{ Min int }
}

func newRecount(t *testing.T) *recount {
	x := &recount{trade: readTrade(t), byAge: map[string][3]float64{}, numbers: map[string]float64{}, drills: map[string]drill{}, throws: map[string]bool{}}
	again := func(v, into any) {
		data, err := yaml.Marshal(v)
		if err == nil {
			err = yaml.Unmarshal(data, into)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	num := func(v any) float64 {
		var f float64
		again(v, &f)
		return f
	}
	again(x.top["pitch_table"].(map[string]any)["rows"], &x.rows)
	for _, e := range x.entries["by_age"] {
		x.byAge[e["id"].(string)] = [3]float64{num(e["to_14"]), num(e["to_18"]), num(e["adult"])}
	}
	for _, e := range x.entries["limits"] {
		x.numbers[e["id"].(string)] = num(e["value"])
	}
	for _, e := range x.entries["drills"] {
		var d drill
		again(e, &d)
		x.drills[e["id"].(string)] = d
	}
	for _, e := range x.entries["throws"] {
		x.throws[e["id"].(string)] = e["high_effort"] == true
	}
	return x
}

// at is a number for an age, -1 for an unknown one.
func (x *recount) at(id string, age int) float64 {
	band := 0
	if age > 18 {
		band = 2
	} else if age > 14 {
		band = 1
	}
	if v, ok := x.byAge[id]; ok {
		return v[band]
	}
	return x.numbers[id]
}

func (x *recount) table(age int) row {
	out := x.rows[0]
	for _, r := range x.rows {
		if age >= r.Ages[0] {
			out = r
		}
	}
	return out
}

// house returns the first way in which a house is looser, or "".
func (x *recount) house(t *testing.T, j *Judge, b *rule.Base, n int) string {
	for _, e := range x.entries["wording"] {
		if words, _ := b.Words(e["id"].(string)); e["safety"] == true && !strings.HasPrefix(words, e["text"].(string)) {
			return "the sentence " + e["id"].(string)
		}
	}
	s, err := sideOf(b)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range j.athletes(b, n) {
		o, err := j.run(s, a)
		if err != nil || o.plan == nil {
			continue
		}
		for _, q := range a.Answers {
			if q.Name == "screen.pain" && q.Value == "pain" || q.Name == "screen.numbness" && q.Value == "yes" || q.Name == "screen.pop" && q.Value == "yes" {
				return a.Code + ": a plan for an athlete who is referred"
			}
		}
		if words := x.plan(a, o.plan, b); words != "" {
			return a.Code + ": " + words
		}
	}
	return ""
}

// plan returns the first limit that a plan breaks by itself and by the days that
// stand in the case one by one; what only weeks tell can make it no better.
func (x *recount) plan(a *athlete, p *report.Plan, b *rule.Base) string {
	age := -1
	for _, q := range a.Answers {
		if q.Name == "athlete.age" {
			_, _ = fmt.Sscan(q.Value, &age) // what is no number is no age
		}
	}
	if age >= 0 && age < int(x.numbers["youngest_age"]) {
		return "a plan at this age"
	}
	for _, c := range p.Drills {
		if d, ok := x.drills[c.ID]; ok && (d.Weighted && age < int(x.numbers["weighted_min_age"]) || d.Ages.Min > 0 && age < d.Ages.Min) {
			return "the drill " + c.ID
		}
	}
	days := map[int]workload.Day{}
	start := 0
	for i, s := range p.Sessions {
		d := x.session(s, b)
		if i == 0 {
			start = day(s.Date)
		}
		days[day(s.Date)] = d
	}
	for _, g := range a.Load.Games {
		on := int(workload.DateOf(g.On))
		d := days[on]
		d.Game += g.Game
		days[on] = d
	}
	for _, r := range a.Load.Days {
		if on := int(workload.DateOf(r.On)); on < start {
			days[on] = workload.Day{Moderate: r.Throws - r.High, High: r.High, Game: r.Game}
		}
	}
	for on := start; on < start+len(p.Sessions); on++ {
		d := days[on]
		if d.Throws()-d.Game == 0 {
			continue
		}
		if words := x.day(days, on, age); words != "" {
			return fmt.Sprintf("%s: %s", workload.Date(on), words)
		}
	}
	return ""
}

func day(s string) int {
	on, _ := time.Parse(time.DateOnly, s) // the plan writes its days so
	return int(workload.DateOf(on))
}

// session adds a session up by what its blocks ask.
func (x *recount) session(s report.Session, b *rule.Base) workload.Day {
	var d workload.Day
	for _, k := range s.Blocks {
		n, asked := k.Throws, float64(k.Effort)
		if own, ok := x.drills[k.Drill]; ok {
			asked = max(asked, own.Effort)
			if own.Dose.Throws > 0 && n == 0 {
				n = 1000 // thrown and not counted
			}
		}
		if hard, known := x.throws[k.Throw]; k.Throw != "" {
			t, _ := b.Throw(k.Throw)
			if t != nil && !t.HighEffort && (known && hard || !known && t.Effort == 0) {
				asked = 100
			}
		}
		switch {
		case asked <= 60:
			d.Low += n
		case asked <= 85:
			d.Moderate += n
		default:
			d.High += n
		}
	}
	return d
}

// day returns the first limit that a day breaks.
func (x *recount) day(days map[int]workload.Day, on, age int) string {
	d, table := days[on], x.table(age)
	count := func(from, to int, ok func(workload.Day) bool) (n int) {
		for i := from; i <= to; i++ {
			if ok(days[i]) {
				n++
			}
		}
		return n
	}
	pitched, thrown := func(d workload.Day) bool { return d.Pitches() > 0 }, func(d workload.Day) bool { return d.Throws() > 0 }
	row := 0
	for i := on; thrown(days[i]); i-- {
		row++
	}
	switch {
	case d.Pitches() > table.Daily:
		return "pitches over the table"
	case d.Throws()-d.Game > int(x.at("daily_throws", age)):
		return "throws a day"
	case d.High > int(x.at("daily_high_effort", age)):
		return "hard throws a day"
	case row > int(x.at("days_in_a_row", age)):
		return "days in a row"
	case 7-count(on-6, on, thrown) < int(x.at("days_off_in_7", age)):
		return "days off"
	case d.High > 0 && count(on-6, on, pitched) > int(x.at("high_effort_days_in_7", age)):
		return "hard days in seven"
	case d.High > 0 && count(on+1, on+int(x.numbers["days_before_game"]), func(d workload.Day) bool { return d.Game > 0 }) > 0:
		return "hard throws before a game"
	}
	for back := 1; d.High > 0 && back < 9; back++ {
		n := days[on-back].Pitches()
		need := slices.IndexFunc(table.Rest, func(most int) bool { return n <= most })
		if need < 0 {
			need = len(table.Rest)
		}
		if n > int(x.numbers["high_effort_many"]) {
			need = max(need, int(x.at("days_between_high_effort", age)))
		}
		if n > 0 && back-1 < need {
			return "rest after pitches"
		}
	}
	return ""
}
